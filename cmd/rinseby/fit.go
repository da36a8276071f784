package main

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"rinseby/session"
	"rinseby/session/history"
	"rinseby/session/store"
	"rinseby/timing"
	"rinseby/timing/floor"
)

// What fit --json prints.
type (
	fitTask struct {
		Service string `json:"service"`
		Client  string `json:"client"`
		Task    string `json:"task"`
	}
	fitGap struct {
		Service string  `json:"service"`
		Client  string  `json:"client"`
		What    string  `json:"what"`
		Minutes float64 `json:"minutes"`
	}
	fitCollision struct {
		Before  bool    `json:"without_walk_in"`
		A       fitTask `json:"a"`
		B       fitTask `json:"b"`
		Minutes float64 `json:"minutes"`
		All     float64 `json:"all_minutes"`
		Proved  bool    `json:"proved"`
		Gap     *fitGap `json:"gap"`
	}
	fitService struct {
		Service string `json:"service"`
		Client  string `json:"client"`
	}
	fitAnswer struct {
		Verdict   floor.Verdict `json:"verdict"`
		Stylist   string        `json:"stylist"`
		At        time.Time     `json:"at"`
		Minutes   float64       `json:"minutes"`
		After     time.Time     `json:"after"`
		Before    time.Time     `json:"before"`
		From      *time.Time    `json:"from"`
		To        *time.Time    `json:"to"`
		Earliest  bool          `json:"earliest"`
		Services  []fitService  `json:"services"`
		Collision *fitCollision `json:"collision"`
		Notes     []string      `json:"notes"`
	}
)

// Exit codes of fit beside 0 and 1.
const (
	doesNotFit   = 2
	fitNotProven = 3
)

// fitHours is how far ahead a walk-in is looked for unless --between says;
// fitSeconds is how long each of two questions may take.
const (
	fitHours   = 8
	fitSeconds = 0.5
)

// fitFlags are what fit was asked for.
type fitFlags struct {
	minutes float64
	between string
	asJSON  bool
}

func (e *edge) fitCommand() *cobra.Command {
	var f fitFlags
	c := &cobra.Command{
		Use:   "fit --minutes N",
		Short: "Say where a walk-in fits among the live services",
		Long: `Fit says where a walk-in of so many minutes fits among the stylist's live services, so that every limit and every
promise is still kept; or else what collides, and by how much. All that is to come is reckoned at its median: with even
chance it takes longer. Exit codes: 0 it fits, 2 it does not, 3 that could not be proved in time, 1 something is wrong.
session/FORMATS.md lists every field of --json.`,
		Args: noArg,
		RunE: func(*cobra.Command, []string) error { return e.fit(f) },
	}
	c.Flags().Float64Var(&f.minutes, "minutes", 0, "how long the walk-in needs hands, without a break")
	c.Flags().StringVar(&f.between, "between", "", "from when to when it may be, by the clock on the wall, as 11:00-13:00 (default: the next 8 hours)")
	c.Flags().BoolVar(&f.asJSON, "json", false, "print as JSON")
	return c
}

func (e *edge) fit(f fitFlags) error {
	now := e.clock.Read()
	takes := int(f.minutes*60 + 0.5)
	if !(f.minutes >= 1 && f.minutes <= 24*60) {
		return fmt.Errorf("--minutes %g: give how long the walk-in needs hands, 1 to 1440 minutes", f.minutes)
	}
	w := walkIn{at: now.Wall, place: e.place(), takes: takes}
	if err := w.window(f.between); err != nil {
		return err
	}
	if err := e.gather(&w, now); err != nil {
		return err
	}
	if err := w.solve(); err != nil {
		return err
	}
	if f.asJSON {
		if err := e.encode(w.answer(f.minutes)); err != nil {
			return err
		}
	} else if _, err := io.WriteString(e.out, w.text()); err != nil {
		return err
	}
	switch w.verdict {
	case floor.Fits:
		return nil
	case floor.Cannot:
		return &exitError{code: doesNotFit}
	}
	return &exitError{code: fitNotProven}
}

// A walkIn is a client without an appointment, and the services between which
// they are to fit. Seconds count from at.
type walkIn struct {
	at       time.Time // by the wall clock
	place    *time.Location
	takes    int // seconds
	from, to int // bounds of its start
	stylist  string
	services []fitService // in the order of the chains
	problem  *floor.Problem
	notes    []string

	verdict   floor.Verdict
	start     int // floor.None if none is known
	earliest  bool
	collision *floor.Collision // of the problem, or of that with the walk-in as its last chain
	before    bool             // it collides even without the walk-in
}

// window reads from when to when it may be.
func (w *walkIn) window(between string) error {
	w.to = fitHours*3600 - w.takes
	if between != "" {
		wrong := fmt.Errorf("--between %s: give two times of the day, as 11:00-13:00", between)
		a, b, found := strings.Cut(between, "-")
		from, err := time.Parse("15:04", strings.TrimSpace(a))
		to, errTo := time.Parse("15:04", strings.TrimSpace(b))
		if !found || err != nil || errTo != nil {
			return wrong
		}
		day := w.at.In(w.place)
		on := func(t time.Time, days int) int {
			at := time.Date(day.Year(), day.Month(), day.Day()+days, t.Hour(), t.Minute(), 0, 0, w.place)
			return int(at.Sub(w.at).Seconds())
		}
		days := 0
		if !to.After(from) { // past midnight
			days = 1
		}
		if on(to, days) <= 0 {
			return fmt.Errorf("--between %s: that is over, it is %s", between, w.clock(0))
		}
		w.from, w.to = max(on(from, 0), 0), on(to, days)-w.takes
	}
	if w.to < w.from {
		return fmt.Errorf("%s are longer than the time from %s to %s: give fewer --minutes, or a longer --between",
			session.WholeMinutes(w.takes), w.clock(w.from), w.clock(w.to+w.takes))
	}
	return nil
}

// clock is a moment on the salon's wall.
func (w *walkIn) clock(s int) string { return w.moment(s).In(w.place).Format("15:04") }

func (w *walkIn) moment(s int) time.Time { return w.at.Add(time.Duration(s) * time.Second) }

// gather reads the live services, and makes the chains of those of the stylist.
func (e *edge) gather(w *walkIn, now timing.Reading) error {
	st, err := e.store()
	if err != nil {
		return err
	}
	entries, problems, err := st.List()
	if err != nil {
		return err
	}
	e.passedOver(problems)
	live, err := w.ofOneStylist(entries.Lives(), e.stylist)
	if err != nil {
		return err
	}
	usuals, err := st.Usuals(w.stylist)
	if err != nil {
		return err
	}
	var chains []floor.Chain
	for _, n := range live {
		l, err := st.Read(n.ID)
		if err != nil {
			return fmt.Errorf("%s can't be read, so nothing can be said of the hands that it needs: %w", n.ID, err)
		}
		c, ok, err := w.chain(l.State(), now, usuals)
		if err != nil {
			return err
		}
		if ok { // else it was closed just now
			chains, w.services = append(chains, c), append(w.services, fitService{n.ID, n.Client})
		}
	}
	if usuals.Services == 0 && len(chains) > 0 {
		w.notes = append([]string{"no closed service tells of this stylist's times yet: reckoned by the plans and house figures"}, w.notes...)
	}
	w.problem = session.FloorProblem(chains...)
	return nil
}

// ofOneStylist are the live services of the stylist: of the one who was named,
// or else of the only one who runs any.
func (w *walkIn) ofOneStylist(all []store.Entry, named string) (live []store.Entry, err error) {
	w.stylist = strings.TrimSpace(named)
	var others []string
	for _, n := range all {
		if named == "" && len(live) == 0 {
			w.stylist = strings.TrimSpace(n.Stylist)
		}
		if history.Same(n.Stylist, w.stylist) {
			live = append(live, n)
		} else {
			others = append(others, n.Stylist)
		}
	}
	if named == "" && len(others) > 0 {
		return nil, fmt.Errorf("services of %q and %q are live: say whose hands are meant, with --stylist NAME", w.stylist, others[0])
	}
	return live, nil
}

// chain is what hands still have to do in a service.
func (w *walkIn) chain(s *session.State, now timing.Reading, u session.Usuals) (floor.Chain, bool, error) {
	at := s.Line.Now(now).In(w.place)
	var f *session.Forecast
	q, ok := s.AskForecast(at, u)
	if ok {
		answer, err := q.Answer()
		if err != nil {
			return floor.Chain{}, false, err
		}
		f = answer
	} else if q.Why != "" {
		w.note(s.Client, q.Why)
	}
	var plan *session.TripPlan
	if ask, ok := s.AskTrips(at, s.Pace()); ok {
		answer, err := ask.Answer(stopAfter(fitSeconds))
		if err != nil {
			return floor.Chain{}, false, err
		}
		plan = answer
	}
	work, live := s.WorkAhead(at, plan, f, u)
	w.note(s.Client, work.Notes...)
	return work.Chain, live, nil
}

func (w *walkIn) note(client string, notes ...string) {
	for _, n := range notes {
		w.notes = append(w.notes, client+": "+n)
	}
}

// solve answers, and finds out what stands in the way.
func (w *walkIn) solve() (err error) {
	name := w.stylist
	if len(w.problem.Chains) > 0 {
		name = w.problem.Chains[0].Worker
	}
	var v floor.Verdict
	w.start, v, err = floor.Fit(w.problem, name, w.takes, w.from, w.to, floor.Budget{Stop: stopAfter(fitSeconds)})
	if err != nil {
		return tooMuch(err)
	}
	w.verdict, w.earliest = v, v == floor.Fits
	switch {
	case w.start != floor.None:
		w.verdict = floor.Fits
		return nil
	case v != floor.Cannot:
		return nil
	}
	plan, err := floor.Solve(w.problem, floor.Budget{Stop: stopAfter(fitSeconds)})
	if err != nil {
		return err
	}
	if w.before = plan.Verdict == floor.Cannot; !w.before {
		w.problem.Chains = append(w.problem.Chains, floor.Chain{
			Name: walkInName, Worker: name, Tasks: []floor.Task{{Name: walkInName, Takes: w.takes}},
			Links: []floor.Link{{From: floor.Now, To: 0, Least: w.from, Most: w.to, Name: "over by " + w.clock(w.to+w.takes)}},
		})
		w.services = append(w.services, fitService{Client: walkInName})
		if plan, err = floor.Solve(w.problem, floor.Budget{Stop: stopAfter(fitSeconds)}); err != nil {
			return err
		}
	}
	w.collision = plan.Collision
	return nil
}

const walkInName = "walk-in"

// tooMuch says what to do about a problem that is too large.
func tooMuch(err error) error {
	if errors.Is(err, floor.ErrProblem) {
		return fmt.Errorf("%w; close services that are long over", err)
	}
	return err
}
