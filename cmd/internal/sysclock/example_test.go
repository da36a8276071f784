package sysclock_test

import (
	"fmt"
	"time"

	"rinseby/cmd/internal/sysclock"
	"rinseby/timing"
)

func Example() {
	var clock timing.Clock = sysclock.New()
	first, second := clock.Read(), clock.Read()
	fmt.Println(first.Wall.Location() == time.UTC)
	fmt.Println(second.Boot >= first.Boot)
	// Output:
	// true
	// true
}
