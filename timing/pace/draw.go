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
	joins []int     // after how many units from now a helper joins
}

// Draws makes n of them, at least 1, of which each will be asked for so many
// units ahead. Equal seeds give draws that differ only by what was learned in
// between, so that figures made from them don't flicker.
func (m *Model) Draws(n, ahead int, seed uint64) *Draws {
	n = max(n, 1)
	d := &Draws{model: m, seed: seed, pick: make([]*expert, n), x: make([]*mat.VecDense, n), rate: make([]float64, n), joins: make([]int, n)}
	dims := fixed + len(m.index)
	roots := map[*expert]*mat.TriDense{}
	unit := make([][]float64, dims)
	for c := range unit {
		unit[c] = spread(n, mix(seed, uint64(c)+10))
		for i, u := range unit[c] {
			unit[c][i] = normals[int(u*float64(len(normals)))]
		}
	}
	which, often, joins := spread(n, mix(seed, 1)), spread(n, mix(seed, 2)), spread(n, mix(seed, 3))
	all := m.units + float64(ahead)
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
			z.SetVec(c, unit[c][i])
		}
		x := mat.NewVecDense(dims, nil)
		x.MulVec(root, z)
		x.AddVec(x, e.state.Mean)
		d.x[i] = x
		d.rate[i] = rates[int(often[i]*float64(len(rates)))]
		d.joins[i] = ahead
		if !m.helped && ahead > 0 {
			d.joins[i] = int(math.Round(m.prior.Joins.after(m.units/all, joins[i])*all - m.units))
		}
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

// A Work is units of one step in one zone, ready to be drawn often.
type Work struct {
	minutes, log  float64 // usual, of one unit, and its logarithm
	noise, unsure float64
	key           uint64
	stepKey       uint64
	zoneKey       uint64
	step, zone    int // components of the state; -1 for not seen yet
	anywhere      bool
	units         int
}

// Work makes so many units of a step in a zone ready. The step must be known
// ([Model.Knows]); the zone may be empty.
func (d *Draws) Work(step, zone string, units int) Work {
	m := d.model
	u := m.prior.Steps[step]
	w := Work{minutes: u.Minutes, log: math.Log(u.Minutes), noise: u.Noise, unsure: u.Unsure, step: -1, zone: -1, anywhere: zone == "", units: units}
	w.stepKey, w.zoneKey = mix(d.seed, hash(step)), mix(d.seed, hash(zone))
	w.key = mix(w.zoneKey, hash(step))
	if c, seen := m.index[place{name: step}]; seen {
		w.step = c
	}
	if c, seen := m.index[place{true, zone}]; seen {
		w.zone = c
	}
	return w
}

// A Draw is one way in which the rest of the work may go. Ask it in the order
// of the work.
type Draw struct {
	of    *Draws
	i     int
	hours float64
	done  int      // units from now
	found []uint64 // slow zones among those to come
}

// At is the draw i, 0 to Len - 1.
func (d *Draws) At(i int) Draw { return Draw{of: d, i: i, hours: d.model.hours} }

// Take is how long, in minutes, a work takes in this draw, and moves its clock
// of work on. Helpers are those who are there now; who joins later is drawn.
func (w *Draw) Take(work *Work, helpers float64) float64 {
	minutes, _ := w.TakeSince(work, 0, 0, helpers)
	return minutes
}

// TakeSince is Take for a work of which the first open units were begun so many
// minutes ago and are not done. It returns the minutes that are left, and how
// probable it is in this draw that they are not done by now.
func (w *Draw) TakeSince(work *Work, open int, since, helpers float64) (left, weight float64) {
	units := work.units
	if units < 1 {
		return 0, 1
	}
	alone := min(max(w.of.joins[w.i]-w.done, 0), units)
	if helpers > 0 {
		alone = units
	}
	w.done += units
	open = max(open, 1)
	if alone == 0 {
		return w.take(work, work.key, units, min(open, units), since, helpers+1)
	}
	left, weight = w.take(work, work.key, alone, min(open, alone), since, helpers)
	if alone < units {
		rest, _ := w.take(work, mix(work.key, 1), units-alone, 0, 0, helpers+1)
		left += rest
	}
	return left, weight
}

func (w *Draw) take(work *Work, key uint64, units, open int, since, helpers float64) (left, weight float64) {
	pace := w.rel(work, work.minutes*float64(units)/60, helpers)
	single := LogNormal{Mu: work.log + pace, Sigma: work.noise * w.of.pick[w.i].scale}
	gap := w.of.model.prior.Gaps.Length
	weight = 1
	hands := 0.0
	rest := units
	if since > 0 && open > 0 {
		left, weight = w.survive(single.Times(open), since, open, key)
		rest -= open
	}
	if rest > 0 {
		hands += single.Times(rest).at(unitNormal(key, w.i, 0))
		for k := range count(uniform(key, w.i, 1), w.of.rate[w.i]*float64(rest)) {
			left += gap.at(unitNormal(key, w.i, 8+uint64(k)))
		}
	}
	w.hours += hands / 60
	return left + hands, weight
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

// Expect is the median, in minutes, of the work that [Draw.Take] would draw, at
// this draw's pace and with the hands that are there by then. It does not move
// the clock on.
func (w *Draw) Expect(work *Work, helpers float64) float64 {
	if helpers == 0 && w.done >= w.of.joins[w.i] {
		helpers = 1
	}
	usual := work.minutes * float64(work.units)
	return usual * math.Exp(w.rel(work, usual/60, helpers))
}

// farthest is the most that a drift is carried on from now, on the scale of log
// minutes. No pace slows down without end. A guess of ours, no source.
const farthest = 0.7

// rel is the log pace of work that takes so many hours at the usual pace.
func (w *Draw) rel(work *Work, hours, helpers float64) float64 {
	m, x := w.of.model, w.of.x[w.i].RawVector().Data
	r := x[level]
	if d := x[slope]; d != 0 {
		r += d * m.hours
	}
	if helpers > 0 {
		r -= x[helper] * math.Log2(1+helpers)
	}
	if d := x[slope]; d != 0 {
		ahead := w.hours - m.hours + hours*math.Exp(min(r, 2))/2
		r += min(max(d*ahead, -farthest), farthest)
	}
	if work.step >= 0 {
		r += x[work.step]
	} else {
		r += work.unsure * unitNormal(work.stepKey, w.i, 2)
	}
	switch {
	case work.anywhere:
	case work.zone >= 0:
		r += x[work.zone]
	case w.slow(work.zoneKey, uniform(work.zoneKey, w.i, 3)):
		r += m.prior.Slow.Mean + m.prior.Slow.SD*unitNormal(work.zoneKey, w.i, 4)
	}
	return r
}

// slow reports whether a zone to come is slow in this draw.
func (w *Draw) slow(zone uint64, u float64) bool {
	if slices.Contains(w.found, zone) {
		return true
	}
	if u >= w.of.model.prior.slowShare(len(w.of.pick[w.i].slow)+len(w.found)) {
		return false
	}
	w.found = append(w.found, zone)
	return true
}

// A Luck is the fortune of a time that does not go by today's pace: a rinse, a
// step. Equal names have equal fortune in a draw.
type Luck uint64

// Luck is that of a name.
func (d *Draws) Luck(name string) Luck { return Luck(mix(d.seed, hash(name))) }

// Other is such a time in this draw, in minutes.
func (w *Draw) Other(luck Luck, l LogNormal) float64 {
	if l.Sigma <= 0 {
		return l.Median()
	}
	return l.at(unitNormal(uint64(luck), w.i, 9))
}

// Alike is Other for one of several times of a kind whose usual is not well
// known: the share of the variance, 0 to 1, that this makes is common to all.
func (w *Draw) Alike(own, common Luck, l LogNormal, share float64) float64 {
	if l.Sigma <= 0 {
		return l.Median()
	}
	z := math.Sqrt(share)*unitNormal(uint64(common), w.i, 9) + math.Sqrt(1-share)*unitNormal(uint64(own), w.i, 9)
	return l.at(z)
}

// OtherSince is Other for what was begun so many minutes ago and is not done:
// what is left, and how probable it was that it is not done.
func (w *Draw) OtherSince(luck Luck, l LogNormal, since float64) (left, weight float64) {
	if since <= 0 || l.Sigma <= 0 {
		return max(w.Other(luck, l)-since, 0), 1
	}
	u := uniform(uint64(luck), w.i, 9)
	return max(l.beyond(since, u)-since, 0), max(l.Survival(since), 1e-300)
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
