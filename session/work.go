package session

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// Technique is the key of the zone's pace: its technique in small letters, if
// the plan says one, else the action of its round.
func (z *Zone) Technique() string {
	if t := strings.ToLower(strings.Join(strings.Fields(z.Way), " ")); t != "" {
		return t
	}
	return string(z.action)
}

// House rules of how a log is cut; common practice, no source.
const (
	// catchUp is within what time pieces are logged late rather than placed:
	// they count with those before them.
	catchUp = 10 * time.Second
	// stepWay is the longest way to a step before the first bowl; what is
	// longer is preparation.
	stepWay = time.Minute
	// paceTells is how many earlier times per piece there must be for their
	// median to count.
	paceTells = 3
)

// Tells reports whether the stint tells of the pace of pieces: some were
// placed, in a time that can be.
func (st Stint) Tells() bool {
	return st.Kind == StintPlace && st.Units > 0 && st.Took >= catchUp*time.Duration(st.Units)
}

// Stints cuts all that the log tells of so far into what hands did, by the
// moments at which things happened. What was taken back does not count.
//
//   - A bowl ends a mix; the first one ends the preparation, from which steps
//     are taken out.
//   - Pieces end a place stint, a band that was left for later a coat stint.
//     Pieces logged within 10 seconds of others of the zone count with those.
//   - The first pieces after a trip end two stints: the pieces take the median
//     time per piece so far of their technique, or the planned one, and what
//     is left of the time is a reseat. Such a place stint has no units, as it
//     tells nothing of the pace.
//   - The start of a trip ends a walk, if pieces or bands of the round are
//     still to come. If not, the wait before it lies in develop stints, one
//     for each zone: from its last contact to the start of its own rinse. Only
//     the zone with the last contact of all tells how long it is left to
//     develop; those before it waited for it, too, and have no units.
//   - Each zone's rinse is a stint; zones that ended at one moment are one,
//     with as many units.
//   - A step counts from the end of what was before it, so that the way to it
//     is part of it; from its own start if what was before it is preparation
//     or a wait for what develops. A bowl mixed in such a wait is no stint.
//   - The closing ends the last one.
//
// Pauses are left out of Took, but not of what develops: chemistry does not
// stop. Stints are in the order of their ends. All but develop stints follow
// one another without overlap, and any gap lies in develop stints.
func (s *State) Stints() []Stint { return s.cut().stints }

// cut goes through the whole log.
func (s *State) cut() *cutter {
	c := &cutter{s: s, cursor: s.Opened, marks: s.marks()}
	c.stints = c.developed()
	c.waits = slices.Clone(c.stints)
	for _, m := range c.marks {
		c.take(m)
	}
	slices.SortStableFunc(c.stints, func(a, b Stint) int { return a.To.Compare(b.To) })
	return c
}

// A mark is something that ends a stint.
type mark struct {
	at    time.Time
	kind  StintKind // of the stint; walk for the start of a trip
	began time.Time // step
	name  string
	units int
	zone  *Zone
	trip  *Trip
}

// order is that of marks at one moment.
var order = map[StintKind]int{StintStep: 0, StintMix: 1, StintPlace: 2, StintCoat: 3, StintRinse: 4, StintWalk: 5, StintClose: 7}

func (m mark) order() int {
	if m.kind == StintRinse && m.at.Equal(m.trip.Began) {
		return order[StintWalk] + 1
	}
	return order[m.kind]
}

// marks are all of them, in the order in which they happened.
func (s *State) marks() []mark {
	var ms []mark
	for _, b := range s.Bowls {
		ms = append(ms, mark{at: b.Mixed, kind: StintMix, units: 1})
	}
	ms = append(ms, s.workMarks()...)
	for _, t := range s.Trips {
		ms = append(ms, mark{at: t.Began, kind: StintWalk, units: 1, trip: t})
		n := len(ms)
		for _, id := range t.Zones {
			at, done := t.Done[id]
			if !done {
				continue
			}
			if i := slices.IndexFunc(ms[n:], func(m mark) bool { return m.at.Equal(at) }); i >= 0 {
				ms[n+i].units++
				continue
			}
			ms = append(ms, mark{at: at, kind: StintRinse, units: 1, zone: s.Zone(id), trip: t})
		}
	}
	for _, st := range s.Steps {
		for _, sp := range st.Spans {
			if !sp.Open() {
				ms = append(ms, mark{at: sp.To, kind: StintStep, name: st.Name, units: 1, began: sp.From})
			}
		}
	}
	if !s.Closed.IsZero() {
		ms = append(ms, mark{at: s.Closed, kind: StintClose, units: 1})
	}
	slices.SortStableFunc(ms, func(a, b mark) int {
		return cmp.Or(a.at.Compare(b.at), cmp.Compare(a.order(), b.order()))
	})
	return ms
}

// workMarks are those of pieces and of bands that were left for later. An
// entry that was divided between the parts of a zone counts once.
func (s *State) workMarks() []mark {
	var ms []mark
	bySeq := map[int]int{}
	for _, z := range s.Zones {
		for _, b := range z.Placed {
			if i, seen := bySeq[b.Seq]; seen {
				ms[i].units += b.Count
				continue
			}
			bySeq[b.Seq] = len(ms)
			ms = append(ms, mark{at: b.At, kind: StintPlace, name: z.Technique(), units: b.Count, zone: z})
		}
	}
	for _, z := range s.Zones {
		for _, c := range z.Coats {
			for _, b := range c.Batches {
				if _, seen := bySeq[b.Seq]; !seen {
					bySeq[b.Seq] = len(ms)
					ms = append(ms, mark{at: b.At, kind: StintCoat, name: string(z.action), units: 1, zone: z})
				}
			}
		}
	}
	return ms
}

// A cutter goes through the marks.
type cutter struct {
	s      *State
	marks  []mark
	cursor time.Time // end of the last stint
	last   StintKind // of the last mark
	mixed  bool      // a bowl was mixed
	waits  []Stint   // those that develop
	stints []Stint
	place  int // index of the last place stint, if that was the last mark
}

func (c *cutter) take(m mark) {
	at := m.at
	if at.Before(c.cursor) { // a clock that was put right
		at = c.cursor
	}
	waiting := c.developing(c.cursor, at)
	switch m.kind {
	case StintMix:
		switch {
		case !c.mixed:
			c.add(Stint{Kind: StintPrepare, Units: 1}, at)
		case !waiting:
			c.add(Stint{Kind: StintMix, Units: 1}, at)
		}
		c.mixed = true
	case StintPlace:
		c.pieces(m, at)
	case StintCoat:
		c.add(Stint{Kind: StintCoat, Name: m.name, Zone: m.zone.ID, Units: 1}, at)
	case StintWalk:
		if !waiting || c.toCome(m.trip) {
			c.add(Stint{Kind: StintWalk, Units: 1}, at)
		}
	case StintRinse:
		c.add(Stint{Kind: StintRinse, Zone: m.zone.ID, Units: m.units}, at)
	case StintStep:
		c.step(m, at)
	case StintClose:
		c.add(Stint{Kind: StintClose, Units: 1}, at)
	}
	c.cursor, c.last = at, m.kind
}

// add ends a stint that began where the last one ended.
func (c *cutter) add(st Stint, to time.Time) {
	st.From, st.To = c.cursor, to
	st.Took = to.Sub(c.cursor) - c.s.paused(c.cursor, to)
	st.Helpers = c.s.helping(c.cursor, to)
	c.stints = append(c.stints, st)
	c.cursor = to
}

func (c *cutter) step(m mark, at time.Time) {
	if began := m.began; began.After(c.cursor) && !began.After(at) {
		switch {
		case c.developing(c.cursor, began):
			c.cursor = began
		case !c.mixed && began.Sub(c.cursor) > stepWay:
			c.add(Stint{Kind: StintPrepare, Units: 1}, began)
		}
	}
	c.add(Stint{Kind: StintStep, Name: m.name, Units: 1}, at)
}

// pieces ends a place stint, and before it a reseat.
func (c *cutter) pieces(m mark, at time.Time) {
	st := Stint{Kind: StintPlace, Name: m.name, Zone: m.zone.ID, Units: m.units}
	if c.last == StintPlace {
		if before := &c.stints[c.place]; before.Zone == st.Zone && at.Sub(before.To) < catchUp {
			if before.Units > 0 {
				before.Units += st.Units
			}
			c.cursor = before.From
			whole := *before
			c.stints = slices.Delete(c.stints, c.place, c.place+1)
			c.add(whole, at)
			c.place = len(c.stints) - 1
			return
		}
	}
	if c.last == StintRinse {
		st.Units = 0
		free := at.Sub(c.cursor) - c.s.paused(c.cursor, at)
		work := time.Duration(m.units) * c.each(m)
		if work == 0 { // nothing is known of the pieces, so the house figure is the reseat
			work = max(free-TripReseat, 0)
		}
		if work < free {
			c.add(Stint{Kind: StintReseat, Units: 1}, c.s.before(at, work, c.cursor))
		}
	}
	c.add(st, at)
	c.place = len(c.stints) - 1
}

// each is what a piece takes as far as it is known at the mark; zero if not.
func (c *cutter) each(m mark) time.Duration {
	var each []time.Duration
	for _, st := range c.stints {
		if st.Tells() && st.Name == m.name {
			each = append(each, st.Took/time.Duration(st.Units))
		}
	}
	if len(each) < paceTells {
		return minutes(m.zone.MinutesPerPiece)
	}
	slices.Sort(each)
	return each[len(each)/2]
}

// developing reports whether all of the time lies in a wait for what develops.
func (c *cutter) developing(from, to time.Time) bool {
	return slices.ContainsFunc(c.waits, func(w Stint) bool { return !from.Before(w.From) && !to.After(w.To) })
}

// toCome reports whether pieces or bands of the trip's rounds were, or are,
// still to come when it began.
func (c *cutter) toCome(t *Trip) bool {
	rounds := c.roundsOf(t)
	for _, m := range c.marks {
		if (m.kind == StintPlace || m.kind == StintCoat) && rounds[m.zone.Round] && m.at.After(t.Began) {
			return true
		}
	}
	if !c.s.Live() || c.s.Ended() {
		return false
	}
	return slices.ContainsFunc(c.s.Zones, func(z *Zone) bool {
		return rounds[z.Round] && !z.Dropped && (!z.Full() || (z.Holding() && z.Trip == "" && len(z.uncoated()) > 0))
	})
}

// uncoated are the bands that were left for later and are not coated yet.
func (z *Zone) uncoated() (bands []PlanBand) {
	for _, p := range z.Bands {
		if p.Later && !slices.ContainsFunc(z.Coats, func(c *Coat) bool { return c.Band == p.Band }) {
			bands = append(bands, p)
		}
	}
	return bands
}

// developed are the develop stints: of each zone of a trip before which nothing
// was left to place.
func (c *cutter) developed() (all []Stint) {
	for _, t := range c.s.Trips {
		if c.toCome(t) {
			continue
		}
		ids := slices.Clone(t.Zones)
		slices.SortStableFunc(ids, func(a, b string) int {
			x, y := t.Done[a], t.Done[b]
			switch {
			case x.IsZero() && y.IsZero():
				return 0
			case x.IsZero():
				return 1
			case y.IsZero():
				return -1
			}
			return x.Compare(y)
		})
		start, newest, tells := t.Began, c.newest(t), -1
		for i, id := range ids {
			done := t.Done[id]
			z := c.s.Zone(id)
			if last := z.lastOn(t.Began, done); !last.IsZero() {
				all = append(all, Stint{Kind: StintDevelop, Name: string(z.action), Zone: id, From: last, To: start,
					Took: start.Sub(last), Helpers: c.s.helping(last, start)})
				if !last.Before(newest) {
					tells = len(all) - 1
				}
			}
			if done.IsZero() { // under way, or it is not known which comes next
				break
			}
			if i+1 < len(ids) && !t.Done[ids[i+1]].Equal(done) && done.After(start) {
				start = done
			}
		}
		if tells >= 0 {
			all[tells].Units = 1
		}
	}
	return all
}

// newest is the last contact in the trip's rounds before it began.
func (c *cutter) newest(t *Trip) (last time.Time) {
	rounds := c.roundsOf(t)
	for _, m := range c.marks {
		if (m.kind == StintPlace || m.kind == StintCoat) && rounds[m.zone.Round] && !m.at.After(t.Began) {
			last = m.at
		}
	}
	return last
}

// roundsOf are the ids of the rounds that a trip's zones are of.
func (c *cutter) roundsOf(t *Trip) map[string]bool {
	rounds := map[string]bool{}
	for _, id := range t.Zones {
		if z := c.s.Zone(id); z != nil {
			rounds[z.Round] = true
		}
	}
	return rounds
}

// lastOn is the last contact, before a rinse began, of what that rinse took
// off at the moment off, or what it is still taking off.
func (z *Zone) lastOn(began, off time.Time) (last time.Time) {
	for _, c := range z.Coats {
		if !c.Off.Equal(off) {
			continue
		}
		for _, b := range c.Batches {
			if b.At.After(last) && !b.At.After(began) {
				last = b.At
			}
		}
	}
	return last
}

// paused is how much of the time was pause.
func (s *State) paused(from, to time.Time) time.Duration {
	spans := make([]Span, 0, len(s.Pauses))
	for _, p := range s.Pauses {
		if sp, ok := p.within(from, to); ok {
			spans = append(spans, sp)
		}
	}
	return union(spans)
}

// within is the part of the span that lies between two moments.
func (s Span) within(from, to time.Time) (Span, bool) {
	if s.From.After(from) {
		from = s.From
	}
	if !s.Open() && s.To.Before(to) {
		to = s.To
	}
	return Span{From: from, To: to}, from.Before(to)
}

// before is the moment from which on hands worked for so long until at; no
// earlier than floor.
func (s *State) before(at time.Time, work time.Duration, floor time.Time) time.Time {
	from := at.Add(-work)
	for range len(s.Pauses) + 1 {
		earlier := at.Add(-work - s.paused(from, at))
		if earlier.Equal(from) {
			break
		}
		from = earlier
	}
	if from.Before(floor) {
		return floor
	}
	return from
}

// helping is how many helpers were there, on average over the time.
func (s *State) helping(from, to time.Time) float64 {
	var sum time.Duration
	for _, h := range s.Helpers {
		if sp, ok := h.within(from, to); ok {
			sum += sp.To.Sub(sp.From)
		}
	}
	if !to.After(from) {
		return 0
	}
	return float64(sum) / float64(to.Sub(from))
}
