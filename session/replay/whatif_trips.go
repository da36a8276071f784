package replay

import (
	"maps"
	"slices"
	"time"

	"rinseby/session"
)

// keeps are, of the zones of a real trip, those that are still to be rinsed in
// the alternative.
func (c *carrier) keeps(ids []string) map[string]string {
	zones := map[string]string{}
	for _, id := range ids {
		alt := c.zone(id)
		if z := c.log.State().Zone(alt); z != nil && z.Holding() && z.Trip == "" && !c.early[id] {
			zones[id] = alt
		}
	}
	return zones
}

// zone is what a zone is called from the change on.
func (c *carrier) zone(id string) string {
	if rest, ok := c.rest[id]; ok {
		return rest
	}
	return id
}

// rinse begins a real trip, as far as there is anything left of it.
func (c *carrier) rinse(d deed, r session.RinseBegan) error {
	real := c.was.Trip(r.Trip)
	zones := c.keeps(r.Zones)
	trip := &carried{real: d.at, zones: zones, beside: real != nil && c.beside(real)}
	c.trips[r.Trip] = trip
	if len(zones) == 0 {
		if real != nil && !trip.beside {
			c.skip(real)
		}
		c.reach(d.key)
		return nil
	}
	c.finish(zones)
	if !d.at.Before(c.hands.real) { // else it was logged late, after others
		c.reach(d.at)
		at := later(c.basin, c.ready(zones, d.at, in(c.hands.waits, d.at.Add(-session.Precision))))
		if trip.beside && at.After(c.hands.alt) {
			trip.alt = at
			c.schedule(entry{at: at, data: session.RinseBegan{Trip: r.Trip, Zones: inOrderOf(r.Zones, zones)}})
			return nil
		}
		c.hands.until(at)
	}
	c.reach(d.key)
	trip.alt = c.hands.when(d.at)
	return c.log1(d, session.RinseBegan{Trip: r.Trip, Zones: inOrderOf(r.Zones, zones)})
}

// finish says of zones that go to the basin that nothing more comes to them: had
// it come, it would have been kept apart when they really went.
func (c *carrier) finish(zones map[string]string) {
	for _, id := range slices.Sorted(maps.Values(zones)) {
		if c.log.State().Zone(id).Full() {
			continue
		}
		done := session.ZoneFinished{Zone: id}
		if err := c.commit(c.hands.alt, done); err != nil {
			c.leaveOut(err, c.hands.alt, done)
		}
	}
}

// inOrderOf are the zones that are kept, in their real order.
func inOrderOf(real []string, kept map[string]string) (ids []string) {
	for _, id := range real {
		if alt, ok := kept[id]; ok {
			ids = append(ids, alt)
		}
	}
	return ids
}

// skip leaves out the time of a trip of which nothing is left.
func (c *carrier) skip(t *session.Trip) {
	end := t.Ended
	if end.IsZero() {
		end = c.t.To()
	}
	spans := []session.Span{{From: t.Began, To: end}}
	for _, st := range c.was.Stints() {
		if st.Kind == session.StintWalk && st.To.Equal(t.Began) || st.Kind == session.StintReseat && st.From.Equal(end) {
			spans = append(spans, session.Span{From: st.From, To: st.To})
		}
	}
	c.hands.gone = append(c.hands.gone, spans...)
}

// ready is when zones that really went to the basin at a moment may go there.
// After a wait, that with the newest piece goes as long after that as it really
// did: it was waited for. The others go when they are open, or as soon after
// their newest piece as they really did; so do all without a wait.
func (c *carrier) ready(zones map[string]string, real time.Time, waited bool) (at time.Time) {
	var newest time.Time
	for id := range zones {
		newest = later(newest, lastContact(c.was, id, real))
	}
	s := c.log.State()
	for _, id := range slices.Sorted(maps.Keys(zones)) {
		last := lastContact(c.was, id, real)
		if last.IsZero() {
			continue
		}
		may := c.hands.when(last).Add(real.Sub(last))
		if !waited || last.Before(newest) {
			t := s.ZoneTiming(s.Zone(zones[id]), c.hands.alt)
			if may = earlier(may, t.OpensAt); !t.LimitAt.IsZero() {
				may = earlier(may, t.LimitAt)
			}
		}
		at = later(at, may)
	}
	return at
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

func earlier(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}

// lastContact is the last contact in a zone of what was on it at the moment, or
// zero.
func lastContact(s *session.State, zone string, at time.Time) (last time.Time) {
	z := s.Zone(zone)
	if z == nil {
		return last
	}
	for _, c := range z.Coats {
		for _, b := range c.Batches {
			if !b.At.After(at) && (c.Off.IsZero() || !at.After(c.Off)) && b.At.After(last) {
				last = b.At
			}
		}
	}
	return last
}

// off ends rinses of a real trip.
func (c *carrier) off(d deed, r session.RinseEnded) error {
	trip := c.trips[r.Trip]
	if trip == nil { // under way at the change
		c.reach(d.key)
		return c.log1(d, r)
	}
	var ids []string
	for _, id := range r.Zones {
		if alt, ok := trip.zones[id]; ok {
			ids = append(ids, alt)
		} else if z := c.log.State().Zone(c.zone(id)); z != nil && z.Trip == r.Trip { // split off at the basin
			ids = append(ids, z.ID)
		}
	}
	if n := len(r.Zones); len(ids) < n && len(trip.zones) > 0 && !trip.beside { // as many rinses less
		gap := max(d.key.Sub(c.hands.real), 0)
		none := session.Span{From: d.key.Add(-gap * time.Duration(n-len(ids)) / time.Duration(n)), To: d.key}
		c.hands.gone = append(c.hands.gone, none)
	}
	c.reach(d.key)
	if len(ids) == 0 {
		return nil
	}
	data := session.RinseEnded{Trip: r.Trip, Zones: ids}
	if !trip.beside {
		return c.log1(d, data)
	}
	at := trip.alt.Add(d.at.Sub(trip.real))
	c.basin = at
	c.schedule(entry{at: at, data: data})
	return c.flush(c.hands.alt)
}

// translate says an entry for the alternative: with the zones as they are called
// there, and weaker where it is to be. It is nil for what falls away.
func (c *carrier) translate(d deed) session.Data {
	switch e := d.data.(type) {
	case session.PiecePlaced:
		e.Coats = c.weaker(e.Zone, e.Coats)
		e.Zone = c.zone(e.Zone)
		return e
	case session.CoatApplied:
		e.Coats = c.weaker(e.Zone, e.Coats)
		e.Zone = c.zone(e.Zone)
		return e
	case session.CoatRefreshed:
		e.Coats = c.weaker(e.Zone, e.Coats)
		e.Zone = c.zone(e.Zone)
		return e
	case session.ZoneFinished:
		e.Zone = c.zone(e.Zone)
		return e
	case session.ZoneChecked:
		if c.early[e.Zone] && !lastContact(c.was, e.Zone, d.at).IsZero() {
			return nil
		}
		e.Zone = c.zone(e.Zone)
		return e
	case session.HeatOn:
		e.Zones = c.heated(e.Zones, false)
		if len(e.Zones) == 0 {
			return nil
		}
		return e
	case session.HeatOff:
		e.Zones = c.heated(e.Zones, true)
		if len(e.Zones) == 0 {
			return nil
		}
		return e
	case session.BowlMixed:
		if c.weak != nil && c.weak.only[e.Bowl] {
			e.Mix = c.weak.mix(e.Mix)
		}
		return e
	case session.PlanSet:
		e.Zones = slices.Clone(e.Zones)
		for i := range e.Zones {
			e.Zones[i] = c.planned(e.Zones[i])
		}
		return e
	case session.PlanChanged:
		return c.changed(e)
	case session.EventMoved:
		e.To = c.reading(c.hands.alt).Wall.Add(e.To.Sub(c.t.whole.Events()[d.seq-1].Recorded.Wall))
		return e
	}
	return d.data
}

// weaker are coats from bowls that are as weak as they are to be.
func (c *carrier) weaker(zone string, ons []session.CoatOn) []session.CoatOn {
	if c.weak == nil || !c.weak.zones[zone] {
		return ons
	}
	ons = slices.Clone(ons)
	for i, on := range ons {
		if id := c.weak.bowls[on.Bowl]; id != "" {
			ons[i].Bowl = id
		}
	}
	return ons
}

// heated are those of the zones on which heat can go on or off.
func (c *carrier) heated(ids []string, on bool) (can []string) {
	for _, id := range ids {
		id = c.zone(id)
		if z := c.log.State().Zone(id); z != nil && z.Heated() == on && (on || !c.early[id]) {
			can = append(can, id)
		}
	}
	return can
}

// planned is a zone as it is planned in the alternative.
func (c *carrier) planned(z session.PlanZone) session.PlanZone {
	if c.weak != nil && c.weak.zones[z.ID] {
		z.Bands = c.weak.bands(z.Bands)
	}
	for _, id := range slices.Clone(z.SameHairAs) {
		if rest, ok := c.rest[id]; ok {
			z.SameHairAs = append(slices.Clone(z.SameHairAs), rest)
		}
	}
	return z
}

// changed is a change of the plan as it is made in the alternative.
func (c *carrier) changed(e session.PlanChanged) session.Data {
	if e.Add != nil {
		add := c.planned(*e.Add)
		e.Add = &add
	}
	if c.weak != nil && c.weak.zones[e.Zone] {
		e.Bands = c.weak.bands(e.Bands)
	}
	if rest, ok := c.rest[e.Zone]; ok && e.Change != session.ChangeAdd {
		e.Keep -= c.kept[e.Zone]
		e.Pieces -= c.kept[e.Zone]
		e.Zone = rest
	}
	var order []string
	for _, id := range e.Order {
		order = append(order, id)
		if rest, ok := c.rest[id]; ok {
			order = append(order, rest)
		}
	}
	e.Order = order
	return e
}
