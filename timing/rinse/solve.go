package rinse

import (
	"cmp"
	"slices"

	"rinseby/timing/dbm"
)

// Solve finds the best plan for the problem within the budget. It is the same
// for the same problem and budget, unless Stop differs. Errors wrap
// [ErrProblem] and say which zone or figure to correct.
func Solve(p *Problem, b Budget) (*Plan, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	r := &solver{model: newModel(p), meter: newMeter(b)}
	if err := r.oneByOne(); err != nil {
		return nil, err
	}
	if len(r.best) > 0 {
		r.fewestOver()
		r.mostEven()
	}
	return r.plan(), nil
}

// A solver carries the best plan so far from one goal to the next.
type solver struct {
	*model
	*meter
	best []step
	over int32 // what the limits are late by in it
	cost cost
	even int32

	least  Bound // that no plan can beat, from Now
	proved bool  // over and cost are the best
	evened bool  // so is even
}

// An answer is how a search ended.
type answer int

const (
	found answer = iota // the plan, and it is the best
	none                // there is no plan
	spent               // the budget is
)

// oneByOne makes the plan that always is: rinse what is on, one zone a trip,
// then apply and rinse one zone after the other.
func (r *solver) oneByOne() error {
	line, err := r.weakest()
	if err != nil {
		return err
	}
	basin := r.p.Basin
	trip := func(zone int) {
		if !basin {
			r.best = append(r.best, step{kind: Walk, zone: -1})
		}
		r.best = append(r.best, step{kind: Rinse, zone: zone})
		basin = true
	}
	leave := func() {
		if basin {
			r.best = append(r.best, step{kind: Reseat, zone: -1})
		}
		basin = false
	}
	var on []int
	for z := r.on; z != 0; z &= z - 1 {
		on = append(on, z.first())
	}
	slices.SortStableFunc(on, func(a, b int) int { return cmp.Compare(r.variants[a][0].limit, r.variants[b][0].limit) })
	for k, zone := range on {
		if k > 0 || r.p.Basin && r.variants[zone][0].opens > r.cap {
			leave()
		}
		trip(zone)
	}
	for _, st := range line {
		leave()
		r.best = append(r.best, st)
		trip(st.zone)
	}
	if len(r.best) == 0 {
		r.proved, r.evened = true, true
		return nil
	}
	c := r.course(r.best)
	r.over = least(0, dbm.Inf/8, func(over int32) bool { _, ok := c.times(over, anyTarget, dbm.Inf); return ok })
	r.settle(c)
	return nil
}

// weakest lists the applications, each with the weakest strength that there
// is, begun when the pace changes no more.
func (r *solver) weakest() ([]step, error) {
	var line []step
	level := r.level
	for i := range r.n {
		if r.on.has(i) {
			continue
		}
		best := -1
		for k, v := range r.variants[i] {
			fits := r.part.has(i) || v.level >= level
			if fits && v.hi == dbm.Inf && (best < 0 || v.level < r.variants[i][best].level) {
				best = k
			}
		}
		if best < 0 {
			return nil, refuse("zone %d (%s): none of its strengths is as strong as that of a zone applied before it: "+
				"allow a stronger one, or don't ask for rising strengths", i+1, r.p.Zones[i].Name)
		}
		if r.p.Strengths == Rising && r.p.Order == Fixed {
			level = r.variants[i][best].level
		}
		line = append(line, step{Apply, i, best})
	}
	if r.p.Order == Open {
		slices.SortStableFunc(line, func(a, b step) int {
			return cmp.Compare(r.variants[a.zone][a.variant].level, r.variants[b.zone][b.variant].level)
		})
	}
	return line, nil
}

// settle takes over the cost of a course whose limits are late by r.over.
func (r *solver) settle(c *course) {
	ends, _ := c.times(r.over, anyTarget, dbm.Inf)
	r.best = c.steps
	r.cost = cost{finish: int32(ends[c.ends[len(c.ends)-1]])}
	for _, st := range c.steps {
		if st.kind == Walk {
			r.cost.trips++
		}
	}
}

// fewestOver finds the least that the limits must be late by, and then the
// least cost.
func (r *solver) fewestOver() {
	lo := r.leastOver()
	r.least.Over = int(lo)
	if r.quickest(lo) != none {
		return
	}
	lo, hi := lo+1, r.over
	for lo < hi {
		s := r.search(aim{over: lo + (hi-lo)/2, even: anyTarget, most: anyCost, any: true}, r.meter)
		if !s.run() {
			break
		}
		if s.found < 0 {
			lo = s.over + 1
			continue
		}
		c := r.course(s.steps(s.found))
		hi = least(lo, s.over, func(over int32) bool { _, ok := c.times(over, anyTarget, dbm.Inf); return ok })
		r.over = hi
		r.settle(c)
	}
	r.least = Bound{Over: int(lo)}
	r.quickest(hi)
	r.least.Over = int(lo)
	r.proved = r.proved && lo == hi
}

var anyCost = cost{1 << 10, 1<<28 - 1}

// leastOver bounds from below what the limits must be late by, from each zone
// alone.
func (r *solver) leastOver() (over int32) {
	for i, vs := range r.variants {
		alone := dbm.Inf
		for _, v := range vs {
			off := max(v.opens, v.dur+r.walk+r.rinse[i])
			if r.on.has(i) && r.p.Basin {
				off = max(v.opens, r.rinse[i])
			}
			late := off - v.limit
			if v.abs < dbm.Inf {
				late = off - v.abs
			}
			alone = min(alone, late)
		}
		over = max(over, alone)
	}
	return over
}

// quickest finds the plan of least cost among those whose limits are late by
// over.
func (r *solver) quickest(over int32) answer {
	glanced := r.p.Order == Open
	if glanced { // it is seldom searched to the end: have something to beat
		r.glance(over)
	}
	most := anyCost
	have := r.over == over
	if have {
		most = cost{r.cost.trips, r.cost.finish - 1}
	}
	s := r.search(aim{over: over, even: anyTarget, most: most}, r.meter)
	final := s.run()
	switch {
	case s.found >= 0:
		r.over = over
		r.settle(r.course(s.steps(s.found)))
		r.proved = true
	case final && have:
		r.proved = true
	case final:
		return none
	default:
		if !glanced {
			r.glance(over)
		}
		least := s.states[s.queue[0].id].least
		if r.over == over && r.cost.less(least) {
			least = r.cost
		}
		r.least.Trips, r.least.Finish = int(least.trips), int(least.finish)
		return spent
	}
	r.least = Bound{int(over), int(r.cost.trips), int(r.cost.finish)}
	return found
}

// glance looks for a good plan by following only some partial plans of each
// length, and, if the order is open, for a short time in the listed order. It
// takes over what is better than the plan at hand.
func (r *solver) glance(over int32) {
	const width, effort, short = 100, 300_000_000, 3000
	if over > r.over {
		return
	}
	look := aim{over: over, even: anyTarget, most: anyCost}
	s := r.search(look, newMeter(Budget{}))
	s.beam(width, effort)
	r.improve(s)
	if r.p.Order == Open {
		listed, p := *r.model, *r.p
		p.Order = Fixed
		listed.p = &p
		s = listed.search(look, newMeter(Budget{Nodes: short}))
		s.run()
		r.improve(s)
	}
}

// improve takes over the plan that a search found, if it is better.
func (r *solver) improve(s *search) {
	if s.found < 0 {
		return
	}
	c := r.course(s.steps(s.found))
	over := least(0, s.over, func(over int32) bool { _, ok := c.times(over, anyTarget, dbm.Inf); return ok })
	if over < r.over || over == r.over && s.states[s.found].least.less(r.cost) {
		r.over = over
		r.settle(c)
	}
}

// mostEven finds, among the plans of the same cost, the one with the most even
// exposures.
func (r *solver) mostEven() {
	tolerance := func(c *course, most int32) int32 {
		return least(0, most, func(even int32) bool { _, ok := c.times(r.over, even, r.cost.finish); return ok })
	}
	r.even = tolerance(r.course(r.best), dbm.Inf/8)
	lo := r.leastUneven()
	for lo < r.even {
		s := r.search(aim{over: r.over, even: lo + (r.even-lo)/2, most: r.cost, any: true}, r.meter)
		if !s.run() {
			return
		}
		if s.found < 0 {
			lo = s.even + 1
			continue
		}
		c := r.course(s.steps(s.found))
		r.best, r.even = c.steps, tolerance(c, s.even)
	}
	r.evened = true
}

// leastUneven bounds the unevenness from below, from each zone alone.
func (r *solver) leastUneven() (even int32) {
	for i, vs := range r.variants {
		alone := dbm.Inf
		for _, v := range vs {
			soonest := v.opens
			if !r.on.has(i) {
				soonest = max(soonest, v.dur+r.walk+r.rinse[i])
			}
			late := soonest - v.mid - v.target
			early := v.target + v.mid - v.limit - r.over
			alone = min(alone, max(late, early))
		}
		even = max(even, alone)
	}
	return even
}
