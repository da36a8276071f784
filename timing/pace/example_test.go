package pace_test

import (
	"fmt"
	"time"

	"rinseby/timing/pace"
)

// A stylist says that a foil takes two minutes. Today they take three.
func Example() {
	m, err := pace.New(pace.Default().With("foil", 2))
	if err != nil {
		fmt.Println(err)
		return
	}
	for range 20 {
		if err := m.Observe(pace.Observation{Step: "foil", Zone: "nape", Units: 1, Took: 3 * time.Minute}); err != nil {
			fmt.Println(err)
			return
		}
	}
	ten, err := m.Predict("foil", "crown", 10, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("ten more: about %.0f minutes, in 8 of 10 cases %.0f to %.0f\n", ten.Median(), ten.Quantile(0.1), ten.Quantile(0.9))
	// Output: ten more: about 31 minutes, in 8 of 10 cases 24 to 40
}
