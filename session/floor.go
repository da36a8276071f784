package session

import (
	"cmp"
	"fmt"
	"time"

	"rinseby/timing"
)

// A FloorLook is one service on the wall of all that are live, at one moment.
// All its moments are by the wall clock of the reading that it was made with,
// so that services whose time lines differ can be set side by side.
type FloorLook struct {
	ID, Client, Stylist, Station string
	Invented                     bool
	Now                          time.Time
	Opened                       time.Time

	Phase    string       // how it stands, in a word or two
	Pressing timing.Phase // the most pressing of its zones
	Next     string       // the next action
	Verb     Verb         // of the next action
	Harm     bool         // something has to come off whatever minutes remain
	// Help says that it is an emergency to which help has not come, Number whom
	// to call, and Since when it was said.
	Help   bool
	Number string
	Since  time.Time
	// HandsAt is when hands are needed next; zero: now.
	HandsAt time.Time
	// RinseBy is when the first of what is on must be off, and RinseZone its
	// name; zero if nothing is on, or no limit is known. What has to come off
	// whatever minutes remain was due off when that was found.
	RinseBy   time.Time
	RinseZone string
	On        bool // product is on

	End      Moments   // zero without a forecast
	Promised time.Time // zero if nothing was promised
	Told     time.Time // when somebody was told that it will be later; zero if nobody was
	Late     float64   // chance, 0 to 1, of a later end than promised
	Lasting  bool      // as of [Forecast]

	Loudest  *Warning // of those that are not acknowledged; nil if there is none
	Warnings int      // that are not acknowledged
	Blocks   []Block  // hands-on work ahead, in order, none in the past

	// RunBy is who runs it, empty if nobody does; Gone says that whoever ran
	// it last went without leaving it, as when the process was killed. The
	// store knows; whoever watches fills them in.
	RunBy string
	Gone  bool
}

// CollisionKey begins the key of the warning that no plan of the trips keeps a
// limit.
const CollisionKey = "collision:"

// A Block is a stretch of hands-on work.
type Block struct {
	From, To time.Time
	Name     string
	Rinse    bool // at the basin
}

// Beside is what was worked out beside a service for its state as it is; each
// part may be missing.
type Beside struct {
	Plan     *TripPlan
	Forecast *Forecast
	Blocks   []Block // of [State.WorkAhead], on the service's time line
}

// LookFloor looks at a service from across the room. The board is one of the
// same state and may be some seconds older than the reading: phases and all
// that counts down are told anew from its moments. It is cheap, and forecasts
// and plans nothing.
func LookFloor(s *State, b *Board, now timing.Reading, k Beside) FloorLook {
	v := floorView{s: s, now: s.Line.Now(now), wall: func(at time.Time) time.Time { return s.Line.Wall(at, now) }}
	l := FloorLook{
		ID: s.Service, Client: s.Client, Stylist: s.Stylist, Station: s.Station, Invented: s.Invented,
		On: s.holding(), Now: now.Wall, Opened: v.by(s.Opened), Promised: v.by(s.Promised), Told: v.by(s.toldLate()),
		Next: b.Next.Text, Verb: b.Next.Verb, Harm: b.Harm != nil,
	}
	if b.OffBy != nil {
		l.RinseBy, l.RinseZone = v.by(b.OffBy.LimitAt), b.OffBy.Name
	}
	if h := b.Harm; h != nil {
		l.RinseBy, l.RinseZone = v.by(h.Since), s.name(h.Zones[0])
	}
	if r := b.Reaction; r != nil {
		l.Help, l.Number, l.Since = r.Calling, r.Number, v.by(r.Since)
	}
	l.Pressing = v.pressing(b)
	l.Phase = v.phase(b, l.Pressing)
	l.HandsAt = v.by(v.handsAt(b, k.Plan))
	if f := k.Forecast; f != nil {
		l.End = Moments{v.by(f.End.P10), v.by(f.End.P50), v.by(f.End.P80), v.by(f.End.P90), v.by(f.End.P95)}
		l.Late, l.Lasting = f.Late, f.Lasting
	}
	for i := range b.Warnings {
		if w := &b.Warnings[i]; !w.Acked {
			if l.Warnings++; l.Loudest == nil {
				loud := *w
				loud.At = v.by(w.At)
				l.Loudest = &loud
			}
		}
	}
	for _, o := range k.Blocks {
		if o.To.After(v.now) {
			if o.From.Before(v.now) {
				o.From = v.now
			}
			l.Blocks = append(l.Blocks, Block{From: v.by(o.From), To: v.by(o.To), Name: o.Name, Rinse: o.Rinse})
		}
	}
	return l
}

// A floorView is a state at a moment, with the clock on the wall.
type floorView struct {
	s    *State
	now  time.Time
	wall func(time.Time) time.Time
}

// by is a moment by the wall clock; one that is not known stays so.
func (v floorView) by(at time.Time) time.Time {
	if at.IsZero() {
		return at
	}
	return v.wall(at)
}

// pressing is the phase of the zone that presses most, as it is now.
func (v floorView) pressing(b *Board) (most timing.Phase) {
	for _, z := range b.Zones {
		p := z.Phase
		switch {
		case !z.Holding():
		case !z.LimitAt.IsZero() && v.now.After(z.LimitAt):
			p = timing.Over
		case p == timing.Working && !z.OpensAt.IsZero() && !v.now.Before(z.OpensAt):
			p = timing.Open
		}
		if z.Tight != nil && z.Holding() && p < timing.Closing && z.LimitAt.Sub(v.now) < Lead(v.s.CoatWindow(z.Tight)) {
			p = timing.Closing
		}
		if rank(p) > rank(most) {
			most = p
		}
	}
	return most
}

// rank orders the phases of the zones of one service: what presses more is
// higher.
func rank(p timing.Phase) int {
	switch p {
	case timing.Waiting:
		return 0
	case timing.Rinsed:
		return -1
	case timing.Working:
		return 1
	case timing.Applying:
		return 2
	case timing.Open:
		return 3
	}
	return int(p) + 10
}

// phase says how the service stands.
func (v floorView) phase(b *Board, most timing.Phase) string {
	s := v.s
	step := find(s.Steps, (*Step).Running)
	switch {
	case !s.Closed.IsZero():
		return "closed"
	case b.Reaction != nil && b.Reaction.floorWord() != "":
		return b.Reaction.floorWord()
	case !b.Pain.IsZero():
		return "pain"
	case b.Harm != nil:
		return "must come off"
	case most == timing.Over:
		return most.String()
	case s.OpenTrip() != nil:
		return "at the basin"
	case most == timing.Closing:
		return most.String()
	case s.Paused():
		return "paused"
	case step != nil:
		return step.Name
	case s.holding():
		return most.String()
	case len(s.Rounds) == 0:
		return "consulting"
	case b.Next.Verb == DoBegin || b.Next.Verb == DoFinish:
		return "finishing"
	}
	return "waiting"
}

// handsAt is when hands are needed next, on the time line; zero: now.
func (v floorView) handsAt(b *Board, plan *TripPlan) time.Time {
	at := time.Time{}
	switch b.Next.Verb {
	case DoWait, DoCool, DoLook:
		at = b.Next.From
		if plan == nil || b.Next.Verb != DoWait {
			break
		}
		if trip, ok := plan.Next(); ok && trip.Ready && trip.Leave.Before(at) {
			at = trip.Leave
		}
	}
	if !at.After(v.now) {
		return time.Time{}
	}
	return at
}

// SayOff says what must be off first, by when, and how long that is; nothing if
// nothing is on. Over says that the time has passed, or that product has to come
// off whatever minutes remain.
func (l FloorLook) SayOff(clock Clockface) (text string, over bool) {
	zone, rest, over := l.OffParts(clock)
	if zone != "" {
		zone += " "
	}
	return zone + rest, over
}

// OffParts is what [FloorLook.SayOff] says, with the name of the zone apart: where
// there is no room for all, it is the name that may be cut, and not the time.
func (l FloorLook) OffParts(clock Clockface) (zone, rest string, over bool) {
	left := l.RinseBy.Sub(l.Now)
	switch {
	case l.pained() && l.On:
		return "", l.Next, true
	case l.Harm:
		return l.RinseZone, "must come off now", true
	case l.RinseBy.IsZero() && l.On:
		return "", "no limit known", false
	case l.RinseBy.IsZero():
		return "", "", false
	case left < 0:
		return l.RinseZone, fmt.Sprintf("OVER %s, limit %s", wholeMinutes(-left), clock(l.RinseBy)), true
	}
	return l.RinseZone, fmt.Sprintf("off by %s, in %s", clock(l.RinseBy), wholeMinutes(left)), false
}

// wholeMinutes says a length of time in minutes, and in seconds below one.
func wholeMinutes(d time.Duration) string {
	if d < time.Minute {
		return fmt.Sprintf("%d s", int(d/time.Second))
	}
	return fmt.Sprintf("%d min", int(d/time.Minute))
}

// FloorOrder orders services by who needs hands next: first an emergency,
// then pain, then weakened hair, then what is over or closing, by when it
// must be off; then by when hands are needed, and
// of those that need them at the same time the one that must be off first.
func FloorOrder(a, b FloorLook) int {
	return cmp.Or(
		-compareTrue(a.Help, b.Help),
		-compareTrue(a.pained(), b.pained()),
		-compareTrue(a.Harm, b.Harm),
		-compareTrue(a.urgent(), b.urgent()),
		compareIf(a.urgent(), a.RinseBy, b.RinseBy),
		a.HandsAt.Compare(b.HandsAt),
		compareKnown(a.RinseBy, b.RinseBy),
		a.Opened.Compare(b.Opened),
		cmp.Compare(a.ID, b.ID),
	)
}

func (l FloorLook) pained() bool {
	return oneOf(l.Verb, DoCall, DoPain, DoCool, DoEye, DoClear) || l.Verb == DoLook && l.HandsAt.IsZero()
}

// HelpAt says where help is needed: the chair and the client; empty if it is
// not.
func (l FloorLook) HelpAt() string {
	if !l.Help {
		return ""
	}
	at := cmp.Or(l.Client, "no name")
	if chair := cmp.Or(l.Station, l.RunBy); chair != "" {
		at = chair + ", " + at
	}
	return "HELP: " + at
}

// urgent reports whether a zone is over or closing, or has to come off for
// another reason.
func (l FloorLook) urgent() bool {
	return l.Harm || l.Pressing == timing.Over || l.Pressing == timing.Closing
}

func compareTrue(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

func compareIf(counts bool, a, b time.Time) int {
	if !counts {
		return 0
	}
	return a.Compare(b)
}

// compareKnown puts moments that are not known last.
func compareKnown(a, b time.Time) int {
	if a.IsZero() != b.IsZero() {
		return compareTrue(a.IsZero(), b.IsZero())
	}
	return a.Compare(b)
}

// WholeMinutes says seconds in minutes, at least one and rounded up, as less
// would not do.
func WholeMinutes(seconds int) string { return fmt.Sprintf("%d min", max((seconds+59)/60, 1)) }
