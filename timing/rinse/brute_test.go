package rinse_test

import (
	"math"

	"rinseby/timing/rinse"
)

// brute tries every order of decisions of a problem without changes of pace,
// and solves the times of each by itself. It knows no bound and no dominance.
type brute struct {
	p     *rinse.Problem
	over  int
	even  int // tolerance, or -1
	most  [2]int
	found bool
	best  [2]int // trips, finish
	level int    // with strengths that must rise
	edges [][3]int
	vars  int
	start []int // of each zone: variable of the start of its application, -1 if on as a whole
	pick  []int // strength of each zone
	state []int // 0 waiting, 1 on, 2 off
}

// bruteForce returns the least over, trips, finish and unevenness.
func bruteForce(p *rinse.Problem) (over, trips, finish, uneven int) {
	for over = 0; ; over++ {
		b := newBrute(p, over, -1, [2]int{math.MaxInt32, math.MaxInt32})
		b.try(p.Basin, p.Basin, 0, 0, 0, 0)
		if !b.found {
			continue
		}
		for uneven = 0; ; uneven++ {
			e := newBrute(p, over, uneven, b.best)
			e.try(p.Basin, p.Basin, 0, 0, 0, 0)
			if e.found {
				return over, b.best[0], b.best[1] + p.Now, uneven
			}
		}
	}
}

func newBrute(p *rinse.Problem, over, even int, most [2]int) *brute {
	b := &brute{p: p, over: over, even: even, most: most, best: most, vars: 1, level: math.MinInt}
	n := len(p.Zones)
	b.start, b.pick, b.state = make([]int, n), make([]int, n), make([]int, n)
	newest := math.MinInt
	for i, z := range p.Zones {
		b.start[i] = -1
		if z.On && z.Apply == 0 {
			b.state[i] = 1
			if p.Strengths == rinse.Rising && z.Last >= newest {
				newest, b.level = z.Last, z.Allowed[0].Level
			}
		}
	}
	return b
}

// try goes on from a partial plan: hands are free at the variable free, the
// client arrived at the basin at arrived and was rinsed for so long.
func (b *brute) try(basin, rinsed bool, free, arrived, rinsing, trips int) {
	times, ok := b.solve()
	if !ok || trips > b.best[0] || b.even >= 0 && b.found {
		return
	}
	finish := times[free]
	if trips == b.best[0] && (b.even < 0 && finish >= b.best[1] || b.even >= 0 && finish > b.best[1]) {
		return
	}
	left := false
	for _, s := range b.state {
		left = left || s < 2
	}
	if !left {
		b.found, b.best = true, [2]int{trips, finish}
		return
	}
	mark, vars := len(b.edges), b.vars
	back := func() { b.edges, b.vars = b.edges[:mark], vars }
	if basin {
		for i, s := range b.state {
			if s == 1 {
				b.rinse(i, free, arrived, rinsing, trips)
				back()
			}
		}
		if rinsed {
			b.try(false, false, b.after(free, b.p.Reseat), 0, 0, trips)
			back()
		}
		return
	}
	pending := false
	for i, s := range b.state {
		pending = pending || s == 1
		if s == 0 && (b.p.Order == rinse.Open || !b.earlier(i)) {
			b.apply(i, free, trips)
			back()
		}
	}
	if pending {
		at := b.after(free, b.p.Walk)
		b.try(true, false, at, at, 0, trips+1)
		back()
	}
}

func (b *brute) earlier(i int) bool {
	for _, s := range b.state[:i] {
		if s == 0 {
			return true
		}
	}
	return false
}

func (b *brute) apply(i, free, trips int) {
	z := &b.p.Zones[i]
	level := b.level
	for k, s := range z.Allowed {
		if !z.On && (z.Capped && s.Level > z.Strongest || b.p.Strengths == rinse.Rising && s.Level < level) {
			continue
		}
		mark, vars := len(b.edges), b.vars
		if b.p.Strengths == rinse.Rising {
			b.level = s.Level
		}
		b.start[i], b.pick[i], b.state[i] = b.after(free, 0), k, 1
		b.try(false, false, b.after(b.start[i], z.Apply), 0, 0, trips)
		b.edges, b.vars = b.edges[:mark], vars
	}
	b.start[i], b.state[i], b.level = -1, 0, level
}

func (b *brute) rinse(i, free, arrived, rinsing, trips int) {
	z := &b.p.Zones[i]
	s := z.Allowed[b.pick[i]]
	off := b.after(free, z.Rinse)
	rinsing += z.Rinse
	b.atMost(off, arrived, rinsing+b.p.IdleCap)
	limit := max(s.Limit-z.Carried, 0) + b.over
	last, spent := 0, 0 // last contact = variable 0 + shift, or start + Apply
	lastVar := 0
	if b.start[i] >= 0 {
		lastVar, last = b.start[i], z.Apply
		spent = z.Apply
	} else {
		last = z.Last - b.p.Now
	}
	if z.On {
		spent += z.Last - z.First
		b.atMost(off, 0, z.First-b.p.Now+limit)
	} else {
		b.atMost(off, b.start[i], limit)
	}
	b.add(lastVar, off, last+s.Opens)
	if b.even >= 0 {
		target := s.Target
		if target == 0 {
			target = (s.Opens + s.Limit) / 2
		}
		// exposure = off - last contact + spent/2 + carried
		plus := spent/2 + z.Carried - last
		b.atMost(off, lastVar, target+b.even-plus)
		b.add(lastVar, off, target-b.even-plus)
	}
	b.state[i] = 2
	b.try(true, true, off, arrived, rinsing, trips)
	b.state[i] = 1
}

// after makes a variable at least so long after another.
func (b *brute) after(v, least int) int {
	b.vars++
	b.edges = append(b.edges, [3]int{v, b.vars - 1, least})
	return b.vars - 1
}

// add asks for to >= from + least.
func (b *brute) add(from, to, least int) {
	b.edges = append(b.edges, [3]int{from, to, least})
}

func (b *brute) atMost(v, of, most int) { b.add(v, of, -most) }

// solve is the earliest solution of all edges to >= from + least.
func (b *brute) solve() ([]int, bool) {
	x := make([]int, b.vars)
	for round := 0; ; round++ {
		moved := false
		for _, e := range b.edges {
			if x[e[0]]+e[2] > x[e[1]] {
				x[e[1]], moved = x[e[0]]+e[2], true
			}
		}
		if x[0] > 0 || round > b.vars {
			return nil, false
		}
		if !moved {
			return x, true
		}
	}
}
