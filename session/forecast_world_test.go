package session_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/history"
	"rinseby/timing"
	"rinseby/timing/forecast"
	"rinseby/timing/pace"
)

var worldStylists = flag.Int("stylists", 2, "how many invented stylists forecasts are judged on, with 10 services each")

// A hidden is what nobody tells of a stylist: how long things take. Figures are
// invented, as wide as one may expect them at a chair.
type hidden struct {
	piece  map[string]float64 // median minutes, by technique
	level  float64            // scatter of the log pace between services
	noise  float64            // of single pieces
	times  map[session.StintKind]pace.LogNormal
	steps  map[string]pace.LogNormal
	batch  int // most pieces logged at once
	stated float64
}

func drawHidden(r *rand.Rand) hidden {
	around := func(m, between, spread float64) pace.LogNormal {
		return pace.Around(m*math.Exp(between*r.NormFloat64()), spread)
	}
	h := hidden{
		piece: map[string]float64{"weave": around(1.1, 0.25, 1).Median(), "open section": around(1.8, 0.25, 1).Median(), "toner section": around(0.8, 0.3, 1).Median()},
		level: 0.12, noise: 0.25, batch: 1 + r.IntN(3), stated: 1 + 0.2*r.NormFloat64(),
		times: map[session.StintKind]pace.LogNormal{
			session.StintPrepare: around(6, 0.3, 0.3), session.StintMix: around(3, 0.3, 0.25), session.StintWalk: around(2, 0.2, 0.2),
			session.StintReseat: around(2.5, 0.3, 0.3), session.StintRinse: around(3, 0.25, 0.25), session.StintClose: around(4, 0.3, 0.4),
			session.StintDevelop: around(0.6, 0.15, 0.2), // share of the way from opening to limit
		},
		steps: map[string]pace.LogNormal{"cut": around(30, 0.2, 0.2), "drying": around(20, 0.2, 0.2), "styling": around(12, 0.2, 0.3)},
	}
	return h
}

// A walkthrough plays a service of a stylist through commands, as it would be
// logged at the chair.
type walkthrough struct {
	*chair
	r     *rand.Rand
	h     hidden
	level float64 // of today
	drift float64 // of the log pace per hour
	slow  map[string]float64
	wait  pace.LogNormal
	free  bool // client sits, hands may place
}

// drawService draws a plan and plays the service to its end. It answers with
// the service and the moments at which so much of the pieces was in.
func drawService(t testing.TB, r *rand.Rand, h hidden, name string, day int) *session.Log {
	c := newChair(t)
	c.zero = c.zero.AddDate(0, 0, day)
	c.now = c.zero
	w := &walkthrough{chair: c, r: r, h: h, level: h.level * r.NormFloat64(), slow: map[string]float64{}, free: true}
	if r.Float64() < 0.25 {
		w.drift = 0.05 + 0.1*r.NormFloat64()
	}
	technique, product := "weave", end20
	if r.IntN(4) == 0 {
		technique = "open section"
	}
	opened := session.ServiceOpened{Service: name, Client: "June L.", Stylist: "Ines", Invented: true}
	for _, st := range []string{"cut", "drying", "styling"} {
		if r.IntN(5) > 0 {
			opened.Steps = append(opened.Steps, session.PlanStep{Name: st, Minutes: math.Round(h.steps[st].Median()/5) * 5})
		}
	}
	plan := session.PlanSet{Name: "Lightening", Action: formula.Lighten}
	for i := range 4 + r.IntN(7) {
		name := fmt.Sprintf("Zone %d", i+1)
		plan.Zones = append(plan.Zones, session.PlanZone{Name: name, Pieces: 5 + r.IntN(6), Technique: technique,
			MinutesPerPiece: h.piece[technique] * h.stated, Bands: []session.PlanBand{product}})
		if r.Float64() < 0.08 {
			w.slow[fmt.Sprintf("z%d", i+1)] = 0.2 + 0.25*r.NormFloat64()
		}
	}
	tone := session.PlanSet{Name: "Toning", Action: formula.Colour, Zones: []session.PlanZone{
		{Name: "Roots", Pieces: 4, Technique: "toner section", MinutesPerPiece: h.piece["toner section"] * h.stated, Bands: []session.PlanBand{veil10}}}}
	w.do(opened, session.ConsultationNoted{NaturalDepth: 6})
	days := answered()
	for i, a := range days {
		if s, ok := a.(session.SafetyAnswered); ok && strings.HasPrefix(s.Answer, "2026-") {
			s.Answer = c.zero.AddDate(0, 0, -2).Format("2006-01-02")
			days[i] = s
		}
	}
	w.do(days...)
	w.do(plan, row(end20, 10, 45), row(veil10, 5, 20))
	if r.IntN(4) > 0 {
		w.do(tone)
	}
	w.play()
	return c.log
}

func (w *walkthrough) spend(minutes float64) {
	w.now = w.now.Add(time.Duration(max(minutes, 0) * float64(time.Minute))).Truncate(time.Millisecond)
}

func (w *walkthrough) draw(l pace.LogNormal) float64 {
	return math.Exp(l.Mu + l.Sigma*w.r.NormFloat64())
}

func (w *walkthrough) take(kind session.StintKind) float64 { return w.draw(w.h.times[kind]) }

// do logs what nothing refuses, without looking at the whole log anew.
func (w *walkthrough) do(data ...session.Data) {
	for _, d := range data {
		_, err := w.log.Commit(w.reading(), session.Do(d))
		require.NoError(w.t, err)
	}
}

// play does the next thing until there is none.
func (w *walkthrough) play() {
	w.spend(w.take(session.StintPrepare) - w.take(session.StintMix))
	for range 1000 {
		b := w.board()
		switch b.Next.Verb {
		case session.DoMix:
			w.spend(w.take(session.StintMix))
			w.do(bowl(*b.Next.Plan, 60, 120))
		case session.DoPlace:
			if z := w.state().Zone(b.Next.Zones[0]); !w.planned(z) {
				w.place(z)
			}
		case session.DoRinse:
			w.trip(b.Next.Zones)
		case session.DoReady, session.DoWait:
			w.process()
		case session.DoBegin:
			w.do(b.Next.Commands[0].Data)
		case session.DoEnd:
			step := b.Next.Commands[0].Data.(session.StepEnded)
			w.spend(w.draw(w.h.steps[step.Step]))
			w.do(step)
		case session.DoFinish:
			w.spend(w.take(session.StintClose))
			w.do(session.ServiceClosed{})
			return
		default:
			require.Fail(w.t, "the walkthrough does not know what to do", "%s: %s", b.Next.Verb, b.Next.Text)
		}
	}
}

// planned goes to the basin before a zone is begun, if the plan of the trips
// says so.
func (w *walkthrough) planned(z *session.Zone) bool {
	b := w.board()
	if z.Done() > 0 || b.OffBy == nil {
		return false
	}
	q, ok := w.state().AskTrips(b.Now, b.Pace)
	if !ok {
		return false
	}
	plan, err := q.Answer(nil)
	require.NoError(w.t, err)
	next, ok := plan.Next()
	if !ok || !next.Ready {
		return false
	}
	w.spend(w.take(session.StintWalk))
	w.basin(next.Zones)
	w.free = false
	return true
}

// place places some pieces of a zone and logs them at once.
func (w *walkthrough) place(z *session.Zone) {
	if !w.free {
		w.spend(w.take(session.StintReseat))
		w.free = true
	}
	n := min(1+w.r.IntN(w.h.batch), z.Pieces-z.Done())
	hours := w.now.Sub(w.zero).Hours()
	for range n {
		w.spend(w.h.piece[z.Technique()] * math.Exp(w.level+w.drift*hours+w.slow[z.ID]+w.h.noise*w.r.NormFloat64()))
		if w.r.Float64() < 0.015 {
			gap := w.draw(pace.Around(4, 0.8))
			if w.r.IntN(2) == 0 { // said, or not
				w.do(session.PauseBegan{})
				w.spend(gap)
				w.do(session.PauseEnded{})
			} else {
				w.spend(gap)
			}
		}
	}
	w.do(place(z.ID, n))
}

// trip takes to the basin what must go, and what is open.
func (w *walkthrough) trip(zones []string) {
	for _, z := range w.board().Zones {
		if z.Phase == timing.Open && !slices.Contains(zones, z.ID) {
			zones = append(zones, z.ID)
		}
	}
	w.spend(w.take(session.StintWalk))
	w.basin(zones)
	w.free = false
}

func (w *walkthrough) basin(zones []string) {
	w.do(session.RinseBegan{Zones: zones})
	for {
		t := w.state().OpenTrip()
		if t == nil {
			return
		}
		w.spend(w.take(session.StintRinse))
		i := slices.IndexFunc(t.Zones, func(id string) bool { return t.Done[id].IsZero() })
		w.do(session.RinseEnded{Zones: t.Zones[i : i+1]})
	}
}

// process waits at the basin until the zone that went on last has developed,
// and rinses all in their order.
func (w *walkthrough) process() {
	var last session.ZoneLook
	var zones []string
	for _, z := range w.board().Zones {
		if z.Holding() {
			zones = append(zones, z.ID)
			if !z.LastAt.Before(last.LastAt) {
				last = z
			}
		}
	}
	opens, limit := last.OpensAt.Sub(last.LastAt).Minutes(), last.LimitAt.Sub(last.LastAt).Minutes()
	wait := opens + min(w.take(session.StintDevelop), 0.9)*(limit-opens)
	rest := last.LastAt.Add(time.Duration(wait * float64(time.Minute))).Sub(w.now)
	for _, z := range w.board().Zones { // no other one must go over
		if z.Holding() && !z.LimitAt.IsZero() {
			rest = min(rest, z.LimitAt.Add(-session.TripRinse*time.Duration(len(zones))).Sub(w.now))
		}
	}
	w.spend(max(rest.Minutes(), w.take(session.StintWalk)))
	w.basin(zones)
}

// parts are the shares of the pieces at which forecasts are judged.
var parts = []float64{0.1, 0.25, 0.5, 0.75, 0.9}

// momentsOf are when so much of the pieces was in.
func momentsOf(l *session.Log) []time.Time {
	var in []session.Batch
	all := 0
	for _, z := range l.State().Zones {
		in = append(in, z.Placed...)
		all += z.Done()
	}
	slices.SortFunc(in, func(a, b session.Batch) int { return a.At.Compare(b.At) })
	at := make([]time.Time, len(parts))
	for k, p := range parts {
		n := 0
		for _, b := range in {
			if n += b.Count; float64(n) >= p*float64(all) {
				at[k] = b.At
				break
			}
		}
	}
	return at
}

// A tally counts how forecasts of the end went, at one share of the pieces.
type tally struct {
	n, inside, below, above int
	widths, misses          []float64 // minutes
	late                    [10]struct{ n, late int }
}

func (t *tally) add(f *session.Forecast, end time.Time) {
	t.n++
	switch {
	case end.Before(f.End.P10):
		t.below++
	case end.After(f.End.P90):
		t.above++
	default:
		t.inside++
	}
	t.widths = append(t.widths, f.End.P90.Sub(f.End.P10).Minutes())
	t.misses = append(t.misses, end.Sub(f.End.P50).Minutes())
}

// middle is the median.
func middle(xs []float64) float64 {
	xs = slices.Sorted(slices.Values(xs))
	return xs[len(xs)/2]
}

// judgeWorld forecasts services of invented stylists, of whom so many earlier
// ones are known. How wide ranges must be is learned from each service once it
// is over, from the third part of the earlier ones on.
func judgeWorld(t *testing.T, stylists, known, each int) []tally {
	tallies := make([]tally, len(parts))
	for k := range stylists {
		r := rand.New(rand.NewPCG(20260302, uint64(k)))
		h := drawHidden(r)
		var past []history.Service
		var logs []*session.Log
		for i := range known {
			logs = append(logs, drawService(t, r, h, fmt.Sprintf("past-%d-%d", k, i), i))
			past = append(past, history.Of(logs[i]))
		}
		var width forecast.Conformal
		usuals := func(upTo int) session.Usuals {
			fit, err := history.Fit(past[:upTo])
			require.NoError(t, err)
			fit.Width = width
			return fit.Usuals
		}
		early := usuals(known / 3)
		for _, l := range logs[known/3:] {
			early.Width = width
			width = l.LearnWidth(early)
		}
		u := usuals(known)
		for i := range each {
			l := drawService(t, r, h, fmt.Sprintf("now-%d-%d", k, i), known+i)
			u.Width = width
			for p, at := range momentsOf(l) {
				then, err := l.Until(at)
				require.NoError(t, err)
				q, ok := then.State().AskForecast(at, u)
				require.True(t, ok, q.Why)
				f, err := q.Answer()
				require.NoError(t, err)
				tallies[p].add(f, l.State().Closed)
			}
			width = l.LearnWidth(u)
		}
	}
	return tallies
}

// The 80 % range of the end holds in 80 of 100 services that nobody has seen,
// as far as so many can tell.
func TestEndsOfWholeServicesLieInTheirRanges(t *testing.T) {
	n := 10 * *worldStylists
	tallies := judgeWorld(t, *worldStylists, 12, 10)
	b := distuv.Binomial{N: float64(n), P: 0.8}
	low, high := n, 0
	for k := range n + 1 {
		if c := b.CDF(float64(k)); c > 0.005 && c < 0.995 {
			low, high = min(low, k), max(high, k)
		}
	}
	for i, tl := range tallies {
		t.Logf("at %2.0f %% of the pieces: %d of %d ends inside (%.1f %%), %d before, %d after; range %.1f min, middle off by %+.1f min",
			100*parts[i], tl.inside, tl.n, 100*float64(tl.inside)/float64(tl.n), tl.below, tl.above, middle(tl.widths), middle(tl.misses))
		require.Equal(t, n, tl.n)
		assert.GreaterOrEqual(t, tl.inside, low, "at %g of the pieces", parts[i])
		assert.LessOrEqual(t, tl.inside, high, "at %g of the pieces", parts[i])
	}
}

func TestOnlyAClosedServiceTeachesHowWideRangesMustBe(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	l := drawService(t, r, drawHidden(r), "s", 0)
	var u session.Usuals
	require.Equal(t, [5]int{1, 1, 1, 1, 1}, l.LearnWidth(u).Seen)
	then, err := l.Until(momentsOf(l)[2])
	require.NoError(t, err)
	require.Equal(t, u.Width, then.LearnWidth(u))
}
