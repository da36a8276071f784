package replay

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/timing"
)

// A carrier carries an alternative on.
type carrier struct {
	t     *Tape
	was   *session.State // in the end, really
	u     session.Usuals
	log   *session.Log
	hands hands
	deeds []deed
	// due is what comes at moments that hands need not have reached, in their
	// order.
	due    []entry
	habits habits
	trips  map[string]*carried // real trips, by id
	basin  time.Time           // until when it is taken
	early  map[string]bool     // zones that are off before they really were
	rest   map[string]string   // what is still to come of zones that were rinsed
	kept   map[string]int      // and how many pieces those keep
	weak   *weakening          // nil without
	notes  []string
}

// An entry is something to be logged at a moment of the alternative.
type entry struct {
	at   time.Time
	data session.Data
	must bool // without it there is no alternative
}

// A carried trip is how a real one goes in the alternative.
type carried struct {
	real, alt time.Time         // when it begins
	zones     map[string]string // those that are rinsed, by what they really were
	beside    bool              // hands went on with pieces
}

// habits are what things take that really did not happen.
type habits struct {
	walk, rinse, reseat, mix time.Duration
	from                     string // in words
}

func newCarrier(t *Tape, at time.Time, u session.Usuals) (*carrier, error) {
	n := t.Position(at)
	log, err := session.Fold(t.Events(n).Events())
	if err != nil {
		return nil, err
	}
	c := &carrier{
		t: t, was: t.Whole().State(), u: u, log: log, deeds: t.story(n),
		trips: map[string]*carried{}, early: map[string]bool{}, rest: map[string]string{}, kept: map[string]int{},
	}
	passed := max(at.Sub(t.from[n-1]), 0)
	for _, word := range t.clocks(n) {
		if err := c.commit(lastMoment(c.log), word); err != nil {
			c.leaveOut(err, at, word)
		}
	}
	start := lastMoment(c.log).Add(passed)
	c.hands = hands{pair: pair{real: start, alt: start}, pace: 1}
	c.hands.hold(start)
	c.days(c.was.Stints())
	return c, nil
}

// days takes from the day what hands did, and how long things take.
func (c *carrier) days(stints []session.Stint) {
	took := map[session.StintKind][]time.Duration{}
	var busy []session.Span
	for _, st := range stints {
		if st.Took > 0 {
			took[st.Kind] = append(took[st.Kind], st.Took)
		}
		switch st.Kind {
		case session.StintDevelop:
			continue
		case session.StintPlace, session.StintCoat:
			c.hands.work = append(c.hands.work, session.Span{From: st.From, To: st.To})
		}
		busy = append(busy, session.Span{From: st.From, To: st.To})
	}
	for i := 1; i < len(busy); i++ { // any gap is a wait for what develops
		from, to := busy[i-1].To, busy[i].From
		if to.After(from) && c.tripAt(to) != nil {
			c.hands.waits = append(c.hands.waits, session.Span{From: from, To: to})
		}
	}
	var rinses []time.Duration
	for _, t := range c.was.Trips {
		if !t.Ended.IsZero() && t.Ended.After(t.Began) {
			rinses = append(rinses, t.Ended.Sub(t.Began)/time.Duration(len(t.Zones)))
		}
	}
	house := time.Duration(session.HouseTime(session.StintMix).Median() * float64(time.Minute)).Round(time.Second)
	c.habits = habits{
		walk:   middle(took[session.StintWalk], session.TripWalk),
		rinse:  middle(rinses, session.TripRinse),
		reseat: middle(took[session.StintReseat], session.TripReseat),
		mix:    middle(took[session.StintMix], house),
		from:   "by the day's own trips, else by house figures without source",
	}
}

// middle is the median, or the house figure if there is none.
func middle(all []time.Duration, house time.Duration) time.Duration {
	if len(all) == 0 {
		return house
	}
	all = slices.Clone(all)
	slices.Sort(all)
	return all[len(all)/2].Round(time.Second)
}

// tripAt is the real trip that began at the moment, or nil.
func (c *carrier) tripAt(at time.Time) *session.Trip {
	i := slices.IndexFunc(c.was.Trips, func(t *session.Trip) bool { return t.Began.Equal(at) })
	if i < 0 {
		return nil
	}
	return c.was.Trips[i]
}

// beside reports whether hands went on with pieces while a trip lasted.
func (c *carrier) beside(t *session.Trip) bool {
	for _, z := range c.was.Zones {
		for _, b := range z.Placed {
			if b.At.After(t.Began) && b.At.Before(t.Ended) {
				return true
			}
		}
	}
	return false
}

// toPlace reports whether pieces or bands are still to come.
func (c *carrier) toPlace() bool {
	return slices.ContainsFunc(c.deeds, func(d deed) bool {
		switch d.data.(type) {
		case session.PiecePlaced, session.CoatApplied:
			return true
		}
		return false
	})
}

// carryOn does all that is still to come.
func (c *carrier) carryOn() error {
	for _, d := range c.deeds {
		if err := c.do(d); err != nil {
			return err
		}
	}
	return c.flush(c.lastDue())
}

func (c *carrier) do(d deed) error {
	switch e := d.data.(type) {
	case session.RinseBegan:
		return c.rinse(d, e)
	case session.RinseEnded:
		return c.off(d, e)
	case session.ServiceClosed:
		c.reach(d.key)
		c.hands.until(c.basin)
		return c.log1(d, e)
	}
	if err := c.mixWeaker(d); err != nil {
		return err
	}
	c.reach(d.key)
	data := c.translate(d)
	if data == nil {
		return nil
	}
	return c.log1(d, data)
}

// reach goes on to a real moment, by the waits for trips that lie before it.
func (c *carrier) reach(to time.Time) {
	for _, sp := range c.hands.waits {
		if sp.To.After(c.hands.real) && !sp.To.After(to) {
			c.hands.upTo(sp.To)
			c.await(sp)
		}
	}
	c.hands.upTo(to)
	i := slices.IndexFunc(c.hands.waits, func(sp session.Span) bool { return to.After(sp.From) && to.Before(sp.To) })
	if i >= 0 {
		c.await(c.hands.waits[i])
	}
}

// await waits, for what really was waited for: until as long before the trip as
// it really was.
func (c *carrier) await(sp session.Span) {
	zones := c.keeps(c.tripAt(sp.To).Zones)
	for id, whole := range c.unsplit(c.tripAt(sp.To).Zones) {
		if held := c.keeps([]string{whole}); len(held) > 0 {
			zones[id] = held[whole]
		}
	}
	if len(zones) > 0 {
		c.hands.until(c.ready(zones, sp.To, true).Add(c.hands.real.Sub(sp.To)))
	}
}

// unsplit are, of zones, those that are still to be split off, with what they are
// part of until then.
func (c *carrier) unsplit(ids []string) map[string]string {
	whole := map[string]string{}
	for _, id := range ids {
		of := id
		for _, d := range slices.Backward(c.deeds) { // what was split off last may be a part of a part
			if e, ok := d.data.(session.PlanChanged); ok && e.Change == session.ChangeSplit && e.NewZone == of && c.log.State().Zone(of) == nil {
				of = e.Zone
			}
		}
		if of != id {
			whole[id] = of
		}
	}
	return whole
}

// log1 logs an entry where hands are, or as much before as it happened before.
func (c *carrier) log1(d deed, data session.Data) error {
	if err := c.flush(c.hands.alt); err != nil {
		return err
	}
	err := c.commitAt(c.hands.alt, c.hands.when(d.at), data)
	if c.unasked(err) {
		err = c.commitAt(c.hands.alt, c.hands.when(d.at), data)
	}
	zone, _ := coatsOf(d.data)
	if err != nil && c.weak != nil && c.weak.zones[zone] {
		return fmt.Errorf("the weaker product can't go on: %w", err)
	}
	if _, ack := data.(session.WarningAcknowledged); err == nil || ack {
		return nil
	}
	c.leaveOut(err, c.hands.alt, d.data)
	return nil
}

// unasked reports whether an entry was refused for a question that the service,
// an older one, was never asked, and has it answered so that the rest is told.
func (c *carrier) unasked(err error) bool {
	var none *session.ErrUnasked
	if !errors.As(err, &none) || !slices.Equal(none.Questions, []string{safety.Airways}) ||
		slices.ContainsFunc(c.was.Safety, func(a session.Answered) bool { return a.Question == safety.Airways }) {
		return false
	}
	ask, _ := harmless(session.SafetyAnswered{Question: safety.Airways})
	if c.commit(c.hands.alt, ask) != nil {
		return false
	}
	c.note("asthma was not asked about then; here it is taken that there is none")
	return true
}

// leaveOut notes that an entry was refused.
func (c *carrier) leaveOut(err error, at time.Time, data session.Data) {
	c.note(fmt.Sprintf("left out at %s, as the rules refuse it there: %s (%v)", c.t.Clock(at)(at), c.was.Say(data), err))
}

func (c *carrier) note(text string) {
	if !slices.Contains(c.notes, text) {
		c.notes = append(c.notes, text)
	}
}

// commit logs what happens at a moment.
func (c *carrier) commit(at time.Time, data session.Data) error { return c.commitAt(at, at, data) }

// commitAt logs, at a moment, what happened at the moment when. After an error
// the log is as it was.
func (c *carrier) commitAt(at, when time.Time, data session.Data) error {
	good := c.log.Events()
	reading := c.reading(at)
	cmd := session.Do(data)
	if early := c.log.State().Line.Now(reading).Sub(when); early > 0 {
		cmd = session.DoAt(reading.Wall.Add(-early), data)
	}
	if _, err := c.log.Commit(reading, cmd); err != nil {
		before, bad := session.Fold(good)
		if bad != nil {
			return bad
		}
		c.log = before
		return err
	}
	return nil
}

// reading is what clocks that go right from the last entry on show at a moment.
func (c *carrier) reading(at time.Time) (r timing.Reading) {
	events := c.log.Events()
	r = events[len(events)-1].Recorded
	passed := max(at.Sub(lastMoment(c.log)), 0)
	r.Wall = r.Wall.Add(passed)
	if r.BootID != "" {
		r.Boot += passed
	}
	return r
}

// schedule puts off an entry until its moment.
func (c *carrier) schedule(e entry) {
	c.due = append(c.due, e)
	slices.SortStableFunc(c.due, func(a, b entry) int { return a.at.Compare(b.at) })
}

func (c *carrier) lastDue() (last time.Time) {
	if n := len(c.due); n > 0 {
		last = c.due[n-1].at
	}
	return last
}

// flush logs what is due by the moment at. What comes after the end is left
// out.
func (c *carrier) flush(at time.Time) error {
	for len(c.due) > 0 && !c.due[0].at.After(at) {
		e := c.due[0]
		c.due = c.due[1:]
		if !c.log.State().Live() {
			continue
		}
		err := c.commit(e.at, e.data)
		switch {
		case err == nil:
		case e.must:
			return err
		default:
			c.leaveOut(err, e.at, e.data)
		}
	}
	return nil
}

// mixWeaker mixes, before what weaker product goes on, a bowl of it if there is
// none.
func (c *carrier) mixWeaker(d deed) error {
	zone, ons := coatsOf(d.data)
	if c.weak == nil || !c.weak.zones[zone] {
		return nil
	}
	for _, on := range ons {
		b := c.log.State().Bowl(on.Bowl)
		if b == nil || c.weak.bowls[on.Bowl] != "" || b.Strength.Nominal().AtMost(c.weak.to.Nominal()) {
			continue
		}
		id := unused("whatif-"+formulaID(c.weak.to), func(id string) bool { return c.was.Bowl(id) != nil || c.log.State().Bowl(id) != nil })
		c.hands.hold(c.hands.alt.Add(c.habits.mix))
		if err := c.flush(c.hands.alt); err != nil {
			return err
		}
		mixed := session.BowlMixed{Bowl: id, Product: b.Product, Family: b.Family, LifeS: int(b.Life / time.Second), Mix: c.weak.mix(b.Mix)}
		if err := c.commit(c.hands.alt, mixed); err != nil {
			return err
		}
		c.weak.bowls[on.Bowl] = id
		c.note(fmt.Sprintf("a bowl of %s at %s is mixed beside %s, which takes %s", b.Product, formula.Label(c.weak.to), b.ID, short(c.habits.mix)))
	}
	return nil
}

func formulaID(p formula.Percent) string { return fmt.Sprintf("%d", int(float64(p)*10+0.5)) }
