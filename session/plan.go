package session

import (
	"fmt"
	"slices"

	"rinseby/session/formula"
)

func (s *State) setPlan(d PlanSet) error {
	r := s.Round(d.Round)
	if r == nil {
		r = &Round{ID: d.Round}
		s.Rounds = append(s.Rounds, r)
	}
	for _, z := range s.Zones {
		if z.Round == r.ID && z.Started() {
			return fmt.Errorf("%s has begun; change its plan instead of setting a new one", r.Name)
		}
	}
	s.Zones = slices.DeleteFunc(s.Zones, func(z *Zone) bool { return z.Round == r.ID })
	*r = Round{ID: d.Round, Name: d.Name, Action: d.Action}
	if d.ZoneList != "" {
		s.ZoneList = d.ZoneList
	}
	for _, p := range d.Zones {
		if err := s.addZone(r, p, ""); err != nil {
			return err
		}
	}
	s.relink()
	return s.hairKnown()
}

// hairKnown refuses zones that are said to be the same hair as one that is no
// more, or as each other in a ring: their minutes would not add up.
func (s *State) hairKnown() error {
	for _, z := range s.Zones {
		for _, id := range z.SameHairAs {
			if s.Zone(id) == nil {
				return fmt.Errorf("%s is said to be the same hair as %q, but there would be no such zone", z.Name, id)
			}
		}
		if len(s.saidHair(z)) == 0 {
			return fmt.Errorf("%s would be the same hair as itself, by way of other zones: leave one link out", z.Name)
		}
	}
	return nil
}

func (s *State) addZone(r *Round, p PlanZone, before string) error {
	if s.Zone(p.ID) != nil {
		return fmt.Errorf("there is a zone %q already; give the new one another id", p.ID)
	}
	if len(s.Zones) >= MaxEverZones {
		return fmt.Errorf("there would be more than %d zones, which no head has; close this service and start a new one", MaxEverZones)
	}
	for _, id := range p.SameHairAs {
		if s.Zone(id) == nil {
			return fmt.Errorf("%s is said to be the same hair as %q, but there is no such zone", p.Name, id)
		}
	}
	z := &Zone{
		ID: p.ID, Name: p.Name, Round: r.ID, Pieces: p.Pieces, MinutesPerPiece: p.MinutesPerPiece, Way: p.Technique, action: r.Action,
		planned: slices.Clone(p.Bands), SameHairAs: slices.Clone(p.SameHairAs), family: p.ID,
		OtherHair: p.OtherHair, names: []string{LooseName(p.Name)},
	}
	s.temper(z)
	s.Zones = append(s.Zones, z)
	i := len(r.Order)
	if before != "" {
		if i = slices.Index(r.Order, before); i < 0 {
			return fmt.Errorf("there is no zone %q in %s", before, r.Name)
		}
	}
	r.Order = slices.Insert(r.Order, i, p.ID)
	return nil
}

func (s *State) changePlan(d PlanChanged) error {
	switch d.Change {
	case ChangeAdd, ChangeOrder:
		r := s.Round(d.Round)
		if r == nil {
			return fmt.Errorf("there is no round %q", d.Round)
		}
		if d.Change == ChangeOrder {
			return s.reorder(r, d.Order)
		}
		if d.Add == nil {
			return fmt.Errorf("nothing says which zone to add")
		}
		err := s.addZone(r, *d.Add, d.Before)
		s.relink()
		return err
	}
	z, err := s.zone(d.Zone)
	if err != nil {
		return err
	}
	switch d.Change {
	case ChangeDrop:
		if z.Holding() {
			return fmt.Errorf("%s holds product; rinse it, then drop it", z.Name)
		}
		z.Dropped = true
	case ChangeSplit:
		return s.split(z, d)
	case ChangeRename:
		z.call(d.Name)
		s.relink()
	case ChangePieces:
		if d.Pieces < z.Done() {
			return fmt.Errorf("%s has %d pieces in already; it can't have fewer", z.Name, z.Done())
		}
		z.Pieces, z.Finished = d.Pieces, false
	case ChangeBands:
		z.planned = slices.Clone(d.Bands)
		s.temper(z)
		z.usual(d.MinutesPerPiece)
	case ChangeHair:
		z.OtherHair = d.OtherHair
		s.relink()
	case ChangeTechnique:
		z.Way = d.Technique
		z.usual(d.MinutesPerPiece)
	default:
		return fmt.Errorf("a plan can't be changed by %q", d.Change)
	}
	return nil
}

// usual sets the usual minutes of a piece; 0 leaves them as they are.
func (z *Zone) usual(minutesPerPiece float64) {
	if minutesPerPiece > 0 {
		z.MinutesPerPiece = minutesPerPiece
	}
}

// temper makes what is planned for a zone keep to the hair as it was found at
// the consultation: of the two conditions the worse counts. Conditions only
// ever shorten what a product may do.
func (s *State) temper(z *Zone) {
	z.Bands = slices.Clone(z.planned)
	if s.Consultation == nil {
		z.rejudge()
		return
	}
	worst := formula.Conditions()
	for i := range z.Bands {
		b := &z.Bands[i]
		if found := s.Consultation.Conditions[b.Band]; slices.Index(worst, found) > slices.Index(worst, b.Condition) {
			b.Condition = found
		}
	}
	z.rejudge()
}

// rejudge makes coats that are on keep to the hair as the plan now says it is,
// as well as to what it was thought to be when they were put on.
func (z *Zone) rejudge() {
	for _, c := range z.Coats {
		p := z.Band(c.Band)
		if p == nil || !c.Off.IsZero() {
			continue
		}
		for _, q := range c.judged() {
			q.Hair = formula.Hair{Contact: p.Contact, Condition: p.Condition}
			if !slices.Contains(c.judged(), q) {
				c.With = append(c.With, q)
			}
		}
	}
}

// reorder puts the round's zones into a new order. The order must name each
// zone once; those that were dropped may be left out.
func (s *State) reorder(r *Round, order []string) error {
	order = slices.Clone(order)
	for _, id := range r.Order {
		if s.Zone(id).Dropped && !slices.Contains(order, id) {
			order = append(order, id)
		}
	}
	have, want := slices.Sorted(slices.Values(r.Order)), slices.Sorted(slices.Values(order))
	if !slices.Equal(have, want) {
		return fmt.Errorf("the new order of %s must name each of its zones once", r.Name)
	}
	r.Order = order
	return nil
}

// split leaves the first d.Keep pieces to the zone and gives the rest, with
// what is on them, to a new zone right after it.
func (s *State) split(z *Zone, d PlanChanged) error {
	if d.Keep < 1 || d.Keep >= z.Pieces {
		return fmt.Errorf("%s has %d pieces: keep 1 to %d of them", z.Name, z.Pieces, z.Pieces-1)
	}
	r := s.Round(z.Round)
	next := ""
	if i := slices.Index(r.Order, z.ID); i+1 < len(r.Order) {
		next = r.Order[i+1]
	}
	err := s.addZone(r, PlanZone{
		ID: d.NewZone, Name: d.Name, Pieces: z.Pieces - d.Keep, MinutesPerPiece: z.MinutesPerPiece, Technique: z.Way,
		Bands: z.planned, SameHairAs: z.SameHairAs, OtherHair: z.OtherHair,
	}, next)
	if err != nil {
		return err
	}
	n := s.Zone(d.NewZone)
	n.family = z.family
	n.partOf(z)
	s.relink()
	n.Finished, n.Trip, n.RinseBegan, n.Rinsed = z.Finished, z.Trip, z.RinseBegan, z.Rinsed
	n.Heat, n.Checks = slices.Clone(z.Heat), slices.Clone(z.Checks)
	if t := s.Trip(z.Trip); t != nil {
		t.Zones = append(t.Zones, n.ID)
	}
	z.Pieces = d.Keep
	z.Placed, n.Placed = cut(z.Placed, d.Keep)
	for _, c := range z.Coats {
		m := *c
		m.Zone = n.ID
		m.Bowls, m.Refreshed, m.With = slices.Clone(c.Bowls), slices.Clone(c.Refreshed), slices.Clone(c.With)
		m.Batches = nil
		c.Batches, m.Batches = s.share(c.Batches, z, n)
		if len(m.Batches) > 0 {
			n.Coats = append(n.Coats, &m)
		}
	}
	z.Coats = slices.DeleteFunc(z.Coats, func(c *Coat) bool { return len(c.Batches) == 0 })
	if len(z.SameHairAs) == 0 { // what lies on the old zone's hair lies on both parts
		for _, o := range s.Zones {
			if slices.Contains(o.SameHairAs, z.ID) {
				o.SameHairAs = append(o.SameHairAs, n.ID)
			}
		}
	}
	return nil
}

// cut divides batches, oldest first, after the first n pieces.
func cut(bs []Batch, n int) (head, tail []Batch) {
	for _, b := range bs {
		k := min(b.Count, n)
		if n -= k; k > 0 {
			head = append(head, Batch{At: b.At, Count: k, Seq: b.Seq})
		}
		if k < b.Count {
			tail = append(tail, Batch{At: b.At, Count: b.Count - k, Seq: b.Seq})
		}
	}
	return head, tail
}

// share divides a coat's batches between the two parts of a split zone, by
// the pieces that each part was given. A coat that was put on a whole zone at
// once is on both.
func (s *State) share(bs []Batch, z, n *Zone) (head, tail []Batch) {
	placed := func(part *Zone, seq int) int {
		k := 0
		for _, b := range part.Placed {
			if b.Seq == seq {
				k += b.Count
			}
		}
		return k
	}
	for _, b := range bs {
		kz, kn := placed(z, b.Seq), placed(n, b.Seq)
		if kz+kn == 0 { // coated later, or over the whole zone
			kz, kn = z.Done(), n.Done()
		}
		if kz+kn == 0 { // over the whole zone, without any piece
			kz, kn = b.Count, b.Count
		}
		if kz > 0 {
			head = append(head, Batch{At: b.At, Count: kz, Seq: b.Seq})
		}
		if kn > 0 {
			tail = append(tail, Batch{At: b.At, Count: kn, Seq: b.Seq})
		}
	}
	return head, tail
}
