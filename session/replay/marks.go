package replay

import "time"

// A Mark is a moment that someone wants to come back to, and why. Marks are
// kept beside the log, never in it.
type Mark struct {
	At   time.Time // on the time line
	Text string
}
