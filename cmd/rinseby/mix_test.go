//go:build unix

package main

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// asked are the flags of a mix, some of them changed; "" leaves one out.
func asked(changes ...string) []string {
	flags := map[string]string{
		"--pieces": "24", "--grams-per-piece": "8", "--ratio": "1:2", "--strength": "30 vol",
		"--minutes-per-piece": "1.5", "--life": "45m",
	}
	for i := 0; i < len(changes); i += 2 {
		flags[changes[i]] = changes[i+1]
	}
	args := []string{"mix"}
	for _, f := range slices.Sorted(maps.Keys(flags)) {
		if flags[f] != "" {
			args = append(args, f+"="+flags[f])
		}
	}
	return args
}

func TestMix(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	out := s.must(asked()...)
	for _, line := range []string{
		"product, 24 pieces at 8 g of mix, one every 1.5 min\n",
		"  64 g product + 128 g 30 vol: 192 g in all\n",
		"  30 vol developer (9 %), 6 % when ready; 12 % is the most (EU and UK law)\n",
		"1 bowl, each good for 45 min; minutes count from the first piece\n",
		"  bowl 1: mix at 0 min, last piece in at 36 min, stale at 45 min; pieces 1 to 24\n",
		"Left over: 0 g\n",
	} {
		assert.Contains(t, out, line)
	}
	assert.Contains(t, s.must(asked("--grams-per-piece", "7,5 g")...), "180 g in all")
	assert.Contains(t, s.must(asked("--grams-per-piece", "0.3 oz", "--unit", "oz")...), "7.2 oz in all")
	assert.Contains(t, s.must(asked("--strength", "none", "--ratio", "")...), "without developer")
	assert.Contains(t, s.must(asked("--largest", "100 g")...), "2 bowls")
	assert.Contains(t, s.must(asked("--extra", "10 %")...), "Left over: 19.2 g")
	assert.Contains(t, s.must(asked("--product", "A\x1b[31mB")...), "AB, 24 pieces", "nothing that a terminal acts on")
	assert.Empty(t, s.logs(), "nothing is kept")
}

func TestMixFromTheCatalogue(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.owns("catalogue.toml", "[[product]]\nname = \"Chalk\"\nkind = \"powder lightener\"\nratios = [\"1:2\"]\nlife_minutes = 20\nprice_per_100g = 5\ninvented = true\n")
	out := s.must(asked("--product", "chalk", "--life", "", "--ratio", "", "--blend", "40:1,water:1", "--strength", "", "--json", "true")...)
	var plan struct {
		Product  string
		Invented bool
		LifeS    float64 `json:"life_s"`
		ReadyPct float64 `json:"ready_pct"`
		Strength string
		Ratio    string
		Cost     float64
		Bowls    []struct {
			MixAtS     float64 `json:"mix_at_s"`
			UsedUpS    float64 `json:"used_up_s"`
			StaleAtS   float64 `json:"stale_at_s"`
			FirstPiece int     `json:"first_piece"`
		}
	}
	require.NoError(t, json.Unmarshal([]byte(out), &plan))
	assert.Equal(t, "Chalk", plan.Product)
	assert.True(t, plan.Invented)
	assert.Equal(t, 1200.0, plan.LifeS)
	assert.Equal(t, "20 vol", plan.Strength)
	assert.Equal(t, "1:2", plan.Ratio)
	assert.Equal(t, 4.0, plan.ReadyPct)
	assert.Equal(t, 3.2, plan.Cost, "64 g at 5 a 100 g")
	require.Len(t, plan.Bowls, 2, "13 pieces of 90 s in 20 minutes")
	assert.Equal(t, 14, plan.Bowls[1].FirstPiece)
	assert.Equal(t, 1170.0, plan.Bowls[0].UsedUpS)
	assert.Equal(t, 1170.0, plan.Bowls[1].MixAtS)
	assert.Equal(t, 2370.0, plan.Bowls[1].StaleAtS)
	assert.Contains(t, s.must(asked("--product", "chalk", "--life", "45m")...), "good for 45 min", "what is typed goes before the catalogue")

	s.owns("catalogue.toml", "[[product]]\n")
	r := s.run(asked("--product", "chalk", "--life", "")...)
	assert.Zero(t, r.code)
	assert.Contains(t, r.err, "last good catalogue in use")
	assert.Contains(t, r.out, "good for 20 min")
	assert.Empty(t, s.run(asked()...).err, "without --product it is not asked")
}

func TestMixRefuses(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	for _, test := range []struct {
		says    string
		changes []string
	}{
		{"--pieces is missing", []string{"--pieces", ""}},
		{`--pieces: "0": give a whole number from 1 to 1000`, []string{"--pieces", "0"}},
		{`--pieces: "-3"`, []string{"--pieces", "-3"}},
		{`--pieces: "NaN"`, []string{"--pieces", "NaN"}},
		{`--pieces: "1e9"`, []string{"--pieces", "1e9"}},
		{`--pieces: "1000000000"`, []string{"--pieces", "1000000000"}},
		{`--pieces: "1.5"`, []string{"--pieces", "1.5"}},
		{"--grams-per-piece is missing", []string{"--grams-per-piece", ""}},
		{`--grams-per-piece: amount "0": must be above 0`, []string{"--grams-per-piece", "0"}},
		{"a negative number cannot be", []string{"--grams-per-piece", "-8"}},
		{"is not a plain number", []string{"--grams-per-piece", "NaN"}},
		{"is not a plain number", []string{"--grams-per-piece", "1e9"}},
		{`no digit follows the ","`, []string{"--grams-per-piece", "8,g"}},
		{"product and mix are weighed", []string{"--grams-per-piece", "8 ml"}},
		{"more than the 5000 g that are taken", []string{"--grams-per-piece", "4000"}},
		{"--minutes-per-piece is missing", []string{"--minutes-per-piece", ""}},
		{`--minutes-per-piece: time "0": must be above 0`, []string{"--minutes-per-piece", "0"}},
		{"a negative number cannot be", []string{"--minutes-per-piece", "-1"}},
		{"is not a plain number", []string{"--minutes-per-piece", "NaN"}},
		{"is not a plain number", []string{"--minutes-per-piece", "1e9"}},
		{"at most a day", []string{"--minutes-per-piece", "61"}},
		{"--life is missing", []string{"--life", ""}},
		{"--life: time", []string{"--life", "0"}},
		{"--life: time", []string{"--life", "-45m"}},
		{"is not a plain number", []string{"--life", "NaN"}},
		{`no digit follows the ","`, []string{"--life", "45,m"}},
		{"a piece takes 1.5 min and a bowl of product works for 1 min: make smaller pieces", []string{"--life", "1m"}},
		{"has no colon", []string{"--ratio", "2"}},
		{"--ratio is missing: give product to developer", []string{"--ratio", ""}},
		{"--ratio is missing: the catalogue has [1:1 1:1.5 1:2] for Chalk, choose one", []string{"--ratio", "", "--product", "Chalk"}},
		{"give each side a number above 0", []string{"--ratio", "1:0"}},
		{"stronger than 60 vol (18 %)", []string{"--strength", "150 vol"}},
		{"stronger than 60 vol (18 %)", []string{"--strength", "150 volumes"}},
		{"0 is water", []string{"--strength", "0"}},
		{"is not a plain number", []string{"--strength", "NaN"}},
		{"may be two strengths", []string{"--strength", "30,20"}},
		{"--strength and --blend are both given", []string{"--blend", "30:1,20:1"}},
		{"the developer is missing: give --strength", []string{"--strength", ""}},
		{"--strength none means without developer", []string{"--strength", "none"}},
		{"--blend: blend", []string{"--strength", "", "--blend", "30"}},
		{"the largest bowl holds 5 g", []string{"--largest", "5"}},
		{"give it from 0 to 100 %", []string{"--extra", "NaN"}},
		{`--unit "lb": give g or oz`, []string{"--unit", "lb"}},
	} {
		r := s.run(asked(test.changes...)...)
		assert.Equal(t, 1, r.code, test.changes)
		assert.Empty(t, r.out, test.changes)
		assert.Contains(t, r.err, test.says, test.changes)
		assert.Equal(t, 1, strings.Count(r.err, "\n"), "one sentence: %s", r.err)
	}
}

func TestMixNamesTheLawOfTheRegion(t *testing.T) {
	t.Setenv("RINSEBY_REGION", "us")
	s := newSalon(t)
	assert.Contains(t, s.must(asked("--strength", "18 %", "--ratio", "1:2")...), "12 % is the most (house rule, as EU law)")
	r := s.run(asked("--strength", "18 %", "--ratio", "1:2.01")...)
	assert.Equal(t, exitOverCap, r.code)
	assert.Contains(t, r.err, "12 % is the most (house rule, as EU law) ready for use")
}

func TestMixOverTheCap(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	assert.Contains(t, s.must(asked("--strength", "18 %", "--ratio", "1:2")...), "12 % when ready", "at the cap, not over it")
	for _, format := range []string{"false", "true"} {
		r := s.run(asked("--strength", "18 %", "--ratio", "1:2.01", "--json", format)...)
		assert.Equal(t, exitOverCap, r.code)
		assert.Empty(t, r.out)
		assert.Contains(t, r.err, "over the legal cap on peroxide: the mix holds 12.02 %, and 12 % is the most (EU and UK law) ready for use: take a weaker developer or dilute it")
	}
}

func TestMixOutsideTheRatiosIsSaid(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	const said = "  CAREFUL: 1:3 is outside what the catalogue has for Chalk (1:1 to 1:2): see its instructions\n"
	assert.Contains(t, s.must(asked("--product", "chalk", "--ratio", "1:3")...), said)
	assert.NotContains(t, s.must(asked("--product", "chalk", "--ratio", "1:1.25")...), "CAREFUL")
	assert.NotContains(t, s.must(asked("--ratio", "1:3")...), "CAREFUL", "a product that nobody knows")
	var p struct {
		Range string `json:"ratio_range"`
	}
	require.NoError(t, json.Unmarshal([]byte(s.must(append(asked("--product", "Chalk", "--ratio", "2:1"), "--json")...)), &p))
	assert.Equal(t, "1:1 to 1:2", p.Range)
}
