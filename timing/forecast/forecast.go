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

// A Chore is a time that comes more than once.
type Chore struct {
	pace.LogNormal
	// Common is the share of its variance, on the logarithm, that all of its
	// kind have in common, as their usual is not well known: 0 to 1.
	Common float64
}

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
	// Opens is how long the newest piece must be on before water comes, and
	// Limit how long the oldest may be until the rinse is over, from its first
	// contact, less what the hair had before. Zero: no limit.
	Opens, Limit time.Duration
	// Mixes is how many bowls are to be mixed before its units can go on, each
	// taking Mix.
	Mixes int
	Mix   Chore
	// Later says that a band is coated when all units of the round are in,
	// which takes Coat.
	Later bool
	Coat  Chore
	// Develop is how long it is left from its last contact until water comes,
	// when nothing is left to place. What it says outside the window does not
	// count; the zero value is as soon as it is open. Zones of equal Develop
	// have equal fortune.
	Develop pace.LogNormal
	// Rinse is how long its rinse takes; Rinsing is how long water has been
	// running on it, zero if it is not.
	Rinse   Chore
	Rinsing time.Duration
}

// A Step is hands-on work before the first round or after the last.
type Step struct {
	Name string
	// Usual is how long it takes. Sigma 0: always as long as its median.
	Usual pace.LogNormal
	// Since is how long ago it was begun; only for what hands are at now.
	Since time.Duration
}

// An Input is a service at one moment, as far as its end depends on it.
type Input struct {
	// Before are the steps to come before anything else.
	Before []Step
	// Rounds follow one another. In each, zones are in the order of
	// application. At most one is both on and has units left; it comes before
	// all others that have. Nothing is on in any round but the first.
	Rounds [][]Zone
	// Walk is the way to the basin, Reseat the way back with all that it takes
	// until hands can apply again. In one service all are alike. The zero value
	// is a minute, as of every log-normal.
	Walk, Reseat pace.LogNormal
	// Basin says that the client is at the basin now.
	Basin bool
	// Steps come after the last round.
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
	// End is that of the service, Applied when the last piece of the first
	// round is on, trips before it included. Applied is zero if nothing is left
	// to apply.
	End, Applied  Outcome
	Before, Steps []Part
	Zones         []Part // of all rounds
}

// ErrForecast is what every error of this package wraps.
var ErrForecast = errors.New("the end can't be forecast")

func refuse(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrForecast, fmt.Sprintf(format, args...))
}

func (in *Input) check(m *pace.Model) error {
	for k, zones := range in.Rounds {
		begun := false
		for i := range zones {
			z := &zones[i]
			switch {
			case z.On && k > 0:
				return refuse("zone %q is on, but its round has not begun: end the rounds before it", z.Name)
			case z.On && z.Units > 0 && begun:
				return refuse("zone %q is partly on, but one that is to be applied comes before it: put it first", z.Name)
			}
			if err := z.check(m); err != nil {
				return err
			}
			begun = begun || z.Units > 0
		}
	}
	now := true // hands may be at it
	for _, s := range in.Before {
		if err := s.check(now); err != nil {
			return err
		}
		now = false
	}
	now = now && len(in.Rounds) == 0
	for _, s := range in.Steps {
		if err := s.check(now); err != nil {
			return err
		}
		now = false
	}
	if !usable(in.Walk) || !usable(in.Reseat) {
		return refuse("the way to the basin or back has no time: give its usual minutes")
	}
	if in.Since < 0 || !(in.Helpers >= 0) || !(in.Width >= 0) {
		return refuse("a time, the helpers or the width is below 0")
	}
	return nil
}

func (z *Zone) check(m *pace.Model) error {
	switch {
	case z.Units < 0 || z.Units > 10000 || z.Mixes < 0 || z.Mixes > 1000:
		return refuse("zone %q has %d units and %d bowls: give 0 to 10,000 and 0 to 1,000", z.Name, z.Units, z.Mixes)
	case z.Units > 0 && !m.Knows(z.Step):
		return refuse("no usual time is known for %q: state one", z.Step)
	case z.Units == 0 && !z.On:
		return refuse("zone %q has nothing on and nothing to come: leave it out", z.Name)
	case z.Opens < 0 || z.Limit < 0 || z.First < z.Last || z.Last < 0 || z.Rinsing < 0:
		return refuse("zone %q: give contacts in order of time and windows of at least 0", z.Name)
	case !z.Rinse.usable() || !z.Mix.usable() || !z.Coat.usable() || !usable(z.Develop):
		return refuse("the rinse, mix, coat or processing of zone %q has no time: give its usual minutes", z.Name)
	}
	return nil
}

func (s *Step) check(begun bool) error {
	if !usable(s.Usual) || s.Since < 0 || (s.Since > 0 && !begun) {
		return refuse("step %q: give its usual minutes, and since when only for what hands are at", s.Name)
	}
	return nil
}

func (c Chore) usable() bool { return usable(c.LogNormal) && c.Common >= 0 && c.Common <= 1 }

func usable(l pace.LogNormal) bool {
	return l.Sigma >= 0 && l.Sigma < 5 && math.Abs(l.Mu) < 20
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
	column := 1
	memory := make([]Sample, 0, n)
	next := func() Range {
		memory = t.sorted(column, memory)
		column++
		return rangeOf(memory, in.Width)
	}
	for _, s := range in.Before {
		r.Before = append(r.Before, Part{Name: s.Name, Done: next()})
	}
	applied := 0
	for k, zones := range in.Rounds {
		for i := range zones {
			p := Part{Name: zones[i].Name}
			if zones[i].Units > 0 {
				p.Done = next()
				if k == 0 {
					applied = column - 1
				}
			} else {
				column++
			}
			p.Off = next()
			r.Zones = append(r.Zones, p)
		}
	}
	if applied > 0 {
		r.Applied = t.outcome(applied, in.Width)
	}
	for _, s := range in.Steps {
		r.Steps = append(r.Steps, Part{Name: s.Name, Done: next()})
	}
	return r, nil
}

// A table holds what was drawn: a row for each draw, with the end, the end of
// each step before, for each zone when it is applied and when it is off, and
// the end of each step.
type table struct {
	columns int
	minutes []float64
	weights []float64 // of the rows; they sum to 1
	even    bool      // they are all the same
	memory  []float64
}

// play plays n draws.
func (in *Input) play(m *pace.Model, n int, seed uint64) *table {
	zones := slices.Concat(in.Rounds...)
	t := &table{columns: 1 + len(in.Before) + 2*len(zones) + len(in.Steps), weights: make([]float64, n)}
	t.minutes = make([]float64, n*t.columns)
	ahead := 0
	for i := range zones {
		ahead += zones[i].Units
	}
	draws := m.Draws(n, ahead, seed)
	w := player{in: in, jobs: in.jobs(zones, draws), open: m.Logged()}
	steps := slices.Concat(in.Before, in.Steps)
	luck := make([]pace.Luck, len(steps))
	for k := range steps {
		luck[k] = draws.Luck("step " + steps[k].Name)
	}
	walk, reseat := draws.Luck("walk"), draws.Luck("reseat")
	p := policy{sites: make([]site, len(zones))}
	for i := range n {
		w.begin(draws, i)
		p.walk, p.reseat = w.draw.Other(walk, in.Walk), w.draw.Other(reseat, in.Reseat)
		in.fill(t.minutes[i*t.columns:][:t.columns], &w, &p, steps, luck)
		t.weights[i] = w.weight
	}
	t.even = slices.Min(t.weights) == slices.Max(t.weights)
	t.memory = make([]float64, 0, n)
	normalise(t.weights)
	return t
}

// fill plays one draw and fills its row.
func (in *Input) fill(row []float64, w *player, p *policy, steps []Step, luck []pace.Luck) {
	for k := range w.jobs {
		p.sites[k] = w.jobs[k].site
	}
	p.basin = in.Basin
	end, column := 0.0, 1
	for k := range steps {
		if k == len(in.Before) {
			end, column = in.rounds(end, row, column, w, p)
		}
		end += w.step(&steps[k], luck[k])
		row[column] = end
		column++
	}
	if len(in.Steps) == 0 {
		end, _ = in.rounds(end, row, column, w, p)
	}
	row[0] = end
}

// rounds plays the rounds from the moment t on, and fills in what becomes of
// their zones from the column on. It returns when they are over, and the next
// column.
func (in *Input) rounds(t float64, row []float64, column int, w *player, p *policy) (float64, int) {
	from := 0
	for _, r := range in.Rounds {
		t = p.run(t, from, from+len(r), w)
		from += len(r)
	}
	for k := range p.sites {
		row[column], row[column+1] = p.sites[k].done, p.sites[k].off
		column += 2
	}
	return t, column
}

// outcome is that of a column.
func (t *table) outcome(column int, width float64) Outcome {
	return Outcome{Samples: t.sorted(column, nil)}.Scaled(width)
}

// sorted are the samples of a column, in the memory of s.
func (t *table) sorted(column int, s []Sample) []Sample {
	s = s[:0]
	for i, w := range t.weights {
		s = append(s, Sample{t.minutes[i*t.columns+column], w})
	}
	if t.even { // plain numbers are sorted in a third of the time
		v := t.memory[:0]
		for i := range s {
			v = append(v, s[i].Minutes)
		}
		slices.Sort(v)
		for i := range s {
			s[i].Minutes = v[i]
		}
		return s
	}
	slices.SortFunc(s, func(a, b Sample) int { return cmp.Compare(a.Minutes, b.Minutes) })
	return s
}

// Scaled has the outcome's samples and range farther from their middle by the
// factor width. Nothing is before now.
func (o Outcome) Scaled(width float64) Outcome {
	s := slices.Clone(o.Samples)
	mid := quantile(s, 0.5)
	for i := range s {
		s[i].Minutes = max(mid+width*(s[i].Minutes-mid), 0)
	}
	return Outcome{rangeOf(s, 1), s}
}

// rangeOf is the range of sorted samples, as many times as wide around their
// middle.
func rangeOf(s []Sample, width float64) Range {
	mid := quantile(s, 0.5)
	at := func(p float64) time.Duration { return minutes(max(mid+width*(quantile(s, p)-mid), 0)) }
	return Range{at(0.1), minutes(max(mid, 0)), at(0.8), at(0.9), at(0.95)}
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
