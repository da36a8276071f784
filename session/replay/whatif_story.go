package replay

import (
	"slices"
	"time"

	"rinseby/session"
)

// A deed is an entry that is still to come after the moment of a change.
type deed struct {
	seq  int
	data session.Data
	at   time.Time // when it happened
	key  time.Time // when it was recorded, or happened if that was later
}

// story is what came after the first n events, in the order in which it came.
// Of what was taken back or moved within it only the outcome is left; what
// takes back or moves one of the first n stays. All moments are on the time
// line of the end of the log.
func (t *Tape) story(n int) (deeds []deed) {
	events := t.whole.Events()
	when, recorded, back := happened(t.whole), recordedAt(t.whole), takenBack(events)
	for _, e := range events[n:] {
		d := deed{seq: e.Seq, data: e.Data, key: recorded[e.Seq]}
		switch c := e.Data.(type) {
		case session.EventVoided:
			if c.Seq > n || back[e.Seq] {
				continue
			}
			d.at = d.key
		case session.EventMoved:
			if c.Seq > n || back[e.Seq] {
				continue
			}
			d.at = d.key
		case session.ClockNoted:
			continue // the clock of an alternative goes right; see clocks
		default:
			at, counts := when[e.Seq]
			if !counts {
				continue
			}
			d.at = at
		}
		if d.at.After(d.key) {
			d.key = d.at
		}
		deeds = append(deeds, d)
	}
	slices.SortStableFunc(deeds, func(a, b deed) int { return a.key.Compare(b.key) })
	return deeds
}

// clocks are the words on gaps among the first n events that came later: they
// say what was so all along.
func (t *Tape) clocks(n int) (all []session.ClockNoted) {
	back := takenBack(t.whole.Events())
	for _, e := range t.whole.Events()[n:] {
		c, ok := e.Data.(session.ClockNoted)
		if ok && c.What == session.ClockConfirmed && c.Gap <= n && !back[e.Seq] {
			all = append(all, c)
		}
	}
	return all
}

// takenBack are the entries that were, and not brought back.
func takenBack(events []session.Event) map[int]bool {
	back := map[int]bool{}
	for _, e := range slices.Backward(events) {
		if d, ok := e.Data.(session.EventVoided); ok && !back[e.Seq] {
			back[d.Seq] = true
		}
	}
	return back
}

// recordedAt is when each entry was recorded, on the time line of the end of
// the log. It folds a log of notes that were made when they were recorded, in
// which only the words on the clock are as they were.
func recordedAt(l *session.Log) map[int]time.Time {
	events := slices.Clone(l.Events())
	clock := map[int]bool{}
	for i, e := range events {
		switch d := e.Data.(type) {
		case session.ServiceOpened:
			continue
		case session.ClockNoted:
			clock[e.Seq] = true
			continue
		case session.EventVoided:
			if clock[d.Seq] {
				clock[e.Seq] = true
				continue
			}
		}
		events[i].When, events[i].Data = e.Recorded.Wall, session.NoteAdded{}
	}
	s := first(events, len(events)).State()
	when, notes := map[int]time.Time{1: s.Opened}, s.Notes
	for _, e := range events {
		if _, note := e.Data.(session.NoteAdded); note {
			when[e.Seq], notes = notes[0].At, notes[1:]
		} else if e.Seq > 1 {
			when[e.Seq] = when[e.Seq-1] // the order is what counts
		}
	}
	return when
}

// A pair of moments: really, and in the alternative.
type pair struct{ real, alt time.Time }

// hands are where the alternative stands: what really took until real is done
// by alt.
type hands struct {
	pair
	way   []pair         // where they were, oldest first
	waits []session.Span // before trips, for what develops
	gone  []session.Span // what is not done again
	work  []session.Span // pieces and bands
	// Until helpTo, work takes only so much of its time.
	helpTo time.Time
	pace   float64
}

// upTo goes on to what really was the moment to.
func (h *hands) upTo(to time.Time) {
	for h.real.Before(to) {
		next := to
		for _, spans := range [][]session.Span{h.waits, h.gone, h.work} {
			for _, sp := range spans {
				for _, edge := range []time.Time{sp.From, sp.To} {
					if edge.After(h.real) && edge.Before(next) {
						next = edge
					}
				}
			}
		}
		h.go1(next)
	}
}

// go1 goes on to a moment before which nothing changes.
func (h *hands) go1(to time.Time) {
	took := to.Sub(h.real)
	switch {
	case in(h.waits, h.real) || in(h.gone, h.real):
		took = 0
	case in(h.work, h.real) && h.alt.Before(h.helpTo):
		quick := time.Duration(float64(took) * h.pace).Round(session.Precision)
		if left := h.helpTo.Sub(h.alt); quick > left { // the helper leaves before it is done
			took = left + took - time.Duration(float64(left)/h.pace).Round(session.Precision)
		} else {
			took = quick
		}
	}
	h.real, h.alt = to, h.alt.Add(max(took, 0))
	h.way = append(h.way, h.pair)
}

// until puts off what comes next until the moment alt at least. It lengthens
// what came just before, as a wait.
func (h *hands) until(alt time.Time) {
	h.alt = later(h.alt, alt)
	h.way[len(h.way)-1] = h.pair
}

// hold has hands do something else until the moment alt.
func (h *hands) hold(alt time.Time) {
	h.alt = later(h.alt, alt)
	h.way = append(h.way, h.pair)
}

// when is what a real moment is in the alternative, as far as it has come.
func (h *hands) when(real time.Time) time.Time {
	if !real.Before(h.real) {
		return h.alt
	}
	i, found := slices.BinarySearchFunc(h.way, real, func(p pair, m time.Time) int { return p.real.Compare(m) })
	switch {
	case found:
		return h.way[i].alt
	case i == 0: // before the change
		return real.Add(h.way[0].alt.Sub(h.way[0].real))
	}
	from, to := h.way[i-1], h.way[i]
	share := float64(real.Sub(from.real)) / float64(to.real.Sub(from.real))
	return from.alt.Add(time.Duration(share * float64(to.alt.Sub(from.alt))).Round(session.Precision))
}

func in(spans []session.Span, at time.Time) bool {
	return slices.ContainsFunc(spans, func(sp session.Span) bool { return !at.Before(sp.From) && at.Before(sp.To) })
}
