package tui

import (
	"cmp"
	"maps"
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/session/store"
	"rinseby/timing"
	plan "rinseby/timing/floor"
)

// A worked is what was worked out of all live services together, at one
// reading of the clocks.
type worked struct {
	at      timing.Reading
	by      map[string]ahead // by service
	rosters []roster         // of those who have several clients, by name
	usuals  map[string]session.Usuals
	err     error
}

// An ahead is what is to come in one service.
type ahead struct {
	seq      int // of the state that it is of
	at       timing.Reading
	plan     *session.TripPlan
	forecast *session.Forecast
	work     session.WorkChain
	ok       bool            // there is work
	blocks   []session.Block // on the service's time line, as the roster has them if all fits
	rostered bool            // they do
	start    time.Time       // when hands turn to it after another client; zero if they can at once
}

// A roster is all that one stylist's hands still have to do.
type roster struct {
	stylist string
	ids     []string // of the services, as the chains of the problem
	problem *plan.Problem
	plan    *plan.Plan
	alone   []int // by chain, the seconds that are too much for it alone, which it was given
}

// solveFor is how long one stylist's roster may take. What is not known then is
// said to be not known.
const solveFor = 500 * time.Millisecond

// worker is the name of a stylist as rosters know it.
func worker(stylist string) string { return strings.ToLower(strings.TrimSpace(stylist)) }

// workOut works out all live services together, off the way of keys, if
// anything has changed or what is known has become old, and if anybody is to
// see it: on the floor, and where a stylist has several clients.
func (a *App) workOut() tea.Cmd {
	r := &a.around
	if r.busy || !r.stale && elapsed(r.worked.at, a.now) < planAgain {
		return nil
	}
	shared, names := false, map[string]bool{}
	j := job{at: a.now, clock: a.o.Clock, store: a.o.Store, had: r.worked, logs: map[string]*session.Log{}}
	for id, e := range r.seen {
		s := e.Log.State()
		shared = shared || names[worker(s.Stylist)]
		names[worker(s.Stylist)], j.logs[id] = true, e.Log
	}
	if !shared && !a.onFloor && len(r.worked.rosters) == 0 {
		return nil
	}
	r.busy, r.stale = true, false
	return func() tea.Msg { return floorMsg{j.do()} }
}

// solved takes in what was worked out.
func (a *App) solved(msg floorMsg) tea.Cmd {
	a.around.busy, a.around.worked = false, msg.worked
	if msg.worked.err != nil {
		a.wall.Tell(msg.worked.err.Error(), true)
	}
	cmd := a.lookAround()
	if a.log != nil {
		a.refresh()
	}
	return cmd
}

// elapsed is how long one reading is before another.
func elapsed(from, to timing.Reading) time.Duration {
	if from.SameBoot(to) {
		return to.Boot - from.Boot
	}
	return to.Wall.Sub(from.Wall)
}

// A job is all that is to be worked out. The logs are nobody's to change.
type job struct {
	at    timing.Reading
	clock timing.Clock
	store *store.Store
	had   worked
	logs  map[string]*session.Log
}

func (j *job) do() worked {
	w := worked{at: j.at, by: map[string]ahead{}, usuals: map[string]session.Usuals{}}
	rosters := map[string]*roster{}
	chains := map[string][]plan.Chain{}
	for _, id := range j.pressingFirst() {
		l := j.logs[id]
		s := l.State()
		one, err := j.ahead(id, l, j.usuals(&w, s.Stylist))
		w.err = cmp.Or(w.err, err)
		w.by[id] = one
		if !one.ok {
			continue
		}
		k := worker(s.Stylist)
		if rosters[k] == nil {
			rosters[k] = &roster{stylist: strings.TrimSpace(s.Stylist)}
		}
		rosters[k].ids = append(rosters[k].ids, id)
		chains[k] = append(chains[k], one.work.Chain)
	}
	for _, k := range slices.Sorted(maps.Keys(rosters)) {
		r := rosters[k]
		if len(r.ids) < 2 {
			continue
		}
		if err := j.solve(r, session.FloorProblem(chains[k]...)); err != nil {
			w.err = cmp.Or(w.err, err)
			continue
		}
		w.rosters = append(w.rosters, *r)
		j.follow(&w, r)
	}
	return w
}

// solve plans a roster. What is too much for a client alone, such as a limit
// that has passed, is given that much more time, so that it hides no collision
// with others.
func (j *job) solve(r *roster, p *plan.Problem) error {
	began := j.clock.Read()
	budget := plan.Budget{Stop: func() bool { return elapsed(began, j.clock.Read()) > solveFor }}
	r.problem, r.alone = p, make([]int, len(p.Chains))
	for range len(p.Chains) + 1 {
		solved, err := plan.Solve(p, budget)
		if err != nil {
			return err
		}
		r.plan = solved
		c := solved.Collision
		if c == nil || c.A != c.B || c.By <= 0 || r.alone[c.A] > 0 {
			return nil
		}
		r.alone[c.A] = c.By
		chain := &p.Chains[c.A]
		chain.Links = slices.Clone(chain.Links)
		for i := range chain.Links {
			if l := &chain.Links[i]; l.Most != plan.None {
				l.Most += c.By
			}
		}
	}
	return nil
}

// pressingFirst lists the services by when what is on must be off: of what a
// plan may do in either order, it does first what comes first.
func (j *job) pressingFirst() []string {
	ids := slices.Sorted(maps.Keys(j.logs))
	off := map[string]time.Time{}
	for _, id := range ids {
		off[id] = j.offBy(id)
	}
	slices.SortStableFunc(ids, func(a, b string) int {
		if off[a].IsZero() != off[b].IsZero() {
			return map[bool]int{false: -1, true: 1}[off[a].IsZero()]
		}
		return off[a].Compare(off[b])
	})
	return ids
}

// offBy is when the first of what is on must be off, by the wall clock; zero if
// nothing is on or no limit is known.
func (j *job) offBy(id string) (first time.Time) {
	s := j.logs[id].State()
	for _, z := range s.Zones {
		if at := s.ZoneTiming(z, s.Line.Now(j.at)).LimitAt; !at.IsZero() && z.Holding() {
			if at = s.Line.Wall(at, j.at); first.IsZero() || at.Before(first) {
				first = at
			}
		}
	}
	return first
}

// usuals is what is known of a stylist's times, read once.
func (j *job) usuals(w *worked, stylist string) session.Usuals {
	k := worker(stylist)
	if _, known := w.usuals[k]; known {
		return w.usuals[k]
	}
	u, known := j.had.usuals[k]
	if !known {
		var err error
		if u, err = j.store.Usuals(stylist); err != nil {
			w.err = cmp.Or(w.err, err)
		}
	}
	w.usuals[k] = u
	return u
}

// ahead is what is to come in one service. Its plan and its forecast are worked
// out anew only if it has changed or they have become old.
func (j *job) ahead(id string, l *session.Log, u session.Usuals) (ahead, error) {
	s := l.State()
	now := s.Line.Now(j.at)
	one := ahead{seq: s.Seq, at: j.at}
	had, known := j.had.by[id]
	var failed error
	if known && had.seq == s.Seq && elapsed(had.at, j.at) < planAgain {
		one.at, one.plan, one.forecast = had.at, had.plan, had.forecast
	} else {
		if q, ok := s.AskTrips(now, s.Pace()); ok {
			one.plan, failed = q.Answer(nil)
		}
		if q, ok := l.AskForecast(now, u); ok {
			f, err := q.Answer()
			one.forecast, failed = f, cmp.Or(failed, err)
		}
	}
	one.work, one.ok = s.WorkAhead(now, one.plan, one.forecast, u)
	one.blocks = one.work.Blocks
	return one, failed
}

// follow takes the order of a roster over, if all of it fits: the least bad one
// of what does not fit need not be an early one. Who waits for another client is
// told until when, but never one who must be off before that one.
func (j *job) follow(w *worked, r *roster) {
	if r.plan.Verdict != plan.Fits {
		return
	}
	starts := r.plan.Starts
	for c, id := range r.ids { // those that press come first
		one, now := w.by[id], j.logs[id].State().Line.Now(j.at)
		at := func(task int) time.Time { return now.Add(time.Duration(starts[c][task]) * time.Second) }
		if slices.ContainsFunc(starts[:c], func(other []int) bool { return other[0] < starts[c][0] }) {
			one.start = at(0)
		}
		one.rostered, one.blocks = true, slices.Clone(one.blocks)
		for t := range one.blocks {
			b := &one.blocks[t]
			b.From, b.To = at(t), at(t).Add(b.To.Sub(b.From))
		}
		w.by[id] = one
	}
}
