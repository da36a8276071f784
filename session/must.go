package session

import (
	"cmp"
	"slices"
	"time"
)

// A job is a zone that is on, as a trip to the basin has to see it.
type job struct {
	id    string
	wet   bool // it is at the basin
	limit time.Time
	rinse time.Duration
}

// byLimit puts jobs in the order of their limits. That is the order in which
// the greatest excess is least, whatever the rinses take (Jackson 1955, the
// earliest-due-date rule; from memory).
func byLimit(jobs []job) []job {
	slices.SortStableFunc(jobs, func(x, y job) int { return x.limit.Compare(y.limit) })
	return jobs
}

// late is how many of the jobs, done one after the other from the moment at,
// are to be done until none is left that would be late.
func late(jobs []job, at time.Time) (n int) {
	for i, j := range jobs {
		if at = at.Add(j.rinse); at.After(j.limit) {
			n = i + 1
		}
	}
	return n
}

// jobs are the zones that are on and have a limit.
func (s *State) jobs(b *Board) (all []job) {
	first, since := "", time.Time{}
	if wet := s.underWater(); len(wet) > 0 {
		first, since = wet[0], s.waterSince()
	}
	for _, z := range b.Zones {
		if !z.Holding() || z.LimitAt.IsZero() {
			continue
		}
		j := job{id: z.ID, wet: z.Rinsing, limit: z.LimitAt, rinse: s.rinseTime()}
		if j.id == first { // it is partly done
			j.rinse = max(j.rinse-max(b.Now.Sub(since), 0), 0)
		}
		all = append(all, j)
	}
	return byLimit(all)
}

// underWater are the zones at the basin in the order in which they are rinsed
// clean: what was taken there last could not wait for what was there before.
func (s *State) underWater() (ids []string) {
	for i := len(s.Trips) - 1; i >= 0; i-- {
		t := s.Trips[i]
		for _, id := range t.Zones {
			if _, done := t.Done[id]; !done && t.Ended.IsZero() {
				ids = append(ids, id)
			}
		}
	}
	return ids
}

// waterSince is when the first of the zones at the basin came under water.
func (s *State) waterSince() (since time.Time) {
	for _, t := range s.Trips {
		if t.Began.After(since) {
			since = t.Began
		}
		for _, done := range t.Done {
			if done.After(since) {
				since = done
			}
		}
	}
	return since
}

// inTime are the zones in the order in which they come, if each is off in time
// that way; else by their limits.
func (s *State) inTime(b *Board, ids []string) []string {
	var jobs []job
	for _, j := range s.jobs(b) {
		if slices.Contains(ids, j.id) {
			jobs = append(jobs, j)
		}
	}
	at := func(j job) int { return slices.Index(ids, j.id) }
	slices.SortStableFunc(jobs, func(x, y job) int { return cmp.Compare(at(x), at(y)) })
	if len(jobs) < len(ids) || late(jobs, b.Now.Add(leastStep+TripWalk)) == 0 {
		return ids
	}
	ids = slices.Clone(ids)
	for i, j := range byLimit(jobs) {
		ids[i] = j.id
	}
	return ids
}

// leastStep is how long anything that hands do takes at least, and how much
// is left for setting out where they only wait. House rule; common practice,
// no source.
const leastStep = time.Minute

// mustGo are the zones that have to be taken off before the next thing is
// begun: those that are closing or over, and those that a trip at once, in
// the best order, would have off by their limits, and a trip after that step
// would not, or later than now. It is a bound, not a plan: it looks one step
// ahead, and no plan can do better than it says.
func (s *State) mustGo(b *Board, next Action) (ids []string) {
	jobs := s.jobs(b)
	var walk time.Duration
	if s.OpenTrip() == nil {
		walk = TripWalk
	}
	after := b.Now.Add(max(s.stepTime(b, next), leastStep))
	last := max(late(jobs, after.Add(walk)), s.crowded(b, next, jobs, after.Add(walk)), s.behind(next, jobs, b.Now.Add(leastStep+walk)))
	for i, j := range jobs {
		if !j.wet && (i < last || b.pressing(j.id)) {
			ids = append(ids, j.id)
		}
	}
	return ids
}

// crowded is how many of the jobs have to be done before the next thing, which
// puts product on, so that what it puts on can be taken off in time beside
// them: none, mostly. What could not be taken off in time if nothing else were
// on is not held against them.
func (s *State) crowded(b *Board, next Action, jobs []job, basin time.Time) int {
	if next.Verb != DoPlace && next.Verb != DoCoat {
		return 0
	}
	z := s.Zone(next.Zones[0])
	w, known := s.windowOf(z, z.Bands, s.Windows, b.Now)
	if !known {
		return 0
	}
	fresh := job{id: z.ID, limit: b.Now.Add(w.Limit), rinse: s.rinseTime()}
	if alone := basin.Add(fresh.rinse); fresh.limit.Before(alone) {
		fresh.limit = alone
	}
	for n := range jobs {
		left, at := []job{fresh}, time.Duration(0)
		if n > 0 { // they are taken off first, and hands come back
			at = TripWalk + TripReseat
		}
		for i, j := range jobs {
			switch {
			case i < n:
				at += j.rinse
			case j.id == fresh.id:
				left[0].limit = earlier(fresh.limit, j.limit)
			default:
				left = append(left, j)
			}
		}
		if n > 0 {
			left[0].limit = left[0].limit.Add(at)
		}
		if late(byLimit(left), basin.Add(at)) == 0 {
			return n
		}
	}
	return len(jobs)
}

func earlier(x, y time.Time) time.Time {
	if y.Before(x) {
		return y
	}
	return x
}

// behind is how many of the jobs have to be done first, or along with it, where
// the next thing is to take off what is ready: those that would be late behind
// it.
func (s *State) behind(next Action, jobs []job, basin time.Time) int {
	if next.Verb != DoReady {
		return 0
	}
	ready := func(j job) bool { return slices.Contains(next.Zones, j.id) }
	first := slices.DeleteFunc(slices.Clone(jobs), func(j job) bool { return !ready(j) })
	others := slices.DeleteFunc(slices.Clone(jobs), ready)
	n := late(append(first, others...), basin) - len(first)
	if n <= 0 {
		return 0
	}
	return 1 + slices.IndexFunc(jobs, func(j job) bool { return j.id == others[n-1].id })
}

// stepTime is how long the thing to do next takes, as far as that is known.
// After a trip hands have to come back to the chair first.
func (s *State) stepTime(b *Board, next Action) time.Duration {
	back := time.Duration(0)
	for _, t := range s.Trips {
		if !t.Ended.IsZero() {
			back = max(back, t.Ended.Add(TripReseat).Sub(b.Now))
		}
	}
	switch next.Verb {
	case DoPlace, DoMix, DoWindow, DoPlan:
		return back + s.pieceInHand(b.Pace)
	case DoCoat:
		return back + s.Zone(next.Zones[0]).perPiece(b.Pace)
	}
	return 0
}
