package floor

import (
	"cmp"
	"slices"

	"rinseby/timing/dbm"
)

// A course is a whole order of one worker's jobs with the moments left open: a
// system of constraints on their starts.
type course struct {
	*hands
	order  []int
	system dbm.System
	widens []int // of each constraint: the bound of which it is the Most, or -1
}

// course lines the jobs up, with some relief.
func (h *hands) course(order []int, r relief) *course {
	c := &course{hands: h, order: order}
	mark := func(bound int) {
		for len(c.widens) < c.system.Mark() {
			c.widens = append(c.widens, bound)
		}
	}
	for range h.jobs {
		c.system.Var()
	}
	for k, j := range h.jobs {
		if j.begun {
			c.system.AtMost(k+1, 0, 0)
		}
	}
	for k := 1; k < len(order); k++ {
		i, j := order[k-1], order[k]
		c.system.AtLeast(j+1, i+1, int(h.jobs[i].takes))
	}
	mark(-1)
	for k := range h.bounds {
		b := &h.bounds[k]
		if b.least > -dbm.Inf {
			c.system.AtLeast(b.to, b.from, int(b.least))
			mark(-1)
		}
		if most := r.most(k, b); most < dbm.Inf {
			c.system.AtMost(b.to, b.from, int(most))
			mark(k)
		}
	}
	return c
}

// orderOf is the order in which the starts have the jobs.
func (h *hands) orderOf(starts []int32) []int {
	order := make([]int, len(h.jobs))
	for k := range order {
		order[k] = k
	}
	slices.SortFunc(order, func(i, j int) int {
		return cmp.Or(cmp.Compare(starts[i], starts[j]), cmp.Compare(h.jobs[i].takes, h.jobs[j].takes), cmp.Compare(i, j))
	})
	return order
}

// oneByOne is the order that always is: what has begun, and then one chain after
// the other.
func (h *hands) oneByOne() []int {
	order := make([]int, 0, len(h.jobs))
	for k, j := range h.jobs {
		if j.begun {
			order = append(order, k)
		}
	}
	for k, j := range h.jobs {
		if !j.begun {
			order = append(order, k)
		}
	}
	return order
}

// A remedy is what an order of jobs needs to be kept.
type remedy struct {
	order  []int
	by     int32
	starts []int32
	// The tightest cycle of waits: what it needs is by. Empty if by is 0.
	tightest *course
	clash    []int
}

// remedy finds the least relief with which the order of the jobs can be kept:
// of all bounds, or, if one is not -1, of that one alone. It is not ok if
// widening that one does not help.
//
// Each contradiction says by how much its bounds have to give at least, so what
// is enough for the last is the least.
func (h *hands) remedy(order []int, one int) (m remedy, ok bool) {
	m.order = order
	for {
		r := relief{all: m.by, one: -1}
		if one >= 0 {
			r = relief{one: one, more: m.by}
		}
		c := h.course(order, r)
		clash := c.system.Clash()
		if clash == nil {
			x, _ := c.system.Earliest()
			m.starts = make([]int32, len(h.jobs))
			for k := range m.starts {
				m.starts[k] = int32(x[k+1])
			}
			return m, true
		}
		excess, wide := 0, 0
		for _, k := range clash {
			_, _, least := c.system.Constraint(k)
			excess += least
			if b := c.widens[k]; b >= 0 && (one < 0 || b == one) {
				wide++
			}
		}
		if wide == 0 {
			return m, false
		}
		m.by += int32((excess + wide - 1) / wide)
		m.tightest, m.clash = c, clash
	}
}

// early moves jobs of the order ahead of their neighbours as long as that makes
// the sum of all starts less, and the bounds are kept.
func (h *hands) early(starts []int32, m *meter) []int32 {
	order := h.orderOf(starts)
	best, x := h.sum(order)
	for moved := true; moved; {
		moved = false
		for k := 1; k < len(order); k++ {
			if h.jobs[order[k]].chain == h.jobs[order[k-1]].chain {
				continue
			}
			if !m.spend() {
				return x
			}
			order[k-1], order[k] = order[k], order[k-1]
			if sum, other := h.sum(order); other != nil && sum < best {
				best, x, moved = sum, other, true
			} else {
				order[k-1], order[k] = order[k], order[k-1]
			}
		}
	}
	return x
}

// sum is that of the earliest starts of an order; they are nil if there are none.
func (h *hands) sum(order []int) (sum int, starts []int32) {
	c := h.course(order, asAsked)
	x, ok := c.system.Earliest()
	if !ok {
		return 0, nil
	}
	starts = make([]int32, len(h.jobs))
	for k := range starts {
		starts[k] = int32(x[k+1])
		sum += x[k+1]
	}
	return sum, starts
}
