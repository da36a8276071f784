package card_test

import (
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/card"
	"rinseby/session/formula"
	"rinseby/timing"
)

var update = flag.Bool("update", false, "write the golden files anew")

// oslo is an hour ahead of UTC on the day of the worked service.
var oslo = time.FixedZone("", 3600)

// TestWorkedService holds the card against figures worked out from the
// schedule alone.
func TestWorkedService(t *testing.T) {
	c := worked(t)
	got := card.Make(c.log, c.zero, oslo)
	require.Len(t, got.Zones, len(names)+2)
	pieces, over := 0, 0
	for i, name := range names {
		g := groups[i/perGroup]
		in := i % perGroup
		first := g.start + in*perZone*g.each
		last := first + (perZone-1)*g.each
		off := g.start + perGroup*perZone*g.each + g.delay + (in+1)*rinse
		limit, band := rootLimit, session.Root
		if g.ends {
			limit, band = endLimit, session.End
		}
		z := got.Zones[i]
		pieces += z.Pieces
		assert.Equal(t, name, z.Name)
		assert.Equal(t, perZone, z.Pieces)
		assert.Equal(t, off-first, z.OldestS, name)
		assert.Equal(t, off-last, z.NewestS, name)
		assert.InDelta(t, float64(off-first)/60, z.OldestMin, 0.0005, name)
		assert.Equal(t, z.OldestMin, math.Round(z.OldestMin*1000)/1000, name)
		assert.Equal(t, limit, *z.LimitS, name)
		assert.Equal(t, band, z.LimitBand, name)
		assert.Equal(t, c.moment(first+limit), *z.LimitAt, name)
		assert.Equal(t, max(off-first-limit, 0), *z.OverS, name)
		assert.Equal(t, c.moment(off), *z.RinsedAt, name)
		assert.Equal(t, "rinsed", z.Phase)
		assert.InDelta(t, float64(g.each)/60, z.PerPieceMin, 0.0005, name)
		if off-first > limit {
			over++
		}
		for _, k := range z.Coats {
			assert.Equal(t, c.moment(first), k.FirstContact)
			assert.Equal(t, c.moment(last), k.LastContact)
			assert.Equal(t, 0, k.CarriedS)
			want := rootLimit
			if k.Band == session.End {
				want = endLimit
			}
			assert.Equal(t, want, *k.LimitS)
			assert.Equal(t, max(off-first-want, 0), *k.OverS)
			opens := 20 * 60
			if k.Band == session.End {
				opens = 15 * 60
			}
			assert.Equal(t, opens, *k.OpensS)
			assert.Equal(t, max(opens-(off-last), 0), *k.ShortS, name)
			assert.InDelta(t, float64(*k.ShortS)/60, *k.ShortMin, 0.0005, name)
			require.Len(t, k.Windows, 1)
			assert.Equal(t, "invented leaflet", k.Windows[0].Origin)
			assert.Equal(t, session.BasisInstructions, k.Windows[0].Basis)
		}
	}
	assert.Equal(t, 96, pieces)
	// By hand: 34, 28, 22, 16 min; 23:20, 20, 16:40, 13:20; 49, 43, 37, 31
	// against 35 for the ends.
	assert.Equal(t, []float64{34, 28, 22, 16, 23.333, 20, 16.667, 13.333, 49, 43, 37, 31}, oldest(got.Zones[:12]))
	assert.Equal(t, 3, over)
	assert.Equal(t, 3, got.Totals.Over)
	// By hand: newest pieces of 15 and 9 min; 18:40, 15:20, 12, 8:40; the nape
	// again 10 min; all open at 20.
	assert.Equal(t, 7, got.Totals.Short)

	nape := got.Zones[12]
	require.Equal(t, "Nape again", nape.Name)
	assert.Equal(t, 34*60, nape.Coats[0].CarriedS, "what the nape had the first time")
	assert.Equal(t, againOff-again+34*60, nape.OldestS)
	assert.Equal(t, againOff-again, nape.NewestS, "only this coat counts")
	assert.Equal(t, c.moment(again+rootLimit-34*60), *nape.LimitAt)
	assert.Equal(t, 0, *nape.OverS)
	assert.Equal(t, 1.5, nape.PerPieceMin, "one entry tells nothing, so the plan stands")

	tone1 := got.Zones[13]
	assert.Equal(t, toneOff-tone, tone1.OldestS)
	assert.Equal(t, 0, tone1.Coats[0].CarriedS, "colour does not add up with lightening")
	assert.Len(t, tone1.SameHairAs, 12)
}

func oldest(zs []card.Zone) (mins []float64) {
	for _, z := range zs {
		mins = append(mins, z.OldestMin)
	}
	return mins
}

func TestWholeOfTheVisit(t *testing.T) {
	c := worked(t)
	got := card.Make(c.log, c.zero, oslo)
	assert.Equal(t, "rinseby-card/1", got.Format)
	assert.True(t, got.Invented)
	assert.Equal(t, c.moment(closing), got.AsOf, "a closed visit is shown as at its closing")
	assert.Equal(t, c.moment(closing), *got.Closed)
	assert.Equal(t, c.moment(4*3600), *got.Promised)
	assert.Equal(t, 220.0, got.Totals.OpenMin)
	assert.Equal(t, 96+2+1, got.Totals.Pieces)
	assert.Equal(t, 60+900, got.Totals.PausedS, "from the last piece to the basin")

	require.Len(t, got.Bowls, 6)
	assert.Equal(t, card.Bowl{
		ID: "b1", Rounds: []string{"r1"}, Product: "Chalk", Kind: formula.PowderLightener,
		Products:   []formula.ProductPart{{Product: "Chalk", Grams: 30}},
		Developers: []formula.DeveloperPart{{Strength: 9, Grams: 60}},
		Ratio:      "1:2", Developer: 9, Label: "30 vol", Ready: 6, // 60 g of 9 % in 90 g
		MixedAt: c.moment(540), StaleAt: ptr(c.moment(540 + 3600)), EmptiedAt: ptr(c.moment(3540)), LeftG: ptr(4.5),
	}, got.Bowls[0])
	assert.Nil(t, got.Bowls[5].EmptiedAt)
	assert.Equal(t, []string{"r2"}, got.Bowls[5].Rounds)

	require.Len(t, got.Rounds, 2)
	assert.Equal(t, []string{"b1", "b2", "b3", "b4", "b5"}, got.Rounds[0].Bowls)
	assert.Equal(t, c.moment(600), *got.Rounds[0].Began)
	assert.Equal(t, c.moment(againOff), *got.Rounds[0].Ended)

	require.Len(t, got.Trips, 5)
	assert.Equal(t, card.Trip{ID: "t1", Zones: []string{"z1", "z2", "z3", "z4"}, Began: c.moment(600 + 32*60), Ended: ptr(c.moment(600 + 40*60))}, got.Trips[0])
	assert.Equal(t, []card.Step{
		{Name: "consultation", Began: ptr(c.zero), Ended: ptr(c.moment(480)), Minutes: 8, Seconds: 480, UsualMin: 10},
		{Name: "drying", Began: ptr(c.moment(toneOff)), Ended: ptr(c.moment(toneOff + 1080)), Minutes: 18, Seconds: 1080, UsualMin: 20},
		{Name: "cut", UsualMin: 30},
	}, got.Steps)
	assert.Equal(t, []card.Warning{{At: c.moment(7860), Warning: "closing:z9", What: "Top left, near its limit", Reason: "at the basin in a minute"}}, got.Warnings)
	assert.Equal(t, "Sam", got.Helpers[0].Name)
	assert.Len(t, got.Windows, 3)
	assert.Equal(t, []string{
		"roots: Chalk 9 % (30 vol) 1:2, on Nape 34 min; Back left 28 min; Back right 22 min (rinsed 5 min before it was open); Crown 16 min (rinsed 11 min before it was open); " +
			"Left low 23 min (rinsed 1 min 20 s before it was open); Left high 20 min (rinsed 4 min 40 s before it was open); Right low 17 min (rinsed 8 min before it was open); " +
			"Right high 13 min (rinsed 11 min 20 s before it was open); Top left 49 min (4 min over the limit: not to be repeated); Top right 43 min; Fringe left 37 min; Fringe right 31 min; " +
			"Nape again 10 min (rinsed 10 min before it was open)",
		"ends: Chalk 6 % (20 vol) 1:1.5, on Top left 49 min (14 min over the limit: not to be repeated); Top right 43 min (8 min over the limit: not to be repeated); Fringe left 37 min (2 min over the limit: not to be repeated); Fringe right 31 min",
		"roots: Veil 3 % (10 vol) 1:1.5, on All over 10 min",
	}, []string{got.Formulas[0].Summary, got.Formulas[1].Summary, got.Formulas[2].Summary})
}

func ptr[T any](v T) *T { return &v }

func TestGolden(t *testing.T) {
	c := card.Make(worked(t).log, time.Time{}, oslo)
	doc, err := c.JSON()
	require.NoError(t, err)
	page, err := c.HTML()
	require.NoError(t, err)
	for name, got := range map[string]string{"worked.md": c.Markdown(), "worked.json": string(doc), "worked.html": string(page)} {
		path := filepath.Join("testdata", name)
		if *update {
			require.NoError(t, os.WriteFile(path, []byte(got), 0o600))
		}
		want, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, string(want), got, name)
	}
}

func TestRoundTrip(t *testing.T) {
	for name, c := range map[string]card.Card{
		"worked":   card.Make(worked(t).log, time.Time{}, oslo),
		"live":     card.Make(live(t).log, live(t).moment(900), nil),
		"not open": card.Make(&session.Log{}, time.Time{}, nil),
	} {
		doc, err := c.JSON()
		require.NoError(t, err, name)
		var back card.Card
		require.NoError(t, json.Unmarshal(doc, &back), name)
		assert.Equal(t, c, back, name)
		assert.Equal(t, c.Markdown(), back.Markdown(), name)
		again, err := back.JSON()
		require.NoError(t, err, name)
		assert.Equal(t, string(doc), string(again), name)
	}
}

func TestRefoldedLogGivesTheSameCard(t *testing.T) {
	c := worked(t)
	recs, err := session.Records(c.log.Events())
	require.NoError(t, err)
	events, err := session.Events(recs)
	require.NoError(t, err)
	again, err := session.Fold(events)
	require.NoError(t, err)
	assert.Equal(t, card.Make(c.log, c.zero, oslo), card.Make(again, c.zero, oslo))
}

// live is a visit with two coats of two strengths on one zone.
func live(t testing.TB) *chair {
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."},
		session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{
			{Name: "Nape", Pieces: 4, Bands: []session.PlanBand{root30, end20}}, {Name: "Crown", Pieces: 2, Bands: []session.PlanBand{root30}}}},
		row(root30, 20, 45, formula.NoHeat), row(end20, 15, 35, formula.NoHeat), bowl(root30, 30, 60), bowl(end20, 20, 30))
	c.do(answered()...)
	c.at(0).do(session.PiecePlaced{Zone: "z1", Count: 2})
	c.at(600).do(session.PiecePlaced{Zone: "z1", Count: 2})
	return c
}

func TestLiveVisit(t *testing.T) {
	c := live(t)
	got := card.Make(c.log, c.moment(900), nil)
	z := got.Zones[0]
	assert.Nil(t, got.Closed)
	assert.Nil(t, z.RinsedAt)
	assert.Nil(t, z.Coats[0].RinsedAt)
	assert.Nil(t, got.Rounds[0].Ended)
	assert.Equal(t, "working", z.Phase)
	assert.Equal(t, 15.0, z.OldestMin)
	assert.Equal(t, 5.0, z.NewestMin)
	assert.Equal(t, c.moment(35*60), *z.LimitAt)
	assert.True(t, got.Formulas[0].StillOn)

	crown := got.Zones[1]
	assert.Equal(t, "waiting", crown.Phase)
	assert.Nil(t, crown.LimitS)
	assert.Nil(t, crown.OverS)
	assert.False(t, crown.LimitKnown)
	assert.Zero(t, got.Totals.Unknown, "nothing is on the crown, so nothing lacks a limit")

	early := card.Make(c.log, c.moment(60), nil)
	assert.Equal(t, c.moment(600), early.AsOf, "a card is never for a moment before the last entry")

	late := card.Make(c.log, c.moment(40*60), nil)
	assert.Equal(t, "over", late.Zones[0].Phase)
	assert.Equal(t, 5.0, *late.Zones[0].OverMin)
	assert.Contains(t, late.Markdown(), "- Nape: the ends are over the limit of 35 min by 5 min: 40 min in all\n")
	assert.NotContains(t, late.Markdown(), "No zone went past its limit")
	assert.NotContains(t, late.Markdown(), "Nape: the roots are over")
}

func TestPartsOfASecondGoToTheCarefulSide(t *testing.T) {
	c := live(t)
	got := card.Make(c.log, c.moment(35*60).Add(time.Millisecond), nil)
	assert.Equal(t, 35*60+1, got.Zones[0].OldestS)
	assert.Equal(t, 1, *got.Zones[0].OverS)
	assert.Equal(t, 0.017, *got.Zones[0].OverMin)
	assert.Equal(t, 25*60, got.Zones[0].NewestS)
	assert.Equal(t, 1, got.Totals.Over)
	assert.Zero(t, card.Make(c.log, c.moment(35*60), nil).Totals.Over, "at the limit is not over it")
}

func TestUnknownLimit(t *testing.T) {
	var events []session.Event
	for _, e := range live(t).log.Events() {
		if w, ok := e.Data.(session.WindowConfirmed); ok && w.Row.Strength == end20.Strength {
			continue
		}
		e.Seq = len(events) + 1
		events = append(events, e)
	}
	l, err := session.Fold(events)
	require.NoError(t, err)
	got := card.Make(l, events[0].When.Add(50*time.Minute), nil)
	z := got.Zones[0]
	assert.False(t, z.LimitKnown)
	assert.Equal(t, 45.0, *z.LimitMin, "of the coat that has one; the row for 9 % is for natural hair, so it does not serve the ends")
	assert.Equal(t, 5.0, *z.OverMin)
	assert.Nil(t, z.Coats[1].LimitS)
	assert.Nil(t, z.Coats[1].OverS)
	assert.Empty(t, z.Coats[1].Windows)
	assert.Equal(t, 1, got.Totals.Unknown)
	md := got.Markdown()
	assert.Contains(t, md, "- Nape: the limit of Chalk on the ends is not known; it is on for 50 min\n")
	assert.Contains(t, md, "| not known | not known |")
	assert.Contains(t, md, "over, 5 min over its limit, a limit is not known |")
}

func TestHeatAndRefreshingShowTheirWindows(t *testing.T) {
	c := live(t)
	weak := root30
	weak.Strength = 6
	c.do(row(root30, 10, 30, formula.WithHeat), row(end20, 10, 25, formula.WithHeat), row(weak, 15, 40, formula.NoHeat), bowl(weak, 20, 40))
	c.at(700).do(heatMeant("z1"), session.HeatOn{Zones: []string{"z1"}})
	c.at(900).do(session.HeatOff{Zones: []string{"z1"}})
	c.at(960).do(session.CoatRefreshed{Zone: "z1", Coats: []session.CoatOn{{Band: session.Root, Bowl: "b3"}}})
	got := card.Make(c.log, c.moment(960), nil)
	k := got.Zones[0].Coats[0]
	assert.Equal(t, 30.0, *k.LimitMin)
	var limits []float64
	for _, w := range k.Windows {
		limits = append(limits, w.LimitMin)
		assert.Equal(t, session.BasisInstructions, w.Basis)
	}
	assert.Subset(t, limits, []float64{45, 40, 30})
	assert.Equal(t, []card.Product{{Product: "Chalk", Kind: formula.PowderLightener, Strength: 6, Label: "20 vol"}}, k.RefreshedWith)
	assert.Equal(t, []time.Time{c.moment(960)}, k.Refreshed)
	assert.Equal(t, card.Heat{On: c.moment(700), Off: ptr(c.moment(900))}, got.Zones[0].Heat[0])
	assert.Equal(t, 16.0, k.OldestMin, "fresh product does not restart the count")
	for _, z := range c.log.State().Zones {
		for i, coat := range z.Coats { // the rows listed are those that make the window in force
			want := c.log.State().CoatWindow(coat)
			var w timing.Window
			for _, r := range got.Zones[0].Coats[i].Windows {
				w = w.Tightest(timing.Window{Opens: time.Duration(r.OpensS) * time.Second, Limit: time.Duration(r.LimitS) * time.Second})
			}
			assert.Equal(t, want, w, fmt.Sprint(z.ID, coat.Band))
		}
	}
}

func TestGapsOfTheClock(t *testing.T) {
	c := live(t)
	step := timing.Reading{Wall: c.moment(600 + 60 + 3600), Boot: time.Hour + 660*time.Second, BootID: "boot-a"} // set an hour on
	events, err := session.Decide(c.log, step, session.Do(session.NoteAdded{Text: "clock set"}))
	require.NoError(t, err)
	require.NoError(t, c.log.Append(events...))
	boot := timing.Reading{Wall: step.Wall.Add(5 * time.Minute), Boot: time.Minute, BootID: "boot-b"}
	events, err = session.Decide(c.log, boot, session.Do(session.NoteAdded{Text: "computer on again"}))
	require.NoError(t, err)
	require.NoError(t, c.log.Append(events...))
	got := card.Make(c.log, time.Time{}, nil)
	assert.Equal(t, []card.Gap{
		{From: c.moment(600), To: c.moment(660), StepS: 3600},
		{From: c.moment(660), To: c.moment(960), Restart: true},
	}, got.Gaps)
	assert.Equal(t, 960, got.Zones[0].OldestS, "the hour that the clock jumped is no exposure")
	assert.Contains(t, got.Markdown(), "- Clock: at 08:11:00 it was moved by 3600 s; all times here still count from first contact\n")
	assert.Contains(t, got.Markdown(), "- Clock: the computer was off from 08:11:00 to 08:16:00; nobody confirmed how long\n")
}

func TestBandCoatedLater(t *testing.T) {
	c := newChair(t)
	later := root30
	later.Later = true
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."},
		session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{{Name: "Nape", Pieces: 1, Bands: []session.PlanBand{end20, later}}}},
		row(root30, 20, 45, formula.NoHeat), row(end20, 15, 35, formula.NoHeat), bowl(root30, 30, 60), bowl(end20, 20, 30))
	c.do(answered()...)
	c.at(0).do(session.PiecePlaced{Zone: "z1"})
	c.at(1200).do(session.CoatApplied{Zone: "z1", Coats: []session.CoatOn{{Band: session.Root}}})
	for _, rinsed := range []bool{false, true} {
		if rinsed {
			c.at(1800).do(session.RinseBegan{Zones: []string{"z1"}}, session.RinseEnded{})
		}
		z := card.Make(c.log, c.moment(1800), nil).Zones[0]
		assert.Equal(t, 1800, z.OldestS)
		assert.Equal(t, 600, z.NewestS, "of the coat that came later")
		assert.Equal(t, session.End, z.LimitBand)
		assert.Equal(t, []int{1800, 600}, []int{z.Coats[0].OldestS, z.Coats[1].OldestS})
	}
	plans, _ := card.Repeat(c.log)
	assert.Equal(t, []session.PlanBand{later, end20}, plans[0].Zones[0].Bands, "from the scalp outwards, and still later")
}

func TestWhatStillLastsCountsSoFar(t *testing.T) {
	c := live(t)
	c.at(660).do(session.StepBegan{Step: "tea"}, session.PauseBegan{})
	got := card.Make(c.log, c.moment(750), nil)
	assert.Equal(t, card.Step{Name: "tea", Began: ptr(c.moment(660)), Minutes: 1.5, Seconds: 90}, got.Steps[0])
	assert.Equal(t, card.Pause{Began: c.moment(660), Minutes: 1.5, Seconds: 90}, got.Pauses[0])
	assert.Equal(t, 1.5, got.Totals.PauseMin)
	assert.Contains(t, got.Markdown(), "- Step tea: 1 min 30 s so far\n- Pause: 08:11:00, not over, 1 min 30 s\n")
}
