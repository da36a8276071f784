package floor

import (
	"cmp"
	"slices"

	"rinseby/timing/dbm"
)

// propagate takes every order of jobs that are not lined up of which the
// opposite can't be, until there is none left. It reports whether a schedule may
// be left.
func (s *search) propagate(mat dbm.Matrix, todo []int) bool {
	for {
		ok, moved := s.pairs(mat, todo)
		for ok && moved {
			ok, moved = s.pairs(mat, todo)
		}
		if ok {
			ok, moved = s.squeeze(mat, todo)
		}
		if !ok || !moved {
			return ok
		}
	}
}

// pairs takes the orders that are forced by looking at two jobs alone.
func (s *search) pairs(mat dbm.Matrix, todo []int) (ok, moved bool) {
	for k, i := range todo {
		for _, j := range todo[:k] {
			if s.settled(mat, i, j) || s.settled(mat, j, i) {
				continue
			}
			first, second := s.room(mat, i, j) >= 0, s.room(mat, j, i) >= 0
			if first && second {
				continue
			}
			moved = true
			if !(first && s.before(mat, i, j) || second && s.before(mat, j, i)) {
				return false, true
			}
		}
	}
	return true, moved
}

// windows are jobs that hands do one after another, each between its first
// possible start and its last possible end.
type windows struct {
	first, end, takes []int32
	byFirst, byEnd    []int // the jobs, sorted; the ones with the latest first in front
	reach             []int32
}

// fill takes the windows of the jobs; turned, time runs backwards.
func (w *windows) fill(mat dbm.Matrix, jobs []job, ids []int, turned bool) {
	w.first, w.end, w.takes = w.first[:0], w.end[:0], w.takes[:0]
	w.byFirst, w.byEnd = w.byFirst[:0], w.byEnd[:0]
	for k, i := range ids {
		first, end := mat.Least(i+1, 0), min(mat.Most(i+1, 0)+jobs[i].takes, dbm.Inf)
		if turned {
			first, end = -end, -first
		}
		w.first, w.end, w.takes = append(w.first, first), append(w.end, end), append(w.takes, jobs[i].takes)
		w.byFirst, w.byEnd = append(w.byFirst, k), append(w.byEnd, k)
	}
	slices.SortFunc(w.byFirst, func(a, b int) int { return cmp.Or(cmp.Compare(w.first[b], w.first[a]), cmp.Compare(a, b)) })
	slices.SortFunc(w.byEnd, func(a, b int) int { return cmp.Or(cmp.Compare(w.end[a], w.end[b]), cmp.Compare(a, b)) })
	w.reach = slices.Grow(w.reach[:0], len(ids))[:len(ids)]
}

// squeeze looks at all jobs that must end by some moment: it is false if they
// can't. A job that can't end by then too, if it is done before or between some
// of them, is given to last: it comes after all of them. last tells whether that
// can be.
func (w *windows) squeeze(last func(i int, by int32) bool) bool {
	done := -dbm.Inf
	for _, k := range w.byEnd {
		by := w.end[k]
		if by >= dbm.Inf {
			return true
		}
		if by == done {
			continue
		}
		done = by
		if !w.squeezeBy(by, last) {
			return false
		}
	}
	return true
}

func (w *windows) squeezeBy(by int32, last func(i int, by int32) bool) bool {
	sum := int32(0)
	for at, j := range w.byFirst { // from the latest first start on
		if w.end[j] <= by {
			sum += w.takes[j]
			if w.first[j]+sum > by {
				return false
			}
			w.reach[at] = w.first[j] + sum
			continue
		}
		w.reach[at] = -dbm.Inf
		if sum > 0 && w.first[j]+w.takes[j]+sum > by && !last(j, by) {
			return false
		}
	}
	longest := -dbm.Inf // that those reach to that start no later than the job
	for at := len(w.byFirst) - 1; at >= 0; at-- {
		j := w.byFirst[at]
		if w.end[j] <= by {
			longest = max(longest, w.reach[at])
		} else if longest+w.takes[j] > by && !last(j, by) {
			return false
		}
	}
	return true
}

// squeeze puts jobs after, or before, all of those between which they find no
// room. It reports whether a schedule may be left, and whether anything moved.
func (s *search) squeeze(mat dbm.Matrix, todo []int) (ok, moved bool) {
	w := &s.windows
	for _, turned := range []bool{false, true} {
		w.fill(mat, s.jobs, todo, turned)
		ok := w.squeeze(func(i int, by int32) bool {
			for k, j := range todo {
				if k == i || w.end[k] > by {
					continue
				}
				a, b := j, todo[i]
				if turned {
					a, b = b, a
				}
				if s.settled(mat, a, b) {
					continue
				}
				moved = true
				if !s.before(mat, a, b) {
					return false
				}
			}
			return true
		})
		if !ok {
			return false, moved
		}
	}
	return true, moved
}
