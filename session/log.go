package session

import (
	"fmt"
	"slices"
	"time"
)

// A Log is the events of a service with the state that they fold into.
type Log struct {
	events []Event
	state  *State
}

// Fold builds a log from events. The error names the event that does not fit.
func Fold(events []Event) (*Log, error) {
	l := &Log{events: slices.Clone(events)}
	return l, l.refold()
}

// Events returns the events, in the order in which they were recorded. The
// caller must not change them.
func (l *Log) Events() []Event { return l.events }

// State returns the state at the end of the log. It is replaced, or changed
// in place, by Append; callers must not keep parts of it across that.
func (l *Log) State() *State {
	if l.state == nil {
		l.state = &State{}
	}
	return l.state
}

// Append adds events to the end of the log and folds them in. On an error the
// log is as it was.
func (l *Log) Append(events ...Event) error {
	n := len(l.events)
	l.events = append(l.events, events...)
	err := l.fold(events)
	if err != nil {
		l.events = l.events[:n:n]
		if again := l.refold(); again != nil {
			return fmt.Errorf("%w; and the log before it does not fold: %w", err, again)
		}
	}
	return err
}

// fold applies the newest events: one by one if none of them changes what came
// before, else by folding all anew.
func (l *Log) fold(events []Event) error {
	for _, e := range events {
		if rewrites(e.Data) {
			return l.refold()
		}
	}
	s := l.State()
	for _, e := range events {
		if err := s.step(e, edit{}); err != nil {
			return fmt.Errorf("event %d (%s): %w", e.Seq, kind(e.Data), err)
		}
	}
	return nil
}

func kind(d Data) string {
	if d == nil {
		return "nothing"
	}
	return d.Kind()
}

// rewrites reports whether the event changes how earlier events count.
func rewrites(d Data) bool {
	switch d := d.(type) {
	case EventVoided, EventMoved:
		return true
	case ClockNoted:
		return d.What == ClockConfirmed
	}
	return false
}

// refold folds all events anew, first gathering what later ones say of
// earlier ones.
func (l *Log) refold() error {
	edits, err := gather(l.events)
	if err != nil {
		return err
	}
	s := &State{}
	for _, e := range l.events {
		if err := s.step(e, edits[e.Seq]); err != nil {
			return fmt.Errorf("event %d (%s): %w", e.Seq, kind(e.Data), err)
		}
	}
	l.state = s
	return nil
}

// An edit is what later events say of an earlier one.
type edit struct {
	voided bool
	moved  *Event        // the event that says when it happened
	at     time.Time     // when it happened, if moved
	shift  time.Duration // to be added to the gap before it
}

func gather(events []Event) (map[int]edit, error) {
	edits := map[int]edit{}
	// From the end, so that a voiding that was voided is known as such before
	// it counts.
	for i := len(events) - 1; i >= 0; i-- {
		e := events[i]
		if edits[e.Seq].voided {
			continue
		}
		target, ed := 0, edit{}
		switch d := e.Data.(type) {
		case EventVoided:
			target, ed = d.Seq, edits[d.Seq]
			ed.voided = true
		case EventMoved:
			target, ed = d.Seq, edits[d.Seq]
			if ed.moved == nil { // the last one counts
				ed.moved = &e
			}
		case ClockNoted:
			if d.What != ClockConfirmed {
				continue
			}
			target, ed = d.Gap, edits[d.Gap]
			ed.shift += time.Duration(d.ShiftS * float64(time.Second))
		default:
			continue
		}
		if _, clock := e.Data.(ClockNoted); target < 2 || target > e.Seq || (target == e.Seq && !clock) {
			return nil, fmt.Errorf("event %d (%s) speaks of event %d: it must be one after the opening and before it", e.Seq, e.Data.Kind(), target)
		}
		edits[target] = ed
	}
	place(events, edits)
	return edits, nil
}

// place finds the moments of the events that were moved. Each is by the wall
// clock at the time of moving, so that the whole time line must be known.
func place(events []Event, edits map[int]edit) {
	var s State
	line := make(map[int]time.Time, len(events))
	for _, e := range events {
		line[e.Seq] = s.advance(e, edits[e.Seq].shift)
	}
	for seq, ed := range edits {
		if m := ed.moved; m != nil {
			ed.at = line[m.Seq].Add(m.Data.(EventMoved).To.Sub(m.Recorded.Wall))
			edits[seq] = ed
		}
	}
}

// advance moves the time line on to the recording of the event.
func (s *State) advance(e Event, shift time.Duration) time.Time {
	now, gap := s.Line.Advance(e.Recorded)
	if gap != nil {
		if shift != 0 {
			s.Line.Shift(shift, gap.From)
			now = s.Line.Now(e.Recorded)
			gap.To = now
		}
		s.Gaps = append(s.Gaps, Gap{Gap: *gap, Seq: e.Seq})
	}
	return now
}

// step moves the time line on to the event and applies it, unless it was
// voided.
func (s *State) step(e Event, ed edit) error {
	if e.Data == nil {
		return fmt.Errorf("it holds no data")
	}
	if e.Seq != s.Seq+1 {
		return fmt.Errorf("it should be event %d", s.Seq+1)
	}
	if _, ok := e.Data.(ServiceOpened); ok != (e.Seq == 1) {
		return fmt.Errorf("a service is opened by its first event, and by no other")
	}
	at := s.advance(e, ed.shift).Add(-e.Late())
	if ed.moved != nil {
		at = ed.at
	}
	if c, ok := e.Data.(ClockNoted); ok && c.What == ClockConfirmed && !ed.voided {
		for i := range s.Gaps {
			s.Gaps[i].Confirmed = s.Gaps[i].Confirmed || s.Gaps[i].Seq == c.Gap
		}
	}
	if !ed.voided && !rewrites(e.Data) {
		if err := s.apply(e, at); err != nil {
			return err
		}
	}
	s.Seq = e.Seq
	return nil
}
