package floor

import (
	"slices"

	"rinseby/timing/dbm"
)

// guess looks for an order that needs little relief of all bounds, without
// insisting: it gives each try a few nodes.
func (h *hands) guess(m *meter) remedy {
	best, _ := h.remedy(h.oneByOne(), -1)
	for lo, at := int32(0), int32(0); best.by-lo > best.by/16; at = lo + (best.by-lo)/2 {
		few := m.part(2*len(h.jobs) + 20)
		starts, a := h.decide(relief{all: at, one: -1}, few)
		m.took(few)
		if a == found {
			if r, _ := h.remedy(h.orderOf(starts), -1); r.by < best.by {
				best = r
				continue
			}
		}
		lo = at + 1
	}
	return best
}

// leastSlack finds the least relief of all bounds with which the jobs fit, from
// lo on, given an order with what it needs. It is proved if nothing less does.
func (h *hands) leastSlack(lo int32, best remedy, m *meter) (r remedy, proved bool) {
	for k := 0; lo < best.by; k++ {
		at := try(k, lo, best.by)
		switch starts, a := h.decide(relief{all: at, one: -1}, m); a {
		case spent:
			return best, false
		case none:
			lo = at + 1
		case found:
			best, _ = h.remedy(h.orderOf(starts), -1)
		}
	}
	return best, true
}

// try is the next to be tried from lo to less than hi: in turn just below hi,
// since the last that was found is often the best, and halfway.
func try(k int, lo, hi int32) int32 {
	if k%2 == 0 {
		return hi - 1
	}
	return lo + (hi-lo)/2
}

// A clash is two chains that don't fit together, or one that does not by itself
// (then it is both).
type clash struct {
	chains []int
	remedy remedy
	of     *hands
	proved bool
}

// clashes looks for single chains that can't be kept, and, if there are none,
// for pairs that don't fit. Which of them need how much is not asked of the
// pairs yet.
func (h *hands) clashes(m *meter) (list []clash) {
	for _, i := range h.chains {
		one := gather(h.p, []int{i})
		if r, _ := one.remedy(one.oneByOne(), -1); r.by > 0 {
			list = append(list, clash{[]int{i}, r, one, true})
		}
	}
	if len(list) > 0 {
		return list
	}
	for k, i := range h.chains {
		for _, j := range h.chains[:k] {
			two := gather(h.p, []int{j, i})
			if _, a := two.decide(asAsked, m); a == none {
				list = append(list, clash{chains: []int{j, i}, of: two})
			}
		}
	}
	return list
}

// explain says what stands in the way of the jobs, which can't all be kept. It
// returns the least bad schedule too; best is one to begin with.
func (h *hands) explain(list []clash, best remedy, m *meter) (*Collision, remedy) {
	lo, proved := int32(1), true
	var worst *clash
	for k := range list {
		c := &list[k]
		if len(c.chains) == 2 {
			c.remedy, c.proved = c.of.leastSlack(1, c.of.guess(m), m)
		}
		proved = proved && c.proved
		if c.proved {
			lo = max(lo, c.remedy.by)
		}
		if worst == nil || c.remedy.by > worst.remedy.by {
			worst = c
		}
	}
	all, least := h.leastSlack(lo, best, m)
	col := &Collision{Slack: int(all.by), Proved: proved && least}
	if worst != nil {
		col.By = int(min(worst.remedy.by, all.by)) // with what is enough for all, these fit too
		worst.of.name(col, worst.remedy)
	} else {
		h.name(col, all)
	}
	if least {
		lo = all.by
	}
	gap, sure := h.gap(list, lo, m)
	soft, known := h.leastSoft(lo, m)
	col.Gap, col.Soft, col.Proved = gap, soft, col.Proved && sure && known
	return col, all
}

// leastSoft finds the least relief, from lo on, of the bounds that are not of
// chemistry with which the jobs fit; None if there is none.
func (h *hands) leastSoft(lo int32, m *meter) (by int, proved bool) {
	starts, a := h.decide(relief{one: -1, soft: dbm.Inf / 16}, m)
	if a != found {
		return None, a == none
	}
	best := h.missed(starts)
	for k := 0; lo < best; k++ {
		at := try(k, lo, best)
		switch starts, a := h.decide(relief{one: -1, soft: at}, m); a {
		case spent:
			return int(best), false
		case none:
			lo = at + 1
		case found:
			best = h.missed(starts)
		}
	}
	return int(best), true
}

// missed is by how much starts miss the bounds that are not of chemistry.
func (h *hands) missed(starts []int32) (by int32) {
	at := func(v int) int32 {
		if v == 0 {
			return 0
		}
		return starts[v-1]
	}
	for k := range h.bounds {
		if b := &h.bounds[k]; !b.chemistry && b.most < dbm.Inf {
			by = max(by, at(b.to)-at(b.from)-b.most)
		}
	}
	return by
}

// name enters the two tasks at which the tightest cycle of waits passes from one
// chain to another, the first time in the schedule; or, within one chain, the
// first and last task of that cycle.
func (h *hands) name(col *Collision, r remedy) {
	first, last := -1, -1 // in the order of the remedy
	at := make([]int, len(h.jobs))
	for k, i := range r.order {
		at[i] = k
	}
	cross := -1
	for _, k := range r.clash {
		to, from, _ := r.tightest.system.Constraint(k)
		for _, v := range []int{to, from} {
			if v > 0 && (first < 0 || at[v-1] < first) {
				first = at[v-1]
			}
			if v > 0 && at[v-1] > last {
				last = at[v-1]
			}
		}
		if to > 0 && from > 0 && h.jobs[to-1].chain != h.jobs[from-1].chain && (cross < 0 || at[from-1] < cross) {
			cross = at[from-1]
		}
	}
	a, b := first, last
	if cross >= 0 {
		a, b = cross, cross+1
	}
	ja, jb := h.jobs[r.order[a]], h.jobs[r.order[b]]
	col.A, col.TaskA, col.B, col.TaskB = ja.chain, ja.task, jb.chain, jb.task
}

// gap finds the single bound, not of chemistry, whose widening alone makes all
// fit, with the least widening. No widening of less than lo does. It is sure if
// nothing was left open.
func (h *hands) gap(list []clash, lo int32, m *meter) (g *Gap, sure bool) {
	sure = true
	best := int32(None)
	for k := range h.bounds {
		b := &h.bounds[k]
		if b.chemistry || b.most >= dbm.Inf || best <= lo || !concerns(list, b.chain) {
			continue
		}
		by, ok := h.widening(k, lo, best, m)
		sure = sure && ok
		if by < best {
			best = by
			g = &Gap{Chain: b.chain, Link: b.link, By: int(by)}
		}
	}
	return g, sure
}

// concerns reports whether every clash has the chain in it; no other can help.
func concerns(list []clash, chain int) bool {
	return !slices.ContainsFunc(list, func(c clash) bool { return !slices.Contains(c.chains, chain) })
}

// widening is the least by which the bound has to give, from lo to less than hi,
// for all to fit; hi if there is none.
func (h *hands) widening(one int, lo, hi int32, m *meter) (by int32, sure bool) {
	by = hi
	for k := 0; lo < by; k++ {
		at := try(k, lo, by)
		switch starts, a := h.decide(relief{one: one, more: at}, m); a {
		case spent:
			return by, false
		case none:
			lo = at + 1
		case found:
			r, _ := h.remedy(h.orderOf(starts), one)
			by = min(r.by, at)
		}
	}
	return by, true
}
