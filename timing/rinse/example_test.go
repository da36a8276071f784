package rinse_test

import (
	"fmt"

	"rinseby/timing/rinse"
)

// Three zones of eight minutes each. The third would not be open before the
// first must be off, so there are two trips.
func ExampleSolve() {
	p := &rinse.Problem{Walk: 60, Reseat: 120, IdleCap: 300}
	for _, name := range []string{"nape", "back", "crown"} {
		p.Zones = append(p.Zones, rinse.Zone{
			Name: name, Pieces: 4, Apply: 8 * 60, Rinse: 2 * 60,
			Allowed: []rinse.Strength{{Opens: 15 * 60, Limit: 26 * 60}},
		})
	}
	plan, err := rinse.Solve(p, rinse.Budget{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, a := range plan.Actions {
		fmt.Printf("%2d to %2d %v", a.Start/60, a.End/60, a.Kind)
		for _, z := range a.Zones {
			fmt.Print(" ", p.Zones[z].Name)
		}
		fmt.Println()
	}
	fmt.Println("proved:", plan.Proved, "trips:", plan.Trips)
	// Output:
	// 0 to  8 apply nape
	//  8 to 16 apply back
	// 16 to 21 wait
	// 21 to 22 walk nape back
	// 22 to 24 rinse nape
	// 24 to 29 wait
	// 29 to 31 rinse back
	// 31 to 33 reseat
	// 33 to 41 apply crown
	// 41 to 53 wait
	// 53 to 54 walk crown
	// 54 to 56 rinse crown
	// proved: true trips: 2
}

// One pair of hands can't have three such zones off in one trip; a fifth faster they
// can, and so can two visits.
func ExampleAdvise() {
	p := &rinse.Problem{Walk: 60, Reseat: 120, IdleCap: 300}
	for range 3 {
		p.Zones = append(p.Zones, rinse.Zone{Apply: 10 * 60, Rinse: 60, Allowed: []rinse.Strength{{Opens: 10 * 60, Limit: 30 * 60}}})
	}
	a, err := rinse.Advise(p, rinse.InOneGo, rinse.Budget{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("fits: %v; at %d %% of the pace; or in two visits, %d zones first\n", a.Fits, a.Faster, a.Split)
	// Output: fits: false; at 120 % of the pace; or in two visits, 2 zones first
}
