package rinse

import (
	"slices"

	"rinseby/timing/dbm"
)

// Tails bound from below what the zones that are still to be applied cost.
type tails struct {
	line  []int   // zones to apply, in order if that is fixed
	at    []int   // of each zone: its place in line
	trips []int32 // walks needed from the chair with line[k:] to come and nothing on
	tours []int32 // trips that must end before the last of line[k:] is begun
	work  []int32 // seconds of applying line[k:]
	last  int32   // from the end of the last application until that zone is off
	loose []int32 // of each zone: from the end of its application until the hands must set out
	sorts []int32 // seconds of applying each zone of line, shortest first
	most  int     // zones that fit between two trips, if the order is open
}

func (s *search) newTails() tails {
	t := tails{at: make([]int, s.n), loose: make([]int32, s.n), last: dbm.Inf}
	for i := range s.n {
		t.at[i] = len(t.line)
		if s.on.has(i) {
			continue
		}
		t.line = append(t.line, i)
		t.sorts = append(t.sorts, s.minDur[i])
		soonest := dbm.Inf
		for k, w := range s.windows[i] {
			dur := s.variants[i][k].dur
			soonest = min(soonest, w.opens-dur)
			loose := dbm.Inf
			if w.limit < dbm.Inf {
				loose = w.limit - dur - s.walk - s.rinse[i]
			}
			t.loose[i] = max(t.loose[i], loose)
		}
		if s.p.Order == Fixed {
			t.last = dbm.Inf
		}
		t.last = min(t.last, soonest)
	}
	slices.Sort(t.sorts)
	n := len(t.line)
	t.trips, t.tours, t.work = make([]int32, n+1), make([]int32, n+1), make([]int32, n+1)
	for k := n - 1; k >= 0; k-- {
		t.work[k] = t.work[k+1] + s.minDur[t.line[k]]
	}
	if s.p.Order == Open {
		t.most = s.mostBetween(&t)
		for k := n - 1; k >= 0; k-- {
			t.trips[k] = int32((n - k + t.most - 1) / t.most)
			t.tours[k] = t.trips[k] - 1
		}
		return t
	}
	for k := n - 1; k >= 0; k-- {
		to := s.reach(&t, k, dbm.Inf)
		t.trips[k] = max(1+t.trips[to], t.trips[k+1])
		if to < n {
			t.tours[k] = 1 + t.tours[to]
		}
	}
	return t
}

// mostBetween is how many zones can be applied between two trips at the most,
// in any order.
func (s *search) mostBetween(t *tails) int {
	var room int32
	for _, i := range t.line {
		room = max(room, t.loose[i])
	}
	return 1 + t.fit(room)
}

// fit is how many zones can be applied in so many seconds, at the most.
func (t *tails) fit(room int32) int {
	for k, d := range t.sorts {
		if room -= d; room < 0 {
			return k
		}
	}
	return len(t.sorts)
}

// reach is the place in line up to which zones from place k on can be applied
// before the next trip, if the hands must set out in so many seconds.
func (s *search) reach(t *tails, k int, room int32) int {
	for ; k < len(t.line); k++ {
		i := t.line[k]
		if s.minDur[i] > room {
			break
		}
		room = min(room-s.minDur[i], t.loose[i])
	}
	return k
}

// bound is the least that a partial plan can come to.
func (s *search) bound(st *state, m dbm.Matrix) cost {
	t := &s.tails
	todo := s.all &^ st.applied
	k := len(t.line) - todo.size() // applied from the line; its place in it, if the order is fixed
	more := t.trips[k]
	tours := t.tours[k]
	free := m.Least(hands, now)
	way := s.walk
	if st.atBasin {
		way += s.reseat
	}
	if room, stays := s.room(st, m, way); stays {
		to := k
		if s.p.Order == Open {
			to = min(k+t.fit(room), len(t.line))
		} else {
			to = s.reach(t, k, room)
		}
		more = max(more, 1+t.trips[to])
		if to < len(t.line) {
			tours = max(tours, 1+t.tours[to])
		}
	}
	finish := free + more*(s.walk+s.reseat)
	if !st.atBasin && more > 0 {
		finish -= s.reseat
	}
	work := s.work(todo)
	finish += work
	for z := s.all &^ (st.applied &^ st.pending); z != 0; z &= z - 1 {
		finish += s.rinse[z.first()]
	}
	if todo != 0 {
		begun := free + work + tours*(s.walk+s.reseat) + t.last
		if st.atBasin {
			begun += s.reseat
		}
		finish = max(finish, begun)
	}
	for z := st.pending; z != 0; z &= z - 1 {
		i := z.first()
		finish = max(finish, m.Least(s.place(st, i), now)+s.window(st, i).opens)
	}
	return cost{int32(st.trips) + more, finish}
}

func (s *search) work(todo set) (sum int32) {
	for z := todo; z != 0; z &= z - 1 {
		sum += s.minDur[z.first()]
	}
	return sum
}

// room is how many seconds of applying are left, at the most, before the hands
// must set out for a zone that is on now; stays tells whether there is one
// which this trip, if the client is at the basin, can't rinse.
func (s *search) room(st *state, m dbm.Matrix, way int32) (room int32, stays bool) {
	room = dbm.Inf
	var rinsing int32
	if st.atBasin {
		for z := st.pending; z != 0; z &= z - 1 {
			rinsing += s.rinse[z.first()]
		}
	}
	for z := st.pending; z != 0; z &= z - 1 {
		i := z.first()
		w, at := s.window(st, i), s.place(st, i)
		if st.atBasin {
			opens := m.Least(at, basinT)
			if opens == -dbm.Inf || opens+w.opens <= s.cap+rinsing {
				continue
			}
		}
		stays = true
		rest := way + s.rinse[i]
		if w.limit < dbm.Inf {
			room = min(room, w.limit-rest-m.Least(hands, at))
		}
		if w.abs < dbm.Inf {
			room = min(room, w.abs-rest-m.Least(hands, now))
		}
	}
	return room, stays
}

// rank orders the queue: by what a plan can come to at the least, longer
// partial plans first; if any plan will do, shorter ones first, so that each is
// compared with all that may cover it before it is followed.
func (s *search) rank(st *state) uint64 {
	const deepest = 1<<12 - 1
	best := uint64(st.least.trips)<<28 | uint64(st.least.finish)
	if s.any {
		return uint64(st.depth)<<40 | best
	}
	return best<<12 | uint64(deepest-st.depth)
}
