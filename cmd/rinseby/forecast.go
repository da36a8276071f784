package main

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"rinseby/session"
	"rinseby/tui/clean"
)

// A forecast as forecast --json prints it. Moments are by the wall clock as it
// stood when the last entry before the forecast was made.
type (
	foreseen struct {
		P10 time.Time `json:"p10"`
		P50 time.Time `json:"p50"`
		P80 time.Time `json:"p80"`
		P90 time.Time `json:"p90"`
		P95 time.Time `json:"p95"`
	}
	foreseenZone struct {
		ID      string     `json:"id"`
		Name    string     `json:"name"`
		Round   string     `json:"round"`
		Applied *foreseen  `json:"applied"`
		Off     foreseen   `json:"off"`
		Limit   bool       `json:"limit_known"`
		LimitAt *time.Time `json:"limit_at"`
		GoBy    *time.Time `json:"go_by"`
	}
	foreseenStep struct {
		Name string   `json:"name"`
		Over foreseen `json:"over"`
	}
	foreseenPace struct {
		Technique string  `json:"technique"`
		Usual     float64 `json:"usual_minutes"`
		Now       float64 `json:"now_minutes"`
		Ratio     float64 `json:"ratio"`
	}
	foreseenService struct {
		Service  string         `json:"service"`
		At       time.Time      `json:"at"`
		Known    int            `json:"services_known"`
		End      foreseen       `json:"end"`
		Applied  *foreseen      `json:"applied"`
		Promised *time.Time     `json:"promised"`
		Late     *float64       `json:"late"`
		Zones    []foreseenZone `json:"zones"`
		Steps    []foreseenStep `json:"steps"`
		Paces    []foreseenPace `json:"paces"`
		Notes    []string       `json:"notes"`
	}
)

// forecastFlags are what forecast was asked for.
type forecastFlags struct {
	after   time.Duration
	given   bool   // after was
	history string // folder; empty for the store's
	asJSON  bool
}

func (e *edge) forecastCommand() *cobra.Command {
	var f forecastFlags
	c := &cobra.Command{
		Use:   "forecast FILE",
		Short: "Tell when a service will end, or would have been said to at an earlier moment",
		Long: `Forecast prints when a service ends: by when with even chance (p50), and by when in 80, 90 and 95 of 100 services;
in 80 of 100 the end lies between p10 and p90. FILE is a journal, or the id of a service in the store. Nothing counts
that was recorded later than the moment that it is made for: neither in the service, nor in the closed services of
the stylist that it learns from. session/FORMATS.md lists every field.`,
		Args: oneArg,
		RunE: func(c *cobra.Command, args []string) error {
			f.given = c.Flags().Changed("after")
			return e.forecast(args[0], f)
		},
	}
	c.Flags().DurationVar(&f.after, "after", 0, "how long after its opening the forecast is made, as 45m or 1h30m (default: at the last entry, of a live service)")
	c.Flags().StringVar(&f.history, "history", "", "data folder, or folder of journals, with the closed services to learn from (default: those of the store)")
	c.Flags().BoolVar(&f.asJSON, "json", false, "print as JSON")
	return c
}

// nothingToForecast is the exit code when there is no end to tell.
const nothingToForecast = 2

func (e *edge) forecast(name string, f forecastFlags) error {
	whole, err := e.service(name)
	if err != nil {
		return err
	}
	then, at, err := f.moment(whole)
	if err != nil {
		return err
	}
	s := then.State()
	stylist := e.stylist
	if stylist == "" {
		stylist = s.Stylist
	}
	usuals, err := e.usuals(f.history, stylist, s.Service, at)
	if err != nil {
		return err
	}
	q, ok := then.AskForecast(at, usuals)
	if !ok {
		why := q.Why
		if why == "" {
			why = "the service was closed by then: give an earlier moment with --after"
		}
		return &exitError{nothingToForecast, why}
	}
	answer, err := q.Answer()
	if err != nil {
		return err
	}
	last := then.Events()[len(then.Events())-1].Recorded
	by := func(at time.Time) time.Time { return s.Line.Wall(at, last) }
	if f.asJSON {
		out := foreseenIn(answer, func(at time.Time) time.Time { return by(at).UTC().Round(time.Second) })
		out.Service, out.Known = s.Service, usuals.Services
		return e.encode(out)
	}
	clock := func(at time.Time) string { return by(at).In(e.place()).Format("15:04") }
	_, err = io.WriteString(e.out, forecastText(answer, usuals.Services, clock))
	return err
}

// moment is the log as it was at the moment that is asked for, and that moment
// on its time line.
func (f forecastFlags) moment(whole *session.Log) (*session.Log, time.Time, error) {
	s := whole.State()
	if f.given {
		if f.after < 0 {
			return nil, time.Time{}, fmt.Errorf("--after %s: give a time from the opening on, as 45m", f.after)
		}
		at := s.Opened.Add(f.after)
		then, err := whole.Until(at)
		return then, at, err
	}
	if !s.Live() {
		return nil, time.Time{}, &exitError{nothingToForecast, "the service is over: give --after, as 45m, to see what was to be said of its end then"}
	}
	return whole, lastEntry(whole), nil
}

// lastEntry is the moment of the time line at which the last entry was made.
func lastEntry(l *session.Log) time.Time {
	s := l.State()
	return s.Line.Now(l.Events()[len(l.Events())-1].Recorded)
}

// foreseenIn puts a forecast into the form of JSON.
func foreseenIn(f *session.Forecast, by func(time.Time) time.Time) foreseenService {
	all := func(m session.Moments) foreseen {
		return foreseen{by(m.P10), by(m.P50), by(m.P80), by(m.P90), by(m.P95)}
	}
	some := func(m session.Moments) *foreseen {
		if m.P50.IsZero() {
			return nil
		}
		out := all(m)
		return &out
	}
	known := func(at time.Time) *time.Time {
		if at.IsZero() {
			return nil
		}
		at = by(at)
		return &at
	}
	out := foreseenService{
		At: by(f.At), End: all(f.End), Applied: some(f.Applied), Zones: []foreseenZone{}, Steps: []foreseenStep{}, Paces: []foreseenPace{},
		Notes: append([]string{}, f.Notes...),
	}
	if !f.Promised.IsZero() {
		promised, late := by(f.Promised), thousandth(f.Late)
		out.Promised, out.Late = &promised, &late
	}
	for _, z := range f.Zones {
		out.Zones = append(out.Zones, foreseenZone{z.ID, z.Name, z.Round, some(z.Applied), all(z.Off), !z.NoLimit, known(z.LimitAt), known(z.GoBy)})
	}
	for _, st := range f.Steps {
		out.Steps = append(out.Steps, foreseenStep{st.Name, all(st.End)})
	}
	for _, p := range f.Paces {
		out.Paces = append(out.Paces, foreseenPace{p.Technique, thousandth(p.Usual), thousandth(p.Now), thousandth(p.Ratio)})
	}
	return out
}

func thousandth(f float64) float64 { return math.Round(f*1000) / 1000 }

// forecastText is the forecast for people to read.
func forecastText(f *session.Forecast, known int, clock session.Clockface) string {
	var b strings.Builder
	said := func(lines ...string) {
		for _, l := range lines {
			fmt.Fprintln(&b, clean.Text(l))
		}
	}
	said("at " + clock(f.At) + ": " + f.SayEnd(clock))
	said(fmt.Sprintf("by %s with even chance, by %s in 80, by %s in 90, by %s in 95 of 100", clock(f.End.P50), clock(f.End.P80), clock(f.End.P90), clock(f.End.P95)))
	if !f.Promised.IsZero() {
		said(f.SayPromise(clock), fmt.Sprintf("promised %s: later than that in %.0f of 100", clock(session.ToldPromise(f.Promised)), 100*f.Late))
	}
	b.WriteByte('\n')
	if !f.Applied.P50.IsZero() {
		said("last piece in about " + clock(f.Applied.P50))
	}
	for _, z := range f.Zones {
		said(z.SayZone(clock))
	}
	for _, st := range f.Steps {
		said(st.SayStep(clock))
	}
	b.WriteByte('\n')
	for _, p := range f.Paces {
		said(p.Say())
	}
	said(f.Notes...)
	switch known {
	case 0: // the notes say so
	case 1:
		said("learned from 1 closed service")
	default:
		said(fmt.Sprintf("learned from %d closed services", known))
	}
	return b.String()
}
