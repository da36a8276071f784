package session

import (
	"fmt"
	"strings"
	"time"
)

// mushyPrefix begins the key of the warning that the hair of a zone can take no
// more; its reason says why other zones still get the same product.
const mushyPrefix = "mushy:"

// mushy is the first check by which the hair under a zone can take no more, and
// the zone that was checked; nil while none says so. No later check lifts it:
// hair that once stayed stretched is not sound again within a visit (careful
// house rule).
func (s *State) mushy(z *Zone) (of *Zone, first *Check) {
	for _, o := range s.Zones {
		c := o.mushy() // few zones have one, so it is asked for first
		if c == nil {
			c = s.stretchedBefore(o)
		}
		if c != nil && (o == z || s.shareHair(o, z)) && (first == nil || c.At.Before(first.At)) {
			of, first = o, c
		}
	}
	return of, first
}

// stretchedBefore is a check in the place of one in an earlier service of the
// day that found the hair of the zone stretched, or nil. It lasts for the day, as
// it lasts for a visit.
func (s *State) stretchedBefore(z *Zone) *Check {
	for _, e := range s.Earlier {
		if e.Stretched && !z.OtherHair && z.goesBy(LooseName(e.Zone)) {
			return &Check{At: e.From, ZoneChecked: ZoneChecked{Zone: z.ID, Feel: FeelMushy}}
		}
	}
	return nil
}

// mushy is the first check of the zone itself that says so.
func (z *Zone) mushy() (first *Check) {
	for i := range z.Checks {
		if c := &z.Checks[i]; c.Feel == FeelMushy && (first == nil || c.At.Before(first.At)) {
			first = c
		}
	}
	return first
}

// mushyOn is the product-holding zone on the hair of a zone that was found to
// be mushy, or nil.
func (s *State) mushyOn(z *Zone) *Zone {
	return find(s.Zones, func(o *Zone) bool { return o.Holding() && (o == z || s.shareHair(o, z)) })
}

// got reports whether the product was ever put on the zone.
func (z *Zone) got(product string) bool {
	for _, c := range z.Coats {
		for _, q := range c.judged() {
			if q.Product == product {
				return true
			}
		}
	}
	return false
}

// checkMushy refuses product on hair that can take no more, and refuses the
// product that brought hair to that on any other, until what is on there is
// off and a reason was typed. What went on before the check may be logged late.
func (s *State) checkMushy(z *Zone, b *Bowl, at time.Time) error {
	if of, c := s.mushy(z); c != nil && !at.Before(c.At) {
		return fmt.Errorf("the hair of %s stays stretched, it can take no more: rinse it, and put nothing more on it", of.Name)
	}
	for _, o := range s.Zones {
		c := o.mushy()
		switch {
		case c == nil || at.Before(c.At) || !o.got(b.Product):
			continue
		case s.mushyOn(o) != nil:
			return fmt.Errorf("the hair of %s stays stretched under %s: rinse it before %s goes on anywhere else", o.Name, b.Product, b.Product)
		}
		if err := s.needsReason(mushyPrefix+o.ID, "the hair of %s stays stretched after %s, and %s is about to get it", o.Name, b.Product, z.Name); err != nil {
			return err
		}
	}
	return nil
}

// mushyWarnings are the alarms of product on hair that can take no more. They
// can't be acknowledged before it is off.
func (s *State) mushyWarnings() (ws []Warning) {
	for _, z := range s.Zones {
		if !z.Holding() {
			continue
		}
		if _, c := s.mushy(z); c != nil {
			ws = append(ws, Warning{
				Key: mushyPrefix + z.ID, Level: Alarm, Zone: z.ID, At: c.At, Fixed: true,
				Text: "STOP, rinse " + z.Name + " now: the hair can take no more",
			})
		}
	}
	return ws
}

// weakPrefix begins the key of the warning that the hair of a zone is weakened;
// its reason says why it gets product all the same.
const weakPrefix = "weak:"

// weak is the zone on the hair of z whose last check, by the moment at, found
// it weakened; nil if none did.
func (s *State) weak(z *Zone, at time.Time) *Zone {
	return find(s.Zones, func(o *Zone) bool { return o.weak(at) && (o == z || s.shareHair(o, z)) })
}

// weak reports whether the zone was weakened when its hair was last felt, by
// the moment at.
func (z *Zone) weak(at time.Time) bool { return !z.weakSince(at).IsZero() }

// weakSince is when the zone was last found to be weakened; zero if it was
// not when its hair was last felt, by the moment at.
func (z *Zone) weakSince(at time.Time) time.Time {
	var last *Check
	for i := range z.Checks {
		if c := &z.Checks[i]; c.Feel != "" && !c.At.After(at) && (last == nil || !c.At.Before(last.At)) {
			last = c
		}
	}
	if last == nil || last.Feel != FeelWeak {
		return time.Time{}
	}
	return last.At
}

// checkWeak refuses more product on weakened hair without a reason.
func (s *State) checkWeak(z *Zone, at time.Time) error {
	if o := s.weak(z, at); o != nil {
		return s.needsReason(weakPrefix+o.ID, "the hair of %s is %s: check it again, or rinse it; nothing more goes on", o.Name, FeelWeak)
	}
	return nil
}

// weakWarnings tell of weakened hair that holds product.
func (s *State) weakWarnings(b *Board) (ws []Warning) {
	for _, z := range s.Zones {
		if z.Holding() && z.weak(b.Now) {
			ws = append(ws, Warning{
				Key: weakPrefix + z.ID, Level: Alarm, Zone: z.ID, At: b.Now, Reason: true, Acked: s.Acked(weakPrefix + z.ID),
				Text: z.Name + " is weakened: rinse it now, or check it again",
			})
		}
	}
	return ws
}

// checkMushySeen refuses to pass over hair that can take no more while product
// is on it.
func (s *State) checkMushySeen(key string) error {
	id, ok := strings.CutPrefix(key, mushyPrefix)
	if !ok {
		return nil
	}
	z := s.Zone(id)
	if z == nil {
		return nil
	}
	if on := s.mushyOn(z); on != nil {
		return fmt.Errorf("this can't be passed over while product is on: rinse %s now, the hair can take no more", on.Name)
	}
	return nil
}

// dropMushy takes a zone out of the plan whose hair can take no more.
func (s *State) dropMushy(z *Zone) (Action, bool) {
	of, c := s.mushy(z)
	if c == nil {
		return Action{}, false
	}
	return Action{
		Verb: DoPlan, Text: "Take " + z.Name + " out of the plan", Zones: []string{z.ID},
		Why:      fmt.Sprintf("the hair of %s stays stretched: it can take no more", of.Name),
		Commands: []Command{Do(PlanChanged{Change: ChangeDrop, Zone: z.ID})},
	}, true
}
