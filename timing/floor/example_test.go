package floor_test

import (
	"fmt"

	"rinseby/timing/floor"
)

// Two clients of one stylist. While the first one's product works, hands are
// free for the second.
func ExampleSolve() {
	p := &floor.Problem{Chains: []floor.Chain{
		{Name: "Tove A.", Worker: "Ines",
			Tasks: []floor.Task{{Name: "place Nape", Takes: 600}, {Name: "rinse Nape", Takes: 300}},
			Links: []floor.Link{{From: 0, To: 1, Least: 1500, Most: 2400, Chemistry: true, Name: "limit of Nape"}}},
		{Name: "June L.", Worker: "Ines",
			Tasks: []floor.Task{{Name: "place Crown", Takes: 900}}},
	}}
	plan, err := floor.Solve(p, floor.Budget{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(plan.Verdict, plan.Starts)
	// Output: fits [[0 1500] [600]]
}

func ExampleFit() {
	p := &floor.Problem{Chains: []floor.Chain{
		{Name: "Mr. Okpara", Worker: "Ines",
			Tasks: []floor.Task{{Name: "place", Takes: 600, Begun: true}, {Name: "rinse", Takes: 300}},
			Links: []floor.Link{{From: 0, To: 1, Least: 1500, Most: 1800, Chemistry: true, Name: "limit"}}},
	}}
	fmt.Println(floor.Fit(p, "Ines", 1500, 0, 3600, floor.Budget{}))
	// Output: 1800 fits <nil>
}
