package session

// Undo returns the command that takes the last entry back, and that entry.
// It is false when there is nothing to take back.
func (l *Log) Undo() (Command, Event, bool) {
	edits, err := gather(l.events)
	if err != nil {
		return Command{}, Event{}, false
	}
	for i := len(l.events) - 1; i > 0; i-- {
		e := l.events[i]
		switch e.Data.(type) {
		case EventVoided, ClockNoted:
			continue
		}
		if !edits[e.Seq].voided {
			return Do(EventVoided{Seq: e.Seq}), e, true
		}
	}
	return Command{}, Event{}, false
}

// Redo returns the command that brings back the entry that was taken back
// last, and that entry. It is false when something else was logged since.
func (l *Log) Redo() (Command, Event, bool) {
	edits, err := gather(l.events)
	if err != nil {
		return Command{}, Event{}, false
	}
	for i := len(l.events) - 1; i > 0; i-- {
		e := l.events[i]
		if edits[e.Seq].voided {
			continue
		}
		v, ok := e.Data.(EventVoided)
		if !ok {
			break
		}
		target := l.events[v.Seq-1]
		if _, again := target.Data.(EventVoided); again {
			continue // itself a redo
		}
		return Do(EventVoided{Seq: e.Seq}), target, true
	}
	return Command{}, Event{}, false
}

// Voided reports whether the event with the number was taken back.
func (l *Log) Voided(seq int) bool {
	edits, err := gather(l.events)
	return err == nil && edits[seq].voided
}
