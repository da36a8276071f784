package replay

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/timing/pace"
)

func (r RinseNow) make(c *carrier) error {
	if len(r.Zones) == 0 {
		return errors.New("name at least one zone to rinse")
	}
	s := c.log.State()
	at, beside := c.hands.alt, c.besides()
	for _, id := range r.Zones {
		z := s.Zone(id)
		if z == nil || !z.Holding() {
			return fmt.Errorf("%s holds nothing to rinse at that moment: choose zones that product is on", names(s, []string{id}))
		}
	}
	if trip := s.OpenTrip(); trip != nil {
		return fmt.Errorf("%s is at the basin at that moment: choose a later one", names(s, trip.Zones))
	}
	if s.OpenPain() != nil {
		return errors.New("pain was reported: all goes off with cool water then, whatever else was planned; choose another moment")
	}
	for _, id := range r.Zones {
		if err := c.keepRest(id); err != nil {
			return err
		}
	}
	trip := unused("whatif-trip", func(id string) bool { return c.was.Trip(id) != nil || s.Trip(id) != nil })
	at = at.Add(c.habits.walk)
	c.schedule(entry{at, session.RinseBegan{Trip: trip, Zones: slices.Clone(r.Zones)}, true})
	for _, id := range r.Zones {
		at = at.Add(c.habits.rinse)
		c.schedule(entry{at, session.RinseEnded{Trip: trip, Zones: []string{id}}, true})
	}
	c.basin = at
	if beside {
		c.note("the helper rinses beside the pieces, as on other trips of the day: hands are not held up")
		return nil
	}
	if c.toPlace() {
		at = at.Add(c.habits.reseat)
	}
	c.hands.hold(at)
	c.note(fmt.Sprintf("a trip is reckoned at %s there, %s a rinse and %s back, %s",
		short(c.habits.walk), short(c.habits.rinse), short(c.habits.reseat), c.habits.from))
	return c.flush(at)
}

// keepRest keeps what is still to come of a zone that goes to the basin as a
// zone of its own.
func (c *carrier) keepRest(id string) error {
	s := c.log.State()
	z := s.Zone(id)
	if z.Full() || z.Done() == 0 {
		c.early[id] = true
		return nil
	}
	name := z.Name
	if rest := ", rest"; len(name)+len(rest) <= session.MaxName {
		name += rest
	}
	rest := unused("whatif-rest", func(id string) bool { return c.was.Zone(id) != nil || s.Zone(id) != nil })
	c.rest[id], c.kept[id] = rest, z.Done()
	return c.commit(c.hands.alt, session.PlanChanged{Change: session.ChangeSplit, Zone: id, Keep: z.Done(), NewZone: rest, Name: name})
}

// besides reports whether a trip now goes on beside the pieces.
func (c *carrier) besides() bool {
	if len(c.log.State().Helping()) == 0 {
		return false
	}
	return slices.ContainsFunc(c.was.Trips, func(t *session.Trip) bool {
		helped := slices.ContainsFunc(c.was.Helpers, func(h session.Helper) bool {
			return !h.From.After(t.Began) && (h.Open() || h.To.After(t.Began))
		})
		return helped && c.beside(t)
	})
}

func (h Helper) make(c *carrier) error {
	switch {
	case !(h.Minutes >= 0 && h.Minutes <= 600):
		return errors.New("a helper: give 0 to 600 minutes")
	case !c.log.State().Live():
		return errClosed
	case h.Minutes == 0:
		return nil
	}
	s := c.log.State()
	name := unused("helper", func(name string) bool {
		return slices.ContainsFunc(slices.Concat(s.Helpers, c.was.Helpers), func(o session.Helper) bool { return o.Name == name })
	})
	if err := c.commit(c.hands.alt, session.HelperJoined{Name: name}); err != nil {
		return err
	}
	here := float64(len(s.Helping()))
	prior := c.u.Pace
	if prior.Steps == nil {
		prior = pace.Default()
	}
	c.hands.pace = math.Exp(-prior.Helper.Mu * (math.Log2(1+here) - math.Log2(here)))
	c.hands.helpTo = c.hands.alt.Add(time.Duration(h.Minutes * float64(time.Minute)).Round(session.Precision))
	c.schedule(entry{at: c.hands.helpTo, data: session.HelperLeft{Name: name}})
	c.note(fmt.Sprintf("with the helper a piece takes %.0f %% of its time, by the pace model", 100*c.hands.pace))
	return nil
}

func (w Weaker) make(c *carrier) error {
	z := c.was.Zone(w.Zone)
	switch {
	case !c.log.State().Live():
		return errClosed
	case z == nil:
		return fmt.Errorf("there is no zone %q: choose one of the plan", w.Zone)
	case !(w.Strength > 0):
		return errors.New("say which strength of developer, above 0 %")
	}
	c.weak = &weakening{to: w.Strength, zones: map[string]bool{w.Zone: true}, bowls: map[string]string{}, only: map[string]bool{}}
	c.weak.gather(c)
	if !c.weak.any {
		return fmt.Errorf("nothing of %s that is stronger than %s comes after that moment: choose a weaker strength, or an earlier moment",
			z.Name, formula.Label(w.Strength))
	}
	now := c.log.State().Zone(w.Zone)
	if now == nil {
		return nil // it is planned later
	}
	return c.commit(c.hands.alt, session.PlanChanged{Change: session.ChangeBands, Zone: w.Zone, Bands: c.weak.bands(now.Bands)})
}

// A weakening is what weaker product changes.
type weakening struct {
	to    formula.Percent
	zones map[string]bool
	bowls map[string]string // the weaker one beside each
	only  map[string]bool   // bowls that are mixed weaker
	any   bool              // something gets weaker
}

// gather finds the zones that are split off later, and the bowls that are mixed
// for nothing else.
func (w *weakening) gather(c *carrier) {
	for _, d := range c.deeds {
		if p, ok := d.data.(session.PlanChanged); ok && p.Change == session.ChangeSplit && w.zones[p.Zone] {
			w.zones[p.NewZone] = true
		}
	}
	strong, other := map[string]bool{}, map[string]bool{}
	for _, d := range c.deeds {
		zone, ons := coatsOf(d.data)
		for _, on := range ons {
			b := c.was.Bowl(on.Bowl)
			switch {
			case b == nil:
			case w.zones[zone] && !b.Strength.Nominal().AtMost(w.to.Nominal()):
				strong[on.Bowl], w.any = true, true
			default:
				other[on.Bowl] = true
			}
		}
	}
	for _, d := range c.deeds {
		if b, ok := d.data.(session.BowlMixed); ok && strong[b.Bowl] && !other[b.Bowl] {
			w.only[b.Bowl] = true
		}
	}
}

// coatsOf is what an entry puts on a zone.
func coatsOf(d session.Data) (zone string, ons []session.CoatOn) {
	switch d := d.(type) {
	case session.PiecePlaced:
		return d.Zone, d.Coats
	case session.CoatApplied:
		return d.Zone, d.Coats
	case session.CoatRefreshed:
		return d.Zone, d.Coats
	}
	return "", nil
}

// bands are bands none of which is stronger.
func (w *weakening) bands(bands []session.PlanBand) []session.PlanBand {
	bands = slices.Clone(bands)
	for i := range bands {
		if !bands[i].Strength.Nominal().AtMost(w.to.Nominal()) {
			bands[i].Strength = w.to
		}
	}
	return bands
}

// mix is a mix with weaker developer, or as it was.
func (w *weakening) mix(m formula.Mix) formula.Mix {
	var grams float64
	for _, d := range m.Developers {
		grams += d.Grams
	}
	if grams > 0 && !m.Developer().Nominal().AtMost(w.to.Nominal()) {
		m.Developers = []formula.DeveloperPart{{Strength: w.to, Grams: grams + m.WaterGrams}}
		m.WaterGrams = 0
	}
	return m
}

// unused is a name that is not taken.
func unused(prefix string, taken func(string) bool) string {
	name := prefix
	for i := 2; taken(name); i++ {
		name = fmt.Sprintf("%s-%d", prefix, i)
	}
	return name
}
