package dbm_test

import (
	"fmt"

	"rinseby/timing/dbm"
)

// A coat is on by minute 8 at the latest, needs 20 minutes, and must be off by
// minute 35: between what bounds does its rinse lie?
func ExampleMatrix() {
	const start, on, off = 0, 1, 2
	m := dbm.New(3)
	fmt.Println(m.Tighten(on, start, 8), m.Tighten(start, on, 0), m.Tighten(on, off, -20), m.Tighten(off, start, 35))
	fmt.Println("off from", m.Least(off, start), "to", m.Most(off, start))
	fmt.Println("off by 19 is possible:", m.Tighten(off, start, 19))
	// Output:
	// true true true true
	// off from 20 to 35
	// off by 19 is possible: false
}

func ExampleSystem() {
	var s dbm.System
	apply, rinse := s.Var(), s.Var() // ends of both
	s.AtLeast(apply, 0, 8)
	s.AtLeast(rinse, apply, 20)
	s.AtMost(rinse, 0, 35)
	fmt.Println(s.Earliest())
	// Output: [0 8 28] true
}
