package formula

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestParseLength(t *testing.T) {
	for text, want := range map[string]float64{
		"short": 120, "Medium": 250, " long ": 450, "250": 250, "250 mm": 250, "25 cm": 250, "12,5 cm": 125,
	} {
		got, err := ParseLength(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
	for text, say := range map[string]string{
		"": "missing", "0": "above 0", "-1": "negative", "NaN": "not a plain number", "1e9": "not a plain number", "1501": "at most 1500",
		"9 in": `unit "in" is not known`, "middling": "not a plain number",
	} {
		_, err := ParseLength(text)
		require.Error(t, err, text)
		assert.Contains(t, err.Error(), say, text)
	}
}

func TestHouseUse(t *testing.T) {
	all := []string{"root", "mid", "end"}
	use := func(s Strand, bands ...string) Use {
		u, err := HouseUse(s, bands...)
		require.NoError(t, err)
		return u
	}
	whole := use(Strand{LengthMM: 250, Density: MediumDensity}, all...)
	assert.InDelta(t, 8, whole.Mean, 1e-12)
	assert.InDelta(t, 3.2, whole.SD, 1e-12)
	assert.InDelta(t, 2.8, whole.PieceSD, 1e-12)
	assert.Zero(t, whole.Bowls)
	assert.InDelta(t, 6, use(Strand{LengthMM: 250, Density: Fine}, all...).Mean, 1e-12)
	assert.InDelta(t, 10.8, use(Strand{LengthMM: 250, Density: Thick}, all...).Mean, 1e-12)
	assert.InDelta(t, 2, use(Strand{LengthMM: 250, Density: MediumDensity}, "root").Mean, 1e-12, "a quarter")
	assert.InDelta(t, 0.64, use(Strand{LengthMM: 250, Density: MediumDensity, RegrowthMM: 20}, "root").Mean, 1e-12, "20 mm at 0.032 g")

	rapid.Check(t, func(t *rapid.T) {
		s := Strand{
			LengthMM:   rapid.Float64Range(1, MaxLength).Draw(t, "length"),
			Density:    rapid.SampledFrom(Densities()).Draw(t, "density"),
			RegrowthMM: rapid.Float64Range(0, MaxLength).Draw(t, "regrowth"),
		}
		var sum float64
		for _, b := range all {
			f, err := s.Share(b)
			require.NoError(t, err)
			assert.True(t, f >= 0 && f <= 1)
			sum += f
		}
		assert.InDelta(t, 1, sum, 1e-12, "the bands are the strand")
	})
}

func TestHouseUseRefuses(t *testing.T) {
	ok := Strand{LengthMM: 250, Density: MediumDensity}
	for _, c := range []struct {
		s     Strand
		bands []string
		say   string
	}{
		{ok, nil, "name those that are coated"},
		{ok, []string{"root", "root", "root", "root", "root"}, "each once"},
		{ok, []string{"tip"}, `say "root", "mid" or "end"`},
		{Strand{LengthMM: 30, Density: Fine, RegrowthMM: 40}, []string{"end"}, "none that the regrowth leaves nothing of"},
		{Strand{LengthMM: math.NaN(), Density: Fine}, []string{"end"}, "length NaN mm"},
		{Strand{LengthMM: 250}, []string{"end"}, `density ""`},
		{Strand{LengthMM: 250, Density: Fine, RegrowthMM: -1}, []string{"end"}, "regrowth -1 mm"},
	} {
		_, err := HouseUse(c.s, c.bands...)
		require.Error(t, err, c.say)
		assert.Contains(t, err.Error(), c.say)
	}
}

// By hand: prior 8 g, sd 2 g (precision 1/4); sd 4 g from piece to piece. A
// bowl of 12 pieces that used 72 g has precision 12/16 = 3/4. So the variance
// is 1/(1/4 + 3/4) = 1, and the mean 8/4 + 72/16 = 6.5.
func TestUseAfter(t *testing.T) {
	prior := Use{Mean: 8, SD: 2, PieceSD: 4}
	one, err := prior.After(ClosedBowl{MixedGrams: 80, LeftGrams: 8, Pieces: 12})
	require.NoError(t, err)
	assert.InDelta(t, 6.5, one.Mean, 1e-12)
	assert.InDelta(t, 1, one.SD, 1e-12)
	assert.Equal(t, 4.0, one.PieceSD)
	assert.Equal(t, 1, one.Bowls)

	// Then 16 pieces, 80 g: precision 1 + 1 = 2, mean (6.5 + 80/16)/2 = 5.75.
	two, err := one.After(ClosedBowl{MixedGrams: 80, Pieces: 16})
	require.NoError(t, err)
	assert.InDelta(t, 5.75, two.Mean, 1e-12)
	assert.InDelta(t, math.Sqrt(0.5), two.SD, 1e-12)

	// 10 pieces of 5.75: sd √(100·0.5 + 10·16) = √210.
	mean, sd := two.Total(10)
	assert.InDelta(t, 57.5, mean, 1e-12)
	assert.InDelta(t, math.Sqrt(210), sd, 1e-12)
}

func TestUseAfterManyBowls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		prior := Use{Mean: 8, SD: 3.2, PieceSD: 2.8}
		bowls := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) ClosedBowl {
			mixed := rapid.Float64Range(1, 300).Draw(t, "mixed")
			return ClosedBowl{mixed, rapid.Float64Range(0, mixed).Draw(t, "left"), rapid.IntRange(1, 60).Draw(t, "pieces")}
		}), 1, 20).Draw(t, "bowls")
		forth, back := prior, prior
		var used, pieces float64
		for i := range bowls {
			before := forth.SD
			var err error
			forth, err = forth.After(bowls[i])
			require.NoError(t, err)
			back, err = back.After(bowls[len(bowls)-1-i])
			require.NoError(t, err)
			assert.Less(t, forth.SD, before, "every bowl tells")
			used += bowls[i].MixedGrams - bowls[i].LeftGrams
			pieces += float64(bowls[i].Pieces)
		}
		assert.InEpsilon(t, forth.Mean, back.Mean, 1e-9, "in any order")
		v := 2.8 * 2.8
		precision := 1/(3.2*3.2) + pieces/v
		assert.InEpsilon(t, (8/(3.2*3.2)+used/v)/precision, forth.Mean, 1e-9, "all at once")
		assert.InEpsilon(t, math.Sqrt(1/precision), forth.SD, 1e-9)
		assert.Equal(t, len(bowls), forth.Bowls)
	})
}

func TestClosedBowlOnOtherHair(t *testing.T) {
	got := ClosedBowl{100, 20, 10}.On(Use{Mean: 8}, Use{Mean: 4})
	assert.Equal(t, ClosedBowl{50, 10, 10}, got)
}

func TestUseAfterRefuses(t *testing.T) {
	u := Use{Mean: 8, SD: 2, PieceSD: 4}
	for _, c := range []struct {
		u   Use
		b   ClosedBowl
		say string
	}{
		{Use{}, ClosedBowl{80, 0, 10}, "begin with the house figure"},
		{u, ClosedBowl{80, 81, 10}, "more is left than was there"},
		{u, ClosedBowl{80, -1, 10}, "correct the grams"},
		{u, ClosedBowl{0, 0, 10}, "correct the grams"},
		{u, ClosedBowl{math.NaN(), 0, 10}, "correct the grams"},
		{u, ClosedBowl{80, math.NaN(), 10}, "correct the grams"},
		{u, ClosedBowl{1e9, 0, 10}, "correct the grams"},
		{u, ClosedBowl{80, 0, 0}, "0 pieces"},
	} {
		_, err := c.u.After(c.b)
		require.Error(t, err, c.say)
		assert.Contains(t, err.Error(), c.say)
	}
}
