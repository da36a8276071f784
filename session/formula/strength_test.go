package formula

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestVolumesOfTheTrade(t *testing.T) {
	for vol, want := range map[float64]Percent{5: 1.5, 7: 2.1, 10: 3, 20: 6, 30: 9, 40: 12, 50: 15} {
		assert.Equal(t, want, FromVolumes(vol), "%v vol", vol)
	}
}

func TestVolumesOfGas(t *testing.T) {
	for _, c := range []struct{ vol, molar, want float64 }{
		{30, MolarVolumeSchool, 9.11}, // worked example of a chemistry text page
		{10, MolarVolumeAtm, 3.04}, {20, MolarVolumeAtm, 6.07}, {30, MolarVolumeAtm, 9.11}, {40, MolarVolumeAtm, 12.14},
		{10, MolarVolumeBar, 3.00}, {20, MolarVolumeBar, 5.99}, {30, MolarVolumeBar, 8.99}, {40, MolarVolumeBar, 11.98},
	} {
		assert.InDelta(t, c.want, float64(FromGas(c.vol, c.molar)), 0.0051, "%v vol at %v L/mol", c.vol, c.molar)
	}
}

func TestLabel(t *testing.T) {
	for _, c := range []struct {
		p    Percent
		want string
	}{
		{9, "30 vol"}, {8.99, "30 vol"}, {9.11, "30 vol"}, {9.1111, "30 vol"}, {8.1, "27 vol"}, {9.6, "32 vol"},
		{12, "40 vol"}, {12.15, "40 vol"}, {11.98, "40 vol"}, {12.3, "41 vol"},
		{15.19, "50 vol"}, {2.1, "7 vol"}, {2, "7 vol"}, {1.5, "5 vol"}, {3.04, "10 vol"}, {7.5, "25 vol"},
		{0, "water"}, {0.1, "under 1 vol"}, {0.3, "1 vol"},
		{-1, "unknown strength"}, {Percent(math.NaN()), "unknown strength"}, {Percent(math.Inf(1)), "unknown strength"},
	} {
		assert.Equal(t, c.want, Label(c.p), "%v", float64(c.p))
	}
	assert.Equal(t, "9.11 %", Percent(9.1111).String())
	assert.Equal(t, "9 %", Percent(9).String())
	assert.Equal(t, "unknown %", Percent(math.NaN()).String())
}

func TestAtMost(t *testing.T) {
	noise := Percent(0.1 + 0.2) // 0.30000000000000004
	assert.True(t, noise.AtMost(0.3), "noise of arithmetic does not trip")
	assert.True(t, Percent(12).AtMost(12))
	assert.False(t, Percent(12.00001).AtMost(12), "and nothing measurable passes")
	assert.False(t, Percent(math.NaN()).AtMost(12))
	assert.False(t, Percent(1).AtMost(Percent(math.NaN())))
}

func TestNominal(t *testing.T) {
	assert.Equal(t, Percent(12), Percent(12.15).Nominal())
	assert.Equal(t, Percent(9), Percent(8.99).Nominal())
	assert.Equal(t, Percent(8.1), Percent(8.1).Nominal())
	assert.Equal(t, Percent(9.3), Percent(9.3).Nominal())
	rapid.Check(t, func(t *rapid.T) {
		p := Percent(rapid.Float64Range(0, 20).Draw(t, "p"))
		q := Percent(rapid.Float64Range(0, 20).Draw(t, "q"))
		if p <= q {
			assert.LessOrEqual(t, p.Nominal(), q.Nominal(), "keeps the order")
		}
		assert.Equal(t, p.Nominal(), p.Nominal().Nominal())
		assert.InEpsilon(t, float64(p)+1, float64(p.Nominal())+1, 0.0125, "moves by rounding alone")
	})
}

func TestParseStrength(t *testing.T) {
	for text, want := range map[string]Percent{
		"30": 9, "30 vol": 9, "30vol.": 9, " 30 Volumes ": 9, "30 v": 9, "10": 3, "20.": 6, "15": 4.5,
		"9%": 9, "9 %": 9, "9,0 %": 9, "9.0\u00a0%": 9, "12,15 %": 12.15, "12 %": 12, "12 vol": 3.6,
		"6,7 vol": 2.01, "7 vol": 2.1, "50 vol": 15, "60 vol": 18, "1 vol": 0.3,
	} {
		p, err := ParseStrength(text)
		require.NoError(t, err, text)
		assert.InDelta(t, float64(want), float64(p), 1e-12, text)
	}
	for text, say := range map[string]string{
		"":             "the number is missing",
		"vol":          "not a plain number",
		".":            "the number is missing",
		"0":            "enter it as water",
		"0 %":          "enter it as water",
		"0.1 %":        "weaker than 0.3 %",
		"-30 vol":      "negative",
		"−9 %":         "negative",
		"NaN":          "not a plain number",
		"inf":          "not a plain number",
		"1e9":          "not a plain number",
		"150 volumes":  "stronger than 60 vol (18 %)",
		"19 %":         "stronger than 60 vol",
		"30,20":        "two strengths",
		"30,20 vol":    "two strengths",
		"30,20 %":      "stronger than",
		"9":            `write "9 vol" or "9 %"`,
		"12":           `write "12 vol" or "12 %"`,
		"30 grams":     `unit "grams" is not known`,
		"30/20":        "not a plain number",
		"1.2.3 %":      "not a plain number",
		"00000000009%": "too many digits",
	} {
		_, err := ParseStrength(text)
		require.Error(t, err, text)
		assert.Contains(t, err.Error(), say, text)
	}
}

func TestParseStrengthReadsItsOwnLabels(t *testing.T) {
	for _, vol := range tradeLabels {
		p, err := ParseStrength(Label(FromVolumes(vol)))
		require.NoError(t, err)
		assert.Equal(t, FromVolumes(vol), p)
		again, err := ParseStrength(p.String())
		require.NoError(t, err)
		assert.Equal(t, p, again)
	}
}

func FuzzParseStrength(f *testing.F) {
	for _, seed := range []string{"30 vol", "9,0 %", "-", "1e9", "٣٠", "30 vol.", "\xff%"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		p, err := ParseStrength(text)
		if err == nil && !(p >= MinStrength-tolerance && p.AtMost(MaxStrength)) {
			t.Errorf("%q gave %v", text, float64(p))
		}
	})
}
