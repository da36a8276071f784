package replay

import (
	"cmp"
	"slices"
	"sort"
	"time"

	"rinseby/session"
)

// A Kind is a kind of stop.
type Kind string

// The kinds of stops. Each entry of the log is one stop; one that is no rinse,
// trip, check, mix or strength is an Event.
const (
	Event    Kind = "event"
	Warning  Kind = "warning"  // a warning shows for the first time
	Promise  Kind = "promise"  // the client was to be out of the chair by now
	Rinse    Kind = "rinse"    // zones are rinsed clean
	Trip     Kind = "trip"     // to the basin
	Check    Kind = "check"    // something was seen in a zone
	Mix      Kind = "mix"      // a bowl
	Strength Kind = "strength" // strengths were planned, or planned anew
	Marked   Kind = "mark"     // by someone, beside the log
)

// A Stop is a moment to wind to.
type Stop struct {
	At   time.Time // from which on the log, or the board, shows it
	Kind Kind
	Text string
	Seq  int    // of the entry; 0 for what is none
	Key  string // of the warning
	Zone string // id, if it is about one
	// Level is that of the warning.
	Level session.Level
}

// is reports whether the stop is of the kind; every entry is an Event, too, and
// everything is of no kind.
func (s Stop) is(k Kind) bool { return k == "" || s.Kind == k || (k == Event && s.Seq > 0) }

// SetMarks puts marks among the stops, in place of those before.
func (t *Tape) SetMarks(marks []Mark) {
	t.held.Lock()
	defer t.held.Unlock()
	t.marks = slices.Clone(marks)
}

// Stops are all of them, in the order of their moments. The first call looks at
// all boards, which takes some time for a long log; later ones don't.
//
// A warning is found on boards without a plan of the trips, as the chair shows
// them while there is none: with one, what it solves is not warned of.
func (t *Tape) Stops() []Stop { return slices.Clone(t.stops()) }

// stops are the same, and not to be changed.
func (t *Tape) stops() []Stop {
	found := t.scan().stops
	t.held.Lock()
	defer t.held.Unlock()
	if len(t.marks) == 0 {
		return found
	}
	all := slices.Clone(found)
	for _, m := range t.marks {
		all = append(all, Stop{At: m.At, Kind: Marked, Text: m.Text})
	}
	inOrder(all)
	return all
}

// Next is the first stop of the kind after the moment at. Of kind Event is every
// entry, and of the empty kind every stop.
func (t *Tape) Next(at time.Time, k Kind) (Stop, bool) {
	all := t.stops()
	i := sort.Search(len(all), func(i int) bool { return all[i].At.After(at) })
	for ; i < len(all); i++ {
		if all[i].is(k) {
			return all[i], true
		}
	}
	return Stop{}, false
}

// Prev is the last stop of the kind before the moment at.
func (t *Tape) Prev(at time.Time, k Kind) (Stop, bool) {
	all := t.stops()
	i := sort.Search(len(all), func(i int) bool { return !all[i].At.Before(at) })
	for i--; i >= 0; i-- {
		if all[i].is(k) {
			return all[i], true
		}
	}
	return Stop{}, false
}

func inOrder(stops []Stop) {
	slices.SortStableFunc(stops, func(a, b Stop) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Seq, b.Seq)) })
}

// stop is the stop of an entry, after which the state is s.
func stop(s *session.State, e session.Event, at time.Time) Stop {
	st := Stop{At: at, Kind: Event, Text: s.Say(e.Data), Seq: e.Seq}
	switch d := e.Data.(type) {
	case session.RinseBegan:
		st.Kind, st.Zone = Trip, only(d.Zones)
	case session.RinseEnded:
		st.Kind, st.Zone = Rinse, only(d.Zones)
	case session.ZoneChecked:
		st.Kind, st.Zone = Check, d.Zone
	case session.BowlMixed:
		st.Kind = Mix
	case session.PlanSet:
		st.Kind = Strength
	case session.PlanChanged:
		st.Zone = d.Zone
		if d.Change == session.ChangeAdd || d.Change == session.ChangeBands {
			st.Kind = Strength
		}
	case session.PiecePlaced:
		st.Zone = d.Zone
	case session.CoatApplied:
		st.Zone = d.Zone
	case session.CoatRefreshed:
		st.Zone = d.Zone
	case session.ZoneFinished:
		st.Zone = d.Zone
	case session.PainReported:
		st.Zone = d.Zone
	case session.NoteAdded:
		st.Zone = d.Zone
	}
	return st
}

func only(zones []string) string {
	if len(zones) == 1 {
		return zones[0]
	}
	return ""
}
