package floor

import (
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
	rooms   [][]int32
	failed  map[string][]dbm.Matrix
	keep    int // bounds that may still be kept in failed
	windows windows
	todo    [][]int // by depth: the jobs that are not lined up
	starts  []int32 // of the jobs, once found
}

// maxKept bounds what is remembered of failures: 64 megabytes.
const maxKept = 16 << 20

// decide finds a schedule that keeps the bounds with some relief, or proves
// that there is none.
func (h *hands) decide(r relief, m *meter) ([]int32, answer) {
	mat, ok := h.matrix(r)
	if !ok {
		return nil, none
	}
	s := &search{hands: h, meter: m, failed: map[string][]dbm.Matrix{}, keep: maxKept}
	for k := range h.jobs {
		if !h.follows(k) {
			s.lists = append(s.lists, nil)
		}
		last := len(s.lists) - 1
		s.lists[last] = append(s.lists[last], k)
	}
	s.done = make([]int, len(s.lists))
	a := s.next(mat, 0)
	return s.starts, a
}

// next tries each job that can be the next one. It may change mat.
func (s *search) next(mat dbm.Matrix, depth int) answer {
	if !s.spend() {
		return spent
	}
	todo := s.left(depth)
	if !s.propagate(mat, todo) {
		return none
	}
	if !s.overlap(mat, todo) {
		s.starts = make([]int32, len(s.jobs))
		for k := range s.jobs {
			s.starts[k] = mat.Least(k+1, 0)
		}
		return found
	}
	key, rest := s.rest(mat, todo)
	for _, f := range s.failed[key] {
		if f.Covers(rest) {
			return none
		}
	}
	for _, c := range s.candidates(mat) {
		branch := mat.CopyTo(s.rooms[depth])
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
		s.failed[key] = append(s.failed[key], rest)
	}
	return none
}

// left lists the jobs that are not lined up, and makes room for the depth.
func (s *search) left(depth int) []int {
	if depth == len(s.rooms) {
		n := len(s.jobs) + 1
		s.rooms, s.todo = append(s.rooms, make([]int32, n*n)), append(s.todo, nil)
	}
	todo := s.todo[depth][:0]
	for c, list := range s.lists {
		todo = append(todo, list[s.done[c]:]...)
	}
	s.todo[depth] = todo
	return todo
}

// rest is what is left for the jobs that are not lined up, and a key for which
// those are.
func (s *search) rest(mat dbm.Matrix, todo []int) (key string, m dbm.Matrix) {
	var b []byte
	for _, k := range s.done {
		b = binary.AppendUvarint(b, uint64(k))
	}
	keep := make([]int, 1, len(todo)+1)
	for _, i := range todo {
		keep = append(keep, i+1)
	}
	return string(b), mat.Onto(make([]int32, len(keep)*len(keep)), keep)
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

// presses reports whether i has to start sooner than j, or can.
func (s *search) presses(mat dbm.Matrix, i, j int) bool {
	a, b := mat.Most(i+1, 0), mat.Most(j+1, 0)
	return a < b || a == b && mat.Least(i+1, 0) < mat.Least(j+1, 0)
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
