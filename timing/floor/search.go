package floor

import (
	"cmp"
	"encoding/binary"

	"rinseby/timing/dbm"
)

// A search lines one worker's jobs up, from the first to the last. What is left
// after some of them depends only on which are done and on what is left of the
// moments of the others: where that has failed once, all that it covers fails
// too.
type search struct {
	*hands
	*meter
	lists   [][]int // the jobs of each chain
	done    []int   // how many of them are lined up
	levels  []*level
	failed  map[string][]dbm.Matrix
	keep    int // bounds that may still be kept in failed
	windows windows
	soonest bool    // try first what can start sooner
	starts  []int32 // of the jobs, once found
}

// A level is the storage for one depth of the search.
type level struct {
	todo   []int // the jobs that are not lined up
	vars   []int // now, and their variables
	rest   []int32
	branch []int32
}

// maxKept bounds what is remembered of failures: 64 megabytes.
const maxKept = 16 << 20

// decide finds a schedule that keeps the bounds with some relief, or proves
// that there is none.
func (h *hands) decide(r relief, m *meter) ([]int32, answer) {
	if m.empty() {
		return nil, spent
	}
	mat, ok := h.matrix(r)
	if !ok {
		return nil, none
	}
	s := &search{hands: h, failed: map[string][]dbm.Matrix{}, keep: maxKept}
	for k := range h.jobs {
		if !h.follows(k) {
			s.lists = append(s.lists, nil)
		}
		last := len(s.lists) - 1
		s.lists[last] = append(s.lists[last], k)
	}
	s.done = make([]int, len(s.lists))
	return s.starts, s.anew(mat, m)
}

// anew searches again and again, each time with twice the budget and another
// idea of what to try first, since a wrong first choice can cost any time. What
// failed is known the next time.
func (s *search) anew(mat dbm.Matrix, m *meter) answer {
	from := mat.CopyTo(make([]int32, len(mat.Bounds())))
	for limit := 2*len(s.jobs) + 20; ; limit *= 2 {
		s.meter = m.part(limit)
		a := s.next(mat, 0)
		m.took(s.meter)
		if a != spent || m.empty() {
			return a
		}
		s.soonest = !s.soonest
		from.CopyTo(mat.Bounds())
	}
}

// next tries each job that can be the next one. It may change mat.
func (s *search) next(mat dbm.Matrix, depth int) answer {
	if !s.spend() {
		return spent
	}
	at := s.level(depth)
	if !s.propagate(mat, at.todo) {
		return none
	}
	if !s.overlap(mat, at.todo) {
		s.starts = make([]int32, len(s.jobs))
		for k := range s.jobs {
			s.starts[k] = mat.Least(k+1, 0)
		}
		return found
	}
	key, rest := s.key(), mat.Onto(at.rest, at.vars)
	for _, f := range s.failed[key] {
		if f.Covers(rest) {
			return none
		}
	}
	for _, c := range s.candidates(mat) {
		branch := mat.CopyTo(at.branch)
		if !s.ahead(branch, c) {
			continue
		}
		s.done[c]++
		a := s.next(branch, depth+1)
		s.done[c]--
		if a != none {
			return a
		}
	}
	if n := len(rest.Bounds()); n <= s.keep {
		s.keep -= n
		s.failed[key] = append(s.failed[key], rest.CopyTo(make([]int32, n)))
	}
	return none
}

// level lists the jobs that are not lined up, with room for the depth.
func (s *search) level(depth int) *level {
	if depth == len(s.levels) {
		n := len(s.jobs) + 1
		s.levels = append(s.levels, &level{rest: make([]int32, n*n), branch: make([]int32, n*n)})
	}
	at := s.levels[depth]
	at.todo, at.vars = at.todo[:0], append(at.vars[:0], 0)
	for c, list := range s.lists {
		for _, i := range list[s.done[c]:] {
			at.todo, at.vars = append(at.todo, i), append(at.vars, i+1)
		}
	}
	return at
}

// key tells which jobs are lined up.
func (s *search) key() string {
	var b []byte
	for _, k := range s.done {
		b = binary.AppendUvarint(b, uint64(k))
	}
	return string(b)
}

// room is how much the start of j could be moved off the end of i, if i is done
// first; negative if that can't be.
func (s *search) room(mat dbm.Matrix, i, j int) int32 { return mat.Most(j+1, i+1) - s.jobs[i].takes }

// settled reports whether i is done before j in every schedule that is left.
func (s *search) settled(mat dbm.Matrix, i, j int) bool {
	return mat.Least(j+1, i+1) >= s.jobs[i].takes
}

// before puts the job i before j, and reports whether a solution is left.
func (s *search) before(mat dbm.Matrix, i, j int) bool {
	return mat.Tighten(i+1, j+1, -s.jobs[i].takes)
}

// upcoming is the next job of a chain, if it has one left.
func (s *search) upcoming(chain int) (job int, ok bool) {
	list := s.lists[chain][s.done[chain]:]
	if len(list) == 0 {
		return 0, false
	}
	return list[0], true
}

// ahead puts the next job of the chain before those of all others.
func (s *search) ahead(mat dbm.Matrix, chain int) bool {
	i, _ := s.upcoming(chain)
	for c := range s.lists {
		if j, ok := s.upcoming(c); ok && c != chain && !s.before(mat, i, j) {
			return false
		}
	}
	return true
}

// candidates are the chains whose next job can be the next of all, the most
// pressing one in front.
func (s *search) candidates(mat dbm.Matrix) (out []int) {
	for c := range s.lists {
		i, ok := s.upcoming(c)
		for d := range s.lists {
			if j, other := s.upcoming(d); ok && other && c != d && s.room(mat, i, j) < 0 {
				ok = false
			}
		}
		if !ok {
			continue
		}
		k := len(out)
		out = append(out, c)
		for ; k > 0; k-- {
			if j, _ := s.upcoming(out[k-1]); !s.presses(mat, i, j) {
				break
			}
			out[k] = out[k-1]
		}
		out[k] = c
	}
	return out
}

// presses reports whether i is to be tried as the next before j: where more room
// is left, or, every other time the search begins anew, what can start sooner.
func (s *search) presses(mat dbm.Matrix, i, j int) bool {
	rooms := cmp.Compare(s.room(mat, j, i), s.room(mat, i, j))
	starts := cmp.Compare(mat.Least(i+1, 0), mat.Least(j+1, 0))
	if s.soonest {
		return cmp.Or(starts, rooms) < 0
	}
	return cmp.Or(rooms, starts) < 0
}

// overlap reports whether two of the jobs overlap in the earliest schedule that
// is left if orders are not minded.
func (s *search) overlap(mat dbm.Matrix, todo []int) bool {
	for k, i := range todo {
		a := mat.Least(i+1, 0)
		for _, j := range todo[:k] {
			b := mat.Least(j+1, 0)
			if a+s.jobs[i].takes > b && b+s.jobs[j].takes > a {
				return true
			}
		}
	}
	return false
}
