package formula

import (
	"encoding/json"
	"maps"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/timing"
)

func minutes(opens, limit int) timing.Window {
	return timing.Window{Opens: time.Duration(opens) * time.Minute, Limit: time.Duration(limit) * time.Minute}
}

func powder(vol float64, contact Contact, condition Condition, heat HeatRule, limit int) Row {
	return Row{Kind: PowderLightener, Strength: FromVolumes(vol), Contact: contact, Condition: condition,
		Heat: heat, Window: minutes(5, limit), Origin: "test"}
}

func ask(vol float64, contact Contact, condition Condition, heat bool) Query {
	return Query{Product: "Chalk", Kind: PowderLightener, Strength: FromVolumes(vol),
		Hair: Hair{contact, condition, heat}}
}

func (r Row) of(product string) Row {
	r.Product = product
	return r
}

func TestMatch(t *testing.T) {
	plain := powder(20, OffScalp, Natural, NoHeat, 50)
	for _, c := range []struct {
		name  string
		rows  []Row
		query Query
		limit int // minutes; 0 is no match
	}{
		{"exact", []Row{plain}, ask(20, OffScalp, Natural, false), 50},
		{"weaker query", []Row{plain}, ask(10, OffScalp, Natural, false), 50},
		{"stronger query", []Row{plain}, ask(30, OffScalp, Natural, false), 0},
		{"blend takes the next stronger", []Row{plain, powder(30, OffScalp, Natural, NoHeat, 45),
			powder(40, OffScalp, Natural, NoHeat, 30)}, ask(27, OffScalp, Natural, false), 45},
		{"a row of no heat is not for heat", []Row{plain}, ask(20, OffScalp, Natural, true), 0},
		{"a row off the scalp is not for the scalp", []Row{plain}, ask(20, OnScalp, Natural, false), 0},
		{"a row for natural hair is not for lightened", []Row{plain}, ask(20, OffScalp, Lightened, false), 0},
		{"a row for lightened hair is not for natural", []Row{powder(20, OffScalp, Lightened, NoHeat, 30)},
			ask(20, OffScalp, Natural, false), 0},
		{"a row for any serves", []Row{powder(20, AnyContact, AnyCondition, AnyHeat, 20)},
			ask(20, OnScalp, Sensitive, true), 20},
		{"product before kind", []Row{powder(20, OffScalp, Natural, NoHeat, 30),
			powder(20, AnyContact, AnyCondition, AnyHeat, 40).of(" chalk ")}, ask(20, OffScalp, Natural, false), 40},
		{"another product's row", []Row{plain.of("Rime")}, ask(20, OffScalp, Natural, false), 0},
		{"more fields before fewer", []Row{powder(20, OffScalp, AnyCondition, AnyHeat, 30), plain},
			ask(20, OffScalp, Natural, false), 50},
		{"fields before strength", []Row{powder(20, OffScalp, AnyCondition, NoHeat, 50),
			powder(30, OffScalp, Natural, NoHeat, 40)}, ask(20, OffScalp, Natural, false), 40},
		{"ties go to the shorter", []Row{powder(20, OffScalp, AnyCondition, AnyHeat, 30),
			powder(20, AnyContact, Natural, AnyHeat, 25), powder(20, AnyContact, AnyCondition, NoHeat, 28)},
			ask(20, OffScalp, Natural, false), 25},
		{"lightened is held to natural", []Row{plain, powder(20, OffScalp, Lightened, NoHeat, 60)},
			ask(20, OffScalp, Lightened, false), 50},
		{"scalp and heat are held through each other", []Row{powder(20, OffScalp, Natural, WithHeat, 20),
			powder(20, OnScalp, Natural, WithHeat, 40)}, ask(20, OnScalp, Natural, true), 20},
		{"a longer milder row changes nothing", []Row{plain, powder(20, OffScalp, Lightened, NoHeat, 35)},
			ask(20, OffScalp, Lightened, false), 35},
		{"a window that is not known", []Row{powder(20, OffScalp, Natural, NoHeat, 0)},
			ask(20, OffScalp, Natural, false), 0},
		{"a row for nothing", []Row{{Strength: 9, Window: minutes(5, 30)}}, ask(20, OffScalp, Natural, false), 0},
		{"no rows", nil, ask(20, OffScalp, Natural, false), 0},
	} {
		row, ok := Match(c.rows, c.query)
		assert.Equal(t, c.limit > 0, ok, c.name)
		assert.Equal(t, time.Duration(c.limit)*time.Minute, row.Window.Limit, c.name)
	}
}

func TestMatchAsksWhenTheQueryIsIncomplete(t *testing.T) {
	rows := []Row{powder(40, AnyContact, AnyCondition, AnyHeat, 20)}
	good := ask(20, OffScalp, Natural, false)
	_, ok := Match(rows, good)
	require.True(t, ok)
	for say, spoil := range map[string]func(*Query){
		`kind ""`:               func(q *Query) { q.Kind = "" },
		`contact "": say "off"`: func(q *Query) { q.Contact = "" },
		`condition "dry"`:       func(q *Query) { q.Condition = "dry" },
		"strength is not known": func(q *Query) { q.Strength = Percent(math.NaN()) },
		"strength is not":       func(q *Query) { q.Strength = -1 },
	} {
		q := good
		spoil(&q)
		assert.ErrorContains(t, q.Validate(), say)
		_, ok := Match(rows, q)
		assert.False(t, ok, say)
	}
}

func TestRoundingNeverDecidesAMatch(t *testing.T) {
	rows := []Row{powder(30, OffScalp, Natural, NoHeat, 45), powder(40, OffScalp, Natural, NoHeat, 30)}
	for p, limit := range map[Percent]time.Duration{
		9: 45, 9.11: 45, 8.99: 45, 9.000000001: 45, 9.2: 30, 12.15: 30, 11.98: 30, 12.3: 0,
	} {
		q := ask(30, OffScalp, Natural, false)
		q.Strength = p
		row, ok := Match(rows, q)
		assert.Equal(t, limit > 0, ok, "%v", float64(p))
		assert.Equal(t, limit*time.Minute, row.Window.Limit, "%v", float64(p))
	}
}

func TestMatchBreaksTheLastTieByTheLaterOpening(t *testing.T) {
	early, late := powder(20, OffScalp, Natural, NoHeat, 40), powder(20, OffScalp, Natural, NoHeat, 40)
	late.Window.Opens += time.Minute
	for _, rows := range [][]Row{{early, late}, {late, early}} {
		row, ok := Match(rows, ask(20, OffScalp, Natural, false))
		require.True(t, ok)
		assert.Equal(t, late, row)
	}
}

func TestMatchTellsWhatItHeldTheLimitTo(t *testing.T) {
	natural := powder(20, OffScalp, Natural, NoHeat, 30)
	natural.Origin = HouseRule
	lightened := powder(20, OffScalp, Lightened, NoHeat, 40).of("Chalk")
	lightened.Window.Opens = 35 * time.Minute
	lightened.Origin = "leaflet"
	row, ok := Match([]Row{natural, lightened}, ask(20, OffScalp, Lightened, false))
	require.True(t, ok)
	assert.Equal(t, minutes(30, 30), row.Window, "and does not open after its limit")
	assert.Equal(t, "leaflet; no longer than on natural hair off the scalp, no heat ("+HouseRule+")", row.Origin)
	assert.True(t, row.IsHouseRule())
	assert.False(t, lightened.IsHouseRule())
}

// genRow draws rows of which most can serve what genQuery draws, and some are
// not usable.
func genRow(t *rapid.T) Row {
	return Row{
		Product:   rapid.SampledFrom([]string{"", "", "Chalk", "Rime"}).Draw(t, "product"),
		Kind:      rapid.SampledFrom([]Kind{"", PowderLightener, PowderLightener, ClayLightener}).Draw(t, "kind"),
		Strength:  FromVolumes(rapid.SampledFrom([]float64{0, 10, 20, 30, 40}).Draw(t, "vol")),
		Contact:   rapid.SampledFrom(append(Contacts(), AnyContact)).Draw(t, "contact"),
		Condition: rapid.SampledFrom(append(Conditions(), AnyCondition, AnyCondition)).Draw(t, "condition"),
		Heat:      rapid.SampledFrom([]HeatRule{AnyHeat, WithHeat, NoHeat}).Draw(t, "heat"),
		Window:    minutes(rapid.IntRange(0, 12).Draw(t, "opens"), rapid.IntRange(0, 60).Draw(t, "limit")),
		Origin:    "test",
	}
}

func genHair(t *rapid.T) Hair {
	return Hair{
		Contact:   rapid.SampledFrom(Contacts()).Draw(t, "contact"),
		Condition: rapid.SampledFrom(Conditions()).Draw(t, "condition"),
		Heat:      rapid.Bool().Draw(t, "heat"),
	}
}

func genQuery(t *rapid.T) Query {
	return Query{
		Product:  rapid.SampledFrom([]string{"", "Chalk", "Rime"}).Draw(t, "product"),
		Kind:     PowderLightener,
		Strength: Percent(rapid.Float64Range(0, 13).Draw(t, "strength")),
		Hair:     genHair(t),
	}
}

// worse is written without the code under test.
func worse(a, b Hair) Hair {
	rank := map[Condition]int{Natural: 0, Coloured: 1, Lightened: 2, Sensitive: 3}
	if b.Contact == OnScalp {
		a.Contact = OnScalp
	}
	if rank[b.Condition] > rank[a.Condition] {
		a.Condition = b.Condition
	}
	a.Heat = a.Heat || b.Heat
	return a
}

func TestAdverseHairNeverLengthens(t *testing.T) {
	held := 0
	rapid.Check(t, func(t *rapid.T) {
		rows := rapid.SliceOfN(rapid.Custom(genRow), 20, 40).Draw(t, "rows")
		q := genQuery(t)
		mild, ok := Match(rows, q)
		q.Hair = worse(q.Hair, genHair(t))
		bad, okBad := Match(rows, q)
		if ok && okBad {
			held++
			assert.LessOrEqual(t, bad.Window.Limit, mild.Window.Limit)
		}
	})
	assert.Greater(t, held, 10, "the property was put to the test")
}

func TestMatchOnlyWithARowThatCovers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := rapid.SliceOfN(rapid.Custom(genRow), 0, 20).Draw(t, "rows")
		q := genQuery(t)
		asLabelled := map[Percent]Percent{0: 0, 0.001: 0.001, 2.9: 2.9, 2.999: 3, 3.04: 3, 3.1: 3.1, 4.5: 4.5, 6: 6,
			6.07: 6, 6.2: 6.2, 8.1: 8.1, 8.99: 9, 9.11: 9, 9.2: 9.2, 11.98: 12, 12.15: 12, 12.3: 12.3}
		q.Strength = rapid.SampledFrom(slices.Sorted(maps.Keys(asLabelled))).Draw(t, "bottle")
		got, ok := Match(rows, q)
		covering := slices.DeleteFunc(slices.Clone(rows), func(r Row) bool {
			return r.Product == "" && r.Kind == "" || !r.Window.Known() ||
				r.Product != "" && r.Product != q.Product || r.Kind != "" && r.Kind != q.Kind ||
				r.Contact != "" && r.Contact != q.Contact || r.Condition != "" && r.Condition != q.Condition ||
				r.Heat == WithHeat && !q.Heat || r.Heat == NoHeat && q.Heat ||
				asLabelled[q.Strength] > r.Strength+1e-9
		})
		assert.Equal(t, len(covering) > 0, ok)
		if !ok {
			return
		}
		assert.True(t, got.Window.Known())
		assert.True(t, slices.ContainsFunc(covering, func(r Row) bool {
			return r.Product == got.Product && r.Kind == got.Kind && r.Strength == got.Strength &&
				r.Contact == got.Contact && r.Condition == got.Condition && r.Heat == got.Heat &&
				r.Window.Limit >= got.Window.Limit && r.Window.Opens >= got.Window.Opens
		}), "it is one of the covering rows, at most shortened")
	})
}

func TestStrongerNeverLastsLonger(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Rows for the same hair, of which the stronger are never the longer.
		like := genRow(t)
		like.Kind = PowderLightener
		var rows []Row
		limit := 60
		for _, vol := range []float64{0, 10, 20, 30, 40} {
			limit -= rapid.IntRange(0, 10).Draw(t, "less")
			like.Strength, like.Window = FromVolumes(vol), minutes(0, limit)
			rows = append(rows, like)
		}
		rows = rapid.Permutation(rows).Draw(t, "order")
		weak := genQuery(t)
		strong := weak
		strong.Strength += Percent(rapid.Float64Range(0, 5).Draw(t, "more"))
		a, okWeak := Match(rows, weak)
		b, okStrong := Match(rows, strong)
		if okStrong {
			assert.True(t, okWeak, "what serves the stronger serves the weaker")
			assert.LessOrEqual(t, b.Window.Limit, a.Window.Limit)
		}
	})
}

func TestMatchIgnoresTheOrderOfRows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := rapid.SliceOfN(rapid.Custom(genRow), 0, 12).Draw(t, "rows")
		q := genQuery(t)
		a, okA := Match(rows, q)
		b, okB := Match(rapid.Permutation(rows).Draw(t, "order"), q)
		assert.Equal(t, okA, okB)
		assert.Equal(t, a.Window, b.Window)
	})
}

func TestRowInJSON(t *testing.T) {
	row := Row{Product: "Chalk", Kind: PowderLightener, Strength: 9, Contact: OffScalp, Condition: Natural,
		Heat: NoHeat, Window: minutes(10, 45), Origin: "leaflet"}
	data, err := json.Marshal(row)
	require.NoError(t, err)
	assert.Equal(t, `{"product":"Chalk","kind":"powder lightener","strength_pct":9,"contact":"off",`+
		`"condition":"natural","heat":"no","opens_s":600,"limit_s":2700,"origin":"leaflet"}`, string(data))

	rapid.Check(t, func(t *rapid.T) {
		row := genRow(t)
		row.Strength = Percent(rapid.Float64Range(0, 18).Draw(t, "strength"))
		row.Window.Limit = time.Duration(rapid.Int64Range(0, int64(7*24*time.Hour)).Draw(t, "ns"))
		data, err := json.Marshal(row)
		require.NoError(t, err)
		var back Row
		require.NoError(t, json.Unmarshal(data, &back))
		assert.Equal(t, row, back)
	})

	var r Row
	assert.ErrorContains(t, json.Unmarshal([]byte(`{"limit_s":-1}`), &r), "limit_s -1: seconds must be")
	assert.ErrorContains(t, json.Unmarshal([]byte(`{"opens_s":1e300}`), &r), "opens_s")
	assert.Error(t, json.Unmarshal([]byte(`{"opens_s":"x"}`), &r))
}

func TestQueryInJSON(t *testing.T) {
	q := ask(30, OnScalp, Coloured, true)
	data, err := json.Marshal(q)
	require.NoError(t, err)
	assert.Equal(t, `{"product":"Chalk","kind":"powder lightener","strength_pct":9,`+
		`"contact":"scalp","condition":"coloured","heat":true}`, string(data))
	var back Query
	require.NoError(t, json.Unmarshal(data, &back))
	assert.Equal(t, q, back)
	assert.Equal(t, "Chalk, powder lightener, 30 vol, coloured hair at the scalp, heat", q.String())
}

func TestEveryKindHasAnAction(t *testing.T) {
	for _, k := range Kinds() {
		assert.Contains(t, []Action{Lighten, Colour}, k.Action(), k)
	}
	assert.Equal(t, Lighten, ClayLightener.Action())
	assert.Equal(t, Colour, Demi.Action())
	assert.Equal(t, Action(""), Kind("shampoo").Action())
}
