package lift_test

import (
	"fmt"

	"rinseby/timing/lift"
)

// Hair of depth 6 under powder lightener with 9 % (30 vol) is to come to 9
// within 45 minutes, and was looked at twice.
func ExampleCurve_Judge() {
	prior, err := lift.For(lift.Powder, 9)
	if err != nil {
		panic(err)
	}
	curve, err := lift.New(prior, lift.Start{Depth: 6, SD: lift.Eye}, []lift.Check{{Minute: 8, Depth: 7.5}, {Minute: 16, Depth: 8.5}})
	if err != nil {
		panic(err)
	}
	outlook, err := curve.Judge(9, 45)
	if err != nil {
		panic(err)
	}
	depth, sd := curve.DepthAt(16)
	fmt.Printf("depth now %.1f ± %.1f\n", depth, sd)
	fmt.Printf("%v: %.0f minutes (%.0f to %.0f), chance by the limit %.2f\n",
		outlook.Verdict, outlook.Median, outlook.Low, outlook.High, outlook.Chance)
	fmt.Println(outlook.Verdict.Advice())
	// Output:
	// depth now 8.5 ± 0.4
	// will make it: 23 minutes (16 to +Inf), chance by the limit 0.83
	// check again near the time, and stop at the limit
}
