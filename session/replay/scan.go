package replay

import (
	"slices"
	"time"

	"rinseby/session"
)

// A Shown is a warning and when it was on the board.
type Shown struct {
	session.Warning // as it was shown first
	// From is when it was shown first, to a thousandth of a second, and To when
	// it was shown last: between them it may have gone and come back.
	From, To time.Time
}

// A scan is what boards showed in the whole of a log.
type scan struct {
	stops    []Stop
	warnings []Shown // in the order in which they came
	at       map[string]int
}

// grid is how far apart boards are looked at where nothing is known to change.
// What begins in between is then searched for; what begins and ends in between
// is missed, unless it does so at a limit, an opening or the end of a bowl's
// life. After a day without an entry, as of a service that somebody forgot to
// close, the looks grow further apart, so that a year takes no longer than some
// days do.
const grid = time.Minute

// step is how far the next look lies from one so long after the last entry.
func step(since time.Duration) time.Duration {
	if since <= 24*time.Hour {
		return grid
	}
	return since / 48
}

// scan looks at all boards, once.
func (t *Tape) scan() *scan {
	t.once.Do(func() {
		t.found = scan{at: map[string]int{}}
		events := t.whole.Events()
		var r runner
		for i, e := range events {
			r.take(e)
			s, to := r.log.State(), t.from[i]
			t.found.stops = append(t.found.stops, stop(s, e, t.from[i]))
			if i+1 < len(events) {
				to = t.from[i+1].Add(-session.Precision)
			}
			t.found.between(t, s, t.from[i], to)
		}
		inOrder(t.found.stops)
	})
	return &t.found
}

// between looks at the boards of a state from one moment to another.
func (f *scan) between(t *Tape, s *session.State, from, to time.Time) {
	if to.Before(from) { // entries of one moment: the last one's board is seen
		return
	}
	look := func(at time.Time) session.Board { return session.Look(s, at, t.Clock(at)) }
	b := look(from)
	f.take(b)
	if p := s.Promised; s.Live() && p.After(from) && !p.After(to) {
		f.stops = append(f.stops, Stop{At: p, Kind: Promise, Text: "promised for " + t.Clock(p)(session.ToldPromise(p))})
	}
	last := from
	for _, at := range moments(s, b, from, to) {
		next := look(at)
		for _, w := range next.Warnings {
			if _, known := f.at[w.Key]; !known {
				f.take(look(begins(look, w.Key, last, at)))
			}
		}
		f.take(next)
		last = at
	}
}

// begins is the first moment after from at which the warning shows that shows
// at the moment to.
func begins(look func(time.Time) session.Board, key string, from, to time.Time) time.Time {
	for to.Sub(from) > session.Precision {
		mid := from.Add(to.Sub(from) / 2)
		if slices.ContainsFunc(look(mid).Warnings, func(w session.Warning) bool { return w.Key == key }) {
			to = mid
		} else {
			from = mid
		}
	}
	return to
}

// moments are those after from, up to the moment to, at which a board may
// change by time alone: just at them, and just after.
func moments(s *session.State, b session.Board, from, to time.Time) (all []time.Time) {
	add := func(at time.Time) {
		for _, m := range []time.Time{at, at.Add(session.Precision)} {
			if m.After(from) && m.Before(to) {
				all = append(all, m)
			}
		}
	}
	if to.After(from) {
		all = append(all, to)
	}
	for at := from.Add(grid); at.Before(to); at = at.Add(step(at.Sub(from))) {
		all = append(all, at)
	}
	for _, z := range b.Zones {
		if z.LimitAt.IsZero() {
			continue
		}
		add(z.LimitAt)
		add(z.LimitAt.Add(-session.Lead(s.CoatWindow(z.Tight))))
		add(z.LimitAt.Add(-session.TripTime))
		add(z.OpensAt)
	}
	for _, bowl := range b.Bowls {
		if !bowl.StaleAt.IsZero() {
			add(bowl.StaleAt)
			add(bowl.StaleAt.Add(-session.ClosingLead))
		}
	}
	slices.SortFunc(all, time.Time.Compare)
	return slices.Compact(all)
}

// take notes the warnings of a board.
func (f *scan) take(b session.Board) {
	for _, w := range b.Warnings {
		i, known := f.at[w.Key]
		if !known {
			f.at[w.Key] = len(f.warnings)
			f.warnings = append(f.warnings, Shown{Warning: w, From: b.Now, To: b.Now})
			f.stops = append(f.stops, Stop{At: b.Now, Kind: Warning, Text: w.Text, Key: w.Key, Zone: w.Zone, Level: w.Level})
			continue
		}
		if b.Now.After(f.warnings[i].To) {
			f.warnings[i].To = b.Now
		}
	}
}
