package forecast_test

import (
	"fmt"
	"time"

	"rinseby/timing/forecast"
	"rinseby/timing/pace"
)

// Twenty foils are to come, then the rinse, drying and a cut.
func ExampleRun() {
	m, err := pace.New(pace.Default().With("foil", 1.5))
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := forecast.Run(forecast.Input{
		Rounds: [][]forecast.Zone{{{
			Name: "crown", Step: "foil", Units: 20, Opens: 15 * time.Minute, Limit: 50 * time.Minute,
			Develop: pace.Around(30, 0.2), Rinse: forecast.Chore{LogNormal: pace.Around(4, 0.3)},
		}}},
		Walk:  pace.Around(2, 0),
		Steps: []forecast.Step{{Name: "drying", Usual: pace.Around(20, 0.15)}, {Name: "cut", Usual: pace.Around(30, 0.2)}},
	}, m, 400, 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("out in about", r.End.P50.Round(time.Minute))
	fmt.Println("8 of 10 such services:", r.End.P10.Round(time.Minute), "to", r.End.P90.Round(time.Minute))
	// Output:
	// out in about 1h46m0s
	// 8 of 10 such services: 1h34m0s to 2h4m0s
}
