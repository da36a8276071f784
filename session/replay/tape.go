package replay

import (
	"slices"
	"sort"
	"sync"
	"time"

	"rinseby/session"
	"rinseby/timing"
)

// A Tape is the log of a service that can be wound to any moment of it. Its
// methods can be called from several goroutines.
type Tape struct {
	whole *session.Log
	place *time.Location
	// moments holds for each event the moment at which it was recorded, by the
	// time line as it was known then, and from the moment from which on it
	// counts, which never runs backwards.
	moments, from []time.Time
	marks         []Mark

	held  sync.Mutex
	kept  []keptLog // newest last
	once  sync.Once // of what follows
	found scan
}

// A keptLog is a log that was wound to.
type keptLog struct {
	n   int
	log *session.Log
}

// keepLogs is how many logs a tape keeps: what a screen, a forecast, a plan and
// a comparison of one moment and the one before it look at.
const keepLogs = 8

// New makes a tape of a whole log, which must hold its opening at least and
// must not be appended to while the tape is used. Clocks are told in UTC; see
// [Tape.In].
func New(l *session.Log) *Tape {
	t := &Tape{whole: l, place: time.UTC}
	t.moments = recorded(l.Events())
	t.from = slices.Clone(t.moments)
	for i := 1; i < len(t.from); i++ {
		if t.from[i].Before(t.from[i-1]) {
			t.from[i] = t.from[i-1]
		}
	}
	return t
}

// In is the same tape with clocks told in the place, without marks.
func (t *Tape) In(place *time.Location) *Tape {
	return &Tape{whole: t.whole, place: place, moments: t.moments, from: t.from}
}

// recorded finds at which moment each event was recorded. Until somebody says
// how long the machine was off, the line is that of the readings alone; from
// then on it is that of the log so far.
func recorded(events []session.Event) []time.Time {
	all := make([]time.Time, len(events))
	var line timing.Timeline
	var r *runner
	for i, e := range events {
		if c, ok := e.Data.(session.ClockNoted); ok && c.What == session.ClockConfirmed && r == nil {
			r = &runner{}
			r.take(events[:i]...)
		}
		if r == nil {
			all[i], _ = line.Advance(e.Recorded)
			continue
		}
		r.take(e)
		all[i] = r.log.State().Line.Now(e.Recorded)
	}
	return all
}

// A runner goes through a log from its start. Of a journal that was made by
// hand a part may make no service though the whole does, as what is wrong with
// it is taken back later: events then wait for the one that puts it right.
type runner struct {
	log     session.Log
	waiting []session.Event
}

// take goes on. It is false while events wait.
func (r *runner) take(events ...session.Event) bool {
	waited := len(r.waiting) > 0
	r.waiting = append(r.waiting, events...)
	if waited && !slices.ContainsFunc(events, corrects) {
		return false
	}
	if err := r.log.Append(r.waiting...); err != nil {
		return false
	}
	r.waiting = nil
	return true
}

// corrects reports whether an event changes what earlier ones count for.
func corrects(e session.Event) bool {
	switch e.Data.(type) {
	case session.EventVoided, session.EventMoved, session.ClockNoted:
		return true
	}
	return false
}

// first folds the first n events; see [runner] for why they may not fold. Then
// it is the longest part before them that is found to do so.
func first(events []session.Event, n int) *session.Log {
	if l, err := part(events, n); err == nil {
		return l
	}
	last := 1 // the opening does
	sort.Search(n-1, func(i int) bool {
		_, err := part(events, i+1)
		if err == nil {
			last = max(last, i+1)
		}
		return err != nil
	})
	l, _ := part(events, last)
	return l
}

// part folds the first n events. It is quicker than a fold where none of them
// corrects another.
func part(events []session.Event, n int) (*session.Log, error) {
	l := &session.Log{}
	return l, l.Append(events[:n]...)
}

// Whole is the whole log. It must not be changed.
func (t *Tape) Whole() *session.Log { return t.whole }

// Place is where clocks are told.
func (t *Tape) Place() *time.Location { return t.place }

// Len is the number of events.
func (t *Tape) Len() int { return len(t.from) }

// From is the moment of the opening, on the time line.
func (t *Tape) From() time.Time { return t.from[0] }

// To is the moment of the last event.
func (t *Tape) To() time.Time { return t.from[len(t.from)-1] }

// Moment is the moment from which on the first n events are in the log, n from
// 1 to [Tape.Len]; what lies beyond counts as the nearest.
func (t *Tape) Moment(n int) time.Time { return t.from[min(max(n, 1), t.Len())-1] }

// Position is how many events had been recorded by the moment at; 1 before
// [Tape.From].
func (t *Tape) Position(at time.Time) int {
	return max(sort.Search(t.Len(), func(i int) bool { return t.from[i].After(at) }), 1)
}

// At is the log as it was at the moment at: [session.Log.Until]. Moments before
// [Tape.From] count as From. Where the events by then make no service, though
// all together do, it is the log before them that does. The log is shared, and must not be changed; fold
// its events to have one that can be.
func (t *Tape) At(at time.Time) *session.Log { return t.Events(t.Position(at)) }

// Events is the log of the first n events, n from 1 to [Tape.Len]; what lies
// beyond counts as the nearest. It is shared as that of [Tape.At] is.
//
// A log is folded from its start, unless it is one of the last few that were
// asked for: that takes some 2 ms for 5,000 events, so that no states on the
// way are kept (BenchmarkScrub).
func (t *Tape) Events(n int) *session.Log {
	n = min(max(n, 1), t.Len())
	if n == t.Len() {
		return t.whole
	}
	t.held.Lock()
	defer t.held.Unlock()
	if i := slices.IndexFunc(t.kept, func(k keptLog) bool { return k.n == n }); i >= 0 {
		k := t.kept[i]
		t.kept = append(slices.Delete(t.kept, i, i+1), k)
		return k.log
	}
	if len(t.kept) == keepLogs {
		t.kept = slices.Delete(t.kept, 0, 1)
	}
	k := keptLog{n, first(t.whole.Events(), n)}
	t.kept = append(t.kept, k)
	return k.log
}

// Reading is what the machine's clocks would have shown at the moment at. It
// lets rules be tried on the log of that moment.
func (t *Tape) Reading(at time.Time) timing.Reading {
	n := t.Position(at)
	r, passed := t.whole.Events()[n-1].Recorded, at.Sub(t.moments[n-1])
	r.Wall = r.Wall.Add(passed)
	if r.BootID != "" {
		r.Boot += passed
	}
	return r
}

// Wall is what the clock on the salon's wall showed, or would have, at the
// moment m, as told at the moment now.
func (t *Tape) Wall(now, m time.Time) time.Time {
	return t.Reading(now).Wall.Add(m.Sub(now)).In(t.place)
}

// Clock says moments as that clock, in hours and minutes.
func (t *Tape) Clock(now time.Time) session.Clockface {
	return func(m time.Time) string { return t.Wall(now, m).Format("15:04") }
}

// Board is what a glance at the chair told at the moment at, without a plan of
// the trips.
func (t *Tape) Board(at time.Time) session.Board {
	return session.Look(t.At(at).State(), at, t.Clock(at))
}
