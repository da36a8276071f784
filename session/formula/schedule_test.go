package formula

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

const minute = time.Minute

func chalk(start, lasts time.Duration, pieces int, grams float64) Need {
	return Need{Product: "Chalk", Strength: 9, Start: start, Duration: lasts, Pieces: pieces, Grams: grams}
}

func chalkSupply(life time.Duration) []Supply {
	return []Supply{{Product: "Chalk", Ratio: Ratio{1, 2}, Life: life, PricePer100g: 5}}
}

func TestScheduleByHand(t *testing.T) {
	// Ten pieces of 6 min and 9 g; a pause of half an hour; four more. A bowl
	// of 45 min serves seven.
	o := Order{
		Needs:    []Need{chalk(0, 60*minute, 10, 90), chalk(90*minute, 24*minute, 4, 36)},
		Supplies: chalkSupply(45 * minute), Extra: 0.1,
	}
	s, err := o.Schedule()
	require.NoError(t, err)
	require.Len(t, s.Bowls, 3)
	for i, want := range []struct {
		mix, until time.Duration
		grams      float64
		covers     []Cover
	}{
		{0, 42 * minute, 63, []Cover{{0, 7}}},
		{42 * minute, 60 * minute, 27, []Cover{{0, 3}}},
		{90 * minute, 114 * minute, 36, []Cover{{1, 4}}},
	} {
		b := s.Bowls[i]
		assert.Equal(t, want.mix, b.MixAt)
		assert.Equal(t, want.until, b.Until)
		assert.Equal(t, want.mix+45*minute, b.StaleAt)
		assert.Equal(t, want.covers, b.Covers)
		assert.InDelta(t, want.grams*1.1, b.Grams, 1e-9)
		assert.InDelta(t, want.grams*0.1, b.Spare, 1e-9)
		assert.InDelta(t, want.grams*1.1/3, b.ProductGrams, 1e-9)
		assert.InDelta(t, want.grams*2.2/3, b.DeveloperGrams, 1e-9)
	}
	assert.InDelta(t, 126, s.Used, 1e-9)
	assert.InDelta(t, 12.6, s.Spare, 1e-9)
	assert.InDelta(t, 138.6/3/100*5, s.Cost, 1e-9)
}

func TestScheduleUsesOpenBowls(t *testing.T) {
	o := Order{
		Needs:    []Need{chalk(0, 20*minute, 10, 80)},
		Supplies: chalkSupply(45 * minute),
		Open: []OpenBowl{
			{ID: "b2", Product: "Chalk", Strength: 9, Age: 5 * minute, Grams: 20},
			{ID: "b1", Product: "chalk", Strength: 9.11, Age: 40 * minute, Grams: 50}, // good for two pieces
			{ID: "b3", Product: "Chalk", Strength: 6, Age: minute, Grams: 10},         // nothing needs it
		},
	}
	s, err := o.Schedule()
	require.NoError(t, err)
	require.Len(t, s.Bowls, 4)
	assert.Equal(t, []string{"b1", "b2", "b3", ""}, []string{s.Bowls[0].ID, s.Bowls[1].ID, s.Bowls[2].ID, s.Bowls[3].ID})
	assert.Equal(t, 2, s.Bowls[0].Pieces)
	assert.InDelta(t, 34, s.Bowls[0].Spare, 1e-9)
	assert.Equal(t, 2, s.Bowls[1].Pieces)
	assert.InDelta(t, 4, s.Bowls[1].Spare, 1e-9)
	assert.Zero(t, s.Bowls[2].Pieces)
	assert.Equal(t, 8*minute, s.Bowls[3].MixAt)
	assert.Equal(t, 6, s.Bowls[3].Pieces)
	assert.InDelta(t, 48/3.0/100*5, s.Cost, 1e-9, "open bowls are paid for")
	assert.InDelta(t, 80, s.Used, 1e-9)
}

func TestScheduleLargest(t *testing.T) {
	s, err := Order{Needs: []Need{chalk(0, 20*minute, 10, 80)}, Supplies: chalkSupply(0), Largest: 40}.Schedule()
	require.NoError(t, err)
	require.Len(t, s.Bowls, 2)
	assert.Equal(t, 5, s.Bowls[0].Pieces)
	assert.Zero(t, s.Bowls[0].Life, "not known, so that only the grams cut")
}

func TestScheduleLeast(t *testing.T) {
	s, err := Order{Needs: []Need{chalk(0, 4*minute, 2, 3)}, Supplies: chalkSupply(0), Least: 15}.Schedule()
	require.NoError(t, err)
	require.Len(t, s.Bowls, 1)
	assert.Equal(t, 15.0, s.Bowls[0].Grams)
	assert.InDelta(t, 5, s.Bowls[0].ProductGrams, 1e-9, "1:2")
	assert.InDelta(t, 12, s.Spare, 1e-9)
}

func TestScheduleRefuses(t *testing.T) {
	ok := chalk(0, 20*minute, 10, 80)
	with := func(change func(*Need)) []Need {
		n := ok
		change(&n)
		return []Need{n}
	}
	for _, c := range []struct {
		o   Order
		say string
	}{
		{Order{Needs: []Need{ok}, Supplies: chalkSupply(time.Minute)}, "a piece takes 2 min and a bowl of Chalk works for 1 min: make smaller pieces, work with a helper"},
		{Order{Needs: []Need{ok}, Supplies: chalkSupply(0), Largest: 7}, "a piece takes 8 g of Chalk with what is extra, and the largest bowl holds 7 g"},
		{Order{Needs: []Need{ok}, Supplies: chalkSupply(0), Largest: 8, Extra: 0.1}, "a piece takes 8.8 g"},
		{Order{Needs: []Need{ok}}, "not known how to mix it"},
		{Order{Needs: []Need{ok}, Supplies: chalkSupply(-1)}, "working life of -1ns"},
		{Order{Needs: []Need{ok}, Supplies: []Supply{{Product: "Chalk", Ratio: Ratio{1, -2}}}}, "ratio"},
		{Order{Needs: []Need{ok}, Supplies: []Supply{{Product: "Chalk", PricePer100g: math.NaN()}}}, "price NaN"},
		{Order{Needs: []Need{ok}, Supplies: chalkSupply(0), Largest: math.NaN()}, "largest bowl"},
		{Order{Needs: []Need{ok}, Supplies: chalkSupply(0), Least: math.NaN()}, "smallest bowl"},
		{Order{Needs: []Need{ok}, Supplies: chalkSupply(0), Largest: 40, Least: 41}, "smallest bowl, 41 g"},
		{Order{Needs: []Need{ok}, Supplies: chalkSupply(0), Extra: -1}, "extra -1"},
		{Order{Needs: with(func(n *Need) { n.Product = " " }), Supplies: chalkSupply(0)}, "without a product"},
		{Order{Needs: with(func(n *Need) { n.Strength = Percent(math.NaN()) }), Supplies: chalkSupply(0)}, "give the developer's"},
		{Order{Needs: with(func(n *Need) { n.Duration = 0 }), Supplies: chalkSupply(0)}, "times must lie within a day"},
		{Order{Needs: with(func(n *Need) { n.Start = -1 }), Supplies: chalkSupply(0)}, "times must lie within a day"},
		{Order{Needs: with(func(n *Need) { n.Pieces = 0 }), Supplies: chalkSupply(0)}, "0 pieces"},
		{Order{Needs: with(func(n *Need) { n.Pieces = 1e9 }), Supplies: chalkSupply(0)}, "1000000000 pieces"},
		{Order{Needs: with(func(n *Need) { n.Grams = 0 }), Supplies: chalkSupply(0)}, "0 g of mix"},
		{Order{Needs: with(func(n *Need) { n.Grams = 1e9 }), Supplies: chalkSupply(0)}, "1e+09 g of mix"},
		{Order{Needs: with(func(n *Need) { n.Grams = math.NaN() }), Supplies: chalkSupply(0)}, "NaN g of mix"},
		{Order{Open: []OpenBowl{{ID: "b1", Product: "Chalk"}}}, "open bowl b1"},
	} {
		_, err := c.o.Schedule()
		require.Error(t, err, c.say)
		assert.Contains(t, err.Error(), c.say)
	}
}

// order draws an order that can be met: every piece is shorter than a life and
// lighter than a bowl.
func order(t *rapid.T, most int, open bool) Order {
	o := Order{
		Supplies: []Supply{
			{Product: "Chalk", Ratio: Ratio{1, 2}, Life: time.Duration(rapid.IntRange(10, 60).Draw(t, "life")) * minute},
			{Product: "Veil", Life: time.Duration(rapid.IntRange(10, 60).Draw(t, "life of Veil")) * minute},
		},
		Extra: rapid.Float64Range(0, 0.5).Draw(t, "extra"),
	}
	if rapid.Bool().Draw(t, "bounded") {
		o.Largest = rapid.Float64Range(30, 120).Draw(t, "largest")
	}
	if rapid.Bool().Draw(t, "bounded below") {
		o.Least = rapid.Float64Range(0, 30).Draw(t, "least")
	}
	at := time.Duration(0)
	for range rapid.IntRange(1, 5).Draw(t, "needs") {
		n := Need{Product: rapid.SampledFrom([]string{"Chalk", "Veil"}).Draw(t, "product"), Strength: 6, Start: at, Pieces: rapid.IntRange(1, most).Draw(t, "pieces")}
		each := time.Duration(rapid.IntRange(20, 600).Draw(t, "seconds")) * time.Second
		n.Duration = each * time.Duration(n.Pieces)
		n.Grams = rapid.Float64Range(0.5, 20).Draw(t, "grams") * float64(n.Pieces)
		at += n.Duration + time.Duration(rapid.IntRange(0, 30).Draw(t, "pause"))*minute
		o.Needs = append(o.Needs, n)
	}
	if open {
		for range rapid.IntRange(0, 3).Draw(t, "open") {
			o.Open = append(o.Open, OpenBowl{ID: "b", Product: "Chalk", Strength: 6,
				Age: time.Duration(rapid.IntRange(0, 70).Draw(t, "age")) * minute, Grams: rapid.Float64Range(0.1, 80).Draw(t, "left")})
		}
	}
	return o
}

func TestScheduleKeepsItsRules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := order(t, 15, true)
		s, err := o.Schedule()
		require.NoError(t, err)
		covered := make([]int, len(o.Needs))
		var needed, grams, spare float64
		for _, n := range o.Needs {
			needed += n.Grams
		}
		last := map[string]PlannedBowl{}
		for i, b := range s.Bowls {
			if i > 0 {
				assert.GreaterOrEqual(t, b.MixAt, s.Bowls[i-1].MixAt, "in order")
			}
			grams, spare = grams+b.Grams, spare+b.Spare
			assert.InDelta(t, b.Grams, b.ProductGrams+b.DeveloperGrams, 1e-6)
			assert.GreaterOrEqual(t, b.Spare, 0.0)
			if b.Pieces > 0 {
				assert.LessOrEqual(t, b.Until, b.StaleAt, "never used past its life")
			}
			pieces, used, begins := 0, 0.0, time.Duration(math.MaxInt64)
			for _, c := range b.Covers {
				n := o.Needs[c.Need]
				assert.Equal(t, n.Product, b.Product)
				begins = min(begins, n.Start+n.Duration*time.Duration(covered[c.Need])/time.Duration(n.Pieces))
				covered[c.Need] += c.Pieces
				pieces += c.Pieces
				used += n.Grams / float64(n.Pieces) * float64(c.Pieces)
			}
			assert.Equal(t, b.Pieces, pieces)
			assert.InDelta(t, used, b.Grams-b.Spare, 1e-4, "what it holds is used or spare")
			if b.ID != "" {
				continue
			}
			assert.Equal(t, begins, b.MixAt, "mixed when its first piece needs it, no sooner")
			assert.True(t, o.Largest == 0 || b.Grams <= o.Largest+1e-4)
			assert.GreaterOrEqual(t, b.Grams, o.Least)
			if before, ok := last[b.Product]; ok {
				assert.GreaterOrEqual(t, b.MixAt, before.Until, "not while another is in hand")
			}
			last[b.Product] = b
		}
		for i, n := range o.Needs {
			assert.Equal(t, n.Pieces, covered[i], "every piece has its bowl")
		}
		assert.InDelta(t, grams, s.Grams, 1e-6)
		assert.InDelta(t, needed+spare, s.Grams, 1e-4, "nothing is lost")
		assert.InDelta(t, needed, s.Used, 1e-4)
	})
}

// fewest tries every way of cutting the pieces of a product into runs.
func fewest(o Order, product string) int {
	ds := o.dabs(keyOf(product, 6))
	best := math.MaxInt
	if len(ds) == 0 {
		return 0
	}
	life := o.supply(product).Life
	for cuts := range 1 << (len(ds) - 1) {
		bowls, from, grams, ok := 1, ds[0].start, 0.0, true
		for i, d := range ds {
			if i > 0 && cuts>>(i-1)&1 == 1 {
				bowls, from, grams = bowls+1, d.start, 0
			}
			grams += d.grams
			ok = ok && d.end-from <= life && (o.Largest == 0 || grams*(1+o.Extra) <= o.Largest+1e-6)
		}
		if ok {
			best = min(best, bowls)
		}
	}
	return best
}

func TestScheduleHasFewestBowls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := order(t, 3, false)
		s, err := o.Schedule()
		require.NoError(t, err)
		got := map[string]int{}
		for _, b := range s.Bowls {
			got[b.Product]++
		}
		for _, product := range []string{"Chalk", "Veil"} {
			want := fewest(o, product)
			assert.Equal(t, want, got[product], product)
		}
	})
}
