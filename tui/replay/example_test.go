package replay_test

import (
	"fmt"
	"time"

	"rinseby/tui/replay"
)

// A service of three hours is played for ten seconds of real time.
func ExampleTransport() {
	run := replay.NewTransport(nine, nine.Add(3*time.Hour), after(0))
	run.Toggle()
	run.Turn(after(10 * time.Second))
	fmt.Println(run.Speed(), run.Moment().Format("15:04"))
	// Output: 60 09:10
}
