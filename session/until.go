package session

import (
	"errors"
	"time"
)

// ErrNotYet means that nothing was recorded by the moment that was asked for.
var ErrNotYet = errors.New("nothing was recorded by then: the service was opened later; give a later moment")

// Until is the log as it was at a moment of its time line: of the events that
// had been recorded by then and of no other. What was recorded later, but put
// at an earlier moment, is not in it; what was taken back later still counts.
// The moment is by the time line as it was known then, so that a word on how
// long the machine was off counts from when it was given.
func (l *Log) Until(at time.Time) (*Log, error) {
	n, err := l.recordedBy(at)
	if err != nil {
		return nil, err
	}
	if n == 0 {
		return nil, ErrNotYet
	}
	return Fold(l.events[:n])
}

// recordedBy is how many events had been recorded by the moment at.
func (l *Log) recordedBy(at time.Time) (int, error) {
	var s State
	edits := map[int]edit{}
	for i, e := range l.events {
		now := s.advance(e, edits[e.Seq].shift)
		if rewrites(e.Data) { // the line may have become another
			var err error
			if edits, err = gather(l.events[:i+1]); err != nil {
				return 0, err
			}
			s = State{}
			for _, earlier := range l.events[:i+1] {
				now = s.advance(earlier, edits[earlier.Seq].shift)
			}
		}
		if now.After(at) {
			return i, nil
		}
	}
	return len(l.events), nil
}
