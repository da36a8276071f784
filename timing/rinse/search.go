package rinse

import (
	"slices"

	"rinseby/timing/dbm"
)

// A step is one decision of a partial plan.
type step struct {
	kind    Kind
	zone    int
	variant int
}

// Variables of a partial plan's matrix. Then follow, in order of their zones,
// the starts of the applications that are on.
const (
	now    = 0 // the origin
	hands  = 1 // when the hands are free
	basinT = 2 // at the basin only: the arrival, later by all rinses so far
)

// A state is a partial plan.
type state struct {
	parent  int32
	step    step
	applied set // or on from the start
	pending set // on, not yet off
	trips   int16
	depth   int16
	atBasin bool
	rinsed  bool // something, in this trip; or it was begun before the plan
	dead    bool // covered by a later state
	size    int8
	level   int // of the strength applied last; lowest unless they must rise
	bounds  []int32
	chosen  []uint32 // variant of each pending zone that has a variable
	least   cost     // bound on what it can come to
	next    int32    // older state of the same key
}

func (s *state) matrix() dbm.Matrix { return dbm.Over(s.bounds, int(s.size)) }

// A cost is what a plan is first judged by, once the limits are settled.
type cost struct{ trips, finish int32 }

func (c cost) less(o cost) bool {
	return c.trips < o.trips || c.trips == o.trips && c.finish < o.finish
}

// An aim is what a search looks for.
type aim struct {
	over int32 // added to all limits
	even int32 // tolerance of exposures, or anyTarget
	most cost  // nothing above it is of interest
	by   int32 // nor anything that finishes later; 0 for any time
	any  bool  // stop at the first plan, not at the best
}

// A search looks for one aim.
type search struct {
	*model
	aim
	budget  *meter
	windows [][]window
	tails   tails
	states  []state
	store   arena
	queue   queue
	seen    map[uint64]int32 // newest state of a key; others by state.next
	own     func(set) set    // zones of a set that have a variable
	tmp     [2][]int32
	found   int32 // the state of the plan found, or -1
}

func (m *model) search(a aim, b *meter) *search {
	s := &search{model: m, aim: a, budget: b, windows: m.windows(a.over, a.even), seen: map[uint64]int32{}, found: -1}
	s.own = func(z set) set { return z &^ m.on }
	s.tails = s.newTails()
	most := (m.n + 4) * (m.n + 4)
	s.tmp = [2][]int32{make([]int32, most), make([]int32, most)}
	return s
}

// run searches until the aim is met, nothing is left or the budget is spent.
// It reports whether the answer is final: the plan found is the best, or there
// is none.
func (s *search) run() bool {
	s.begin()
	for {
		id, ok := s.queue.pop()
		if !ok {
			return true
		}
		if s.states[id].dead {
			continue
		}
		if s.done(&s.states[id]) {
			s.found = id
			return true
		}
		if !s.budget.spend() {
			s.queue.push(s.rank(&s.states[id]), id)
			return false
		}
		s.expand(id)
	}
}

// begin puts the state of the start into the queue.
func (s *search) begin() {
	size := 2
	if s.p.Basin {
		size = 3
	}
	m := dbm.New(size)
	m.Tighten(now, hands, 0)
	st := state{parent: -1, step: step{zone: -1}, applied: s.on, pending: s.on, atBasin: s.p.Basin, rinsed: s.p.Basin, level: s.level}
	if s.p.Basin {
		m.Tighten(basinT, now, 0)
		m.Tighten(now, basinT, 0)
	}
	s.add(st, m)
}

func (s *search) done(st *state) bool { return st.applied == s.all && st.pending == 0 }

// expand adds all partial plans that are one decision longer.
func (s *search) expand(id int32) {
	st := s.states[id] // a copy: add moves states
	st.parent = id
	st.depth++
	if st.atBasin {
		for z := st.pending; z != 0; z &= z - 1 {
			if i := z.first(); !s.outranked(&st, i) {
				s.addRinse(st, i)
			}
		}
		if st.rinsed {
			s.addReseat(st)
		}
		return
	}
	if st.pending != 0 {
		s.addWalk(st)
	}
	for z := s.all &^ st.applied; z != 0; z &= z - 1 {
		s.addApply(st, z.first())
		if s.p.Order == Fixed {
			break
		}
	}
}

// place is the index of the zone's variable in the state's matrix, or where it
// belongs.
func (s *search) place(st *state, zone int) int {
	if s.on.has(zone) {
		return now
	}
	at := 2
	if st.atBasin {
		at = 3
	}
	return at + s.own(st.pending&(one(zone)-1)).size()
}

func (s *search) window(st *state, zone int) window {
	if s.on.has(zone) {
		return s.windows[zone][0]
	}
	return s.windows[zone][st.chosen[s.own(st.pending&(one(zone)-1)).size()]]
}

func (s *search) addApply(st state, zone int) {
	for k, v := range s.variants[zone] {
		if v.level < st.level && !s.part.has(zone) {
			continue
		}
		m := st.matrix().CopyTo(s.tmp[0])
		m.Delay(hands)
		if v.hi < dbm.Inf && !m.Tighten(hands, now, v.hi) || v.lo > 0 && !m.Tighten(now, hands, -v.lo) {
			continue
		}
		at := s.place(&st, zone)
		m = m.Twin(s.tmp[1], hands, at)
		m.Shift(hands, v.dur)
		next := st
		next.step = step{Apply, zone, k}
		next.applied |= one(zone)
		next.pending |= one(zone)
		if s.p.Strengths == Rising {
			next.level = v.level
		}
		slot := s.own(st.pending & (one(zone) - 1)).size()
		chosen := make([]uint32, 0, len(st.chosen)+1)
		chosen = append(append(append(chosen, st.chosen[:slot]...), uint32(k)), st.chosen[slot:]...)
		next.chosen = chosen
		s.add(next, m)
	}
}

func (s *search) addWalk(st state) {
	m := st.matrix().CopyTo(s.tmp[0])
	m.Delay(hands)
	m.Shift(hands, s.walk)
	m = m.Twin(s.tmp[1], hands, basinT)
	st.step = step{kind: Walk, zone: -1}
	st.atBasin, st.rinsed = true, false
	st.trips++
	s.add(st, m)
}

func (s *search) addReseat(st state) {
	m := st.matrix().Without(s.tmp[0], basinT)
	m.Shift(hands, s.reseat)
	st.step = step{kind: Reseat, zone: -1}
	st.atBasin, st.rinsed = false, false
	s.add(st, m)
}

func (s *search) addRinse(st state, zone int) {
	w, at := s.window(&st, zone), s.place(&st, zone)
	m := st.matrix().CopyTo(s.tmp[0])
	m.Delay(hands)
	m.Shift(hands, s.rinse[zone])
	m.Shift(basinT, s.rinse[zone])
	if !m.Tighten(at, hands, -w.opens) || !m.Tighten(hands, basinT, s.cap) ||
		w.limit < dbm.Inf && !m.Tighten(hands, at, w.limit) || w.abs < dbm.Inf && !m.Tighten(hands, now, w.abs) {
		return
	}
	if at != now {
		m = m.Without(s.tmp[1], at)
		slot := s.own(st.pending & (one(zone) - 1)).size()
		st.chosen = append(append(make([]uint32, 0, len(st.chosen)), st.chosen[:slot]...), st.chosen[slot+1:]...)
	}
	st.step = step{kind: Rinse, zone: zone}
	st.pending &^= one(zone)
	st.rinsed = true
	s.add(st, m)
}

// outranked reports whether a zone need not be rinsed now because another that
// is on may as well go first: it opens no later, has its limit no later, and
// takes as long, so that the two could change places in any plan. Of two that
// are alike, the one listed first goes first.
func (s *search) outranked(st *state, zone int) bool {
	if s.part.has(zone) {
		return false
	}
	m, w, at := st.matrix(), s.window(st, zone), s.place(st, zone)
	for z := st.pending & (one(zone) - 1) &^ s.part; z != 0; z &= z - 1 {
		i := z.first()
		if s.rinse[i] != s.rinse[zone] {
			continue
		}
		v := s.window(st, i)
		ahead := m.Least(at, s.place(st, i)) // of zone's anchor, at least
		if ahead >= v.opens-w.opens && ahead >= v.limit-w.limit {
			return true
		}
	}
	return false
}

// add keeps a new partial plan, unless it can't be finished in time, can't be
// of interest, or is covered. Its matrix may lie in temporary storage.
func (s *search) add(st state, m dbm.Matrix) {
	m.Delay(hands)
	if !s.ahead(&st, m) {
		return
	}
	st.size, st.bounds = int8(m.Size()), m.Bounds()
	st.least = s.bound(&st, m)
	if s.most.less(st.least) || s.by > 0 && st.least.finish > s.by {
		return
	}
	key := s.key(&st)
	newest, ok := s.seen[key]
	if !ok {
		newest = -1
	}
	for id := newest; id >= 0; id = s.states[id].next {
		o := &s.states[id]
		if o.dead || !alike(o, &st) {
			continue
		}
		if o.trips <= st.trips && o.level <= st.level && o.matrix().Covers(m) {
			return
		}
		if st.trips <= o.trips && st.level <= o.level && m.Covers(o.matrix()) {
			o.dead = true
		}
	}
	st.bounds = s.store.keep(m.Bounds())
	st.next = newest
	id := int32(len(s.states))
	s.states = append(s.states, st)
	s.seen[key] = id
	s.queue.push(s.rank(&st), id)
}

// ahead adds to the matrix that the hands must be free early enough for each
// zone that is on. It reports whether that can be.
func (s *search) ahead(st *state, m dbm.Matrix) bool {
	way := s.walk
	if st.atBasin {
		way = 0
		m.Tighten(hands, basinT, s.cap)
	}
	for z := st.pending; z != 0; z &= z - 1 {
		i := z.first()
		w, at := s.window(st, i), s.place(st, i)
		rest := way + s.rinse[i] + s.before(st, m, i)
		if w.limit < dbm.Inf && !m.Tighten(hands, at, w.limit-rest) || w.abs < dbm.Inf && !m.Tighten(hands, now, w.abs-rest) {
			return false
		}
	}
	if z := s.part &^ st.applied; z != 0 {
		i := z.first()
		rest := s.minDur[i] + s.walk + s.rinse[i]
		if st.atBasin {
			rest += s.reseat
		}
		w := s.windows[i][0]
		return m.Tighten(hands, now, w.abs-rest)
	}
	return true
}

// before is the time of rinsing the other zones that are on and must be off no
// later than the zone's limit, whatever the moments.
func (s *search) before(st *state, m dbm.Matrix, zone int) (sum int32) {
	w, at := s.window(st, zone), s.place(st, zone)
	if w.limit == dbm.Inf {
		return 0
	}
	for z := st.pending &^ one(zone) &^ s.part; z != 0; z &= z - 1 {
		i := z.first()
		if v := s.window(st, i); m.Least(at, s.place(st, i)) >= v.limit-w.limit {
			sum += s.rinse[i]
		}
	}
	return sum
}

// key is the same for states that may cover each other.
func (s *search) key(st *state) uint64 {
	const prime = 0x9E3779B97F4A7C15
	h := uint64(st.applied)*prime ^ uint64(st.pending)
	h = (h ^ h>>29) * prime
	if st.atBasin {
		h ^= 1
	}
	if st.rinsed {
		h ^= 2
	}
	for _, c := range st.chosen {
		h = (h ^ uint64(c)) * prime
	}
	return h ^ h>>31
}

// alike reports whether one state may cover the other at all.
func alike(a, b *state) bool {
	return a.applied == b.applied && a.pending == b.pending && a.atBasin == b.atBasin && a.rinsed == b.rinsed &&
		slices.Equal(a.chosen, b.chosen)
}

// steps are the decisions that led to a state.
func (s *search) steps(id int32) []step {
	out := make([]step, s.states[id].depth)
	for ; s.states[id].parent >= 0; id = s.states[id].parent {
		out[s.states[id].depth-1] = s.states[id].step
	}
	return out
}

// beam follows, of the partial plans of each length, only the best few, until
// nothing is left, or so much effort is spent: about that of a unit for each
// bound that is looked at.
func (s *search) beam(width, effort int) {
	s.begin()
	for len(s.queue) > 0 && effort > 0 {
		var now []int32
		for range min(width, len(s.queue)) {
			id, _ := s.queue.pop()
			st := &s.states[id]
			if st.dead {
				continue
			}
			if s.done(st) && (s.found < 0 || st.least.less(s.most)) {
				s.found = id
				s.most = cost{st.least.trips, st.least.finish - 1}
				continue
			}
			now = append(now, id)
			size := int(st.size)
			effort -= size * size * size * (1 + st.pending.size())
		}
		s.queue = s.queue[:0]
		for _, id := range now {
			s.expand(id)
		}
	}
}
