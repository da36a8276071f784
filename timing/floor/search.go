package floor

import "rinseby/timing/dbm"

// An answer is how a search ended.
type answer int

const (
	found answer = iota
	none         // there is no schedule; proved
	spent        // the budget is
)

// defaultNodes is the budget where none is given.
const defaultNodes = 20_000

// A meter counts what a search may still spend.
type meter struct {
	left, used int
	stop       func() bool
	out        bool
}

func newMeter(b Budget) *meter {
	m := &meter{left: b.Nodes, stop: b.Stop}
	if m.left <= 0 {
		m.left = defaultNodes
	}
	return m
}

// spend takes one from the budget, and reports whether there was one.
func (m *meter) spend() bool {
	if m.out || m.left == 0 || m.stop != nil && m.stop() {
		m.out = true
		return false
	}
	m.left--
	m.used++
	return true
}

// part is a meter of the same budget that ends after so many at the latest.
func (m *meter) part(most int) *meter {
	return &meter{left: min(most, m.left), stop: m.stop, out: m.out}
}

// took enters what a part of the budget spent.
func (m *meter) took(part *meter) {
	m.left -= part.used
	m.used += part.used
}

// A search looks for a schedule of one worker's jobs.
type search struct {
	*hands
	*meter
	rooms  [][]int32 // storage of the matrices, by depth
	starts []int32   // of the jobs, once found
}

// decide finds a schedule that keeps the bounds with some relief, or proves
// that there is none.
func (h *hands) decide(r relief, m *meter) ([]int32, answer) {
	mat, ok := h.matrix(r)
	if !ok {
		return nil, none
	}
	s := &search{hands: h, meter: m}
	a := s.run(mat, 0)
	return s.starts, a
}

// run decides the order of one pair after another. It may change mat.
func (s *search) run(mat dbm.Matrix, depth int) answer {
	for {
		if !s.propagate(mat) {
			return none
		}
		if !s.spend() {
			return spent
		}
		i, j, any := s.pick(mat)
		if !any {
			s.starts = make([]int32, len(s.jobs))
			for k := range s.jobs {
				s.starts[k] = mat.Least(k+1, 0)
			}
			return found
		}
		if depth == len(s.rooms) {
			s.rooms = append(s.rooms, make([]int32, len(mat.Bounds())))
		}
		branch := mat.CopyTo(s.rooms[depth])
		if s.before(branch, i, j) {
			if a := s.run(branch, depth+1); a != none {
				return a
			}
		}
		if !s.before(mat, j, i) {
			return none
		}
	}
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

// propagate takes every order of which the opposite can't be. It reports
// whether a schedule may be left.
func (s *search) propagate(mat dbm.Matrix) bool {
	for moved := true; moved; {
		moved = false
		for i := range s.jobs {
			for j := i + 1; j < len(s.jobs); j++ {
				if s.settled(mat, i, j) || s.settled(mat, j, i) {
					continue
				}
				first, second := s.room(mat, i, j) >= 0, s.room(mat, j, i) >= 0
				switch {
				case !first && !second:
					return false
				case !first:
					moved = true
					if !s.before(mat, j, i) {
						return false
					}
				case !second:
					moved = true
					if !s.before(mat, i, j) {
						return false
					}
				}
			}
		}
	}
	return true
}

// pick chooses the pair to decide, the one to be tried first in front: of the
// pairs that overlap in the earliest schedule the one with the least room.
func (s *search) pick(mat dbm.Matrix) (first, second int, any bool) {
	best := int64(1) << 62
	for i := range s.jobs {
		for j := i + 1; j < len(s.jobs); j++ {
			a, b := mat.Least(i+1, 0), mat.Least(j+1, 0)
			if a+s.jobs[i].takes <= b || b+s.jobs[j].takes <= a {
				continue
			}
			ij, ji := s.room(mat, i, j), s.room(mat, j, i)
			if score := int64(ij) + int64(ji); score < best {
				best, any = score, true
				first, second = i, j
				if ji > ij || ji == ij && b < a {
					first, second = j, i
				}
			}
		}
	}
	return first, second, any
}
