package session_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/timing"
)

// A refusal is a command that a rule forbids, and what the answer must say.
type refusal struct {
	name string
	cmd  session.Command
	says string
}

func no(name string, d session.Data, says string) refusal {
	return refusal{name, session.Do(d), says}
}

// refuses checks that each command is refused in these words, and that the log
// is as it was.
func refuses(t *testing.T, c *chair, cases []refusal) {
	t.Helper()
	for _, r := range cases {
		t.Run(r.name, func(t *testing.T) {
			events, before := len(c.log.Events()), fields(c.state())
			err := c.try(r.cmd)
			require.Error(t, err)
			assert.Contains(t, err.Error(), r.says)
			assert.NotContains(t, err.Error(), "event 0")
			assert.Len(t, c.log.Events(), events, "the log is left as it was")
			assert.Equal(t, before, fields(c.state()))
		})
	}
}

var long = strings.Repeat("a", session.MaxName+1)

func TestRefusedBeforeTheOpening(t *testing.T) {
	day := func(d int) *time.Time { at := newChair(t).now.AddDate(0, 0, d); return &at }
	refuses(t, newChair(t), []refusal{
		no("not open", session.NoteAdded{Text: "hello"}, "open it first"),
		no("no id", session.ServiceOpened{Client: "June L."}, "an id has 1 to 64"),
		no("id with a path in it", session.ServiceOpened{Service: "../x", Client: "June L."}, "an id has 1 to 64"),
		no("no client", session.ServiceOpened{Service: "s1", Client: " "}, "the client has no name: type one"),
		no("client's name too long", session.ServiceOpened{Service: "s1", Client: long}, "too long"),
		no("step twice", session.ServiceOpened{Service: "s1", Client: "J", Steps: []session.PlanStep{{Name: "cut"}, {Name: "cut"}}}, "give each its own name"),
		no("step without a name", session.ServiceOpened{Service: "s1", Client: "J", Steps: []session.PlanStep{{}}}, "the step has no name"),
		no("step of negative length", session.ServiceOpened{Service: "s1", Client: "J", Steps: []session.PlanStep{{Name: "cut", Minutes: -1}}}, "0 to 600 minutes"),
		no("promised for another day", session.ServiceOpened{Service: "s1", Client: "J", Promised: day(3)}, "correct it"),
	})
}

func TestRefusedOfTheServiceAsAWhole(t *testing.T) {
	c := lightening(t)
	c.at(5).do(session.StepBegan{Step: "drying"}, session.HelperJoined{Name: "Ines"}, session.PauseBegan{})
	refuses(t, c, []refusal{
		no("open twice", session.ServiceOpened{Service: "s2", Client: "J"}, "open already"),
		no("step under way at the closing", session.ServiceClosed{}, "drying is still under way: end it"),
		no("another step while one is under way", session.StepBegan{Step: "cut"}, "drying is still under way: end it first"),
		no("the same step again", session.StepBegan{Step: "drying"}, "under way already"),
		no("end of a step that was not begun", session.StepEnded{Step: "cut"}, "cut is not under way"),
		no("step without a name", session.StepEnded{}, "the step has no name"),
		no("pause in a pause", session.PauseBegan{}, "there is a pause already"),
		no("helper twice", session.HelperJoined{Name: "Ines"}, "helping already"),
		no("helper who is not here", session.HelperLeft{Name: "Nobody"}, "no helper called \"Nobody\" is here"),
		no("empty note", session.NoteAdded{}, "type something"),
		no("note on no zone", session.NoteAdded{Zone: "z9", Text: "x"}, `no zone "z9"`),
		no("note too long", session.NoteAdded{Text: strings.Repeat("x", session.MaxText+1)}, "too long"),
		no("question that is none", session.SafetyAnswered{Answer: "no"}, `"" is no safety question: ask one of age, `),
		no("warning without a key", session.WarningAcknowledged{}, "the warning has no name"),
		no("scale of depth", session.ConsultationNoted{Scale: 1}, "10, 12 or 20 steps"),
		no("depth off the scale", session.ConsultationNoted{NaturalDepth: 11}, "0 to 10"),
		no("depth that is no number", session.ConsultationNoted{TargetDepth: math.NaN()}, "0 to 10"),
		no("grey share", session.ConsultationNoted{GreyPercent: 101}, "0 to 100"),
		no("condition of no band", session.ConsultationNoted{Conditions: map[session.Band]formula.Condition{"tip": formula.Natural}}, "say root, mid or end"),
		no("no such condition", session.ConsultationNoted{Conditions: map[session.Band]formula.Condition{session.Root: "dry"}}, "condition"),
		no("clock word", session.ClockNoted{What: "melted"}, "say stepped, restarted or confirmed"),
		no("step that is no number", session.ClockNoted{What: session.ClockStepped, StepS: math.NaN()}, "can't be written down"),
		no("no gap", session.ClockNoted{What: session.ClockConfirmed}, "no gap to confirm"),
		no("gap that is none", session.ClockNoted{What: session.ClockConfirmed, Gap: 3, ShiftS: 60}, "no gap to confirm"),
		no("off for months", session.ClockNoted{What: session.ClockConfirmed, ShiftS: 1e9}, "at most 30 days"),
		{"before the opening", session.DoAt(c.zero.Add(-time.Minute), session.NoteAdded{Text: "x"}), "before the service was opened; give a later time"},
		{"in the future", session.DoAt(c.now.Add(3*time.Second), session.NoteAdded{Text: "x"}), "in the future"},
		{"pause that ends before it began", session.DoAt(c.zero.Add(time.Minute), session.PauseEnded{}), "the pause would end before it began"},
		{"helper who leaves before coming", session.DoAt(c.zero.Add(time.Minute), session.HelperLeft{Name: "Ines"}), "the help of Ines would end before it began"},
		{"step that ends before it began", session.DoAt(c.zero.Add(time.Minute), session.StepEnded{Step: "drying"}), "drying would end before it began"},
	})
	c.do(session.PauseEnded{})
	refuses(t, c, []refusal{no("no pause to end", session.PauseEnded{}, "there is no pause to end")})
}

func TestRefusedOfAPlan(t *testing.T) {
	c := lightening(t)
	zone := func(change func(*session.PlanZone)) session.PlanSet {
		z := session.PlanZone{ID: "a", Name: "Fringe", Pieces: 3, Bands: []session.PlanBand{root30}}
		change(&z)
		return session.PlanSet{Name: "More", Action: formula.Lighten, Zones: []session.PlanZone{z}}
	}
	band := func(change func(*session.PlanBand)) session.PlanSet {
		b := root30
		change(&b)
		return zone(func(z *session.PlanZone) { z.Bands = []session.PlanBand{b} })
	}
	many := func(n, pieces int) session.PlanSet {
		p := session.PlanSet{Name: "More", Action: formula.Lighten}
		for range n {
			p.Zones = append(p.Zones, session.PlanZone{Name: "Z", Pieces: pieces, Bands: []session.PlanBand{root30}})
		}
		return p
	}
	refuses(t, c, []refusal{
		no("no name", session.PlanSet{Action: formula.Lighten}, "the round has no name"),
		no("no action", session.PlanSet{Name: "x"}, "say what the round does"),
		no("no zones", session.PlanSet{Name: "x", Action: formula.Lighten}, "plan 1 to 60"),
		no("too many zones", many(61, 1), "plan 1 to 60"),
		no("too many pieces", many(10, 100), "at most 1000"),
		no("id", zone(func(z *session.PlanZone) { z.ID = "A b" }), "an id has"),
		no("zone without a name", zone(func(z *session.PlanZone) { z.Name = "" }), "the zone has no name"),
		no("no pieces", zone(func(z *session.PlanZone) { z.Pieces = 0 }), "plan 1 to 200, or leave the zone out"),
		no("minutes", zone(func(z *session.PlanZone) { z.MinutesPerPiece = math.NaN() }), "give 0 (not known) to 120"),
		no("long technique of a zone", zone(func(z *session.PlanZone) { z.Technique = strings.Repeat("x", session.MaxName+1) }), "too long"),
		no("id taken", zone(func(z *session.PlanZone) { z.ID = "z1" }), `there is a zone "z1" already`),
		no("no bands", zone(func(z *session.PlanZone) { z.Bands = nil }), "say which bands are coated"),
		no("band twice", zone(func(z *session.PlanZone) { z.Bands = []session.PlanBand{root30, root30} }), "the root is planned twice"),
		no("same hair as none", zone(func(z *session.PlanZone) { z.SameHairAs = []string{"nowhere"} }), "no such zone"),
		no("same hair as itself", zone(func(z *session.PlanZone) { z.SameHairAs = []string{"a"} }), "same hair as itself"),
		no("no such band", band(func(b *session.PlanBand) { b.Band = "tip" }), "say root, mid or end"),
		no("no product", band(func(b *session.PlanBand) { b.Product = "" }), "the product has no name"),
		no("no kind", band(func(b *session.PlanBand) { b.Kind = "" }), "kind"),
		no("no contact", band(func(b *session.PlanBand) { b.Contact = "" }), "contact"),
		no("no condition", band(func(b *session.PlanBand) { b.Condition = "" }), "condition"),
		no("strength that is no number", band(func(b *session.PlanBand) { b.Strength = formula.Percent(math.NaN()) }), "strength"),
		no("all for later", band(func(b *session.PlanBand) { b.Later = true }), "all bands are left for later"),
	})
	c.at(1).do(place("z1", 3))
	refuses(t, c, []refusal{
		no("set anew after the start", session.PlanSet{Round: "r1", Name: "x", Action: formula.Lighten, Zones: []session.PlanZone{{Name: "Z", Pieces: 1, Bands: []session.PlanBand{root30}}}}, "change its plan instead"),
		no("no such change", session.PlanChanged{Change: "paint"}, "not by \"paint\""),
		no("add nothing", session.PlanChanged{Change: session.ChangeAdd, Round: "r1"}, "say which zone to add"),
		no("add to no round", session.PlanChanged{Change: session.ChangeAdd, Round: "r9", Add: &session.PlanZone{Name: "Z", Pieces: 1, Bands: []session.PlanBand{root30}}}, `no round "r9"`),
		no("add before no zone", session.PlanChanged{Change: session.ChangeAdd, Round: "r1", Before: "z9", Add: &session.PlanZone{Name: "Z", Pieces: 1, Bands: []session.PlanBand{root30}}}, `no zone "z9"`),
		no("drop what holds product", session.PlanChanged{Change: session.ChangeDrop, Zone: "z1"}, "rinse it, then drop it"),
		no("drop no zone", session.PlanChanged{Change: session.ChangeDrop, Zone: "z9"}, `no zone "z9"`),
		no("keep none", session.PlanChanged{Change: session.ChangeSplit, Zone: "z1", Name: "N", Keep: 0}, "keep 1 to 3"),
		no("keep all", session.PlanChanged{Change: session.ChangeSplit, Zone: "z1", Name: "N", Keep: 4}, "keep 1 to 3"),
		no("split without a name", session.PlanChanged{Change: session.ChangeSplit, Zone: "z1", Keep: 2}, "the new zone has no name"),
		no("order leaves one out", session.PlanChanged{Change: session.ChangeOrder, Round: "r1", Order: []string{"z2"}}, "each of its zones once"),
		no("order of no round", session.PlanChanged{Change: session.ChangeOrder, Round: "r9"}, `no round "r9"`),
		no("rename to nothing", session.PlanChanged{Change: session.ChangeRename, Zone: "z1"}, "the zone has no name"),
		no("fewer than are in", session.PlanChanged{Change: session.ChangePieces, Zone: "z1", Pieces: 2}, "3 pieces in already"),
		no("no pieces at all", session.PlanChanged{Change: session.ChangePieces, Zone: "z1"}, "or drop the zone"),
		no("no bands left", session.PlanChanged{Change: session.ChangeBands, Zone: "z1"}, "say which bands"),
		no("minutes per piece", session.PlanChanged{Change: session.ChangeBands, Zone: "z1", Bands: []session.PlanBand{root30}, MinutesPerPiece: math.Inf(1)}, "minutes per piece"),
		no("minutes with a technique", session.PlanChanged{Change: session.ChangeTechnique, Zone: "z1", MinutesPerPiece: -1}, "minutes per piece"),
		no("long technique", session.PlanChanged{Change: session.ChangeTechnique, Zone: "z1", Technique: strings.Repeat("x", session.MaxName+1)}, "too long"),
	})
}

func TestRefusedOfBowlsAndWindows(t *testing.T) {
	c := lightening(t)
	win := func(change func(*session.WindowConfirmed)) session.WindowConfirmed {
		w := row(root30, 20, 45)
		change(&w)
		return w
	}
	grams := -1.0
	strong := bowl(root30, 10, 90)
	strong.Mix.Developers[0].Strength = 18
	refuses(t, c, []refusal{
		no("bowl twice", session.BowlMixed{Bowl: "b1", Product: "Chalk", Family: formula.PowderLightener, Mix: bowl(root30, 10, 20).Mix}, `there is a bowl "b1" already`),
		no("bowl without a kind", session.BowlMixed{Product: "Chalk", Mix: bowl(root30, 10, 20).Mix}, "say what kind of product"),
		no("bowl without a name", session.BowlMixed{Family: formula.Demi, Mix: bowl(root30, 10, 20).Mix}, "the product has no name"),
		no("nothing in it", session.BowlMixed{Product: "Chalk", Family: formula.PowderLightener}, "no product"),
		no("no grams", bowl(root30, 0, 20), "amount"),
		no("life", session.BowlMixed{Product: "Chalk", Family: formula.PowderLightener, LifeS: -1, Mix: bowl(root30, 10, 20).Mix}, "0 (not known) to 24 hours"),
		no("over the legal cap", strong, "acknowledge over-cap:b3 with a reason"),
		no("empty what is not there", session.BowlEmptied{Bowl: "b9"}, `no bowl "b9"`),
		no("grams left", session.BowlEmptied{Bowl: "b1", LeftGrams: &grams}, "from 0 up"),
		no("basis", win(func(w *session.WindowConfirmed) { w.Basis = "hearsay" }), "say what the window rests on"),
		no("for nothing", win(func(w *session.WindowConfirmed) { w.Row.Product, w.Row.Kind = "", "" }), "say for which product"),
		no("no such kind", win(func(w *session.WindowConfirmed) { w.Row.Kind = "paint" }), "no kind of product"),
		no("no such contact", win(func(w *session.WindowConfirmed) { w.Row.Contact = "near" }), "contact"),
		no("no such condition", win(func(w *session.WindowConfirmed) { w.Row.Condition = "dry" }), "condition"),
		no("no such heat", win(func(w *session.WindowConfirmed) { w.Row.Heat = "warm" }), "heat"),
		no("no limit", win(func(w *session.WindowConfirmed) { w.Row.Window = timing.Window{} }), "a limit above 0"),
		no("opens after its limit", win(func(w *session.WindowConfirmed) { w.Row.Window.Opens = time.Hour }), "open no later"),
		no("seconds for minutes", win(func(w *session.WindowConfirmed) { w.Row.Window.Limit = 45 * time.Hour }), "slip of a key"),
		no("strength without end", win(func(w *session.WindowConfirmed) { w.Row.Strength = formula.Percent(math.Inf(1)) }), "say for which strength"),
		no("a longer limit", row(root30, 20, 50), "acknowledge longer-limit:chalk:30 vol with a reason"),
		{"empty before it was mixed", session.DoAt(c.zero.Add(-2*time.Second), session.BowlEmptied{Bowl: "b1"}), "before the service was opened"},
	})
	c.at(3).do(session.BowlMixed{Bowl: "late", Product: "Chalk", Family: formula.PowderLightener, Mix: bowl(root30, 10, 20).Mix})
	refuses(t, c, []refusal{
		{"empty before it was mixed", session.DoAt(c.zero.Add(time.Minute), session.BowlEmptied{Bowl: "late"}), "bowl late would be empty before it was mixed"},
	})
	c.do(session.WarningAcknowledged{Warning: "over-cap:b3", Reason: "as the maker says"})
	c.do(strong)
}

func TestRefusedOfHair(t *testing.T) {
	c := lightening(t)
	c.do(row(session.PlanBand{Product: "Chalk", Kind: formula.PowderLightener, Strength: 9}, 10, 40))
	on := func(b session.Band, id string) []session.CoatOn { return []session.CoatOn{{Band: b, Bowl: id}} }
	weak := session.BowlMixed{Bowl: "strong", Product: "Chalk", Family: formula.PowderLightener, Mix: bowl(root30, 10, 20).Mix}
	weak.Mix.Developers = []formula.DeveloperPart{{Strength: 12, Grams: 20}}
	c.at(1).do(weak)
	refuses(t, c, []refusal{
		no("no zone", place("z9", 1), `no zone "z9"`),
		no("too many at once", place("z1", 51), "log 1 to 50"),
		no("fewer than none", place("z1", -1), "log 1 to 50"),
		no("no such bowl", session.PiecePlaced{Zone: "z1", Coats: on(session.Root, "b9")}, `no bowl "b9": mix one`),
		no("band that is not planned", session.PiecePlaced{Zone: "z1", Coats: on(session.Mid, "b1")}, "has no mid: change the plan"),
		no("band twice", session.PiecePlaced{Zone: "z1", Coats: append(on(session.Root, "b1"), on(session.Root, "b1")...)}, "named twice"),
		no("stronger than planned", session.PiecePlaced{Zone: "z1", Coats: on(session.Root, "strong")}, "use a bowl of that strength, or change the plan"),
		{"before the bowl was mixed", session.DoAt(c.zero, session.PiecePlaced{Zone: "z1", Coats: on(session.Root, "strong")}), "put its mixing earlier first"},
		no("a band later, before any piece", session.CoatApplied{Zone: "z1", Coats: on(session.Root, "b1")}, "place the pieces first"),
		no("coat of nothing", session.CoatApplied{Zone: "z1"}, "say which band"),
		no("refresh of nothing", session.CoatRefreshed{Zone: "z1"}, "nothing on Nape to refresh"),
		no("finish what was not begun", session.ZoneFinished{Zone: "z1"}, "drop the zone"),
		no("check of nothing", session.ZoneChecked{Zone: "z1"}, "nothing to check"),
		no("heat on nothing", session.HeatOn{}, "name at least one zone"),
		no("heat on no zone", session.HeatOn{Zones: []string{"z9"}}, `no zone "z9"`),
		no("heat off that is not on", session.HeatOff{Zones: []string{"z1"}}, "no heat on Nape"),
		no("rinse nothing", session.RinseBegan{}, "name at least one zone"),
		no("rinse a zone twice", session.RinseBegan{Zones: []string{"z1", "z1"}}, "named twice"),
		no("rinse what holds nothing", session.RinseBegan{Zones: []string{"z1"}}, "holds nothing to rinse"),
		no("end a rinse that is none", session.RinseEnded{}, "begin a rinse first"),
	})
	c.at(2).do(place("z1", 4), place("z2", 1), session.BowlEmptied{Bowl: "b1"})
	c.at(3)
	refuses(t, c, []refusal{
		no("bowl is empty", session.PiecePlaced{Zone: "z2", Coats: on(session.Root, "b1")}, "was empty by then: mix a new one"),
		no("no bowl left", place("z2", 1), "no bowl of Chalk at 30 vol is in use for the root of Crown: mix one"),
		no("empty twice", session.BowlEmptied{Bowl: "b1"}, "empty already"),
		no("finished already", session.ZoneFinished{Zone: "z1"}, "finished already"),
		no("closing with product on", session.ServiceClosed{}, "Nape still holds product: rinse it"),
		no("depth off the scale", session.ZoneChecked{Zone: "z1", Depth: 11}, "1 (black) to 10"),
		no("scale below nothing", session.ZoneChecked{Zone: "z1", Scale: -1}, "10, 12 or 20 steps"),
		no("check of no band", session.ZoneChecked{Zone: "z1", Band: "tip"}, "say root, mid or end"),
		{"rinse before anything was on", session.DoAt(c.zero.Add(time.Minute), session.RinseBegan{Zones: []string{"z1"}}), "would be rinsed before anything was on it"},
	})
}

// Refusals say times by the salon's clock, wherever the machine thinks it is.
func TestRefusalsSayTheSalonsTime(t *testing.T) {
	salon := time.FixedZone("", 9*3600)
	c := lightening(t)
	c.at(3).do(place("z1", 1))
	now := c.reading()
	now.Wall = now.Wall.In(salon) // 18:03 there, 09:03 in UTC
	in := func(m int) time.Time { return now.Wall.Add(time.Duration(m) * time.Minute) }
	for _, tt := range []struct {
		cmd  session.Command
		says string
	}{
		{session.DoAt(in(60), place("z1", 1)), "19:03:00 is in the future: it is 18:03:00 now; give a time that has passed"},
		{session.DoAt(in(-60), place("z1", 1)), "17:03:00 is before the service was opened; give a later time"},
		{session.Do(session.EventMoved{Seq: c.last(), To: in(60).UTC()}), "19:03:00 is in the future: give a time that has passed"},
		{session.Do(session.EventMoved{Seq: c.last(), To: in(-60).UTC()}), "17:03:00 is before the service was opened; give a later time"},
	} {
		_, err := session.Decide(c.log, now, tt.cmd)
		assert.EqualError(t, err, tt.says)
	}
}
