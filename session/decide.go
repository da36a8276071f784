package session

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"rinseby/session/formula"
	"rinseby/timing"
)

// A Command asks for something to be logged. It is the event's data as far as
// the asker knows it: ids of new things, and the bowls that a piece was coated
// from, are filled in.
type Command struct {
	// When is the moment it happened, by the wall clock; zero means now.
	When time.Time
	Data Data

	place *time.Location // that days are told by
}

// Do asks for something that happens now.
func Do(d Data) Command { return Command{Data: d} }

// DoAt asks for something that happened at the moment when, by the wall clock.
// Days in the data are told by when's location, or by that of the reading for
// what happens now.
func DoAt(when time.Time, d Data) Command { return Command{When: when, Data: d} }

// ErrNoWindow means that no confirmed window serves what is about to touch
// hair. The asker is to be shown the query, and to type the minutes from the
// product's instructions or to confirm a row of the catalogue.
type ErrNoWindow struct {
	Query formula.Query
	Zone  string // name
	Band  Band
	Why   string // what is missing, if it is more than a limit
}

func (e *ErrNoWindow) Error() string {
	if e.Why != "" {
		return e.Why + ": change the plan, or type the minutes from the product's instructions, if they allow it"
	}
	heat := ""
	if e.Query.Heat {
		heat = ", under heat"
	}
	return fmt.Sprintf("no time limit is known for %s at %s on the %s of %s (%s, %s scalp%s): "+
		"type the minutes from the product's instructions, or confirm a row of the catalogue",
		e.Query.Product, formula.Label(e.Query.Strength), e.Band, e.Zone, e.Query.Condition, e.Query.Contact, heat)
}

// ErrNeedsReason means that the command would pass a limit, or do what a rule
// advises against. It is only taken once the warning with the key was
// acknowledged, with a reason.
type ErrNeedsReason struct {
	Key string
	Why string
}

func (e *ErrNeedsReason) Error() string {
	return e.Why + ": if it has to be logged all the same, it takes a reason first"
}

// Precision is what events keep of a moment, so that a log in memory and the
// same log read back from the disk are alike.
const Precision = time.Millisecond

// clockSlack is how far in the future a moment may lie before it is refused;
// it forgives rounding to the second.
const clockSlack = 2 * time.Second

// Decide turns commands, all or none, into the events that they mean. It
// checks the rules, leaves the log as it is, and answers with an error that
// says what to do where a rule forbids the command.
func Decide(l *Log, now timing.Reading, cmds ...Command) ([]Event, error) {
	fork, err := Fold(l.events)
	if err != nil {
		return nil, err
	}
	return fork.Commit(now, cmds...)
}

// Commit decides commands and applies the events at once, each before the
// next is decided. After an error the log holds some of the commands' events
// and is not to be used any more; [Decide] is for logs that are to be kept.
func (l *Log) Commit(now timing.Reading, cmds ...Command) ([]Event, error) {
	place := now.Wall.Location()
	now.Wall, now.Boot = now.Wall.UTC().Truncate(Precision), now.Boot.Truncate(Precision)
	var events []Event
	for _, c := range cmds {
		if c.place = place; !c.When.IsZero() {
			c.place = c.When.Location()
		}
		for _, c := range l.expand(now, c) {
			e, err := l.commit(now, c)
			if err != nil {
				return nil, err
			}
			events = append(events, e)
		}
	}
	return events, nil
}

// commit decides one command and applies its event.
func (l *Log) commit(now timing.Reading, c Command) (Event, error) {
	before, hasty, stops := l.State().noWindow(), l.State().hasty(), l.State().stopsBefore(c.Data)
	again, _ := l.State().putOnAgain()
	e, err := l.decide(now, c)
	if err != nil {
		return Event{}, err
	}
	if err := l.Append(e); err != nil {
		return Event{}, plain(err)
	}
	if err := l.State().consistent(); err != nil {
		return Event{}, err
	}
	if l.State().hasty() && !hasty {
		return Event{}, errors.New("pain would be cleared before 20 minutes of cool water, with no reason for it: give another time, or take the clearing back first")
	}
	if n, product := l.State().putOnAgain(); n > again && touches(e.Data) {
		return Event{}, fmt.Errorf("the client reacted to %s: nothing more of it touches hair in this visit; plan another product, or end the colour work", product)
	}
	if none := l.State().noWindow(); none != nil && before == nil {
		return Event{}, none
	}
	return e, l.State().dyed(stops, e.Data)
}

// expand puts before a rinse what it implies: pieces that are still to come
// in zones that go to the basin become zones of their own, so that they stay
// in the plan. Before a reaction it ends the heat.
func (l *Log) expand(now timing.Reading, c Command) (all []Command) {
	switch d := c.Data.(type) {
	case RinseBegan:
		for _, split := range l.State().keepRest(d.Zones) {
			all = append(all, Command{When: c.When, Data: split, place: c.place})
		}
	case PainReported:
		if off := l.State().heatToEnd(l.moment(now, c)); len(off) > 0 {
			all = append(all, Command{When: c.When, Data: HeatOff{Zones: off}})
		}
	}
	return append(all, c)
}

// moment is when a command happened, on the time line.
func (l *Log) moment(now timing.Reading, c Command) time.Time {
	at := l.State().Line.Now(now)
	if c.When.IsZero() {
		return at
	}
	return at.Add(c.When.UTC().Truncate(Precision).Sub(now.Wall))
}

// keepRest puts the pieces that are still to come in zones that go to the
// basin now into zones of their own, so that they stay in the plan.
func (s *State) keepRest(ids []string) (splits []PlanChanged) {
	const mark = ", rest"
	for i, id := range ids {
		z := s.Zone(id)
		if z == nil || !z.Holding() || z.Full() || z.Done() == 0 || s.roomFor(z.Round) != nil || slices.Contains(ids[:i], id) {
			continue
		}
		name := z.Name
		if !strings.HasSuffix(name, mark) && len(name)+len(mark) <= MaxName {
			name += mark
		}
		splits = append(splits, PlanChanged{Change: ChangeSplit, Zone: id, Keep: z.Done(), Name: name})
	}
	return splits
}

// plain takes off the wrapping that names the event: to the person who just
// pressed a key the event has no number yet.
func plain(err error) error {
	if in := errors.Unwrap(err); in != nil {
		return in
	}
	return err
}

func (l *Log) decide(now timing.Reading, c Command) (Event, error) {
	s := l.State()
	when := c.When.UTC().Truncate(Precision)
	if c.When.IsZero() {
		when = now.Wall
	}
	if when.After(now.Wall.Add(clockSlack)) {
		return Event{}, fmt.Errorf("%s is in the future: it is %s now; give a time that has passed",
			when.In(c.place).Format("15:04:05"), now.Wall.In(c.place).Format("15:04:05"))
	}
	at := s.Line.Now(now).Add(when.Sub(now.Wall))
	if s.Seq > 0 && at.Before(s.Opened) {
		return Event{}, fmt.Errorf("%s is before the service was opened; give a later time", when.In(c.place).Format("15:04:05"))
	}
	data, err := l.check(c.Data, at, now, c.place)
	if err != nil {
		return Event{}, err
	}
	if data, err = normal(data); err != nil {
		return Event{}, err
	}
	return Event{Seq: s.Seq + 1, When: when, Recorded: now, Data: data}, nil
}

// check applies the rules to one command, and fills in what it leaves open.
func (l *Log) check(data Data, at time.Time, now timing.Reading, place *time.Location) (Data, error) {
	s := l.State()
	if err := cmp.Or(s.checkLive(data, l), s.checkTouch(data, at)); err != nil {
		return nil, err
	}
	switch d := data.(type) {
	case ServiceOpened:
		return d, checkOpened(d, now)
	case ServiceClosed:
		return d, cmp.Or(s.checkClosed(), s.checkAsked(), text(d.Outcome))
	case ConsultationNoted:
		return checkConsultation(d)
	case SafetyAnswered:
		return s.checkAnswer(d, at, place)
	case PainReported:
		return d, s.checkPain(d, at)
	case PainCleared:
		return s.checkCleared(d, at)
	case ReactionNoted:
		return d, s.checkNoted(d, at)
	case PlanSet:
		return s.checkPlan(d)
	case PlanChanged:
		return s.checkChange(d)
	case WindowConfirmed:
		return d, s.checkWindow(d)
	case BowlMixed:
		return s.checkBowl(d, at)
	case BowlEmptied:
		return d, checkEmptied(d)
	case PiecePlaced:
		return s.checkPiece(d, at)
	case ZoneFinished:
		return d, s.checkFinished(d)
	case CoatApplied:
		return s.checkCoatApplied(d, at)
	case CoatRefreshed:
		return s.checkRefreshed(d, at)
	case HeatOn:
		return d, s.checkHeat(d, at)
	case HeatOff:
		return d, s.zonesNamed(d.Zones)
	case ZoneChecked:
		return s.checkChecked(d)
	case RinseBegan:
		return s.checkRinse(d, at)
	case RinseEnded:
		return s.checkRinseEnd(d)
	case StepBegan:
		return d, s.checkStep(d)
	case StepEnded:
		return d, named("step", d.Step)
	case PauseBegan:
		return d, text(d.Reason)
	case PauseEnded:
		return d, nil
	case HelperJoined:
		return d, s.checkHelper(d)
	case HelperLeft:
		return d, named("helper", d.Name)
	case WarningAcknowledged:
		return s.checkAcknowledged(d)
	case NoteAdded:
		return d, s.checkNote(d)
	case CutNoted:
		return d, checkCut(d)
	case PromiseChanged:
		return s.checkPromise(d, at, now, place)
	case ClockNoted:
		return s.checkClock(d, now)
	case EventVoided:
		return d, l.checkVoided(d)
	case EventMoved:
		return d, l.checkMoved(d, now, place)
	}
	return nil, fmt.Errorf("unknown kind of command %T", data)
}

// checkLive refuses what comes before the opening or after the closing.
func (s *State) checkLive(data Data, l *Log) error {
	_, opens := data.(ServiceOpened)
	switch {
	case s.Seq == 0 && !opens:
		return errors.New("the service is not open yet: open it first")
	case s.Seq > 0 && opens:
		return errors.New("the service is open already")
	case s.Closed.IsZero():
		return nil
	}
	if v, ok := data.(EventVoided); ok { // opening it again, or taking a note back
		if _, closing := l.target(v).(ServiceClosed); closing {
			return nil
		}
		data = l.target(v)
	}
	switch d := data.(type) {
	case NoteAdded:
		return nil
	case ReactionNoted:
		if d.When == AskLater {
			return nil
		}
	}
	return errors.New("the service is closed: take the closing back to go on with it")
}

// target returns the data of the event that a voiding, or the voiding of a
// voiding, is about in the end. It is nil if there is none.
func (l *Log) target(v EventVoided) Data {
	e := l.event(v.Seq)
	if e == nil {
		return nil
	}
	if again, ok := e.Data.(EventVoided); ok && again.Seq < v.Seq {
		return l.target(again)
	}
	return e.Data
}

func (l *Log) event(seq int) *Event {
	if seq < 1 || seq > len(l.events) {
		return nil
	}
	return &l.events[seq-1]
}

// consistent checks what must hold whatever order things were logged in.
func (s *State) consistent() error {
	for _, z := range s.Zones {
		for _, c := range z.Coats {
			for _, id := range c.Bowls {
				b := s.Bowl(id)
				if c.First().Before(b.Mixed) && c.Bowls[0] == id {
					return fmt.Errorf("%s would have product on it before bowl %s was mixed: put the mixing earlier first, or give a later time", z.Name, id)
				}
			}
			if !s.Closed.IsZero() && c.Off.After(s.Closed) {
				return fmt.Errorf("the service would be closed before %s was rinsed: give a later time", z.Name)
			}
			if !c.Off.IsZero() && c.Last().After(c.Off) {
				return fmt.Errorf("%s would be rinsed before its last piece went in: give a later time", z.Name)
			}
		}
		if !z.RinseBegan.IsZero() && z.RinseBegan.Before(firstContact(z)) {
			return fmt.Errorf("%s would be rinsed before anything was on it: give a later time", z.Name)
		}
	}
	for _, t := range s.Trips {
		for id, done := range t.Done {
			if done.Before(t.Began) {
				return fmt.Errorf("the rinse of %s would end before it began: give a later time", s.Zone(id).Name)
			}
		}
	}
	for _, b := range s.Bowls {
		if !b.Emptied.IsZero() && b.Emptied.Before(b.Mixed) {
			return fmt.Errorf("bowl %s would be empty before it was mixed: give a later time", b.ID)
		}
	}
	for _, p := range s.Promises {
		if p.At.After(s.Opened) && !p.By.IsZero() && p.By.Before(p.At) {
			return errors.New("another time would be promised only after it has passed: give an earlier moment")
		}
	}
	return s.spansInOrder()
}

// spansInOrder refuses what would end before it began.
func (s *State) spansInOrder() error {
	backwards := func(what string, spans ...Span) error {
		for _, sp := range spans {
			if !sp.Open() && sp.To.Before(sp.From) {
				return fmt.Errorf("%s would end before it began: give a later time", what)
			}
		}
		return nil
	}
	for _, st := range s.Steps {
		if err := backwards(st.Name, st.Spans...); err != nil {
			return err
		}
	}
	for _, z := range s.Zones {
		if err := backwards("the heat on "+z.Name, z.Heat...); err != nil {
			return err
		}
	}
	for _, p := range s.Pains {
		if err := backwards("the pain", Span{From: p.At, To: p.Cleared}); err != nil {
			return err
		}
	}
	for _, h := range s.Helpers {
		if err := backwards("the help of "+h.Name, h.Span); err != nil {
			return err
		}
	}
	return backwards("the pause", s.Pauses...)
}

func firstContact(z *Zone) (first time.Time) {
	for _, c := range z.Coats {
		if f := c.First(); first.IsZero() || f.Before(first) {
			first = f
		}
	}
	return first
}
