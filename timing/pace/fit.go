package pace

import (
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// A Past is a closed service: what was done in it, in order of time.
type Past struct{ Observations []Observation }

// How much the start weighs against closed services, in the units that each
// figure is counted in. Guesses of ours, no source.
const (
	priorServices = 4.0   // for what is seen once a service
	priorShare    = 3.0   // for how often there is a drift, in services
	priorZones    = 12.0  // for how often a zone is slow, in zones
	priorUnits    = 20.0  // for noise, in units
	priorGapUnits = 100.0 // for the rate of interruptions, in units
	priorGaps     = 4.0   // for their length
	priorJoins    = 1.0   // for how often and when a helper joins, in services
	fitRounds     = 12
	fitExperts    = 10
)

// Fit is the prior after the closed services, by expectation maximisation from
// start, whose figures stand where the services tell nothing. A step that
// start does not know gets its usual from the services alone. The error says
// what is wrong with an observation.
func Fit(start Prior, past []Past) (Prior, error) {
	if err := start.Check(); err != nil {
		return Prior{}, err
	}
	past = slices.DeleteFunc(slices.Clone(past), func(s Past) bool { return len(s.Observations) == 0 })
	for _, s := range past {
		for i := range s.Observations {
			if err := s.Observations[i].check(); err != nil {
				return Prior{}, err
			}
		}
	}
	if len(past) == 0 {
		return start, nil
	}
	p := firstGuess(start, past)
	for range fitRounds {
		t := newTally()
		for _, s := range past {
			if err := t.add(p, s); err != nil {
				return Prior{}, err
			}
		}
		p = t.update(start, p)
	}
	return conclude(start, p, past), nil
}

// firstGuess has the medians of the services as usual times, taken as certain.
func firstGuess(start Prior, past []Past) Prior {
	p := start
	p.Steps = maps.Clone(start.Steps)
	logs := map[string][]float64{}
	for _, s := range past {
		for _, o := range s.Observations {
			l := math.Log(o.Took.Minutes()/float64(o.Units)) + start.Helper.Mu*math.Log2(1+o.Helpers)
			logs[o.Step] = append(logs[o.Step], l)
		}
	}
	for step, l := range logs {
		slices.Sort(l)
		noise := guessNoise
		if u, known := start.Steps[step]; known {
			noise = u.Noise
		}
		p.Steps[step] = Usual{Minutes: math.Exp(l[len(l)/2]), Noise: noise}
	}
	return p
}

// A moment sums a weight, a value and its square.
type moment struct{ n, sum, square float64 }

func (m *moment) add(w, mean, variance float64) {
	m.n += w
	m.sum += w * mean
	m.square += w * (variance + mean*mean)
}

// mean is that of the sum with n more values at a.
func (m *moment) mean(n, a float64) float64 { return (m.sum + n*a) / (m.n + n) }

// sd is that around c, with n more values that scatter by s.
func (m *moment) sd(c, n, s float64) float64 {
	around := m.square - 2*c*m.sum + c*c*m.n
	return math.Sqrt(max(around+n*s*s, 0) / (m.n + n))
}

// A tally is what is expected of the hidden figures of the services.
type tally struct {
	services           float64
	level, drift, help moment
	joins              moment // after which share of the units
	slow               moment
	// Zones up to the first slow one, those after it, and the slow among both.
	searched, after, found, again float64
	gapLog                        moment
	gaps, units                   float64
	noise, shift, own             map[string]*moment
}

func newTally() *tally {
	return &tally{noise: map[string]*moment{}, shift: map[string]*moment{}, own: map[string]*moment{}}
}

func at(m map[string]*moment, step string) *moment {
	if m[step] == nil {
		m[step] = &moment{}
	}
	return m[step]
}

// add follows one service to its end. Nothing in the state moves of itself,
// so what is known at the end is what can be known of the whole.
func (t *tally) add(p Prior, s Past) error {
	m, err := New(p)
	if err != nil {
		return err
	}
	m.keep = fitExperts
	helped, alone := false, 0.0
	for _, o := range s.Observations {
		if err := m.Observe(o); err != nil {
			return err
		}
		if helped = helped || o.Helpers > 0; !helped {
			alone += float64(o.Units)
		}
	}
	if helped {
		t.joins.add(1, alone/m.units, 0)
	}
	t.services++
	levelMean, zones := 0.0, m.nth(fixed+len(m.index)-1)
	for _, e := range m.experts {
		mean, v := e.state.Mean, e.state.Cov
		levelMean += e.weight * mean.AtVec(level)
		t.level.add(e.weight, mean.AtVec(level), v.At(level, level))
		if e.drifts {
			t.drift.add(e.weight, mean.AtVec(slope), v.At(slope, slope))
		}
		if helped {
			t.help.add(e.weight, mean.AtVec(helper), v.At(helper, helper))
		}
		if n := float64(len(e.slow)); n > 0 { // the first one ends the search
			t.found += e.weight
			t.searched += e.weight * float64(m.nth(e.slow[0]))
			t.again += e.weight * (n - 1)
			t.after += e.weight * float64(zones-m.nth(e.slow[0]))
		} else {
			t.searched += e.weight * float64(zones)
		}
		for _, c := range e.slow {
			t.slow.add(e.weight, mean.AtVec(c), v.At(c, c))
		}
	}
	t.residuals(m, s, levelMean)
	return nil
}

// residuals looks back from the end: what each observation leaves unexplained.
func (t *tally) residuals(m *Model, s Past, levelMean float64) {
	hours := m.hours
	m.hours = 0
	for i := range s.Observations {
		o := &s.Observations[i]
		h := m.regressors(o)
		took, n := o.Took.Minutes(), float64(o.Units)
		usual := m.prior.Steps[o.Step].Minutes * n
		learned := 0.0
		for _, e := range m.experts {
			r := m.explain(e, h, o)
			mean, v := e.state.Predict(h)
			w := e.weight * r.work
			learned += w
			// The log of a batch scatters less than that of a unit.
			single := m.prior.Steps[o.Step].Noise * e.scale
			up := single * single / r.noise
			at(t.noise, o.Step).add(w, math.Sqrt(up)*(r.y-mean), up*v)
			at(t.own, o.Step).add(w*n, r.y-mean, 0)
			work := math.Exp(r.base + mean)
			if left := took - work; left > 0.25*work {
				t.gapLog.add(e.weight*(1-r.work), math.Log(left), 0)
			}
		}
		at(t.shift, o.Step).add(n/float64(len(s.Observations)), levelMean, 0)
		t.gaps += 1 - learned
		t.units += n
		m.hours += (learned*took + (1-learned)*min(took, usual)) / 60
	}
	m.hours = hours
}

// update makes the most probable prior of the sums.
func (t *tally) update(start, p Prior) Prior {
	q := p
	q.Steps = maps.Clone(p.Steps)
	for step, noise := range t.noise {
		u := p.Steps[step]
		// A common shift of the usual is first taken for the level of the
		// services: give it back to the usual at once.
		u.Minutes *= math.Exp(t.shift[step].mean(0, 0) + t.own[step].mean(1e-9, 0))
		guess := guessNoise
		if s, known := start.Steps[step]; known {
			guess = s.Noise
		}
		u.Noise = noise.sd(0, priorUnits, guess)
		q.Steps[step] = u
	}
	q.Level = t.level.sd(t.level.mean(0, 0), priorServices, start.Level)
	q.Drift.Share = (t.drift.n + priorShare*start.Drift.Share) / (t.services + priorShare)
	q.Drift.Mean = t.drift.mean(priorServices, start.Drift.Mean)
	q.Drift.SD = t.drift.sd(q.Drift.Mean, priorServices, start.Drift.SD)
	q.Slow.Share = (t.found + priorZones*start.Slow.Share) / (t.searched + priorZones)
	q.SlowAgain = (t.again + priorZones*start.SlowAgain) / (t.after + priorZones)
	q.Slow.Mean = t.slow.mean(priorServices, start.Slow.Mean)
	q.Slow.SD = t.slow.sd(q.Slow.Mean, priorServices, start.Slow.SD)
	q.Helper.Mu = t.help.mean(priorServices, start.Helper.Mu)
	q.Helper.Sigma = t.help.sd(q.Helper.Mu, priorServices, start.Helper.Sigma)
	q.Joins.Share = (t.joins.n + priorJoins*start.Joins.Share) / (t.services + priorJoins)
	q.Joins.Mean = t.joins.mean(priorJoins, start.Joins.Mean)
	q.Joins.SD = t.joins.sd(q.Joins.Mean, priorJoins, start.Joins.SD)
	q.Gaps.Rate = (t.gaps + priorGapUnits*start.Gaps.Rate) / (t.units + priorGapUnits)
	g := start.Gaps.Length
	q.Gaps.Length.Mu = t.gapLog.mean(priorGaps, g.Mu)
	q.Gaps.Length.Sigma = t.gapLog.sd(q.Gaps.Length.Mu, priorGaps, g.Sigma)
	return q
}

// conclude weighs the usual times against those of the start, and says how
// unsure they are.
func conclude(start, p Prior, past []Past) Prior {
	services, units := map[string]float64{}, map[string]float64{}
	for _, s := range past {
		seen := map[string]bool{}
		for _, o := range s.Observations {
			units[o.Step] += float64(o.Units)
			if !seen[o.Step] {
				seen[o.Step] = true
				services[o.Step]++
			}
		}
	}
	for step, n := range services {
		u := p.Steps[step]
		v := p.Level*p.Level/n + u.Noise*u.Noise/units[step]
		if s, known := start.Steps[step]; known && s.Unsure > 0 {
			a, b := 1/v, 1/(s.Unsure*s.Unsure)
			u.Minutes = math.Exp((a*math.Log(u.Minutes) + b*math.Log(s.Minutes)) / (a + b))
			v = 1 / (a + b)
		}
		u.Unsure = math.Sqrt(v)
		p.Steps[step] = u
	}
	p.Services = start.Services + len(past)
	// A spread that was estimated from few services is itself unsure: make
	// ranges as wide as Student's t has them, at the ends of an 80 % range.
	t := distuv.StudentsT{Sigma: 1, Nu: float64(len(past)) + priorServices - 1}
	p.Level *= t.Quantile(0.9) / distuv.UnitNormal.Quantile(0.9)
	return p
}
