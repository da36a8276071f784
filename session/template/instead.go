package template

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"rinseby/session"
)

// Untouched reports whether nothing was placed in any round, so that another
// list can still take the place of the plan.
func Untouched(s *session.State) bool {
	return !slices.ContainsFunc(s.Zones, (*session.Zone).Started)
}

// Instead puts the plans of a list in the place of all rounds that are planned,
// as events for [session.Decide], in their order. Rounds keep their ids; zones
// get ids that no zone has, so that what was noted of an old zone is not taken
// for a note on a new one. Of rounds that are more than the list has, the zones
// are dropped. The error says what to do once something was placed.
func Instead(s *session.State, plans []session.PlanSet) ([]session.Data, error) {
	if !Untouched(s) {
		return nil, errors.New("product is on, or was: change the zones one by one, or drop those that are not wanted")
	}
	var all []session.Data
	left := map[string][]session.PlanZone{} // by round, the zones that would be in it
	for _, r := range slices.Backward(s.Rounds) {
		set, linked := unlinked(s, r)
		if linked {
			all = append(all, set)
		}
		left[r.ID] = set.Zones
	}
	for i, p := range renumbered(s, plans) {
		if p.Round = ""; i < len(s.Rounds) {
			p.Round = s.Rounds[i].ID
		}
		all = append(all, p)
	}
	for _, r := range s.Rounds[min(len(plans), len(s.Rounds)):] {
		for _, z := range left[r.ID] {
			all = append(all, session.PlanChanged{Change: session.ChangeDrop, Zone: z.ID})
		}
	}
	return all, nil
}

// unlinked is the plan of a round as it stands, but for what says that its
// zones are the same hair as others: as long as it says so, rounds that have
// those can't be planned anew. Linked says that there is such a thing.
func unlinked(s *session.State, r *session.Round) (set session.PlanSet, linked bool) {
	set = session.PlanSet{Round: r.ID, Name: r.Name, Action: r.Action}
	var dropped []session.PlanZone
	for _, z := range s.Zones {
		if z.Round != r.ID {
			continue
		}
		linked = linked || slices.ContainsFunc(z.SameHairAs, func(id string) bool { return s.Zone(id).Round != r.ID })
		to := &set.Zones
		if z.Dropped {
			to = &dropped
		}
		*to = append(*to, session.PlanZone{ID: z.ID, Name: z.Name, Pieces: z.Pieces,
			MinutesPerPiece: z.MinutesPerPiece, Technique: z.Way, Bands: slices.Clone(z.Bands), OtherHair: z.OtherHair})
	}
	if linked && len(set.Zones) == 0 { // a round needs zones
		set.Zones = dropped
	}
	return set, linked
}

// renumbered are the plans with zones that are counted on from those that are
// there.
func renumbered(s *session.State, plans []session.PlanSet) []session.PlanSet {
	last := 0
	for _, z := range s.Zones {
		if n, err := strconv.Atoi(strings.TrimPrefix(z.ID, "z")); err == nil {
			last = max(last, n)
		}
	}
	ids := map[string]string{}
	plans = slices.Clone(plans)
	for i := range plans {
		plans[i].Zones = slices.Clone(plans[i].Zones)
		for j := range plans[i].Zones {
			z := &plans[i].Zones[j]
			last++
			ids[z.ID] = fmt.Sprintf("z%d", last)
			z.ID = ids[z.ID]
			z.SameHairAs = slices.Clone(z.SameHairAs)
			for k, id := range z.SameHairAs {
				z.SameHairAs[k] = ids[id]
			}
		}
	}
	return plans
}
