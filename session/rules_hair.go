package session

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"time"

	"rinseby/session/formula"
)

func (s *State) checkPlan(d PlanSet) (Data, error) {
	if d.Round == "" {
		d.Round = nextID("r", func(id string) bool { return s.Round(id) != nil })
	}
	if err := cmp.Or(ident("round", d.Round), named("round", d.Name), short(d.ZoneList)); err != nil {
		return nil, err
	}
	if d.Action != formula.Lighten && d.Action != formula.Colour {
		return nil, fmt.Errorf("%s: say what the round does, %s or %s", d.Name, formula.Lighten, formula.Colour)
	}
	if n := len(d.Zones); n < 1 || n > MaxZones {
		return nil, fmt.Errorf("%s has %d zones: plan 1 to %d", d.Name, n, MaxZones)
	}
	d.Zones = slices.Clone(d.Zones)
	taken := func(id string) bool {
		z := s.Zone(id)
		return (z != nil && z.Round != d.Round) || slices.ContainsFunc(d.Zones, func(p PlanZone) bool { return p.ID == id })
	}
	for i := range d.Zones {
		if d.Zones[i].ID == "" {
			d.Zones[i].ID = nextID("z", taken)
		}
		if err := checkZone(d.Zones[i]); err != nil {
			return nil, err
		}
	}
	return d, s.checkTotal(d.Round, d.Zones)
}

func (s *State) checkTotal(round string, added []PlanZone) error {
	total := 0
	for _, p := range added {
		total += p.Pieces
	}
	for _, z := range s.Zones {
		if z.Round != round && !z.Dropped {
			total += z.Pieces
		}
	}
	if total > MaxTotalPieces {
		return fmt.Errorf("the plan would have %d pieces: at most %d fit in one service", total, MaxTotalPieces)
	}
	return nil
}

func checkZone(p PlanZone) error {
	if err := cmp.Or(ident("zone", p.ID), named("zone", p.Name)); err != nil {
		return err
	}
	if p.Pieces < 1 || p.Pieces > MaxZonePieces {
		return fmt.Errorf("%s has %d pieces: plan 1 to %d, or leave the zone out", p.Name, p.Pieces, MaxZonePieces)
	}
	if !inRange(p.MinutesPerPiece, 0, 120) {
		return fmt.Errorf("%s: minutes per piece: give 0 (not known) to 120", p.Name)
	}
	if err := short(p.Technique); err != nil {
		return err
	}
	for _, id := range p.SameHairAs {
		if id == p.ID {
			return fmt.Errorf("%s is said to be the same hair as itself: leave that out", p.Name)
		}
	}
	return checkBands(p.Name, p.Bands)
}

func checkBands(zone string, bands []PlanBand) error {
	if len(bands) == 0 {
		return fmt.Errorf("%s: say which bands are coated, and with what", zone)
	}
	seen := map[Band]bool{}
	for _, b := range bands {
		if err := band(b.Band); err != nil {
			return fmt.Errorf("%s: %w", zone, err)
		}
		if seen[b.Band] {
			return fmt.Errorf("%s: the %s is planned twice", zone, b.Band)
		}
		seen[b.Band] = true
		q := formula.Query{Product: b.Product, Kind: b.Kind, Strength: b.Strength,
			Hair: formula.Hair{Contact: b.Contact, Condition: b.Condition}}
		if err := cmp.Or(named("product", b.Product), q.Validate(), checkNotForScalp(b.Product, b.Kind, b.Contact)); err != nil {
			return fmt.Errorf("%s, %s: %w", zone, b.Band, err)
		}
	}
	if !slices.ContainsFunc(bands, func(b PlanBand) bool { return !b.Later }) {
		return fmt.Errorf("%s: all bands are left for later: say of at least one that it is coated as the pieces go in", zone)
	}
	return nil
}

func (s *State) checkChange(d PlanChanged) (Data, error) {
	switch d.Change {
	case ChangeAdd:
		if d.Add == nil {
			return nil, errors.New("say which zone to add")
		}
		add := *d.Add
		if add.ID == "" {
			add.ID = nextID("z", func(id string) bool { return s.Zone(id) != nil })
		}
		d.Add = &add
		return d, cmp.Or(checkZone(add), s.checkTotal("", []PlanZone{add}), s.roomFor(d.Round))
	case ChangeSplit:
		if z := s.Zone(d.Zone); z != nil {
			if err := s.roomFor(z.Round); err != nil {
				return nil, err
			}
		}
		if d.NewZone == "" {
			d.NewZone = nextID("z", func(id string) bool { return s.Zone(id) != nil })
		}
		return d, cmp.Or(ident("zone", d.NewZone), named("new zone", d.Name))
	case ChangeRename:
		return d, named("zone", d.Name)
	case ChangePieces:
		if d.Pieces < 1 || d.Pieces > MaxZonePieces {
			return nil, fmt.Errorf("give 1 to %d pieces, or drop the zone", MaxZonePieces)
		}
		return d, s.checkPieces(d)
	case ChangeBands:
		if !inRange(d.MinutesPerPiece, 0, 120) {
			return nil, errors.New("minutes per piece: give 0 (as before) to 120")
		}
		return d, checkBands("the zone", d.Bands)
	case ChangeTechnique:
		if !inRange(d.MinutesPerPiece, 0, 120) {
			return nil, errors.New("minutes per piece: give 0 (as before) to 120")
		}
		return d, short(d.Technique)
	case ChangeHair:
		return d, s.checkOtherHair(d)
	case ChangeDrop, ChangeOrder:
		return d, nil
	}
	return nil, fmt.Errorf("a plan is changed by add, drop, split, order, rename, pieces, bands, technique or hair, not by %q", d.Change)
}

// roomFor refuses one more zone in a round that has as many as a round may.
func (s *State) roomFor(round string) error {
	r := s.Round(round)
	if r != nil && len(s.RoundZones(r)) >= MaxZones {
		return fmt.Errorf("%s has %d zones already, and may not have more", r.Name, MaxZones)
	}
	return nil
}

// checkPieces refuses more pieces than fit, and more to a zone that is at the
// basin or was there.
func (s *State) checkPieces(d PlanChanged) error {
	z, err := s.zone(d.Zone)
	switch {
	case err != nil:
		return err
	case d.Pieces > z.Done() && z.Trip != "":
		return fmt.Errorf("%s is at the basin: plan what is still to come as a zone of its own", z.Name)
	case d.Pieces > z.Done() && !z.Rinsed.IsZero():
		return fmt.Errorf("%s was rinsed in this round: plan what is still to come as a zone of its own", z.Name)
	}
	return s.checkTotal("", []PlanZone{{Pieces: d.Pieces - z.Pieces}})
}

func (s *State) checkPiece(d PiecePlaced, at time.Time) (Data, error) {
	z, err := s.zone(d.Zone)
	if err != nil {
		return nil, err
	}
	if d.Count == 0 {
		d.Count = 1
	}
	if d.Count < 1 || d.Count > MaxTypeAhead {
		return nil, fmt.Errorf("%d pieces at once: log 1 to %d", d.Count, MaxTypeAhead)
	}
	if z.Done()+d.Count > MaxZonePieces {
		return nil, fmt.Errorf("%s would hold more than %d pieces: split it", z.Name, MaxZonePieces)
	}
	if err := z.openAt(at); err != nil {
		return nil, err
	}
	if len(d.Coats) == 0 {
		for _, p := range z.Bands {
			if p.Later {
				continue
			}
			d.Coats = append(d.Coats, CoatOn{Band: p.Band})
		}
		if len(d.Coats) == 0 {
			return nil, fmt.Errorf("all bands of %s are coated later: coat them as a band", z.Name)
		}
	}
	if d.Coats, err = s.fillBowls(z, d.Coats, at); err != nil {
		return nil, err
	}
	return d, s.checkCoats(z, d.Coats, at)
}

func (s *State) checkCoatApplied(d CoatApplied, at time.Time) (Data, error) {
	z, err := s.zone(d.Zone)
	if err != nil {
		return nil, err
	}
	if err := z.openAt(at); err != nil {
		return nil, err
	}
	if len(d.Coats) == 0 {
		return nil, fmt.Errorf("say which band of %s is coated", z.Name)
	}
	if z.Done() == 0 {
		return nil, fmt.Errorf("no piece of %s is in yet: place the pieces first", z.Name)
	}
	if d.Coats, err = s.fillBowls(z, d.Coats, at); err != nil {
		return nil, err
	}
	for _, on := range d.Coats {
		for _, c := range z.Coats {
			b := s.Bowl(on.Bowl)
			if c.Band == on.Band && c.onAt(at) && b != nil && (b.Product != c.Product || !same(b.Strength, c.Strength)) {
				return nil, fmt.Errorf("there is %s at %s on the %s of %s already: refresh it instead, so that its minutes go on counting",
					c.Product, formula.Label(c.Strength), c.Band, z.Name)
			}
		}
	}
	return d, s.checkCoats(z, d.Coats, at)
}

func (s *State) checkRefreshed(d CoatRefreshed, at time.Time) (Data, error) {
	z, err := s.zone(d.Zone)
	if err != nil {
		return nil, err
	}
	if len(d.Coats) == 0 {
		for _, c := range z.Coats {
			if c.onAt(at) && !slices.ContainsFunc(d.Coats, func(o CoatOn) bool { return o.Band == c.Band }) {
				d.Coats = append(d.Coats, CoatOn{Band: c.Band})
			}
		}
	}
	if len(d.Coats) == 0 {
		return nil, fmt.Errorf("there is nothing on %s to refresh", z.Name)
	}
	if d.Coats, err = s.fillBowls(z, d.Coats, at); err != nil {
		return nil, err
	}
	if err := s.checkCoats(z, d.Coats, at); err != nil {
		return nil, err
	}
	for _, on := range d.Coats {
		for _, c := range z.Coats {
			if c.Band != on.Band || !c.onAt(at) {
				continue
			}
			if t := s.CoatTiming(c); t.Oldest(at) >= t.Window.Limit {
				if err := s.needsReason("used-up:"+z.ID+":"+string(on.Band),
					"the %s of %s has had its whole %s, so fresh product would go past the limit", on.Band, z.Name, t.Window.Limit); err != nil {
					return nil, err
				}
			}
		}
	}
	return d, nil
}

// openAt refuses a coat on a zone that was rinsed before, or is at the basin.
func (z *Zone) openAt(at time.Time) error {
	if z.Trip != "" && at.After(z.RinseBegan) {
		return fmt.Errorf("%s is at the basin: give the time before that, if this went in earlier", z.Name)
	}
	if z.Rinsed.IsZero() || !at.After(z.Rinsed) {
		return nil
	}
	return fmt.Errorf("%s was rinsed in this round: to coat it again, add a zone that is the same hair, so that its minutes add up", z.Name)
}

// fillBowls finds a bowl for the bands that name none.
func (s *State) fillBowls(z *Zone, ons []CoatOn, at time.Time) ([]CoatOn, error) {
	ons = slices.Clone(ons)
	for i, on := range ons {
		p := z.Band(on.Band)
		if on.Bowl != "" || p == nil {
			continue
		}
		b, err := s.BowlFor(z, *p, at)
		if err != nil {
			return nil, err
		}
		ons[i].Bowl = b.ID
	}
	return ons, nil
}

// ErrNoBowl means that what is planned for a band is in no bowl.
type ErrNoBowl struct {
	Zone string // name
	Plan PlanBand
}

func (e *ErrNoBowl) Error() string {
	return fmt.Sprintf("no bowl of %s at %s is in use for the %s of %s: mix one",
		e.Plan.Product, formula.Label(e.Plan.Strength), e.Plan.Band, e.Zone)
}

// BowlFor returns the newest bowl that held, at the moment at, what is planned
// for a band: the product, as that kind of product, at that strength.
func (s *State) BowlFor(z *Zone, p PlanBand, at time.Time) (*Bowl, error) {
	for i := len(s.Bowls) - 1; i >= 0; i-- {
		b := s.Bowls[i]
		if LooseName(b.Product) == LooseName(p.Product) && b.Family == p.Kind && same(b.Strength, p.Strength) && b.inUse(at) {
			return b, nil
		}
	}
	return nil, &ErrNoBowl{Zone: z.Name, Plan: p}
}

func (b *Bowl) inUse(at time.Time) bool {
	return !at.Before(b.Mixed) && (b.Emptied.IsZero() || !at.After(b.Emptied))
}

// checkCoats checks what is about to touch hair: the bowl is there, is no
// stronger than planned, and has a window.
func (s *State) checkCoats(z *Zone, ons []CoatOn, at time.Time) error {
	seen := map[Band]bool{}
	for _, on := range ons {
		p, b := z.Band(on.Band), s.Bowl(on.Bowl)
		switch {
		case seen[on.Band]:
			return fmt.Errorf("%s: the %s is named twice", z.Name, on.Band)
		case p == nil:
			return fmt.Errorf("the plan of %s has no %s: change the plan first", z.Name, on.Band)
		case b == nil:
			return fmt.Errorf("there is no bowl %q: mix one, or name another", on.Bowl)
		case at.Before(b.Mixed):
			return fmt.Errorf("bowl %s was not mixed yet at that time: put its mixing earlier first", b.ID)
		case !b.inUse(at):
			return fmt.Errorf("bowl %s was empty by then: mix a new one", b.ID)
		case !notAbove(b.Strength, p.Strength):
			return fmt.Errorf("bowl %s is %s, but the plan for the %s of %s is %s: use a bowl of that strength, or change the plan",
				b.ID, formula.Label(b.Strength), p.Band, z.Name, formula.Label(p.Strength))
		}
		seen[on.Band] = true
		if err := s.checkMushy(z, b, at); err != nil {
			return err
		}
		if err := s.checkWeak(z, at); err != nil {
			return err
		}
		q := formula.Query{Product: b.Product, Kind: b.Family, Strength: b.Strength,
			Hair: formula.Hair{Contact: p.Contact, Condition: p.Condition, Heat: z.Heated()}}
		if err := cmp.Or(s.checkOtherCoat(z, p, b), checkKeptOff(b, p.Contact)); err != nil {
			return err
		}
		if none := s.lacks(q, z.Name, p.Band); none != nil {
			return none
		}
		if s.heatedNow(z) {
			if err := s.checkHeatNear(z, z, p.Band, q); err != nil {
				return err
			}
		}
		if err := s.checkCaps(q, at, z, p.Band); err != nil {
			return err
		}
		if err := s.checkUsedUp(z, p, b, q, at); err != nil {
			return err
		}
	}
	return nil
}

// checkUsedUp refuses, without a reason, product on hair that has had its
// whole limit in this visit already.
func (s *State) checkUsedUp(z *Zone, p *PlanBand, b *Bowl, q formula.Query, at time.Time) error {
	row, _ := formula.Match(s.Windows, q)
	had := s.carried(&Coat{Zone: z.ID, Band: p.Band, Action: b.Family.Action(), Batches: []Batch{{At: at, Count: 1}}})
	if had < row.Window.Limit {
		return nil
	}
	return s.needsReason("used-up:"+z.ID+":"+string(p.Band),
		"the %s of %s has had %s already, and its limit is %s", p.Band, z.Name, had.Round(time.Second), row.Window.Limit)
}
