package form_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/timing"
	"rinseby/tui/form"
	"rinseby/tui/intent"
)

func note(zone, text string) session.NoteAdded { return session.NoteAdded{Zone: zone, Text: text} }

// A client who was here before is known as soon as the name is typed.
func TestNewServiceKnowsTheClient(t *testing.T) {
	known := func(client string) string {
		if client == "Tove A." {
			return "Tove A. was here on 2 January 2026."
		}
		return ""
	}
	f := open(form.NewService(th, form.Answers{}, nil, known, now, func(form.Answers) intent.Intent { return nil }))
	press(t, f, "T", "o")
	assert.NotContains(t, f.View(), "was here")
	press(t, f, "v", "e", "space", "A", ".")
	assert.Contains(t, f.View(), "Tove A. was here on 2 January 2026.")
}

// What the last visit knew is offered, but not what is to be looked at anew.
func TestConsultOffersTheLastVisit(t *testing.T) {
	last := form.LastVisit{Since: 42 * 24 * time.Hour, Noted: &session.ConsultationNoted{Scale: 10, NaturalDepth: 6, Undertone: "red",
		RegrowthMM: 12, Scalp: "calm", Conditions: map[session.Band]formula.Condition{session.Root: formula.Natural}}}
	f := open(form.Consult(th, nil, last))
	assert.Contains(t, strings.Join(strings.Fields(f.View()), " "), "What is filled in is from that visit")
	assert.Equal(t, saves("Consultation noted", session.ConsultationNoted{Scale: 10, NaturalDepth: 6, Undertone: "red"}), press(t, f, "save"))
}

func TestNewService(t *testing.T) {
	lists := []form.ZoneList{{Name: "Half head", Description: "sides and fringe"}, {Name: "Full head"}}
	var got form.Answers
	ask := func() *form.Form {
		return open(form.NewService(th, form.Answers{Stylist: "Ines", Station: "2"}, lists, nil, now, func(a form.Answers) intent.Intent {
			got = a
			return intent.Start{}
		}))
	}
	f := ask()
	assert.Nil(t, press(t, f, "enter"), "no client")
	assert.Contains(t, f.View(), "! type what you call the client")
	assert.Equal(t, intent.Start{}, press(t, f, "Tove A.", "enter", "enter", "wipe", "1", "enter", "13:30", "enter", "enter"))
	assert.Equal(t, form.Answers{Client: "Tove A.", Stylist: "Ines", Station: "1", ZoneList: "Half head",
		Promised: time.Date(2026, 3, 2, 13, 30, 0, 0, time.UTC)}, got)

	assert.Equal(t, intent.Start{}, press(t, ask(), "June L.", "save"))
	assert.Equal(t, form.Answers{Client: "June L.", Stylist: "Ines", Station: "2", ZoneList: "Half head"}, got)
}

func TestConsultNew(t *testing.T) {
	f := open(form.Consult(th, nil, form.LastVisit{}))
	assert.Contains(t, f.View(), "Skin test as early and")
	assert.NotContains(t, f.View(), "  Scalp", "it is a safety question")
	got := press(t, f, "6,5", "enter", "right", "right", "enter", "20", "enter",
		"12", "enter", "long", "enter", "right", "right", "right", "enter",
		"right", "enter", "right", "right", "enter", "enter",
		"box dye", "enter", "9", "enter", "beige", "enter", "first visit", "enter")
	d := session.ConsultationNoted{Scale: 10, NaturalDepth: 6.5, Undertone: "brown", GreyPercent: 20, RegrowthMM: 12, LengthMM: 450, Density: formula.Thick,
		Conditions: map[session.Band]formula.Condition{session.Root: formula.Natural, session.Mid: formula.Coloured},
		History:    "box dye", TargetDepth: 9, TargetTone: "beige", Note: "first visit"}
	assert.Equal(t, saves("Consultation noted", d), got)
	newChair(t).carryOut(got)
}

func TestConsultTellsOfRegrowth(t *testing.T) {
	// 42 days, from the lowest to the highest end of the groups of the paper
	assert.Contains(t, open(form.Consult(th, nil, form.LastVisit{Since: 42 * 24 * time.Hour})).View(), "Last visit 6 weeks ago: 10 to 19 mm of regrowth")
	assert.NotContains(t, open(form.Consult(th, nil, form.LastVisit{})).View(), "Last visit")
}

func TestConsultAgain(t *testing.T) {
	before := session.ConsultationNoted{Scale: 12, NaturalDepth: 11, Undertone: "smoky", GreyPercent: 5, RegrowthMM: 3.5,
		Conditions: map[session.Band]formula.Condition{session.End: formula.Lightened}, Scalp: "dry", TargetDepth: 8, Note: "as last"}
	assert.Equal(t, saves("Consultation noted", before), press(t, open(form.Consult(th, &before, form.LastVisit{Noted: &session.ConsultationNoted{Undertone: "red"}})), "save"))
	assert.Equal(t, formula.Lightened, before.Conditions[session.End], "the old one is left alone")
}

func TestBowl(t *testing.T) {
	mixed := func(life int, m formula.Mix) session.BowlMixed {
		return session.BowlMixed{Product: "Chalk", Family: formula.PowderLightener, Mix: m, LifeS: life}
	}
	thirty := []formula.ProductPart{{Product: "Chalk", Grams: 30}}
	for name, c := range map[string]struct {
		keys []string
		want session.BowlMixed
		say  string
	}{
		"one developer": {
			[]string{"30", "enter", "right", "enter", "enter", "enter", "enter"},
			mixed(2700, formula.Mix{Products: thirty, Developers: []formula.DeveloperPart{{Strength: 6, Grams: 45}}}),
			"Mixed: 30 g Chalk + 45 g 20 vol",
		},
		"blend": {
			[]string{"30", "enter", "enter", "right", "enter", "wipe", "10 vol", "enter", "wipe", "20", "enter", "30 vol", "enter", "1:1", "enter"},
			mixed(1200, formula.Mix{Products: thirty, Developers: []formula.DeveloperPart{{Strength: 3, Grams: 15}, {Strength: 9, Grams: 15}}}),
			"Mixed: 30 g Chalk + 15 g 10 vol + 15 g 30 vol",
		},
		"water": {
			[]string{"30", "enter", "enter", "left", "enter", "wipe", "40 vol", "enter", "wipe", "enter", "50 %", "enter"},
			mixed(0, formula.Mix{Products: thirty, Developers: []formula.DeveloperPart{{Strength: 12, Grams: 15}}, WaterGrams: 15}),
			"Mixed: 30 g Chalk + 15 g 40 vol + 15 g water",
		},
	} {
		t.Run(name, func(t *testing.T) {
			got := press(t, open(form.Bowl(th, chalk, formula.Starter(), 0, nil, formula.Law{})), c.keys...)
			assert.Equal(t, saves(c.say, c.want), got)
			chair := newChair(t)
			chair.do(answered()...)
			chair.carryOut(got)
			_, err := chair.state().BowlFor(chair.state().Zone("nape"), chalk, chair.now)
			assert.NoError(t, err, "it is what was planned")
		})
	}
}

func TestBowlTellsOfTheDeveloper(t *testing.T) {
	f := open(form.Bowl(th, chalk, formula.Starter(), 0, nil, formula.Law{}))
	press(t, f, "30", "enter", "right")
	assert.Contains(t, f.View(), "30 g Chalk + 45 g 20 vol: 75 g in all")
	assert.Contains(t, f.View(), "20 vol developer (6 %), 3.6 % when ready; 12 % is the most (EU and UK law)")
	press(t, f, "enter", "enter", "wipe", "30 vol")
	assert.Contains(t, f.View(), "This makes 30 vol; the plan says 20 vol.")
	assert.Contains(t, f.View(), "Powder: mix it far from the client, in moving air: dust can set off asthma.")
	press(t, f, "back", "right", "enter", "enter", "enter", "10 vol", "enter")
	assert.Contains(t, f.View(), "For 20 vol as planned: 1:1 would make it.")
}

// The bench and the chair say the same of the same mix.
func TestBowlSaysWhatTheBenchSays(t *testing.T) {
	ratio, err := formula.ParseRatio("1:1.5")
	require.NoError(t, err)
	bench, err := formula.Bench{
		Recipe: formula.Recipe{Product: chalk.Product, Ratio: ratio, Liquid: []formula.Part{{Strength: chalk.Strength, Amount: 1}}},
		Pieces: 10, GramsPerPiece: 7.5, PerPiece: time.Minute, Life: time.Hour,
	}.Plan()
	require.NoError(t, err)
	f := open(form.Bowl(th, chalk, formula.Starter(), 0, nil, formula.Law{}))
	press(t, f, "30", "enter", "right")
	said := bench.Lines(formula.Gram)
	for _, line := range said[1:3] {
		assert.Contains(t, f.View(), strings.TrimSpace(line))
	}
}

func TestBowlOverTheCap(t *testing.T) {
	plan := chalk
	plan.Strength, plan.Product = 18, "Other"
	f := open(form.Bowl(th, plan, formula.Starter(), 0, nil, formula.Law{}))
	press(t, f, "10", "enter", "1:9", "enter")
	assert.Contains(t, f.View(), "over the legal cap on peroxide: the mix holds 16.2 %")
	assert.Contains(t, words(f), "12 % is the most (EU and UK law)")
	assert.Nil(t, press(t, f, "save"))
	assert.Contains(t, f.View(), "! over the legal cap")
	f = open(form.Bowl(th, plan, formula.Starter(), 0, nil, safety.RulesOf(safety.US).Law()))
	press(t, f, "10", "enter", "1:9", "enter")
	assert.Contains(t, words(f), "12 % is the most (house rule, as EU law)")
}

func TestBowlWithoutDeveloper(t *testing.T) {
	plan := session.PlanBand{Band: session.End, Product: "Gloss", Kind: formula.Semi}
	got := press(t, open(form.Bowl(th, plan, formula.Starter(), 0, nil, formula.Law{})), "40", "enter", "enter")
	assert.Equal(t, saves("Mixed: 40 g Gloss", session.BowlMixed{Product: "Gloss", Family: formula.Semi,
		Mix: formula.Mix{Products: []formula.ProductPart{{Product: "Gloss", Grams: 40}}}}), got)
}

func TestEmptyBowl(t *testing.T) {
	c := lightening(t)
	ten := 10.5
	for text, left := range map[string]*float64{"": nil, "10,5": &ten} {
		got := press(t, open(form.EmptyBowl(th, c.board().Bowls)), "enter", text, "enter")
		assert.Equal(t, saves("Bowl b1 is empty", session.BowlEmptied{Bowl: "b1", LeftGrams: left}), got)
	}
	f := open(form.EmptyBowl(th, nil))
	assert.Nil(t, press(t, f, "enter"))
	assert.Contains(t, f.View(), "! no bowl is in use")
}

func TestWindow(t *testing.T) {
	q := formula.Query{Product: "Chalk", Kind: formula.PowderLightener, Strength: 9,
		Hair: formula.Hair{Contact: formula.OffScalp, Condition: formula.Natural}}
	row, ok := formula.Match(formula.Starter().Windows(), q)
	require.True(t, ok)

	f := open(form.Window(th, q, &row))
	assert.Contains(t, f.View(), "common practice, no source; careful house rule")
	require.Nil(t, press(t, f, "enter"), "nothing is taken as checked by itself")
	assert.Contains(t, f.View(), "say which")
	got := press(t, f, "down", "enter")
	assert.Equal(t, saves("Off after 45 min", session.WindowConfirmed{Row: row, Basis: session.BasisStarter}), got)
	newChair(t).carryOut(got)

	assert.NotContains(t, f.View(), "next stronger")
	weaker := q
	weaker.Strength = 3
	assert.Contains(t, open(form.Window(th, weaker, &row)).View(), "It is the limit for 30 vol, since none is known for 10 vol")

	typed := press(t, open(form.Window(th, q, &row)), "down", "down", "enter", "40", "enter", "12", "enter")
	own := formula.Row{Product: "Chalk", Kind: formula.PowderLightener, Strength: 9, Contact: formula.OffScalp,
		Condition: formula.Natural, Heat: formula.NoHeat, Origin: "product instructions, typed by the user",
		Window: timing.Window{Opens: 12 * time.Minute, Limit: 40 * time.Minute}}
	assert.Equal(t, saves("Off after 40 min", session.WindowConfirmed{Row: own, Basis: session.BasisInstructions}), typed)
	newChair(t).carryOut(typed)
	_, ok = formula.Match([]formula.Row{own}, q)
	assert.True(t, ok, "the row serves the query")
	q.Heat = true
	_, ok = formula.Match([]formula.Row{own}, q)
	assert.False(t, ok, "and no other")

	f = open(form.Window(th, q, &row)) // a row without heat
	assert.Contains(t, f.View(), "No limit is known")
	assert.NotContains(t, f.View(), "45")
	got = press(t, f, "20", "enter", "5", "enter")
	assert.Equal(t, formula.WithHeat, got.(intent.Log).Commands[0].Data.(session.WindowConfirmed).Row.Heat)
}

func TestWindowRefuses(t *testing.T) {
	q := formula.Query{Product: "Chalk", Kind: formula.PowderLightener, Strength: 9,
		Hair: formula.Hair{Contact: formula.OffScalp, Condition: formula.Natural}}
	for _, c := range []struct {
		keys []string
		want string
	}{
		{[]string{"enter"}, "type a number from 1 to 360"},
		{[]string{"0", "enter"}, "0 is out of bounds"},
		{[]string{"361", "enter"}, "361 is out of bounds"},
		{[]string{"-5", "enter"}, `"-5" is no number`},
		{[]string{"30", "enter", "31", "enter"}, "that is after it must be off"},
		{[]string{"30", "enter", "30", "back", "wipe", "20", "save"}, "that is after it must be off"},
	} {
		f := open(form.Window(th, q, nil))
		assert.Nil(t, press(t, f, c.keys...), c.keys)
		assert.Contains(t, f.View(), "! "+c.want, c.keys)
	}
}

func TestCheck(t *testing.T) {
	c := lightening(t)
	f := open(form.Check(th, c.state().Zone("nape")))
	got := press(t, f, "right", "enter", "8", "enter", "right", "right", "right", "right", "enter", "right", "enter")
	assert.Equal(t, saves("nape checked", session.ZoneChecked{Zone: "nape", Band: session.Root, Scale: 10, Depth: 8,
		Undertone: "red-gold", Feel: "springs back"}), got)
	c.carryOut(got)
	f = open(form.Check(th, c.state().Zone("nape")))
	press(t, f, "left")
	assert.Contains(t, f.View(), "Stop and rinse")
	assert.Equal(t, saves("nape: stop and rinse", session.ZoneChecked{Zone: "nape", Scale: 10, Feel: "stays stretched or mushy"}),
		press(t, f, "save"))
}

func TestNoteAndReason(t *testing.T) {
	c := lightening(t)
	got := press(t, open(form.Note(th, c.state().Zones, "nape")), "fine hair", "enter", "enter")
	assert.Equal(t, saves("Note added", note("nape", "fine hair")), got)
	c.carryOut(got)
	got = press(t, open(form.Note(th, c.state().Zones, "nape")), "late", "enter", "left", "enter")
	assert.Equal(t, saves("Note added", note("", "late")), got)

	then := []session.Command{session.DoAt(now, note("", "x"))}
	f := open(form.Reason(th, form.Passing{Key: "used-up:nape:root", Why: "it has had its whole limit"}, then))
	assert.Nil(t, press(t, f, "space", "enter"))
	assert.Contains(t, f.View(), "! type the reason")
	assert.Equal(t, intent.Log{Say: "Logged with your reason", Commands: []session.Command{
		session.Do(session.WarningAcknowledged{Warning: "used-up:nape:root", Reason: "strand test"}), then[0]}},
		press(t, f, "strand test", "enter"))
	assert.Len(t, then, 1)
}

func TestHelper(t *testing.T) {
	here := []session.Helper{{Name: "Ines"}}
	assert.Equal(t, saves("Sam helps", session.HelperJoined{Name: "Sam"}), press(t, open(form.Helper(th, here)), "enter", "Sam", "enter"))
	assert.Equal(t, saves("Ines has left", session.HelperLeft{Name: "Ines"}), press(t, open(form.Helper(th, here)), "down", "enter"))
	assert.Nil(t, press(t, open(form.Helper(th, here)), "enter", "Ines", "enter"))
}

func TestSteps(t *testing.T) {
	c := lightening(t)
	carry := func(keys ...string) session.Data {
		got := press(t, open(form.Steps(th, c.state())), keys...)
		c.carryOut(got)
		return got.(intent.Log).Commands[0].Data
	}
	assert.Equal(t, session.StepBegan{Step: "cut"}, carry("enter"))
	assert.Equal(t, session.StepEnded{Step: "cut"}, carry("enter"))
	assert.Equal(t, session.PauseBegan{}, carry("/", "pause", "enter", "enter"))
	assert.Equal(t, session.PauseEnded{}, carry("enter"))
	assert.Equal(t, session.StepBegan{Step: "massage"}, carry("end", "enter", "massage", "enter"))
	assert.Equal(t, session.StepEnded{Step: "massage"}, carry("enter"))
}

func TestRinseAndHeat(t *testing.T) {
	c := lightening(t)
	got := press(t, open(form.RinseZones(th, c.board(), clock)), "enter")
	assert.Equal(t, saves("Rinsing", session.RinseBegan{Zones: []string{"nape"}}), got, "the oldest")
	assert.Equal(t, session.RinseBegan{Zones: []string{"nape", "crown"}},
		press(t, open(form.RinseZones(th, c.board(), clock)), "down", "space", "enter").(intent.Log).Commands[0].Data)
	f := open(form.RinseZones(th, c.board(), clock))
	assert.Nil(t, press(t, f, "space", "enter"))
	assert.Contains(t, f.View(), "! tick at least one zone")

	f = open(form.HeatZones(th, c.board(), clock))
	assert.Nil(t, press(t, f, "enter"))
	assert.Contains(t, f.View(), "! nothing is changed")
	on := press(t, f, "space", "enter")
	assert.Equal(t, saves("Heat noted", session.HeatOn{Zones: []string{"nape"}}), on)
	hot := chalkWindow // they name heat
	hot.Row.Heat = formula.WithHeat
	c.do(hot, heatMeant("nape"), heatMeant("crown"))
	c.carryOut(on)
	both := press(t, open(form.HeatZones(th, c.board(), clock)), "space", "down", "space", "enter")
	assert.Equal(t, saves("Heat noted", session.HeatOff{Zones: []string{"nape"}}, session.HeatOn{Zones: []string{"crown"}}), both)
	c.carryOut(both)
	c.carryOut(got)
	assert.NotContains(t, open(form.RinseZones(th, c.board(), clock)).View(), "nape", "it is at the basin")
}

func TestRefreshCoatAndPlace(t *testing.T) {
	c := lightening(t)
	got := press(t, open(form.RefreshZone(th, c.state().Zones, "crown")), "enter")
	assert.Equal(t, saves("Refreshed", session.CoatRefreshed{Zone: "crown", Coats: []session.CoatOn{{Band: session.Root}}}), got)
	c.carryOut(got)
	f := open(form.RefreshZone(th, c.state().Zones, "crown"))
	assert.Nil(t, press(t, f, "up", "space", "enter"))
	assert.Contains(t, f.View(), "! tick bands of one zone only")

	got = press(t, open(form.CoatBand(th, c.state().Zones, "nape")), "enter")
	assert.Equal(t, saves("Coated", session.CoatApplied{Zone: "nape", Coats: []session.CoatOn{{Band: session.End}}}), got)
	c.carryOut(got)

	f = open(form.PlaceMany(th, c.state().Zone("nape")))
	press(t, f, "5")
	assert.Contains(t, f.View(), "That is 1 more than planned.")
	got = press(t, f, "enter")
	assert.Equal(t, saves("nape: 5 placed", session.PiecePlaced{Zone: "nape", Count: 5}), got)
	c.carryOut(got)
	for _, bad := range []string{"", "0", "51", "1.5", "x"} {
		assert.Nil(t, press(t, open(form.PlaceMany(th, c.state().Zone("nape"))), bad, "enter"), bad)
	}
}

func TestEditZone(t *testing.T) {
	// to goes to the n-th way to change the plan of the nape.
	to := func(n int, rest ...string) []string {
		keys := []string{"enter"}
		for range n {
			keys = append(keys, "down")
		}
		return append(append(keys, "enter"), rest...)
	}
	later := chalk
	later.Band, later.Later = session.End, true
	light, lightLater := chalk, later
	light.Condition, light.Strength, lightLater.Strength = formula.Lightened, 3, 3
	for name, c := range map[string]struct {
		keys []string
		want session.PlanChanged
	}{
		"add": {to(0, "sides", "enter", "8", "enter"), session.PlanChanged{Change: session.ChangeAdd, Round: "r1", Before: "crown",
			Add: &session.PlanZone{Name: "sides", Pieces: 8, Bands: []session.PlanBand{chalk, later}}}},
		"split":  {to(1, "4", "enter", "low nape", "enter"), session.PlanChanged{Change: session.ChangeSplit, Zone: "nape", Keep: 4, Name: "low nape"}},
		"rename": {to(2, "hairline", "enter"), session.PlanChanged{Change: session.ChangeRename, Zone: "nape", Name: "hairline"}},
		"pieces": {to(3, "9", "enter"), session.PlanChanged{Change: session.ChangePieces, Zone: "nape", Pieces: 9}},
		"later":  {to(5), session.PlanChanged{Change: session.ChangeOrder, Round: "r1", Order: []string{"crown", "nape", "fringe"}}},
		"again": {to(6, "nape again", "enter", "6", "enter", "10 vol", "enter"), session.PlanChanged{Change: session.ChangeAdd, Round: "r1",
			Add: &session.PlanZone{Name: "nape again", Pieces: 6, Bands: []session.PlanBand{light, lightLater}, SameHairAs: []string{"nape"}}}},
		"technique": {to(7, "slice", "enter", "1.5", "enter"), session.PlanChanged{Change: session.ChangeTechnique, Zone: "nape", Technique: "slice", MinutesPerPiece: 1.5}},
		"minutes":   {to(7, "enter", "2", "enter"), session.PlanChanged{Change: session.ChangeTechnique, Zone: "nape", MinutesPerPiece: 2}},
	} {
		t.Run(name, func(t *testing.T) {
			chair := lightening(t)
			got := press(t, open(form.EditZone(th, chair.state(), "nape", nil, nil, nil)), c.keys...)
			assert.Equal(t, saves("Plan changed", c.want), got)
			chair.carryOut(got)
		})
	}
	c := lightening(t)
	got := press(t, open(form.EditZone(th, c.state(), "fringe", nil, nil, nil)), to(8)...)
	assert.Equal(t, saves("Plan changed", session.PlanChanged{Change: session.ChangeDrop, Zone: "fringe"}), got)
	c.carryOut(got)
	got = press(t, open(form.EditZone(th, c.state(), "crown", nil, nil, nil)), to(4)...)
	assert.Equal(t, session.PlanChanged{Change: session.ChangeOrder, Round: "r1", Order: []string{"crown", "nape", "fringe"}},
		got.(intent.Log).Commands[0].Data)
	c.carryOut(got)
	for zone, keys := range map[string][]string{"crown": to(4), "nape": to(5)} {
		assert.Nil(t, press(t, open(form.EditZone(th, c.state(), zone, nil, nil, nil)), keys...), "%s can't move", zone)
	}
	f := open(form.EditZone(th, c.state(), "nape", nil, nil, nil))
	assert.Nil(t, press(t, f, to(8)...))
	assert.Contains(t, f.View(), "! nape holds product: rinse it, then drop it")
	f = open(form.EditZone(th, c.state(), "nape", nil, nil, nil))
	assert.Nil(t, press(t, f, to(3, "1", "enter")...))
	assert.Contains(t, f.View(), "! 2 are in already")
}

func TestAnotherListIsChosenAsLongAsListsAreOffered(t *testing.T) {
	const other = "another zone list instead"
	f := open(every(t)["zone"]())
	press(t, f, "enter")
	assert.NotContains(t, f.View(), other)
	chosen := ""
	f = open(form.EditZone(th, newChair(t).state(), "nape", []form.ZoneList{{Name: "Half head"}, {Name: "Full head"}}, func(list string) (intent.Intent, error) {
		chosen = list
		return intent.Back{}, errRefused
	}, nil))
	press(t, f, "enter", "end")
	assert.Contains(t, f.View(), other)
	assert.Contains(t, f.View(), "All zones that are planned give way")
	assert.Nil(t, press(t, f, "enter", "down", "enter"))
	assert.Equal(t, "Full head", chosen)
	assert.Contains(t, f.View(), errRefused.Error(), "what stands in the way is said")
}
