package rinse

import (
	"sort"

	"rinseby/timing/dbm"
)

// A course is a whole plan's decisions with the moments left open: a system of
// constraints on the ends of its steps.
type course struct {
	*model
	steps  []step
	system dbm.System
	ends   []int // of each step: its variable
	anchor []int // of each zone: the variable of its anchor, with shift to be added
	shift  []int
	off    []int // of each zone: the variable of the end of its rinse
	used   []int // of each zone: its variant
}

func (m *model) course(steps []step) *course {
	c := &course{model: m, steps: steps, anchor: make([]int, m.n), shift: make([]int, m.n), off: make([]int, m.n), used: make([]int, m.n)}
	before, arrived, rinsing := 0, 0, 0
	for _, st := range steps {
		end := c.system.Var()
		takes := c.takes(st)
		c.system.AtLeast(end, before, takes)
		switch st.kind {
		case Apply:
			v := &m.variants[st.zone][st.variant]
			c.used[st.zone], c.anchor[st.zone], c.shift[st.zone] = st.variant, end, -takes
			c.system.AtLeast(end, 0, int(v.lo)+takes)
			if v.hi < dbm.Inf {
				c.system.AtMost(end, 0, int(v.hi)+takes)
			}
		case Walk:
			arrived, rinsing = end, 0
		case Rinse:
			rinsing += takes
			c.off[st.zone] = end
			c.system.AtMost(end, arrived, rinsing+int(m.cap))
		case Reseat:
			c.system.AtMost(end, before, takes) // at once after the last rinse
		}
		c.ends = append(c.ends, end)
		before = end
	}
	return c
}

func (c *course) takes(st step) int {
	switch st.kind {
	case Apply:
		return int(c.variants[st.zone][st.variant].dur)
	case Walk:
		return int(c.walk)
	case Rinse:
		return int(c.rinse[st.zone])
	}
	return int(c.reseat)
}

// ask adds what all zones ask for.
func (c *course) ask(windows [][]window) {
	for i := range c.n {
		w := windows[i][c.used[i]]
		c.system.AtLeast(c.off[i], c.anchor[i], c.shift[i]+int(w.opens))
		if w.limit < dbm.Inf {
			c.system.AtMost(c.off[i], c.anchor[i], c.shift[i]+int(w.limit))
		}
		if w.abs < dbm.Inf {
			c.system.AtMost(c.off[i], 0, int(w.abs))
		}
	}
}

// fix makes the course keep the limits, later by over, have the exposures
// within even of their targets, and be done by finish (dbm.Inf for any time).
func (c *course) fix(over, even, finish int32) {
	c.ask(c.windows(over, even))
	if finish < dbm.Inf && len(c.ends) > 0 {
		c.system.AtMost(c.ends[len(c.ends)-1], 0, int(finish))
	}
}

// times are the earliest ends of the steps of the course if it is fixed so.
func (c *course) times(over, even, finish int32) ([]int, bool) {
	mark := c.system.Mark()
	defer c.system.Cut(mark)
	c.fix(over, even, finish)
	return c.system.Earliest()
}

// least is the smallest x from lo on for which ok holds; ok must hold for hi
// and for all above that for which it holds.
func least(lo, hi int32, ok func(int32) bool) int32 {
	return lo + int32(sort.Search(int(hi-lo), func(k int) bool { return ok(lo + int32(k)) }))
}
