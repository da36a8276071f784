package formula

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestBlend(t *testing.T) {
	for _, c := range []struct {
		name  string
		parts []Part
		want  Percent
	}{
		{"1 part 50 vol, 2 parts 20 vol", []Part{{FromVolumes(50), 1}, {FromVolumes(20), 2}}, FromVolumes(30)},
		{"1 part 40 vol, 1 part water", []Part{{FromVolumes(40), 1}, {0, 1}}, FromVolumes(20)},
		{"measured bottle with water", []Part{{12.15, 40}, {0, 40}}, 6.075},
		{"one alone", []Part{{9, 60}}, 9},
		{"water alone", []Part{{0, 60}}, 0},
	} {
		got, err := Blend(c.parts)
		require.NoError(t, err, c.name)
		assert.InDelta(t, float64(c.want), float64(got), 1e-12, c.name)
	}
}

func TestBlendRefuses(t *testing.T) {
	nan := math.NaN()
	for say, parts := range map[string][]Part{
		"nothing to blend":         nil,
		"part 1: amount 0 must":    {{9, 0}},
		"part 2: amount -1 must":   {{9, 1}, {6, -1}},
		"part 1: amount NaN must":  {{9, nan}},
		"part 1: amount +Inf must": {{9, math.Inf(1)}},
		"part 1: strength must":    {{Percent(nan), 1}},
		"part 2: strength must":    {{9, 1}, {90, 1}},
	} {
		_, err := Blend(parts)
		require.Error(t, err, say)
		assert.Contains(t, err.Error(), say)
	}
}

func bowl(developer Percent, product, liquid float64) Mix {
	return Mix{
		Products:   []ProductPart{{"Chalk", product}},
		Developers: []DeveloperPart{{developer, liquid}},
	}
}

func TestMix(t *testing.T) {
	one := bowl(12, 30, 30)
	assert.Equal(t, Percent(6), one.Ready(), "12 % at 1:1")
	assert.Equal(t, Percent(12), one.Developer())
	assert.Equal(t, Ratio{1, 1}, one.Ratio())
	assert.Equal(t, 60.0, one.Total())

	assert.InDelta(t, 8, float64(bowl(12, 30, 60).Ready()), 1e-12, "12 % at 1:2")

	blended := Mix{
		Products:   []ProductPart{{"Chalk", 20}, {"Rime", 20}},
		Developers: []DeveloperPart{{FromVolumes(40), 30}},
		WaterGrams: 30,
	}
	assert.Equal(t, "20 vol", Label(blended.Developer()))
	assert.InDelta(t, 3.6, float64(blended.Ready()), 1e-12)
	assert.Equal(t, Ratio{1, 1.5}, blended.Ratio())

	neat := Mix{Products: []ProductPart{{"Veil", 40}}}
	require.NoError(t, neat.Validate())
	assert.Equal(t, Percent(0), neat.Developer())
	assert.Equal(t, Percent(0), neat.Ready())
	assert.Equal(t, Ratio{}, neat.Ratio())
}

func TestMixRefuses(t *testing.T) {
	nan := math.NaN()
	for say, m := range map[string]Mix{
		"no product":                        {Developers: []DeveloperPart{{9, 30}}},
		"product 1: the name":               {Products: []ProductPart{{" ", 30}}},
		"grams of Chalk: amount 0":          bowl(9, 0, 30),
		"grams of Chalk: amount NaN":        bowl(9, nan, 30),
		"grams of Chalk: amount -3":         bowl(9, -3, 30),
		"grams of Chalk: amount 6000":       bowl(9, 6000, 30),
		"grams of developer 1 (30 vol): am": bowl(9, 30, 0),
		"developer 1: 0 is water":           bowl(0, 30, 30),
		"developer 1: not a strength":       bowl(Percent(nan), 30, 30),
		"developer 1: stronger than 60 vol": bowl(30, 30, 30),
		"grams of water: amount -1":         {Products: []ProductPart{{"Chalk", 30}}, WaterGrams: -1},
		"grams of water: amount NaN":        {Products: []ProductPart{{"Chalk", 30}}, WaterGrams: nan},
	} {
		err := m.Validate()
		require.Error(t, err, say)
		assert.Contains(t, err.Error(), say)
		assert.Equal(t, err, CheckCap(m))
		assert.True(t, math.IsNaN(float64(m.Developer())), "an impossible mix has no strength")
		assert.True(t, math.IsNaN(float64(m.Ready())))
		assert.Equal(t, Ratio{}, m.Ratio())
	}
}

func TestCheckCap(t *testing.T) {
	assert.NoError(t, CheckCap(bowl(12.15, 30, 30)), "the bottle is not the mix")
	assert.NoError(t, CheckCap(bowl(15, 10, 40)), "exactly 12 %")
	assert.NoError(t, CheckCap(bowl(15, 0.1, 0.4)), "exactly 12 %, but for the arithmetic")

	err := CheckCap(bowl(15, 9.99, 40))
	require.ErrorIs(t, err, ErrOverCap)
	assert.Contains(t, err.Error(), "holds 12.01 %", "never shown as the cap itself")
	assert.Contains(t, err.Error(), "take a weaker developer or dilute")
	assert.ErrorIs(t, CheckCap(bowl(15, 1, 40)), ErrOverCap)
}

func genMix(t *rapid.T) Mix {
	grams := rapid.Float64Range(0.1, 500)
	strength := rapid.Float64Range(float64(MinStrength), float64(MaxStrength))
	var m Mix
	for range rapid.IntRange(1, 3).Draw(t, "products") {
		m.Products = append(m.Products, ProductPart{"Chalk", grams.Draw(t, "g")})
	}
	for range rapid.IntRange(0, 3).Draw(t, "developers") {
		m.Developers = append(m.Developers, DeveloperPart{Percent(strength.Draw(t, "%")), grams.Draw(t, "g")})
	}
	if rapid.Bool().Draw(t, "water") {
		m.WaterGrams = grams.Draw(t, "g")
	}
	return m
}

func TestMixKeepsItsPeroxide(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := genMix(t)
		require.NoError(t, m.Validate())
		in := 0.0
		for _, d := range m.Developers {
			in += float64(d.Strength) * d.Grams
		}
		assert.InDelta(t, in, float64(m.Ready())*m.Total(), 1e-6*(in+1), "what went in is in the bowl")
		assert.LessOrEqual(t, m.Ready(), m.Developer())

		data, err := json.Marshal(m)
		require.NoError(t, err)
		var back Mix
		require.NoError(t, json.Unmarshal(data, &back))
		assert.Equal(t, m, back)
	})
}

func TestTheLawIsNamed(t *testing.T) {
	law := Law{Max: 9, Name: "the law of an invented land"} // no real one: no region's figure is 9
	m := bowl(12, 3, 30)
	require.NoError(t, CheckCap(m))
	err := law.Check(m)
	require.ErrorIs(t, err, ErrOverCap)
	assert.Contains(t, err.Error(), "9 % is the most (the law of an invented land)")
	assert.Contains(t, MixLines(bowl(12, 40, 40), Gram, law)[1], "9 % is the most (the law of an invented land)")
	assert.Contains(t, MixLines(bowl(12, 40, 40), Gram, Law{})[1], "12 % is the most (EU and UK law)")
	assert.NotContains(t, CheckCap(bowl(15, 1, 40)).Error(), "the law allows", "it is no law everywhere")
}
