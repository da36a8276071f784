package form

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// zoneEdit is what was chosen and typed about a zone.
type zoneEdit struct {
	state    *session.State
	zone     string
	change   zoneChange
	typed    map[zoneChange]*typedZone
	keep     string
	strength string
	weaker   string // developer instead of the planned one
	contact  formula.Contact
	way      string // technique
	minutes  string // per piece
	list     string // that takes the place of the plan
	plan     func(list string) (intent.Intent, error)
	had      Memory
	hair     string // whether a new zone is the hair that went by its name
}

// Memory says what lightener the hair of a zone has had in this visit; with a
// name it is that of a zone of that name, planned as the zone is.
type Memory func(z *session.Zone, name string) []string

// Whether a zone is the hair that went by its name before.
const (
	sameHair  = "same"
	otherHair = "other"
)

// typedZone is what was typed for one way to change a plan.
type typedZone struct{ name, pieces string }

// A zoneChange is a way to change a plan.
type zoneChange string

const (
	addZone   zoneChange = "add a zone after it"
	splitZone zoneChange = "split it in two"
	rename    zoneChange = "give it another name"
	recount   zoneChange = "change the number of pieces"
	technique zoneChange = "say how pieces are placed, and how long one takes"
	sooner    zoneChange = "do it earlier"
	later     zoneChange = "do it later"
	again     zoneChange = "coat the same hair again: its minutes add up"
	drop      zoneChange = "drop it from the plan"
	reband    zoneChange = "change its developer, or keep it off the scalp"
	elsewhere zoneChange = "say that it is not the same hair as before"
	otherList zoneChange = "another zone list instead of all that is planned"
)

// maxMinutesPerPiece is what a plan takes.
const maxMinutesPerPiece = 120

var zoneChanges = []zoneChange{addZone, splitZone, rename, recount, sooner, later, again, technique, drop, elsewhere, reband}

// EditZone asks how the plan of a zone changes; the zone with the id is
// offered. Its intent logs one session.PlanChanged. The lists, if there are any,
// are offered in the place of the whole plan; the intent is then what plan makes
// of the name of one. What the hair had is said by had, which may be nil.
func EditZone(th *theme.Theme, s *session.State, id string, lists []ZoneList, plan func(list string) (intent.Intent, error), had Memory) *Form {
	e := &zoneEdit{state: s, zone: id, change: addZone, typed: map[zoneChange]*typedZone{}, plan: plan, had: had, hair: sameHair}
	var zones []choice[string]
	for _, r := range s.Rounds {
		for _, z := range s.RoundZones(r) {
			label := z.Name
			if len(s.Rounds) > 1 {
				label += " (" + r.Name + ")"
			}
			zones = append(zones, choice[string]{label, z.ID})
		}
	}
	var changes []choice[zoneChange]
	ways := zoneChanges
	if len(lists) > 0 {
		ways = append(slices.Clone(ways), otherList)
		e.list = lists[0].Name
	}
	for _, c := range ways {
		e.typed[c] = &typedZone{}
		changes = append(changes, choice[zoneChange]{string(c), c})
	}
	when := func(c zoneChange) func() bool { return func() bool { return e.change != c } }
	newName := func(c zoneChange) field {
		return text("Name", &e.typed[c].name, name("the name of the zone")).
			helped("What you call the zone, as nape or back left. It is shown wherever the zone is.")
	}
	count := func(c zoneChange) field {
		return text("Pieces", &e.typed[c].pieces, e.checkPieces).
			helped(fmt.Sprintf("How many pieces (foils, weaves, slices, sections) the zone takes: a whole number from 1 to %d, and no fewer than are in.", session.MaxZonePieces))
	}
	return start(th, Form{
		title: "Change the plan",
		pages: []page{
			{fields: []field{
				turn("Zone", &e.zone, zones).
					helped("The zone whose plan changes: a part of the head that is handled together."),
				pick("What changes", &e.change, changes, e.checkChange).
					helped("What to change. A piece is what is placed at once: a foil, a weave, a slice, a section. What is needed for it comes on the next page."),
			}},
			{hidden: when(addZone), fields: []field{newName(addZone), count(addZone)}},
			{hidden: func() bool { return e.change != addZone || !e.known() }, fields: []field{e.hairField()}},
			{hidden: when(splitZone), fields: []field{
				text("Pieces that stay", &e.keep, e.checkKeep).
					helped("How many pieces the zone keeps, those already in first: a whole number, at least 1 and at least one fewer than it has. The rest becomes the new zone."),
				text("Name of the new zone, for the rest", &e.typed[splitZone].name, name("the name of the zone")).
					helped("What you call the zone that is split off. Each of the two is rinsed by itself and has its own limit."),
			}},
			{hidden: when(rename), fields: []field{newName(rename)}},
			{hidden: when(recount), fields: []field{count(recount)}},
			{hidden: when(technique), fields: []field{
				text("Technique: foil, weave, slice … (empty: as it is)", &e.way, optional(name("the technique"))).
					helped("How pieces are placed, in your words, as foil, weave or slice. Minutes per piece are learned for each technique apart."),
				text("Usual minutes per piece (empty: as they are)", &e.minutes, optional(between(0.1, maxMinutesPerPiece))).
					helped(fmt.Sprintf("How long one piece takes you with this technique: minutes from 0.1 to %d, as 1.5. The forecast starts from it until it has seen you work.", maxMinutesPerPiece)),
			}},
			{hidden: when(reband), fields: e.bandFields()},
			{hidden: when(again), fields: []field{
				newName(again), count(again),
				text("Developer, as 20 vol or 6 % (leave empty for the same)", &e.strength, optional(strength)).
					helped("The strength for coating the same hair once more: as 20 vol or 6 %; empty is the same as before. The minutes that the hair had before count."),
			}},
			{hidden: when(otherList), fields: []field{pick("Zones to start from", &e.list, listChoices(lists), anything).
				helped(zoneListHelp)}},
		},
		live:   e.say,
		submit: e.submit,
	})
}

// on is the zone, or nil.
func (e *zoneEdit) on() *session.Zone { return e.state.Zone(e.zone) }

func (e *zoneEdit) checkPieces(t string) error {
	n, err := whole(t, 1, session.MaxZonePieces)
	if z := e.on(); err == nil && e.change == recount && z != nil && n < z.Done() {
		return fmt.Errorf("%d are in already: type %d or more", z.Done(), z.Done())
	}
	return err
}

func (e *zoneEdit) checkKeep(t string) error {
	most := 1
	if z := e.on(); z != nil {
		most = z.Pieces - 1
	}
	_, err := whole(t, 1, most)
	return err
}

// checkChange refuses what can't be done to the zone.
func (e *zoneEdit) checkChange(c zoneChange) error {
	z := e.on()
	switch {
	case z == nil:
		return errors.New("no zone is planned yet: leave with esc and plan a round")
	case c == splitZone && z.Pieces < 2:
		return fmt.Errorf("%s has one piece, so it can't be split", z.Name)
	case c == drop && z.Holding():
		return fmt.Errorf("%s holds product: rinse it, then drop it", z.Name)
	case c == elsewhere && z.OtherHair:
		return fmt.Errorf("%s is already noted as other hair", z.Name)
	case c == elsewhere && !e.state.HasNamesake(z):
		return fmt.Errorf("no other hair has had the name %s, so there is nothing to change", z.Name)
	case c == sooner && e.swap(-1) == nil:
		return fmt.Errorf("%s comes first already", z.Name)
	case c == later && e.swap(1) == nil:
		return fmt.Errorf("%s comes last already", z.Name)
	}
	return nil
}

// swap is the order of the round with the zone and its neighbour changed
// over, the one before it or the one after it; nil if there is none.
func (e *zoneEdit) swap(by int) []string {
	r := e.state.Round(e.on().Round)
	order := slices.Clone(r.Order)
	i := slices.Index(order, e.zone)
	for j := i + by; j >= 0 && j < len(order); j += by {
		if n := e.state.Zone(order[j]); n != nil && !n.Dropped {
			order[i], order[j] = order[j], order[i]
			return order
		}
	}
	return nil
}

func (e *zoneEdit) say() []string {
	z := e.on()
	if z == nil {
		return nil
	}
	if e.change == addZone {
		return append([]string{"The new zone is coated as " + z.Name + " is."}, e.memory(e.typed[addZone].name)...)
	}
	return append(e.sayChange(z), e.memory("")...)
}

// memory is what the hair of the zone had, or that of one of the name.
func (e *zoneEdit) memory(name string) []string {
	z := e.on()
	if e.had == nil || z == nil {
		return nil
	}
	return e.had(z, strings.TrimSpace(name))
}

// bandFields ask what changes in what is planned to go on.
func (e *zoneEdit) bandFields() []field {
	return []field{
		text("Developer, as 20 vol or 6 % (empty: as planned)", &e.weaker, optional(strength)).
			helped("The strength of developer for all bands of the zone from now on: as 20 vol or 6 %; empty leaves it. What is already on keeps its own limit."),
		turn("Where product goes", &e.contact, []choice[formula.Contact]{
			{"as planned", formula.AnyContact}, {"off the scalp", formula.OffScalp}, {"on the scalp", formula.OnScalp},
		}).helped("Whether product touches the scalp, for all bands of the zone. Its limit depends on that, and so does whether it may go there at all."),
	}
}

// rebanded are the zone's bands with what was typed.
func (e *zoneEdit) rebanded() ([]session.PlanBand, error) {
	bands := slices.Clone(e.on().Bands)
	for i := range bands {
		b := &bands[i]
		if e.contact != formula.AnyContact {
			b.Contact = e.contact
		}
		if strings.TrimSpace(e.weaker) == "" || b.Strength.AtMost(0) {
			continue
		}
		p, err := formula.ParseStrength(e.weaker)
		if err != nil {
			return nil, err
		}
		b.Strength = p
	}
	if slices.Equal(bands, e.on().Bands) {
		return nil, errors.New("nothing is changed: type another developer, or say where product goes")
	}
	return bands, nil
}

// known reports whether hair that goes by the name of the new zone had
// lightener in this visit.
func (e *zoneEdit) known() bool {
	name := e.typed[addZone].name
	return strings.TrimSpace(name) != "" && len(e.memory(name)) > 0
}

// hairField asks whether a new zone is the hair that went by its name.
func (e *zoneEdit) hairField() field {
	return turn("Is it the hair that had that name before?", &e.hair, []choice[string]{
		{"yes: its minutes add up", sameHair}, {"no: it is other hair", otherHair},
	}).helped("Zones with the same name are the same hair, and minutes of lightener on it add up. Say no only if none of this hair has had product in this visit.")
}

func (e *zoneEdit) sayChange(z *session.Zone) []string {
	switch e.change {
	case elsewhere:
		return []string{"From then on, minutes that hair of its name had before don't count for " + z.Name + "."}
	case again:
		return []string{"What was lightened there counts as lightened hair. Its minutes add up over the visit."}
	case technique:
		return []string{fmt.Sprintf("%s goes by the pace of: %s. Each technique has a pace of its own.", z.Name, z.Technique())}
	case drop:
		return []string{z.Name + " leaves the plan, and nothing more goes on there. u takes it back."}
	case otherList:
		return []string{"All zones that are planned give way to those of the list. u takes it back."}
	case recount, splitZone:
		return []string{fmt.Sprintf("%s: %d pieces, %d in.", z.Name, z.Pieces, z.Done())}
	}
	return nil
}

func (e *zoneEdit) submit() (intent.Intent, error) {
	if e.change == otherList {
		return e.plan(e.list)
	}
	z, typed := e.on(), e.typed[e.change]
	d := session.PlanChanged{Zone: e.zone}
	switch e.change {
	case addZone, again:
		add, before, err := e.newZone()
		if err != nil {
			return nil, err
		}
		d = session.PlanChanged{Change: session.ChangeAdd, Round: z.Round, Add: add, Before: before}
	case splitZone:
		keep, err := whole(e.keep, 1, z.Pieces-1)
		if err != nil {
			return nil, err
		}
		d.Change, d.Keep, d.Name = session.ChangeSplit, keep, typed.name
	case rename:
		d.Change, d.Name = session.ChangeRename, typed.name
	case recount:
		n, err := whole(typed.pieces, 1, session.MaxZonePieces)
		if err != nil {
			return nil, err
		}
		d.Change, d.Pieces = session.ChangePieces, n
	case technique:
		d.Change, d.Technique = session.ChangeTechnique, z.Way
		if way := strings.TrimSpace(e.way); way != "" {
			d.Technique = way
		}
		if strings.TrimSpace(e.minutes) != "" {
			m, err := number(e.minutes, 0.1, maxMinutesPerPiece)
			if err != nil {
				return nil, err
			}
			d.MinutesPerPiece = m
		}
	case sooner:
		d = session.PlanChanged{Change: session.ChangeOrder, Round: z.Round, Order: e.swap(-1)}
	case later:
		d = session.PlanChanged{Change: session.ChangeOrder, Round: z.Round, Order: e.swap(1)}
	case drop:
		d.Change = session.ChangeDrop
	case reband:
		bands, err := e.rebanded()
		if err != nil {
			return nil, err
		}
		d.Change, d.Bands = session.ChangeBands, bands
	case elsewhere:
		d.Change, d.OtherHair = session.ChangeHair, true
	}
	return logged("Plan changed", d), nil
}

// newZone is the zone to add, and the one that it goes before.
func (e *zoneEdit) newZone() (add *session.PlanZone, before string, err error) {
	z, typed := e.on(), e.typed[e.change]
	pieces, err := whole(typed.pieces, 1, session.MaxZonePieces)
	if err != nil {
		return nil, "", err
	}
	add = &session.PlanZone{Name: typed.name, Pieces: pieces, MinutesPerPiece: z.MinutesPerPiece, Technique: z.Way, Bands: slices.Clone(z.Bands)}
	if e.change == addZone {
		order := e.state.Round(z.Round).Order
		if i := slices.Index(order, z.ID); i+1 < len(order) {
			before = order[i+1]
		}
		add.OtherHair = e.hair == otherHair && e.known()
		return add, before, nil
	}
	add.SameHairAs = []string{z.ID}
	for i := range add.Bands {
		b := &add.Bands[i]
		if b.Kind.Action() == formula.Lighten && coated(z, b.Band) && b.Condition != formula.Sensitive {
			b.Condition = formula.Lightened
		}
		if e.strength != "" {
			if b.Strength, err = formula.ParseStrength(e.strength); err != nil {
				return nil, "", err
			}
		}
	}
	return add, "", nil
}

// coated reports whether a band of the zone was ever coated.
func coated(z *session.Zone, b session.Band) bool {
	return slices.ContainsFunc(z.Coats, func(c *session.Coat) bool { return c.Band == b })
}
