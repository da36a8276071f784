package form

import (
	"errors"
	"fmt"
	"slices"

	"rinseby/session"
	"rinseby/timing"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// zonesWithProduct lists the zones of a board that hold product and are not at
// the basin, by when they must be off, with the phase and that time.
func zonesWithProduct(b session.Board, clock session.Clockface) ([]session.ZoneLook, []choice[string]) {
	zones := slices.DeleteFunc(slices.Clone(b.Zones), func(z session.ZoneLook) bool { return !z.Holding() || z.Rinsing })
	slices.SortStableFunc(zones, func(x, y session.ZoneLook) int {
		switch {
		case x.LimitAt.IsZero() != y.LimitAt.IsZero(): // no limit known: the most pressing of all
			if x.LimitAt.IsZero() {
				return -1
			}
			return 1
		}
		return x.LimitAt.Compare(y.LimitAt)
	})
	choices := make([]choice[string], len(zones))
	for i, z := range zones {
		by := "no limit known"
		if !z.LimitAt.IsZero() {
			by = "off by " + clock(z.LimitAt)
		}
		if z.Phase == timing.Working && !z.OpensAt.IsZero() {
			by = "opens " + clock(z.OpensAt) + ", " + by
		}
		choices[i] = choice[string]{fmt.Sprintf("%s: %v, %s", z.Name, z.Phase, by), z.ID}
	}
	return zones, choices
}

// someZones checks that zones are ticked.
func someZones(there int) func([]string) error {
	return func(ids []string) error {
		switch {
		case there == 0:
			return errors.New("no zone holds product: leave with esc")
		case len(ids) == 0:
			return errors.New("tick at least one zone with space")
		}
		return nil
	}
}

// RinseZones asks which zones go to the basin. The most pressing is ticked,
// and so is every other one that is near its limit, past it, or without one.
// Its intent logs one session.RinseBegan.
func RinseZones(th *theme.Theme, b session.Board, clock session.Clockface) *Form {
	zones, choices := zonesWithProduct(b, clock)
	ids := []string{}
	for i, z := range zones {
		if i == 0 || z.Phase == timing.Closing || z.Phase == timing.Over || z.Unknown {
			ids = append(ids, z.ID)
		}
	}
	return start(th, Form{
		title: "To the basin",
		pages: []page{{fields: []field{several("Which zones", &ids, choices, someZones(len(zones))).
			helped("The zones that are rinsed in this trip to the basin. Those at or near their limit are ticked.")}}},
		submit: func() (intent.Intent, error) {
			return logged("Rinsing", session.RinseBegan{Zones: inOrder(zones, ids)}), nil
		},
	})
}

// inOrder lists the zones with the ids in the order in which they were shown.
func inOrder(zones []session.ZoneLook, ids []string) []string {
	var out []string
	for _, z := range zones {
		if slices.Contains(ids, z.ID) {
			out = append(out, z.ID)
		}
	}
	return out
}

// HeatZones asks which zones are under heat. Those that are now are ticked.
// Its intent logs one session.HeatOn, one session.HeatOff, or both.
func HeatZones(th *theme.Theme, b session.Board, clock session.Clockface) *Form {
	zones, choices := zonesWithProduct(b, clock)
	ids := []string{}
	for _, z := range zones {
		if z.Heated {
			ids = append(ids, z.ID)
		}
	}
	before := slices.Clone(ids)
	changed := func() (on, off []string) {
		for _, z := range zones {
			was, is := slices.Contains(before, z.ID), slices.Contains(ids, z.ID)
			switch {
			case is && !was:
				on = append(on, z.ID)
			case was && !is:
				off = append(off, z.ID)
			}
		}
		return on, off
	}
	return start(th, Form{
		title: "Heat",
		lead:  []string{"Heat makes product work faster: its limit under heat counts as soon as it is on. No heat where control matters."},
		pages: []page{{fields: []field{several("Zones under heat", &ids, choices, anything).
			helped("Ticked is under heat (hood, lamp, climazone), the others are not. From then on the limit under heat rules; its minutes count from first contact all the same.")}}},
		submit: func() (intent.Intent, error) {
			var data []session.Data
			on, off := changed()
			if len(off) > 0 {
				data = append(data, session.HeatOff{Zones: off})
			}
			if len(on) > 0 {
				data = append(data, session.HeatOn{Zones: on})
			}
			if len(data) == 0 {
				return nil, errors.New("nothing is changed: tick a zone with space, or leave with esc")
			}
			return logged("Heat noted", data...), nil
		},
	})
}

// A place is a band of a zone.
type place struct {
	zone string
	band session.Band
}

// bandsOf lists bands of zones, as those that are wanted.
func bandsOf(zones []*session.Zone, wanted func(*session.Zone, session.Band) bool) []choice[place] {
	var out []choice[place]
	for _, z := range zones {
		for _, p := range z.Bands {
			if wanted(z, p.Band) {
				out = append(out, choice[place]{z.Name + ", " + string(p.Band), place{z.ID, p.Band}})
			}
		}
	}
	return out
}

// holds reports whether product is on a band of the zone.
func holds(z *session.Zone, b session.Band) bool {
	return slices.ContainsFunc(z.Coats, func(c *session.Coat) bool { return c.Band == b && c.Off.IsZero() })
}

// RefreshZone asks on which bands, of one zone, there is fresh product; those
// of the zone with the id are ticked. Its intent logs one
// session.CoatRefreshed.
func RefreshZone(th *theme.Theme, zones []*session.Zone, id string) *Form {
	choices := bandsOf(zones, holds)
	ticked := []place{}
	for _, c := range choices {
		if c.value.zone == id {
			ticked = append(ticked, c.value)
		}
	}
	return start(th, Form{
		title: "Fresh product on what is coated",
		lead:  []string{"It restarts the product. The limit goes on counting from first contact."},
		pages: []page{{fields: []field{several("Which bands", &ticked, choices, func(ps []place) error {
			return oneZone(ps, len(choices))
		}).helped("The bands that got fresh product on top of what was on, of one zone: root is the regrowth, mid the mid-lengths, end the ends. The limit still counts from the first contact.")}}},
		submit: func() (intent.Intent, error) {
			d := session.CoatRefreshed{Zone: ticked[0].zone}
			for _, p := range ticked {
				d.Coats = append(d.Coats, session.CoatOn{Band: p.band})
			}
			return logged("Refreshed", d), nil
		},
	})
}

// oneZone checks that bands are ticked, all of one zone.
func oneZone(ps []place, there int) error {
	switch {
	case there == 0:
		return errors.New("no zone holds product: leave with esc")
	case len(ps) == 0:
		return errors.New("tick at least one band with space")
	}
	for _, p := range ps {
		if p.zone != ps[0].zone {
			return errors.New("tick bands of one zone only, and log the other zone after it")
		}
	}
	return nil
}

// CoatBand asks which band, coated by itself, is now coated; the bands of the
// zone with the id come first. Its intent logs one session.CoatApplied.
func CoatBand(th *theme.Theme, zones []*session.Zone, id string) *Form {
	choices := bandsOf(zones, func(z *session.Zone, b session.Band) bool { return !holds(z, b) })
	slices.SortStableFunc(choices, func(x, y choice[place]) int {
		switch {
		case (x.value.zone == id) == (y.value.zone == id):
			return 0
		case x.value.zone == id:
			return -1
		}
		return 1
	})
	var at place
	return start(th, Form{
		title: "Coat a band",
		pages: []page{{fields: []field{pick("Which band, of all pieces that are in", &at, choices, func(p place) error {
			if p.zone == "" {
				return errors.New("every band that is planned is coated: leave with esc")
			}
			return nil
		}).helped("The band that you coat now, on all pieces of the zone that are in: root is the regrowth, mid the mid-lengths, end the ends. It counts from now, with a limit of its own.")}}},
		submit: func() (intent.Intent, error) {
			return logged("Coated", session.CoatApplied{Zone: at.zone, Coats: []session.CoatOn{{Band: at.band}}}), nil
		},
	})
}

// onTop warns that nothing more is planned for a zone.
func onTop(z *session.Zone) string {
	if !z.Full() {
		return ""
	}
	return " NO MORE ARE PLANNED HERE: is it the right zone? Up and down pick another."
}

// PlaceMany asks how many pieces of the zone went in. Its intent logs one
// session.PiecePlaced.
func PlaceMany(th *theme.Theme, z *session.Zone) *Form {
	count := ""
	return start(th, Form{
		title: "Several pieces of " + z.Name,
		lead:  []string{fmt.Sprintf("%d of %d are in. All count as placed at the same moment.%s", z.Done(), z.Pieces, onTop(z))},
		pages: []page{{fields: []field{text("How many went in", &count, func(t string) error {
			_, err := whole(t, 1, session.MaxTypeAhead)
			return err
		}).helped(fmt.Sprintf("How many pieces (foils, weaves, slices, sections) were placed since the last entry: a whole number from 1 to %d. If they went in over some minutes, log them in smaller lots, earlier (e).", session.MaxTypeAhead))}}},
		live: func() []string {
			n, err := whole(count, 1, session.MaxTypeAhead)
			if over := z.Done() + n - z.Pieces; err == nil && over > 0 {
				return []string{fmt.Sprintf("That is %d more than planned.", over)}
			}
			return nil
		},
		submit: func() (intent.Intent, error) {
			n, err := whole(count, 1, session.MaxTypeAhead)
			return logged(fmt.Sprintf("%s: %d placed", z.Name, n), session.PiecePlaced{Zone: z.ID, Count: n}), err
		},
	})
}
