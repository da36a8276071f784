package formula_test

import (
	"fmt"
	"time"

	"rinseby/session/formula"
	"rinseby/timing"
)

func Example() {
	strong, _ := formula.ParseStrength("40 vol")
	mix := formula.Mix{
		Products:   []formula.ProductPart{{Product: "Chalk", Grams: 40}},
		Developers: []formula.DeveloperPart{{Strength: strong, Grams: 30}},
		WaterGrams: 30,
	}
	fmt.Println(formula.Label(mix.Developer()), "in the bowl,", mix.Ready(), "when ready,", mix.Ratio())

	rows := []formula.Row{{
		Kind: formula.PowderLightener, Strength: formula.FromVolumes(30),
		Contact: formula.OffScalp, Condition: formula.Natural, Heat: formula.NoHeat,
		Window: timing.Window{Opens: 10 * time.Minute, Limit: 45 * time.Minute},
		Origin: formula.HouseRule,
	}}
	hair := formula.Hair{Contact: formula.OffScalp, Condition: formula.Natural}
	row, ok := formula.Match(rows, formula.Query{
		Product: "Chalk", Kind: formula.PowderLightener, Strength: mix.Developer(), Hair: hair,
	})
	fmt.Println(ok, row.Window.Limit)
	hair.Heat = true
	_, ok = formula.Match(rows, formula.Query{
		Product: "Chalk", Kind: formula.PowderLightener, Strength: mix.Developer(), Hair: hair,
	})
	fmt.Println(ok)
	// Output:
	// 20 vol in the bowl, 3.6 % when ready, 1:1.5
	// true 45m0s
	// false
}

func ExampleOrder_Schedule() {
	schedule, err := formula.Order{
		Needs: []formula.Need{{Product: "Chalk", Strength: 9, Duration: time.Hour, Pieces: 20, Grams: 160}},
		Supplies: []formula.Supply{{
			Product: "Chalk", Ratio: formula.Ratio{Product: 1, Developer: 1}, Life: 45 * time.Minute,
		}},
	}.Schedule()
	fmt.Println(err)
	for _, b := range schedule.Bowls {
		fmt.Printf("at %v: %v g for %d pieces, stale at %v\n", b.MixAt, b.Grams, b.Pieces, b.StaleAt)
	}
	// Output:
	// <nil>
	// at 0s: 120 g for 15 pieces, stale at 45m0s
	// at 45m0s: 40 g for 5 pieces, stale at 1h30m0s
}
