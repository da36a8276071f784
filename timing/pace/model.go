package pace

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"time"
)

// An Observation is one or several units that were logged at once.
type Observation struct {
	// Step says which usual it is measured by; Zone where it was done, and may
	// be empty.
	Step, Zone string
	// Units is how many were done; at least 1.
	Units int
	// Took is the time since the hands became free for them, without trips,
	// rinses and breaks that were told; above 0.
	Took time.Duration
	// Helpers is how many helpers worked along, on average over the time.
	Helpers float64
}

func (o *Observation) check() error {
	switch {
	case o.Units < 1 || o.Units > 10000:
		return refuse("%d units in %q: give 1 to 10,000", o.Units, o.Step)
	case o.Took <= 0 || o.Took > 48*time.Hour:
		return refuse("%v for %q: give more than nothing and at most two days", o.Took, o.Step)
	case !(o.Helpers >= 0 && o.Helpers <= 100):
		return refuse("%g helpers: give 0 to 100", o.Helpers)
	}
	return nil
}

// The first components of an expert's state. Steps and zones follow as they
// come up.
const (
	level = iota
	slope
	helper
	fixed // how many there are
)

// Experts that are less than this likely, against the best, are dropped, and
// so are all beyond the number.
const (
	dropBelow  = 1e-4
	maxExperts = 24
)

// scatters are by what factors the noise of a service may differ from the
// usual noise, with their probabilities. A guess of ours, no source.
var scatters = [...]struct{ scale, share float64 }{{0.84, 0.25}, {1, 0.5}, {1.19, 0.25}}

// An expert is one view of the service.
type expert struct {
	weight float64 // sums to 1 over all
	scale  float64 // of the noise
	drifts bool
	slow   []int // the components of the zones that it takes for slow
	state  *Gaussian
}

// A Model follows one service. Make it by [New].
type Model struct {
	prior   Prior
	experts []*expert
	index   map[place]int
	hours   float64 // of work, interruptions left out
	// Interruptions expected among the units so far.
	gaps, units float64
	helped      bool  // somebody came to help
	batches     []int // the last sizes of logging
	keep        int   // how many experts at most
}

// A place names a component of the state.
type place struct {
	zone bool
	name string
}

// New begins a service.
func New(p Prior) (*Model, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	p.Steps = maps.Clone(p.Steps)
	m := &Model{prior: p, index: map[place]int{}, keep: maxExperts}
	for _, s := range scatters {
		m.begin(s.scale, s.share)
	}
	return m, nil
}

// begin adds the experts of one scale of noise.
func (m *Model) begin(scale, share float64) {
	p := &m.prior
	spread := p.Level * p.Level
	for _, drifts := range []bool{false, true} {
		e := &expert{weight: share * (1 - p.Drift.Share), scale: scale, drifts: drifts}
		mean, sd := 0.0, 0.0
		if drifts {
			e.weight, mean, sd = share*p.Drift.Share, p.Drift.Mean, p.Drift.SD
		}
		e.state = NewGaussian([]float64{0, mean, p.Helper.Mu}, []float64{spread, sd * sd, p.Helper.Sigma * p.Helper.Sigma})
		if e.weight > 0 {
			m.experts = append(m.experts, e)
		}
	}
}

// Knows reports whether the step has a usual time.
func (m *Model) Knows(step string) bool { _, ok := m.prior.Steps[step]; return ok }

// Observe learns from what was done. The error says what is wrong with the
// observation; the model is then as before.
func (m *Model) Observe(o Observation) error {
	if err := o.check(); err != nil {
		return err
	}
	if !m.Knows(o.Step) {
		return refuse("no usual time is known for %q: state one", o.Step)
	}
	m.makeRoom(o.Step, o.Zone)
	took := o.Took.Minutes()
	h := m.regressors(&o)
	best, learned := math.Inf(-1), 0.0
	logs := make([]float64, len(m.experts))
	shares := make([]float64, len(m.experts))
	for i, e := range m.experts {
		r := m.learn(e, h, &o)
		shares[i] = r.work
		logs[i] = math.Log(e.weight) + r.density
		best = max(best, logs[i])
	}
	total := 0.0
	for i, e := range m.experts {
		e.weight = math.Exp(logs[i] - best)
		total += e.weight
	}
	for i, e := range m.experts {
		e.weight /= total
		learned += e.weight * shares[i]
	}
	m.units += float64(o.Units)
	m.helped = m.helped || o.Helpers > 0
	m.gaps += 1 - learned
	usual := m.prior.Steps[o.Step].Minutes * float64(o.Units)
	m.hours += (learned*took + (1-learned)*min(took, usual)) / 60
	m.batches = append(m.batches, o.Units)
	if len(m.batches) > 5 {
		m.batches = m.batches[1:]
	}
	m.prune()
	return nil
}

// regressors is the row that takes a state to the log pace of o.
func (m *Model) regressors(o *Observation) Row {
	usual := m.prior.Steps[o.Step].Minutes * float64(o.Units)
	halfway := m.hours + min(o.Took.Minutes(), 2*usual)/120
	h := Row{At: []int{level, slope, m.index[place{name: o.Step}]}, Value: []float64{1, halfway, 1}}
	if o.Helpers > 0 {
		h.At, h.Value = append(h.At, helper), append(h.Value, -math.Log2(1+o.Helpers))
	}
	if o.Zone != "" {
		h.At, h.Value = append(h.At, m.index[place{true, o.Zone}]), append(h.Value, 1)
	}
	return h
}

// A reading is what an expert makes of an observation.
type reading struct {
	y       float64 // its log minutes, against the usual
	base    float64 // what of it is usual
	noise   float64 // the variance of y around the pace
	density float64 // the logarithm of the density that the expert gave to it
	work    float64 // how probably it was work alone
}

// learn updates one expert.
func (m *Model) learn(e *expert, h Row, o *Observation) reading {
	r := m.explain(e, h, o)
	e.state.ObservePartly(h, r.y, r.noise, r.work)
	return r
}

// explain weighs work alone against work with an interruption.
func (m *Model) explain(e *expert, h Row, o *Observation) reading {
	u := m.prior.Steps[o.Step]
	n := float64(o.Units)
	single := u.Noise * u.Noise * e.scale * e.scale
	v := batchVariance(single, n)
	base := math.Log(u.Minutes*n) + (single-v)/2
	mean, variance := e.state.Predict(h)
	s := variance + v
	y := math.Log(o.Took.Minutes()) - base
	worked := logDensity(y-mean, s)
	gap := LogNormal{Mu: base + mean, Sigma: math.Sqrt(s)}.Plus(m.prior.Gaps.Length)
	broken := logDensity(y+base-gap.Mu, gap.Sigma*gap.Sigma)
	p := 1 - math.Pow(1-m.gapRate(), n)
	a, b := math.Log1p(-p)+worked, math.Log(p)+broken
	top := max(a, b)
	density := top + math.Log(math.Exp(a-top)+math.Exp(b-top))
	return reading{y: y, base: base, noise: v, density: density, work: math.Exp(a - density)}
}

// gapRate is the probability that a unit is interrupted, as known by now.
func (m *Model) gapRate() float64 {
	g := m.prior.Gaps
	return (g.Rate*g.Weight + m.gaps) / (g.Weight + m.units)
}

// makeRoom adds components for a step and a zone that come up for the first
// time. Each expert splits in two on a new zone: it is slow, or it is not.
func (m *Model) makeRoom(step, zone string) {
	if _, known := m.index[place{name: step}]; !known {
		m.index[place{name: step}] = fixed + len(m.index)
		unsure := m.prior.Steps[step].Unsure
		for _, e := range m.experts {
			e.state.Grow(0, unsure*unsure)
		}
	}
	if _, known := m.index[place{true, zone}]; known || zone == "" {
		return
	}
	m.index[place{true, zone}] = fixed + len(m.index)
	slow := m.prior.Slow
	for _, e := range slices.Clone(m.experts) {
		share := m.prior.slowShare(len(e.slow))
		if share > 0 {
			other := &expert{weight: e.weight * share, scale: e.scale, drifts: e.drifts, slow: append(slices.Clone(e.slow), m.index[place{true, zone}]), state: e.state.Copy()}
			other.state.Grow(slow.Mean, slow.SD*slow.SD)
			m.experts = append(m.experts, other)
		}
		e.weight *= 1 - share
		e.state.Grow(0, 0)
	}
}

// nth is how many zones there are up to the component c of the state.
func (m *Model) nth(c int) int {
	n := 0
	for p, k := range m.index {
		if p.zone && k <= c {
			n++
		}
	}
	return n
}

// prune drops experts that fell far behind.
func (m *Model) prune() {
	slices.SortStableFunc(m.experts, func(a, b *expert) int { return cmp.Compare(b.weight, a.weight) })
	least := m.experts[0].weight * dropBelow
	kept, total := 0, 0.0
	for _, e := range m.experts {
		if kept == m.keep || e.weight < least {
			break
		}
		kept++
		total += e.weight
	}
	clear(m.experts[kept:])
	m.experts = m.experts[:kept]
	for _, e := range m.experts {
		e.weight /= total
	}
}

func copyExperts(in []*expert) []*expert {
	out := make([]*expert, len(in))
	for i, e := range in {
		c := *e
		c.state = e.state.Copy()
		out[i] = &c
	}
	return out
}
