package card_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/card"
	"rinseby/session/formula"
)

func TestRinsedBeforeItWasOpen(t *testing.T) {
	c := live(t) // roots open at 20 min, ends at 15
	on := card.Make(c.log, c.moment(900), nil)
	assert.Nil(t, on.Zones[0].ShortS)
	assert.Nil(t, on.Zones[0].Coats[0].ShortMin, "it may still come to its opening")
	assert.Zero(t, on.Totals.Short)

	c.at(1500).do(session.RinseBegan{Zones: []string{"z1"}})
	c.now = c.moment(1620).Add(500 * time.Millisecond)
	c.do(session.RinseEnded{})
	got := card.Make(c.log, c.now, nil)
	z := got.Zones[0] // the newest piece had 17 min and half a second
	assert.Equal(t, []int{180, 0}, []int{*z.Coats[0].ShortS, *z.Coats[1].ShortS})
	assert.Equal(t, []float64{20, 15}, []float64{*z.Coats[0].OpensMin, *z.Coats[1].OpensMin})
	assert.Equal(t, []float64{3, 0}, []float64{*z.Coats[0].ShortMin, *z.Coats[1].ShortMin})
	assert.Equal(t, 180, *z.ShortS, "that of the coat which lacked most")
	assert.Equal(t, 1, got.Totals.Short)
	md := got.Markdown()
	for _, line := range []string{
		"- Zones over the limit: 0; rinsed too short: 1\n",
		"- No zone went past its limit\n- Nape: the roots were rinsed 3 min too soon: they open 20 min after the newest piece went on\n",
		"| 35 min | 08:27:00 | rinsed 3 min before it was open |\n",
		"- roots: Chalk 9 % (30 vol) 1:2, on Nape 27 min (rinsed 3 min before it was open)\n",
	} {
		assert.Contains(t, md, line)
	}
	assert.NotContains(t, md, "the ends were")
	assert.NotContains(t, md, "inside its limit")
}

func TestShortIsNotKnownWithoutAWindow(t *testing.T) {
	c := live(t)
	c.at(1200).do(session.RinseBegan{Zones: []string{"z1"}}, session.RinseEnded{})
	var events []session.Event
	for _, e := range c.log.Events() {
		if _, ok := e.Data.(session.WindowConfirmed); !ok {
			e.Seq = len(events) + 1
			events = append(events, e)
		}
	}
	l, err := session.Fold(events)
	require.NoError(t, err)
	got := card.Make(l, c.now, nil)
	assert.Nil(t, got.Zones[0].ShortS)
	assert.Nil(t, got.Zones[0].Coats[0].ShortS)
	assert.Nil(t, got.Formulas[0].Coats[0].ShortS)
	assert.Contains(t, got.Markdown(), "- Zones over the limit: 0; rinsed too short: 0; limit not known: 1\n")
}

func TestSeenWarningsInWords(t *testing.T) {
	for key, want := range map[string]string{
		"over:z1":                   "Nape, over its limit",
		"closing:z1":                "Nape, near its limit",
		"ahead:z2":                  "Crown, will go over its limit at this pace",
		"never-open:z1":             "Nape, its newest piece is not open before its oldest is at the limit",
		"no-limit:z1":               "Nape, its limit is not known",
		"heat-over:z1":              "Nape, over its limit at once under heat",
		"collision:z1:z1":           "Nape, no plan keeps its limit",
		"collision:z1:z2":           "Nape, no plan keeps its limit, behind Crown",
		"mushy:z2":                  "Crown, the hair stays stretched",
		"used-up:z1:mid":            "Nape, mid: had its whole limit already",
		"stale:b1":                  "Bowl b1 (Chalk 30 vol), past its working life",
		"stale-soon:b2":             "Bowl b2 (Chalk 20 vol), near the end of its working life",
		"over-cap:b9":               "A bowl, over the legal cap on peroxide",
		"gap:7":                     "The computer was off, or its clock was moved",
		"pain:7":                    "Pain or burning",
		"longer-limit:chalk:30 vol": "A longer limit for chalk 30 vol",
		"safety-cap:history:6:9":    "What the hair has been through; the worst counts: 30 vol where 20 vol is the most",
		"safety-scalp:scalp":        "Scalp, looked at today: product on the scalp",
		// what is not known is said without its key
		"over:z9":      "A zone, over its limit",
		"safety-cap:x": "A warning",
		"brand-new:z1": "A warning",
		"closing":      "A zone, near its limit",
	} {
		c := live(t)
		c.at(700).old(session.WarningAcknowledged{Warning: key, Reason: "hands full"})
		c.at(760).old(session.WarningAcknowledged{Warning: key})
		text := strings.Join(card.Make(c.log, c.now, nil).Text(1000), "\n")
		assert.Contains(t, text, "- "+want+": seen at 08:11:40 (reason: hands full)\n- "+want+": seen at 08:12:40\n", key)
	}
}

func TestHeatEndsWithTheRinse(t *testing.T) {
	c := live(t)
	c.do(row(root30, 10, 40, formula.WithHeat), row(end20, 10, 30, formula.WithHeat))
	c.at(700).do(heatMeant("z1"), session.HeatOn{Zones: []string{"z1"}})
	still := card.Make(c.log, c.now, nil)
	assert.Nil(t, still.Zones[0].Heat[0].Off)
	c.at(1300).do(session.RinseBegan{Zones: []string{"z1"}})
	c.at(1400).do(session.RinseEnded{})
	got := card.Make(c.log, c.moment(2000), nil)
	assert.Equal(t, []card.Heat{{On: c.moment(700), Off: ptr(c.moment(1400))}}, got.Zones[0].Heat)
	assert.Contains(t, got.Markdown(), "- Nape under heat: 08:11:40 to 08:23:20\n")
}

func TestHeatInAnotherZoneOfTheSameHairShowsItsWindows(t *testing.T) {
	c := live(t)
	c.do(row(root30, 10, 40, formula.WithHeat), row(end20, 10, 30, formula.WithHeat),
		session.PlanChanged{Change: session.ChangeAdd, Round: "r1",
			Add: &session.PlanZone{ID: "over", Name: "Over the nape", Pieces: 1, Bands: []session.PlanBand{root30}, SameHairAs: []string{"z1"}}},
		session.PiecePlaced{Zone: "over"})
	c.at(700).do(heatMeant("over"), session.HeatOn{Zones: []string{"over"}})
	k := card.Make(c.log, c.now, nil).Zones[0].Coats[0]
	assert.Equal(t, 40.0, *k.LimitMin)
	require.Len(t, k.Windows, 2)
	assert.Equal(t, 40.0, k.Windows[1].LimitMin)
}

func TestToMatchNamesEachCoat(t *testing.T) {
	c := live(t)
	c.at(640).do(session.PiecePlaced{Zone: "z2"})
	c.at(690).do(session.RinseBegan{Zones: []string{"z2"}}, session.RinseEnded{}) // with one piece to come
	c.at(1900).do(session.PiecePlaced{Zone: c.log.State().Zones[2].ID})
	c.at(2040).do(session.RinseBegan{Zones: []string{"z1"}}, session.RinseEnded{})
	got := card.Make(c.log, c.moment(2150), nil)
	rest := got.Zones[2]
	require.Equal(t, "Crown, rest", rest.Name)
	f := got.Formulas[0]
	assert.Equal(t, "roots: Chalk 9 % (30 vol) 1:2, on Nape 34 min; Crown, rest 4 min so far; rinsed off at once in Crown", f.Summary)
	type timed struct {
		zone     string
		s        int
		once, on bool
	}
	var coats []timed
	for _, k := range f.Coats {
		coats = append(coats, timed{k.Zone, k.Seconds, k.AtOnce, k.StillOn})
		assert.InDelta(t, float64(k.Seconds)/60, k.Minutes, 0.0005)
	}
	assert.Equal(t, []timed{{"z1", 2040, false, false}, {"z2", 50, true, false}, {rest.ID, 250, false, true}}, coats)
	assert.Equal(t, []int{50, 2040}, []int{f.ShortestS, f.LongestS}, "the document leaves nothing out")
	assert.Equal(t, "ends: Chalk 6 % (20 vol) 1:1.5, on Nape 34 min", got.Formulas[1].Summary)
}

func TestPiecesOfOneMomentHaveOneFigure(t *testing.T) {
	for name, tc := range map[string]struct {
		second time.Duration // after the first piece
		want   string
	}{
		"one moment":       {0, "| 34 min 3 s | 34 min 3 s |"},
		"within a second":  {700 * time.Millisecond, "| 34 min 3 s | 34 min 3 s |"},
		"a second between": {time.Second, "| 34 min 3 s | 34 min 1 s |"},
	} {
		c := newChair(t)
		c.do(session.ServiceOpened{Service: "s1", Client: "June L."},
			session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{{Name: "Nape", Pieces: 2, Bands: []session.PlanBand{root30}}}},
			row(root30, 20, 45, formula.NoHeat), bowl(root30, 30, 60))
		c.do(answered()...)
		c.do(session.PiecePlaced{Zone: "z1"})
		c.now = c.now.Add(tc.second)
		c.do(session.PiecePlaced{Zone: "z1"})
		c.now = c.moment(34*60 + 2).Add(500 * time.Millisecond)
		c.do(session.RinseBegan{Zones: []string{"z1"}}, session.RinseEnded{})
		got := card.Make(c.log, c.now, nil)
		assert.Contains(t, got.Markdown(), tc.want, name)
		assert.Equal(t, 34*60+3, got.Zones[0].OldestS, name)
		assert.Less(t, got.Zones[0].NewestS, got.Zones[0].OldestS, "the document keeps to the careful side")
	}
}

func TestWhereWindowsComeFromIsSaidOnce(t *testing.T) {
	c := live(t)
	typed := row(root30, 20, 44, formula.NoHeat)
	typed.Row.Origin = "product instructions, typed by the user"
	heated := row(root30, 10, 30, formula.WithHeat)
	c.do(typed, heated, row(end20, 10, 25, formula.WithHeat))
	c.at(700).do(heatMeant("z1"), session.HeatOn{Zones: []string{"z1"}})
	md := card.Make(c.log, c.now, nil).Markdown()
	assert.Contains(t, md, "| 20 min | 44 min | product instructions, typed by the user |\n")
	assert.Contains(t, md, "| 30 min | product instructions, typed by the user; invented leaflet |\n")
	assert.Contains(t, md, "| 25 min | invented leaflet; the product's instructions, typed by the user |\n")
}

func TestBandsInWords(t *testing.T) {
	c := newChair(t)
	mid := root30
	mid.Band = session.Mid
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."},
		session.ConsultationNoted{Conditions: map[session.Band]formula.Condition{session.Mid: formula.Natural}},
		session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{{Name: "Nape", Pieces: 1, Bands: []session.PlanBand{mid}}}},
		row(mid, 20, 45, formula.NoHeat), bowl(mid, 30, 60))
	c.do(answered()...)
	c.do(session.PiecePlaced{Zone: "z1"}, session.ZoneChecked{Zone: "z1", Band: session.Mid, Feel: "sound"})
	got := card.Make(c.log, c.moment(2800), nil)
	md := got.Markdown()
	assert.Equal(t, session.Mid, got.Formulas[0].Band)
	for _, line := range []string{
		"- Mid-lengths: natural\n",
		"- mid-lengths: Chalk 9 % (30 vol) 1:2, on Nape 47 min so far (1 min 40 s over the limit: not to be repeated)\n",
		"- Nape: the mid-lengths are over the limit of 45 min by 1 min 40 s: 46 min 40 s in all\n",
		"| Nape | mid-lengths | Chalk", "| Nape | mid-lengths |  |  | sound |",
	} {
		assert.Contains(t, md, line)
	}
}
