package session

import (
	"slices"
	"time"
)

// From when on a service is said to be late: by how much the end is later than
// promised at even chance, and for how many entries, or else for how long, that
// has been so. A range of an hour and more moves by some minutes at each entry;
// what comes and goes is no reason to walk to the front desk. House rules; no
// source.
const (
	LateFrom    = 10 * time.Minute
	lateEntries = 3
	lateFor     = 5 * time.Minute
)

// AskForecast is [State.AskForecast]; its answer knows for how long the service
// has been late.
func (l *Log) AskForecast(now time.Time, u Usuals) (ForecastQuestion, bool) {
	q, ok := l.State().AskForecast(now, u)
	q.events, q.usuals = slices.Clip(l.events), u
	return q, ok
}

// lasting reports whether an end that is late by so much at the moment of the
// question was so at the last entries, or for as long, too: each time by what
// had been recorded then, against what is promised now.
func (q ForecastQuestion) lasting() bool {
	from := q.at.Add(-lateFor)
	for n := len(q.events); n > len(q.events)-lateEntries; n-- {
		if n < 1 {
			return false
		}
		then, err := Fold(q.events[:n])
		if err != nil {
			return false
		}
		at := lastRecorded(then)
		held := at.Before(from)
		if held { // nothing was recorded since
			at = from
		}
		if !q.lateAt(then.State(), at) {
			return false
		}
		if held {
			return true
		}
	}
	return true
}

// lateAt reports whether the end was late by so much in a state that was.
func (q ForecastQuestion) lateAt(s *State, at time.Time) bool {
	earlier, ok := s.AskForecast(at, q.usuals)
	if !ok {
		return false
	}
	f, err := earlier.Answer()
	return err == nil && lateBy(f.End.P50, q.promised) >= LateFrom
}

// lastRecorded is the moment of the time line at which the last entry was made.
func lastRecorded(l *Log) time.Time {
	return l.State().Line.Now(l.events[len(l.events)-1].Recorded)
}

// lateBy is how much later than promised an end is; nothing without a promise.
func lateBy(end, promised time.Time) time.Duration {
	if promised.IsZero() {
		return 0
	}
	return max(end.Sub(promised), 0)
}
