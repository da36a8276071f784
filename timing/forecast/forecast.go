package forecast

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"rinseby/timing/pace"
)

// A Zone is one that is not yet rinsed.
type Zone struct {
	// Name tells its pace from that of others; Step is what usual its units go
	// by.
	Name, Step string
	// Units are still to be placed.
	Units int
	// On says that product is on it: First and Last contact are so long ago.
	On          bool
	First, Last time.Duration
	// Opens is how long the newest piece must be on, and Limit how long the
	// oldest may be, from its first contact, less what the hair had before.
	// Zero: no limit.
	Opens, Limit time.Duration
	// Rinse is how long its rinse takes.
	Rinse pace.LogNormal
}

// A Step is hands-on work, or mere waiting, after the last rinse.
type Step struct {
	Name string
	// Usual is how long it takes. Sigma 0: always as long as its median.
	Usual pace.LogNormal
	// Since is how long ago it was begun; only for the first one.
	Since time.Duration
}

// An Input is a service at one moment, as far as its end depends on it.
type Input struct {
	// Zones are in the order of application. At most one is both on and has
	// units left; it comes before all others that have.
	Zones []Zone
	// Walk is the way to the basin, Reseat the way back with all that it takes
	// until hands can apply again.
	Walk, Reseat time.Duration
	// Basin says that the client is at the basin now.
	Basin bool
	Steps []Step
	// Since is how long the hands have been on the units that are not yet
	// logged; zero if something was logged just now, or hands are not applying.
	Since time.Duration
	// Helpers is how many work along from now on.
	Helpers float64
	// Width widens (above 1) or narrows the ranges around the middle, as
	// [Conformal.At] says; zero stands for 1.
	Width float64
}

// A Range is when something ends, from now.
type Range struct{ P10, P50, P80, P90, P95 time.Duration }

// A Part is one zone or step.
type Part struct {
	Name string
	// Done is when it is applied, or the step is over. Zero for a zone that is
	// wholly on.
	Done Range
	// Off is when it is rinsed; zero for a step.
	Off Range
}

// A Sample is one way in which the service may end, and how much it counts.
type Sample struct{ Minutes, Weight float64 }

// An Outcome is when something will be.
type Outcome struct {
	// Range is from now. By P50 with probability 0.5, and so on; from P10 to
	// P90 is the 80 % range.
	Range
	// Samples are sorted by minutes from now; their weights sum to 1. They are
	// as wide as the range.
	Samples []Sample
}

// A Result is a forecast.
type Result struct {
	// End is that of the service, Applied when the last piece is on, trips
	// before it included. Applied is zero if nothing is left to apply.
	End, Applied Outcome
	Zones, Steps []Part
}

// ErrForecast is what every error of this package wraps.
var ErrForecast = errors.New("the end can't be forecast")

func refuse(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrForecast, fmt.Sprintf(format, args...))
}

func (in *Input) check(m *pace.Model) error {
	begun := false
	for i := range in.Zones {
		z := &in.Zones[i]
		switch {
		case z.Units < 0 || z.Units > 10000:
			return refuse("zone %q has %d units: give 0 to 10,000", z.Name, z.Units)
		case z.Units > 0 && !m.Knows(z.Step):
			return refuse("no usual time is known for %q: state one", z.Step)
		case z.Units == 0 && !z.On:
			return refuse("zone %q has nothing on and nothing to come: leave it out", z.Name)
		case z.Opens < 0 || z.Limit < 0 || z.First < z.Last || z.Last < 0:
			return refuse("zone %q: give contacts in order of time and windows of at least 0", z.Name)
		case z.On && z.Units > 0 && begun:
			return refuse("zone %q is partly on, but one that is to be applied comes before it: put it first", z.Name)
		case !usable(z.Rinse):
			return refuse("the rinse of zone %q has no time: give its usual minutes", z.Name)
		}
		begun = begun || z.Units > 0
	}
	for i, s := range in.Steps {
		if !usable(s.Usual) || s.Since < 0 || (i > 0 && s.Since > 0) {
			return refuse("step %q: give its usual minutes, and since when only for the first", s.Name)
		}
	}
	if in.Walk < 0 || in.Reseat < 0 || in.Since < 0 || !(in.Helpers >= 0) || !(in.Width >= 0) {
		return refuse("a time, the helpers or the width is below 0")
	}
	return nil
}

func usable(l pace.LogNormal) bool {
	return l.Sigma >= 0 && l.Sigma < 5 && math.Abs(l.Mu) < 20
}

// A player plays one draw.
type player struct {
	in     *Input
	draw   pace.Draw
	open   int
	since  float64
	weight float64
}

func (w *player) apply(i int) float64 {
	z := &w.in.Zones[i]
	if w.since > 0 {
		left, p := w.draw.TakeSince(z.Step, z.Name, z.Units, w.open, w.since, w.in.Helpers)
		w.since = 0
		w.weight *= p
		return left
	}
	return w.draw.Take(z.Step, z.Name, z.Units, w.in.Helpers)
}

func (w *player) expect(i int) float64 {
	z := &w.in.Zones[i]
	return w.draw.Expect(z.Step, z.Name, z.Units, w.in.Helpers)
}

func (w *player) rinse(i int) float64 {
	return w.draw.Other("rinse "+w.in.Zones[i].Name, w.in.Zones[i].Rinse)
}

// step is how long step i takes from when the hands are free for it.
func (w *player) step(i int) float64 {
	s := &w.in.Steps[i]
	if s.Since > 0 {
		left, p := w.draw.OtherSince("step "+s.Name, s.Usual, s.Since.Minutes())
		w.weight *= p
		return left
	}
	return w.draw.Other("step "+s.Name, s.Usual)
}

// Run forecasts the end by n draws, at least 20 and at most 100,000. Equal
// seeds give equal results. The model is not changed.
func Run(in Input, m *pace.Model, n int, seed uint64) (Result, error) {
	if err := in.check(m); err != nil {
		return Result{}, err
	}
	if n < 20 || n > 100000 {
		return Result{}, refuse("%d draws: give 20 to 100,000", n)
	}
	if in.Width == 0 {
		in.Width = 1
	}
	t := in.play(m, n, seed)
	r := Result{End: t.outcome(0, in.Width)}
	for k, z := range in.Zones {
		part := Part{Name: z.Name, Off: t.outcome(2+2*k, in.Width).Range}
		if z.Units > 0 {
			part.Done = t.outcome(1+2*k, in.Width).Range
			r.Applied = t.outcome(1+2*k, in.Width)
		}
		r.Zones = append(r.Zones, part)
	}
	for k, s := range in.Steps {
		r.Steps = append(r.Steps, Part{Name: s.Name, Done: t.outcome(1+2*len(in.Zones)+k, in.Width).Range})
	}
	return r, nil
}

// A table holds what was drawn: a row for each draw, with the end, for each
// zone when it is applied and when it is off, and for each step its end.
type table struct {
	columns int
	minutes []float64
	weights []float64 // of the rows; they sum to 1
}

// play plays n draws.
func (in *Input) play(m *pace.Model, n int, seed uint64) *table {
	t := &table{columns: 1 + 2*len(in.Zones) + len(in.Steps), weights: make([]float64, n)}
	t.minutes = make([]float64, n*t.columns)
	start := in.sites()
	p := policy{walk: in.Walk.Minutes(), reseat: in.Reseat.Minutes(), basin: in.Basin, sites: make([]site, len(start))}
	draws := m.Draws(n, seed)
	for i := range n {
		copy(p.sites, start)
		w := player{in: in, draw: draws.At(i), open: m.Logged(), since: in.Since.Minutes(), weight: 1}
		end := p.run(&w)
		row := t.minutes[i*t.columns:][:t.columns]
		for k := range p.sites {
			row[1+2*k], row[2+2*k] = p.sites[k].done, p.sites[k].off
		}
		for k := range in.Steps {
			end += w.step(k)
			row[1+2*len(in.Zones)+k] = end
		}
		row[0], t.weights[i] = end, w.weight
	}
	normalise(t.weights)
	return t
}

// outcome is that of a column.
func (t *table) outcome(column int, width float64) Outcome {
	s := make([]Sample, len(t.weights))
	for i := range s {
		s[i] = Sample{t.minutes[i*t.columns+column], t.weights[i]}
	}
	slices.SortFunc(s, func(a, b Sample) int { return cmp.Compare(a.Minutes, b.Minutes) })
	return Outcome{Samples: s}.Scaled(width)
}

// Scaled has the outcome's samples and range farther from their middle by the
// factor width. Nothing is before now.
func (o Outcome) Scaled(width float64) Outcome {
	s := slices.Clone(o.Samples)
	mid := quantile(s, 0.5)
	for i := range s {
		s[i].Minutes = max(mid+width*(s[i].Minutes-mid), 0)
	}
	at := func(p float64) time.Duration { return minutes(quantile(s, p)) }
	return Outcome{Range{at(0.1), at(0.5), at(0.8), at(0.9), at(0.95)}, s}
}

// sites are the zones as the policy sees them.
func (in *Input) sites() []site {
	out := make([]site, len(in.Zones))
	for i := range in.Zones {
		z := &in.Zones[i]
		s := &out[i]
		s.on, s.apply = z.On, z.Units > 0
		s.first, s.last = -z.First.Minutes(), -z.Last.Minutes()
		s.opens, s.limit = z.Opens.Minutes(), z.Limit.Minutes()
		if z.Limit == 0 {
			s.limit = math.Inf(1)
		}
		s.rinse = z.Rinse.Median()
	}
	return out
}

func normalise(weights []float64) {
	total := 0.0
	for _, w := range weights {
		total += w
	}
	for i := range weights {
		if total > 0 {
			weights[i] /= total
		} else {
			weights[i] = 1 / float64(len(weights))
		}
	}
}

func minutes(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }

// quantile is that of sorted samples, linear between the middles of their
// weights.
func quantile(s []Sample, p float64) float64 {
	mid, last := 0.0, 0.0
	for i := range s {
		before := mid
		mid += (last + s[i].Weight) / 2
		last = s[i].Weight
		if mid < p {
			continue
		}
		if i == 0 {
			return s[0].Minutes
		}
		return s[i-1].Minutes + (s[i].Minutes-s[i-1].Minutes)*(p-before)/(mid-before)
	}
	return s[len(s)-1].Minutes
}
