package card_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/card"
	"rinseby/session/formula"
)

// nextVisit opens a new visit with the plans of the one before.
func nextVisit(t *testing.T, before *chair) (*chair, []session.PlanSet) {
	plans, steps := card.Repeat(before.log)
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "next", Client: "Tove A.", Steps: steps})
	for _, p := range plans {
		c.do(p)
	}
	return c, plans
}

func TestRepeat(t *testing.T) {
	next, plans := nextVisit(t, worked(t))
	require.Len(t, plans, 2)
	light := plans[0]
	assert.Equal(t, "Lightening", light.Name)
	require.Len(t, light.Zones, 13)
	assert.Equal(t, session.PlanZone{ID: "z1", Name: "Nape", Pieces: 8, MinutesPerPiece: 1, Bands: []session.PlanBand{root30}}, light.Zones[0])
	assert.Equal(t, 0.667, light.Zones[4].MinutesPerPiece)
	assert.Equal(t, []session.PlanBand{root30, end20}, light.Zones[8].Bands)
	assert.Equal(t, session.PlanZone{ID: "again", Name: "Nape again", Pieces: 2, MinutesPerPiece: 1.5,
		Bands: []session.PlanBand{root30}, SameHairAs: []string{"z1"}}, light.Zones[12])
	assert.Len(t, plans[1].Zones[0].SameHairAs, 12)
	assert.Equal(t, []string{"r1", "r2"}, []string{next.log.State().Rounds[0].ID, next.log.State().Rounds[1].ID})
	_, steps := card.Repeat(worked(t).log)
	assert.Equal(t, []session.PlanStep{{Name: "consultation", Minutes: 8, Before: true}, {Name: "drying", Minutes: 18}, {Name: "cut", Minutes: 30}}, steps)
}

func TestRepeatTellsWhatWasReallyDone(t *testing.T) {
	c := newChair(t)
	weak := root30
	weak.Strength = 6
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."},
		session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{
			{Name: "Nape", Pieces: 10, MinutesPerPiece: 3, Bands: []session.PlanBand{root30}},
			{Name: "Crown", Pieces: 5, MinutesPerPiece: 3, Technique: "slice", Bands: []session.PlanBand{root30}},
			{Name: "Fringe", Pieces: 5, MinutesPerPiece: 3, Bands: []session.PlanBand{root30}},
		}}, row(root30, 20, 45, formula.NoHeat), bowl(root30, 30, 60), bowl(weak, 30, 60))
	c.do(answered()...)
	with := func(n int, bowl string) session.PiecePlaced {
		return session.PiecePlaced{Zone: "z1", Count: n, Coats: []session.CoatOn{{Band: session.Root, Bowl: bowl}}}
	}
	c.at(0).do(with(1, "b1"))
	c.at(240).do(with(2, "b2")) // 2 minutes each
	c.at(300).do(with(1, "b2")) // 1 minute
	c.at(1200).do(with(1, "b2"))
	c.at(1200).do(with(1, "b2")) // 7.5 minutes each
	c.do(session.ZoneFinished{Zone: "z1"}, session.PiecePlaced{Zone: "z2", Count: 5}, session.PlanChanged{Change: session.ChangeRename, Zone: "z2", Name: "Top"})
	_, plans := nextVisit(t, c)
	require.Len(t, plans, 1)
	assert.Equal(t, []session.PlanZone{
		{ID: "z1", Name: "Nape", Pieces: 6, MinutesPerPiece: 2, Bands: []session.PlanBand{weak}}, // median of 1, 2, 2, 7.5, 7.5
		{ID: "z2", Name: "Top", Pieces: 5, MinutesPerPiece: 3, Technique: "slice", Bands: []session.PlanBand{root30}},
	}, plans[0].Zones, "the fringe was not done")
}

func TestRepeatKeepsHairTogether(t *testing.T) {
	zone := func(id string, same ...string) session.PlanZone {
		return session.PlanZone{ID: id, Name: id, Pieces: 1, Bands: []session.PlanBand{root30}, SameHairAs: same}
	}
	plan := func(zones ...session.PlanZone) session.PlanSet {
		return session.PlanSet{Round: "r1", Name: "Lightening", Action: formula.Lighten, Zones: zones}
	}
	for _, tc := range []struct {
		name   string
		plan   session.PlanSet
		change []session.Data
		placed []string
		want   map[string][]string
	}{
		{"a chain", plan(zone("a"), zone("b", "a"), zone("c", "b")), nil, []string{"a", "b", "c"},
			map[string][]string{"a": nil, "b": {"a"}, "c": {"a"}}},
		{"a link in the chain is not done", plan(zone("a"), zone("b", "a"), zone("c", "b")), nil, []string{"a", "c"},
			map[string][]string{"a": nil, "c": {"a"}}},
		{"the first is dropped", plan(zone("a"), zone("b", "a"), zone("c", "a")), []session.Data{session.PlanChanged{Change: session.ChangeDrop, Zone: "a"}}, []string{"b", "c"},
			map[string][]string{"b": nil, "c": {"b"}}},
		{"the order is turned round", plan(zone("a"), zone("b", "a"), zone("c")), []session.Data{session.PlanChanged{Change: session.ChangeOrder, Round: "r1", Order: []string{"c", "b", "a"}}}, []string{"a", "b", "c"},
			map[string][]string{"c": nil, "b": nil, "a": {"b"}}},
		{"one over several", plan(zone("a"), zone("b"), zone("c", "a", "b")), nil, []string{"a", "b", "c"},
			map[string][]string{"a": nil, "b": nil, "c": {"a", "b"}}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c := newChair(t)
			c.do(session.ServiceOpened{Service: "s1", Client: "June L."}, tc.plan, row(root30, 20, 45, formula.NoHeat), bowl(root30, 30, 60))
			c.do(answered()...)
			c.do(tc.change...)
			for _, id := range tc.placed {
				c.do(session.PiecePlaced{Zone: id})
			}
			_, plans := nextVisit(t, c) // which also shows that the plan is taken
			got := map[string][]string{}
			for _, z := range plans[0].Zones {
				got[z.ID] = z.SameHairAs
			}
			assert.Equal(t, tc.want, got)
		})
	}
}

func TestRepeatOfNothing(t *testing.T) {
	plans, steps := card.Repeat(&session.Log{})
	assert.Empty(t, plans)
	assert.Empty(t, steps)
}

func TestMinutesPerPiece(t *testing.T) {
	type entry struct{ at, count int }
	for name, tc := range map[string]struct {
		in   []entry
		want float64
	}{
		"batches are shared among their pieces": {[]entry{{0, 1}, {240, 2}, {300, 1}}, 2}, // 1, 2, 2
		"an even number":                        {[]entry{{0, 1}, {60, 1}, {240, 1}}, 2},  // 1, 3
		"one moment is one entry":               {[]entry{{0, 1}, {600, 1}, {600, 1}}, 5}, // 5, 5
		"a first moment of two entries":         {[]entry{{0, 1}, {0, 1}, {240, 1}}, 4},
		"an interruption counts for little":     {[]entry{{0, 1}, {60, 1}, {120, 1}, {1320, 1}}, 1},
		"one entry":                             {[]entry{{0, 2}}, 3},
		"an entry that was forgotten":           {[]entry{{0, 1}, {3 * 3600, 1}}, 3},
	} {
		t.Run(name, func(t *testing.T) {
			c := newChair(t)
			c.do(session.ServiceOpened{Service: "s1", Client: "June L."},
				session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{
					{Name: "Nape", Pieces: 9, MinutesPerPiece: 3, Bands: []session.PlanBand{root30}}}},
				row(root30, 20, 45, formula.NoHeat), bowl(root30, 30, 60))
			c.do(answered()...)
			for _, e := range tc.in {
				c.at(e.at).do(session.PiecePlaced{Zone: "z1", Count: e.count})
			}
			plans, _ := card.Repeat(c.log)
			assert.Equal(t, tc.want, plans[0].Zones[0].MinutesPerPiece)
		})
	}
}
