package session

import (
	"fmt"
	"slices"
	"time"

	"rinseby/session/safety"
	"rinseby/timing"
)

// A Board is all that a glance at the chair must answer at one moment. Screens
// and scripts show it; none computes anything by itself.
type Board struct {
	Now      time.Time // on the service's time line
	Next     Action
	OffBy    *ZoneLook     // the zone that must be off first, if any is on
	Zones    []ZoneLook    // of the rounds that are not over, else of the last one
	Bowls    []BowlLook    // in use, newest first; not those that a newer one replaces, or that nothing planned needs
	Warnings []Warning     // most pressing first
	Pain     time.Time     // when pain was reported that is not cleared; zero if none is
	Reaction *ReactionLook // the reaction that is open and matters most; nil if none is
	Harm     *Harm         // what has to come off whatever minutes remain; nil if nothing has
	// ClockUnsure says that the computer's clock has yet to be confirmed.
	ClockUnsure bool
	Plan        string // the next trip to the basin, in one sentence; empty without a plan
	Pace        time.Duration
	AllInAt     time.Time // when the last piece goes in at this pace; zero if not known

	clock   Clockface
	verdict safety.Verdict // of the answers so far
}

// A ZoneLook is a zone at the moment of the board.
type ZoneLook struct {
	ID, Name, Round string
	Done, Pieces    int
	Full            bool
	Heated          bool
	Rinsing         bool
	RinseFrom       time.Time // when its trip began; zero if it is not at the basin
	RinsedAt        time.Time
	PlannedOff      time.Time // when the plan of the trips has it off; zero without a plan
	Lift            *LiftLook // what checks of its depth tell; nil without one
	ZoneTiming
}

// A BowlLook is a bowl at the moment of the board.
type BowlLook struct {
	ID, Product string
	Strength    string // as the trade says it
	Mixed       time.Time
	StaleAt     time.Time // zero if its working life is not known
	Stale       bool
}

// A Level says how loud a warning is.
type Level int

// The levels.
const (
	Line  Level = iota // a line, nothing more
	Alert              // a band and a bell, until acknowledged
	Alarm              // the same, for harm that is happening
)

// A Warning is something that goes wrong, or will.
type Warning struct {
	Key   string
	Level Level
	Text  string
	Zone  string    // id, if it is about one
	At    time.Time // when the harm begins, if known
	Acked bool
	Fixed bool // can't be acknowledged yet
	// Reason says that only one with a reason passes it, as with an alarm.
	Reason bool
	// Clock says that it follows from a clock that has yet to be confirmed:
	// that question is answered before the warning can be acknowledged.
	Clock bool
}

// A Clockface says a moment of the time line as the clock on the salon's wall
// shows it.
type Clockface func(at time.Time) string

// Look computes the board at the moment now of the time line. Texts say
// moments by clock.
func Look(s *State, now time.Time, clock Clockface) Board {
	b := Board{Now: now, Pace: s.Pace(), clock: clock, verdict: s.Verdict(now)}
	for _, r := range s.shown() {
		for _, z := range s.RoundZones(r) {
			b.Zones = append(b.Zones, s.lookZone(z, now))
		}
	}
	for i := len(s.Bowls) - 1; i >= 0; i-- {
		bowl := s.Bowls[i]
		replaced := slices.ContainsFunc(b.Bowls, func(o BowlLook) bool {
			return o.Product == bowl.Product && o.Strength == label(bowl.Strength)
		})
		if bowl.Emptied.IsZero() && !replaced && s.wanted(bowl) {
			b.Bowls = append(b.Bowls, lookBowl(bowl, now))
		}
	}
	for i := range b.Zones {
		z := &b.Zones[i]
		if z.LimitAt.IsZero() {
			continue
		}
		if b.OffBy == nil || z.LimitAt.Before(b.OffBy.LimitAt) {
			b.OffBy = z
		}
	}
	if p := s.OpenPain(); p != nil {
		b.Pain = p.At
	}
	b.Reaction = s.lookReaction(&b)
	b.AllInAt, b.ClockUnsure = s.allInAt(now, b.Pace), s.unsure() != nil
	b.Harm = s.harm(&b)
	b.Warnings = s.warnings(&b)
	b.Next = s.next(&b)
	return b
}

// shown returns the rounds that a glance is about: those that have begun and
// are not over, and the next one; if all are over, the last that has begun.
func (s *State) shown() []*Round {
	var rs []*Round
	for _, r := range s.Rounds {
		if s.roundOver(r) {
			continue
		}
		begun := slices.ContainsFunc(s.RoundZones(r), (*Zone).Started)
		if begun || len(rs) == 0 {
			rs = append(rs, r)
		}
	}
	for i := len(s.Rounds) - 1; i >= 0 && len(rs) == 0; i-- {
		if begun := slices.ContainsFunc(s.RoundZones(s.Rounds[i]), (*Zone).Started); begun || i == 0 {
			rs = s.Rounds[i : i+1]
		}
	}
	return rs
}

// wanted reports whether a zone that is not full is planned to be coated from
// the bowl, or from one like it, or comes to be later.
func (s *State) wanted(b *Bowl) bool {
	for _, z := range s.Zones {
		if z.Over() {
			continue
		}
		for _, p := range z.Bands {
			if p.Product == b.Product && same(p.Strength, b.Strength) && (!z.Full() || p.Later) {
				return true
			}
		}
	}
	return false
}

// roundOver reports whether nothing more is to be done in a round: all of its
// zones are over, or the colour work was ended and nothing is on.
func (s *State) roundOver(r *Round) bool {
	ended := s.Ended()
	return !slices.ContainsFunc(s.RoundZones(r), func(z *Zone) bool { return !z.Over() && (z.Holding() || !ended) })
}

func (s *State) lookZone(z *Zone, now time.Time) ZoneLook {
	look := ZoneLook{
		ID: z.ID, Name: z.Name, Round: z.Round, Done: z.Done(), Pieces: z.Pieces, Full: z.Full(),
		Heated: z.Heated(), Rinsing: z.Trip != "", RinseFrom: s.rinseFrom(z), RinsedAt: z.Rinsed,
		ZoneTiming: s.ZoneTiming(z, now),
	}
	if len(z.Checks) > 0 {
		if l, ok := s.lift(z, look.ZoneTiming, now); ok && !l.Guess {
			look.Lift = &l
		}
	}
	return look
}

// rinseFrom is when the trip began that a zone is on.
func (s *State) rinseFrom(z *Zone) time.Time {
	if t := s.OpenTrip(); t != nil && z.Trip == t.ID {
		return t.Began
	}
	return time.Time{}
}

// Holding reports whether product is on at the moment of the board.
func (z ZoneLook) Holding() bool { return z.Phase != timing.Waiting && z.Phase != timing.Rinsed }

// presses reports whether the zone is closing or over.
func (z ZoneLook) presses() bool { return z.Phase == timing.Closing || z.Phase == timing.Over }

// BowlsInUse lists the bowls that nobody said are done with by the moment now,
// newest first, be they needed any more or not.
func (s *State) BowlsInUse(now time.Time) (all []BowlLook) {
	for i := len(s.Bowls) - 1; i >= 0; i-- {
		if b := s.Bowls[i]; b.inUse(now) {
			all = append(all, lookBowl(b, now))
		}
	}
	return all
}

func lookBowl(b *Bowl, now time.Time) BowlLook {
	l := BowlLook{ID: b.ID, Product: b.Product, Strength: label(b.Strength), Mixed: b.Mixed}
	if at, ok := b.Stale(); ok {
		l.StaleAt, l.Stale = at, now.After(at)
	}
	return l
}

// warnings lists what goes wrong, or will, most pressing first.
func (s *State) warnings(b *Board) []Warning {
	var ws []Warning
	add := func(key string, level Level, zone string, at time.Time, format string, args ...any) {
		ws = append(ws, Warning{Key: key, Level: level, Zone: zone, At: at, Text: fmt.Sprintf(format, args...), Acked: s.Acked(key)})
	}
	for _, z := range b.Zones {
		switch {
		case !z.Holding():
		case z.Unknown:
			add("no-limit:"+z.ID, Alarm, z.ID, z.First, "%s holds product and no limit is known: type the minutes of its instructions", z.Name)
		case z.Phase == timing.Over:
			add("over:"+z.ID, Alarm, z.ID, z.LimitAt, "%s is %s over its limit: rinse it now", z.Name, mins(z.Over))
		case z.Rinsing:
		case z.Phase == timing.Closing:
			add("closing:"+z.ID, Alert, z.ID, z.LimitAt, "%s must be off in %s: rinse it now", z.Name, mins(z.LimitAt.Sub(b.Now)))
		default:
			s.warnAhead(b, z, add)
		}
	}
	for i := range ws {
		ws[i].Clock = b.ClockUnsure
	}
	for _, bowl := range b.Bowls {
		switch {
		case bowl.StaleAt.IsZero():
		case bowl.Stale:
			add(staleKey(bowl.ID), Line, "", bowl.StaleAt, "bowl %s (%s %s) is past its working life: mix a new one", bowl.ID, bowl.Product, bowl.Strength)
		case bowl.StaleAt.Sub(b.Now) < ClosingLead:
			add("stale-soon:"+bowl.ID, Line, "", bowl.StaleAt, "bowl %s (%s %s) is past its working life in %s", bowl.ID, bowl.Product, bowl.Strength, mins(bowl.StaleAt.Sub(b.Now)))
		}
	}
	for _, g := range s.Gaps {
		n := len(ws)
		s.warnGap(b, g, add)
		for i := range ws[n:] {
			ws[n+i].Clock = g.Unsure()
		}
	}
	pain := s.painWarning(b)
	ws = slices.Concat(s.mushyWarnings(), s.weakWarnings(b), s.wrongWarning(b), s.capWarnings(b), s.doubtWarnings(b), ws)
	if s.Calling() != nil { // nothing goes before an emergency
		slices.SortStableFunc(ws, pressingFirst)
		return append(pain, ws...)
	}
	ws = append(pain, ws...)
	slices.SortStableFunc(ws, pressingFirst)
	return ws
}

// pressingFirst orders warnings.
func pressingFirst(x, y Warning) int {
	switch {
	case x.Fixed != y.Fixed && x.Fixed:
		return -1
	case x.Fixed != y.Fixed:
		return 1
	case x.Level != y.Level:
		return int(y.Level - x.Level)
	}
	return x.At.Compare(y.At)
}

// aheadKey begins the key of warnings that a zone will go over at this pace.
const aheadKey = "ahead:"

func staleKey(bowl string) string { return "stale:" + bowl }

type addWarning func(key string, level Level, zone string, at time.Time, format string, args ...any)

// warnAhead tells of a zone that is well now, but will not be.
func (s *State) warnAhead(b *Board, z ZoneLook, add addWarning) {
	if z.LimitAt.IsZero() {
		return
	}
	rinseBy := z.LimitAt.Add(-TripTime)
	if b.AllInAt.After(rinseBy) {
		during := s.zoneAt(b.Now, rinseBy, b.Pace)
		add(aheadKey+z.ID, Line, z.ID, z.LimitAt,
			"at this pace %s goes over at %s, while you are on %s: be at the basin with it by %s",
			z.Name, b.clock(z.LimitAt), during, b.clock(rinseBy))
		return
	}
	if z.Full && z.OpensAt.After(z.LimitAt) {
		add("never-open:"+z.ID, Line, z.ID, z.LimitAt,
			"the newest piece of %s will not have worked long enough before the oldest is at its limit at %s",
			z.Name, b.clock(z.LimitAt))
	}
}

func (s *State) warnGap(b *Board, g Gap, add addWarning) {
	key := fmt.Sprintf("gap:%d", g.Seq)
	switch {
	case g.Confirmed:
	case g.Restart:
		add(key, Alert, "", g.To, "the computer was off from %s to %s by its clock: say whether that is right", b.clock(g.From), b.clock(g.To))
	case g.Backwards:
		add(key, Alert, "", g.To, "the computer's clock went back at %s, and nothing else tells the time here: say how long it really was", b.clock(g.From))
	case g.Step != 0:
		add(key, Line, "", g.To, "the computer's clock was moved by %s: all times here still count from first contact", g.Step.Round(time.Second))
	}
}

// mins says a duration in whole minutes, with seconds under five minutes.
func mins(d time.Duration) string {
	whole := int(d.Round(time.Second) / time.Second)
	switch {
	case whole < 60:
		return fmt.Sprintf("%d s", whole)
	case whole < 300 && whole%60 > 0:
		return fmt.Sprintf("%d min %d s", whole/60, whole%60)
	}
	return fmt.Sprintf("%d min", whole/60)
}
