package formula

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestRecipeMix(t *testing.T) {
	m, err := Recipe{"Chalk", Ratio{1, 1.5}, []Part{{9, 2}, {6, 1}, {0, 1}}}.Mix(40)
	require.NoError(t, err)
	assert.Equal(t, Mix{
		Products:   []ProductPart{{"Chalk", 40}},
		Developers: []DeveloperPart{{9, 30}, {6, 15}},
		WaterGrams: 15,
	}, m)
	assert.Equal(t, []string{"40 g Chalk + 30 g 30 vol + 15 g 20 vol + 15 g water: 100 g in all", "20 vol developer (6 %), 3.6 % when ready; 12 % is the most (EU law, (EC) 1223/2009)"}, MixLines(m, Gram, Law{Max: 12, Name: "EU law, (EC) 1223/2009"}))
	assert.Equal(t, "1.41 oz Chalk + 1.06 oz 30 vol + 0.53 oz 20 vol + 0.53 oz water", Weigh(m, Ounce))

	dry, err := Recipe{Product: "Veil"}.Mix(40)
	require.NoError(t, err)
	assert.Equal(t, []string{"40 g Veil: 40 g in all", "without developer"}, MixLines(dry, Gram, Law{}))

	rapid.Check(t, func(t *rapid.T) {
		r := Recipe{"Chalk", Ratio{rapid.Float64Range(0.5, 3).Draw(t, "product"), rapid.Float64Range(0.5, 3).Draw(t, "liquid")},
			[]Part{{9, rapid.Float64Range(0.1, 10).Draw(t, "first")}, {3, rapid.Float64Range(0.1, 10).Draw(t, "second")}}}
		grams := rapid.Float64Range(1, 100).Draw(t, "grams")
		m, err := r.Mix(grams)
		require.NoError(t, err)
		assert.InEpsilon(t, r.Ratio.Developer/r.Ratio.Product, m.Ratio().Developer, 1e-9)
		want, err := Blend(r.Liquid)
		require.NoError(t, err)
		assert.InDelta(t, float64(want), float64(m.Developer()), 1e-9)
	})
}

func TestRecipeRefuses(t *testing.T) {
	for say, r := range map[string]Recipe{
		"the ratio is missing":     {"Chalk", Ratio{}, []Part{{9, 1}}},
		"the developer is missing": {"Chalk", Ratio{1, 2}, nil},
		"part 1: amount 0 must":    {"Chalk", Ratio{1, 2}, []Part{{9, 0}}},
		"the name is missing":      {"", Ratio{1, 2}, []Part{{9, 1}}},
	} {
		_, err := r.Mix(10)
		require.Error(t, err, say)
		assert.Contains(t, err.Error(), say)
	}
	m, err := Recipe{"Chalk", Ratio{1, 3}, []Part{{18, 1}}}.Mix(10)
	require.ErrorIs(t, err, ErrOverCap)
	assert.Equal(t, 40.0, m.Total(), "the mix comes with the error")
}

func TestParseBlend(t *testing.T) {
	for text, want := range map[string][]Part{
		"30:1,20:1":              {{9, 1}, {6, 1}},
		"9 % : 2 , water : 1":    {{9, 2}, {0, 1}},
		"40 vol:1.5,6 %:0.5":     {{12, 1.5}, {6, 0.5}},
		"50:1,20:1,10:1,Water:1": {{15, 1}, {6, 1}, {3, 1}, {0, 1}},
	} {
		got, err := ParseBlend(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
	for text, say := range map[string]string{
		"":                         "has no colon",
		"30":                       "has no colon",
		"30:1":                     "two to four liquids, not 1",
		"30:1,20:1,20:1,20:1,10:1": "not 5",
		"30:1,5,20:1":              `"5" has no colon`,
		"30:0,20:1":                "parts must be above 0",
		"30:-1,20:1":               "a negative number",
		"30:NaN,20:1":              "not a plain number",
		"30:1e9,20:1":              "not a plain number",
		"30:1000,20:1":             "at most 100",
		"150:1,20:1":               "stronger than 60 vol",
		"12:1,20:1":                "may be volumes or percent",
		"water:1,water:1":          "all of it is water",
	} {
		_, err := ParseBlend(text)
		require.Error(t, err, text)
		assert.Contains(t, err.Error(), say, text)
	}
}
