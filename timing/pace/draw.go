package pace

import (
	"maps"
	"math"
	"slices"
	"time"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Predict is the log-normal of the work on so many units to come, with
// interruptions: of equal mean and variance, on the logarithm, over the
// experts. A step without a usual time is an error.
func (m *Model) Predict(step, zone string, units int, helpers float64) (LogNormal, error) {
	o := Observation{Step: step, Zone: zone, Units: units, Helpers: helpers, Took: 1}
	if err := o.check(); err != nil {
		return LogNormal{}, err
	}
	u, known := m.prior.Steps[step]
	if !known {
		return LogNormal{}, refuse("no usual time is known for %q: state one", step)
	}
	ahead := *m
	ahead.index, ahead.experts = maps.Clone(m.index), copyExperts(m.experts)
	ahead.makeRoom(step, zone)
	n := float64(units)
	o.Took = time.Duration(u.Minutes * n * float64(time.Minute))
	h := ahead.regressors(&o)
	gap := m.prior.Gaps.Length
	mean, square := 0.0, 0.0
	for _, e := range ahead.experts {
		noise := LogNormal{Mu: math.Log(u.Minutes), Sigma: u.Noise * e.scale}.Times(units)
		at, variance := e.state.Predict(h)
		l := LogNormal{Mu: noise.Mu + at, Sigma: math.Sqrt(noise.Sigma*noise.Sigma + variance)}
		count := n * m.gapRate()
		l = matched(l.Mean()+count*gap.Mean(), l.Variance()+count*(gap.Variance()+gap.Mean()*gap.Mean()))
		mean += e.weight * l.Mu
		square += e.weight * (l.Sigma*l.Sigma + l.Mu*l.Mu)
	}
	return LogNormal{Mu: mean, Sigma: math.Sqrt(max(square-mean*mean, 0))}, nil
}

// Today is the log pace of the last units against the usual: 0.1 is a tenth
// slower, with its standard deviation. Zone and helper are left out.
func (m *Model) Today() (mean, sd float64) {
	h := mat.NewVecDense(fixed+len(m.index), nil)
	h.SetVec(level, 1)
	h.SetVec(slope, m.hours)
	square := 0.0
	for _, e := range m.experts {
		at, v := e.state.Predict(h)
		mean += e.weight * at
		square += e.weight * (at*at + v)
	}
	return mean, math.Sqrt(max(square-mean*mean, 0))
}

// Logged is how many units are usually logged at once in this service: the
// median of the last few times; 1 before the first.
func (m *Model) Logged() int {
	if len(m.batches) == 0 {
		return 1
	}
	b := slices.Clone(m.batches)
	slices.Sort(b)
	return b[(len(b)-1)/2]
}

// Draws are equally likely ways in which the rest of the service may go.
type Draws struct {
	model *Model
	seed  uint64
	pick  []*expert // one for each draw
	x     []*mat.VecDense
	rate  []float64 // of interruptions
}

// Draws makes n of them, at least 1. Equal seeds give draws that differ only
// by what was learned in between, so that figures made from them don't flicker.
func (m *Model) Draws(n int, seed uint64) *Draws {
	n = max(n, 1)
	d := &Draws{model: m, seed: seed, pick: make([]*expert, n), x: make([]*mat.VecDense, n), rate: make([]float64, n)}
	dims := fixed + len(m.index)
	roots := map[*expert]*mat.TriDense{}
	normals := make([][]float64, dims)
	for c := range normals {
		normals[c] = spread(n, mix(seed, uint64(c)+10))
		for i, u := range normals[c] {
			normals[c][i] = distuv.UnitNormal.Quantile(u)
		}
	}
	which, often := spread(n, mix(seed, 1)), spread(n, mix(seed, 2))
	rates := m.rates()
	z := mat.NewVecDense(dims, nil)
	for i := range n {
		e := m.expertAt(which[i])
		d.pick[i] = e
		root := roots[e]
		if root == nil {
			root = e.state.Root()
			roots[e] = root
		}
		for c := range dims {
			z.SetVec(c, normals[c][i])
		}
		x := mat.NewVecDense(dims, nil)
		x.MulVec(root, z)
		x.AddVec(x, e.state.Mean)
		d.x[i] = x
		d.rate[i] = rates[int(often[i]*float64(len(rates)))]
	}
	return d
}

// expertAt takes u, 0 to 1, to an expert. Those alike lie side by side, so
// that little changes when weights do.
func (m *Model) expertAt(u float64) *expert {
	for _, e := range m.experts {
		if u -= e.weight; u < 0 {
			return e
		}
	}
	return m.experts[len(m.experts)-1]
}

// rates are equally likely rates of interruption.
func (m *Model) rates() []float64 {
	g := m.prior.Gaps
	rate := m.gapRate()
	if rate <= 0 {
		return []float64{0}
	}
	weight := g.Weight + m.units
	beta := distuv.Gamma{Alpha: rate * weight, Beta: weight}
	out := make([]float64, 16)
	for i := range out {
		out[i] = min(beta.Quantile((float64(i)+0.5)/float64(len(out))), 0.9)
	}
	return out
}

// Len is how many draws there are.
func (d *Draws) Len() int { return len(d.pick) }

// A Draw is one way in which the rest of the work may go. Ask it in the order
// of the work.
type Draw struct {
	of    *Draws
	i     int
	hours float64
	found []string // slow zones among those to come
}

// At is the draw i, 0 to Len - 1.
func (d *Draws) At(i int) Draw { return Draw{of: d, i: i, hours: d.model.hours} }

// Take is how long, in minutes, so many units take in this draw, and moves its
// clock of work on. The step must be known to the model ([Model.Knows]).
func (w *Draw) Take(step, zone string, units int, helpers float64) float64 {
	minutes, _ := w.take(step, zone, units, 0, 0, helpers)
	return minutes
}

// TakeSince is Take for units of which the first open ones were begun so many
// minutes ago and are not done. It returns the minutes that are left, and how
// probable it is in this draw that they are not done by now.
func (w *Draw) TakeSince(step, zone string, units, open int, since, helpers float64) (left, weight float64) {
	return w.take(step, zone, units, min(max(open, 1), units), since, helpers)
}

func (w *Draw) take(step, zone string, units, open int, since, helpers float64) (left, weight float64) {
	if units < 1 {
		return 0, 1
	}
	m := w.of.model
	u := m.prior.Steps[step]
	e, key := w.of.pick[w.i], mix(mix(w.of.seed, hash(zone)), hash(step))
	single := LogNormal{Mu: math.Log(u.Minutes) + w.rel(step, zone, u.Minutes*float64(units)/60, helpers), Sigma: u.Noise * e.scale}
	gap := m.prior.Gaps.Length
	weight = 1
	work := 0.0
	rest := units
	if since > 0 && open > 0 {
		first := single.Times(open)
		left, weight = w.survive(first, since, open, key)
		rest -= open
	}
	if rest > 0 {
		work += single.Times(rest).at(unitNormal(key, w.i, 0))
		for k := range count(uniform(key, w.i, 1), w.of.rate[w.i]*float64(rest)) {
			left += gap.at(unitNormal(key, w.i, 8+uint64(k)))
		}
	}
	w.hours += work / 60
	return left + work, weight
}

// survive draws what is left of a time that has run since, and how probable it
// was that it runs so long.
func (w *Draw) survive(first LogNormal, since float64, open int, key uint64) (left, weight float64) {
	gap := w.of.model.prior.Gaps.Length
	p := 1 - math.Pow(1-w.of.rate[w.i], float64(open))
	broken := first.Plus(gap)
	smooth, rough := (1-p)*first.Survival(since), p*broken.Survival(since)
	weight = smooth + rough
	if weight < 1e-300 {
		return gap.at(unitNormal(key, w.i, 4)), 1e-300
	}
	tail := uniform(key, w.i, 6)
	if uniform(key, w.i, 7)*weight < smooth {
		return max(first.beyond(since, tail)-since, 0), weight
	}
	return max(broken.beyond(since, tail)-since, 0), weight
}

// Other is a time, in minutes, that does not go by today's pace: a rinse, a
// step. Equal names have equal fortune in a draw.
func (w *Draw) Other(name string, l LogNormal) float64 {
	if l.Sigma <= 0 {
		return l.Median()
	}
	return l.at(unitNormal(mix(w.of.seed, hash(name)), w.i, 9))
}

// OtherSince is Other for what was begun so many minutes ago and is not done:
// what is left, and how probable it was that it is not done.
func (w *Draw) OtherSince(name string, l LogNormal, since float64) (left, weight float64) {
	if since <= 0 || l.Sigma <= 0 {
		return max(w.Other(name, l)-since, 0), 1
	}
	u := uniform(mix(w.of.seed, hash(name)), w.i, 9)
	return max(l.beyond(since, u)-since, 0), max(l.Survival(since), 1e-300)
}

// farthest is the most that a drift is carried on from now, on the scale of log
// minutes. No pace slows down without end. A guess of ours, no source.
const farthest = 0.7

// rel is the log pace of work that takes so many hours at the usual pace.
func (w *Draw) rel(step, zone string, hours, helpers float64) float64 {
	m, x := w.of.model, w.of.x[w.i].RawVector().Data
	r := x[level]
	r += x[slope]*m.hours - x[helper]*math.Log2(1+helpers)
	ahead := w.hours - m.hours + hours*math.Exp(min(r, 2))/2
	r += min(max(x[slope]*ahead, -farthest), farthest)
	if c, seen := m.index[place{name: step}]; seen {
		r += x[c]
	} else {
		r += m.prior.Steps[step].Unsure * unitNormal(mix(w.of.seed, hash(step)), w.i, 2)
	}
	if zone == "" {
		return r
	}
	if c, seen := m.index[place{true, zone}]; seen {
		return r + x[c]
	}
	key := mix(w.of.seed, hash(zone))
	if w.slow(zone, uniform(key, w.i, 3)) {
		r += m.prior.Slow.Mean + m.prior.Slow.SD*unitNormal(key, w.i, 4)
	}
	return r
}

// slow reports whether a zone to come is slow in this draw.
func (w *Draw) slow(zone string, u float64) bool {
	if slices.Contains(w.found, zone) {
		return true
	}
	if u >= w.of.model.prior.slowShare(len(w.of.pick[w.i].slow)+len(w.found)) {
		return false
	}
	w.found = append(w.found, zone)
	return true
}

// at is the time z standard deviations above the median.
func (l LogNormal) at(z float64) float64 { return math.Exp(l.Mu + l.Sigma*z) }

// beyond is the quantile u of the times longer than since.
func (l LogNormal) beyond(since, u float64) float64 {
	s := l.Survival(since) * (1 - u)
	if s < 1e-300 {
		return since
	}
	return l.at(-distuv.UnitNormal.Quantile(s))
}

// count is the quantile u of a Poisson count with the given mean.
func count(u, mean float64) int {
	p := math.Exp(-mean)
	k := 0
	for c := p; u > c && k < 1000; c += p {
		k++
		p *= mean / float64(k)
	}
	return k
}

// Expect is the median, in minutes, of the work that [Draw.Take] would draw,
// at this draw's pace. It does not move the clock on.
func (w *Draw) Expect(step, zone string, units int, helpers float64) float64 {
	usual := w.of.model.prior.Steps[step].Minutes * float64(units)
	return usual * math.Exp(w.rel(step, zone, usual/60, helpers))
}
