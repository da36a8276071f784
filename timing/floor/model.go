package floor

import "rinseby/timing/dbm"

// hands are the tasks of one worker. The job k is the variable k+1 of a system
// of difference constraints: the moment of its start.
type hands struct {
	p      *Problem
	chains []int // those of the worker, by index in the problem
	jobs   []job
	bounds []bound
}

type job struct {
	chain, task int
	takes       int32
	begun       bool
}

// A bound is a link between variables, 0 being now.
type bound struct {
	from, to    int
	least, most int32 // -dbm.Inf and dbm.Inf for none
	chain, link int
	chemistry   bool
}

// gather puts the given chains on one pair of hands.
func gather(p *Problem, chains []int) *hands {
	h := &hands{p: p, chains: chains}
	for _, i := range chains {
		c := &p.Chains[i]
		first := len(h.jobs) + 1
		for k, t := range c.Tasks {
			h.jobs = append(h.jobs, job{i, k, int32(t.Takes), t.Begun})
		}
		for k, l := range c.Links {
			b := bound{from: 0, to: first + l.To, least: -dbm.Inf, most: dbm.Inf, chain: i, link: k, chemistry: l.Chemistry}
			if l.From != Now {
				b.from = first + l.From
			}
			if l.Least != None {
				b.least = int32(l.Least)
			}
			if l.Most != None {
				b.most = int32(l.Most)
			}
			h.bounds = append(h.bounds, b)
		}
	}
	return h
}

// workers lists the chains of each worker, in the order in which they appear.
func (p *Problem) workers() (lists [][]int) {
	at := map[string]int{}
	for i, c := range p.Chains {
		k, ok := at[c.Worker]
		if !ok {
			k = len(lists)
			at[c.Worker] = k
			lists = append(lists, nil)
		}
		lists[k] = append(lists[k], i)
	}
	return lists
}

// follows reports whether the job k is the next of its chain after job k-1.
func (h *hands) follows(k int) bool { return h.jobs[k].task > 0 }

// A relief is what is added to the bounds: to all, to one of them, and to those
// that are not of chemistry.
type relief struct {
	all  int32
	one  int // index of a bound, or -1
	more int32
	soft int32
}

var asAsked = relief{one: -1}

func (r relief) most(k int, b *bound) int32 {
	if b.most >= dbm.Inf {
		return dbm.Inf
	}
	most := b.most + r.all
	if k == r.one {
		most += r.more
	}
	if !b.chemistry {
		most += r.soft
	}
	return min(most, dbm.Inf/8)
}

// matrix is what the chains ask for with some relief, before anything is said
// about their order. It is not ok if that can't be.
func (h *hands) matrix(r relief) (m dbm.Matrix, ok bool) {
	m = dbm.New(len(h.jobs) + 1)
	tighten := func(i, j int, c int32) {
		at := &m.Bounds()[i*m.Size()+j]
		*at = min(*at, c)
	}
	for k, j := range h.jobs {
		tighten(0, k+1, 0)
		if j.begun {
			tighten(k+1, 0, 0)
		}
		if h.follows(k) {
			tighten(k, k+1, -h.jobs[k-1].takes)
		}
	}
	for k := range h.bounds {
		b := &h.bounds[k]
		if b.least > -dbm.Inf {
			tighten(b.from, b.to, -b.least)
		}
		if most := r.most(k, b); most < dbm.Inf {
			tighten(b.to, b.from, most)
		}
	}
	return m, m.Close()
}
