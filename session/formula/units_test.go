package formula

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestOunces(t *testing.T) {
	assert.InDelta(t, 453.59237, OuncesToGrams(16), 1e-12, "a pound is 453.59237 g exactly")
	assert.Equal(t, 1.0, GramsToOunces(28.349523125))
	rapid.Check(t, func(t *rapid.T) {
		g := rapid.Float64Range(0.01, 5000).Draw(t, "grams")
		assert.InEpsilon(t, g, OuncesToGrams(GramsToOunces(g)), 1e-14)
		assert.InEpsilon(t, g, DeveloperGrams(DeveloperMillilitres(g)), 1e-14)
	})
}

func TestParseAmount(t *testing.T) {
	for text, want := range map[string]struct {
		grams float64
		says  string
	}{
		"45":         {45, "45 g"},
		"45 g":       {45, "45 g"},
		" 45g ":      {45, "45 g"},
		"7,5 g":      {7.5, "7.5 g"},
		"1.5 oz":     {42.5242846875, "1.5 oz"},
		"1,5 ounces": {42.5242846875, "1.5 oz"},
		"1.5 oz.":    {42.5242846875, "1.5 oz"},
		"5000":       {5000, "5000 g"},
	} {
		a, err := ParseAmount(text)
		require.NoError(t, err, text)
		grams, err := a.Grams()
		require.NoError(t, err, text)
		assert.InDelta(t, want.grams, grams, 1e-9, text)
		assert.Equal(t, want.says, a.String())
	}
	a, err := ParseAmount("90 ml")
	require.NoError(t, err)
	assert.InDelta(t, 91.8, a.DeveloperGrams(), 1e-12)
	_, err = a.Grams()
	assert.EqualError(t, err, `90 ml: product and mix are weighed: give grams or ounces, as "45 g"`)
}

func TestParseAmountRefuses(t *testing.T) {
	for text, say := range map[string]string{
		"":           "the number is missing",
		"0":          "must be above 0 and at most 5000 g",
		"-8":         "a negative number cannot be",
		"NaN":        `"nan" is not a plain number`,
		"Inf":        "not a plain number",
		"1e9":        "not a plain number",
		"1000000000": "must be above 0 and at most 5000 g",
		"5001 g":     "at most 5000 g",
		"200 oz":     "at most 5000 g",
		"8,g":        `no digit follows the ","`,
		"8, g":       `no digit follows the ","`,
		"8. g":       `no digit follows the "."`,
		"8,5,g":      "not a plain number",
		"1,500 g":    "the comma may mean thousands",
		"8 lb":       `unit "lb" is not known: write g, oz or ml`,
		"g":          "not a plain number",
	} {
		_, err := ParseAmount(text)
		require.Error(t, err, text)
		assert.Contains(t, err.Error(), say, text)
	}
}

func TestUnitSay(t *testing.T) {
	assert.Equal(t, "64.1 g", Gram.Say(64.06))
	assert.Equal(t, "2.26 oz", Ounce.Say(64.06))
	assert.Equal(t, "125 ml", Millilitre.Say(128))
}

func TestParseMinutes(t *testing.T) {
	for text, want := range map[string]time.Duration{
		"1.5": 90 * time.Second, "1,5": 90 * time.Second, "1.5 min": 90 * time.Second, "90 s": 90 * time.Second,
		"45m": 45 * time.Minute, "45": 45 * time.Minute, "1h30m": 90 * time.Minute, "1 h": time.Hour, "24h": 24 * time.Hour,
	} {
		got, err := ParseMinutes(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
	for text, say := range map[string]string{
		"": "the number is missing", "0": "above 0", "0m": "above 0", "-5": "a negative number", "-5m": "above 0", "NaN": "not a plain number",
		"1e9": "not a plain number", "1000000000": "at most a day", "9999999999": "at most a day", "9999999999h": "at most a day", "25h": "at most a day",
		"45,m": `no digit follows the ","`, "45 weeks": `unit "weeks" is not known`,
	} {
		_, err := ParseMinutes(text)
		require.Error(t, err, text)
		assert.Contains(t, err.Error(), say, text)
	}
}

func FuzzParseAmount(f *testing.F) {
	for _, s := range []string{"45", "1,5 oz", "90 ml", "8,g", "NaN", "1e9", "İ g"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if a, err := ParseAmount(text); err == nil {
			g := a.DeveloperGrams()
			assert.True(t, g > 0 && g <= 5000 && !math.IsNaN(g), text)
		}
		if d, err := ParseMinutes(text); err == nil {
			assert.True(t, d > 0 && d <= 24*time.Hour, text)
		}
	})
}
