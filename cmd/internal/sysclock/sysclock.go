package sysclock

import (
	"time"

	"rinseby/timing"
)

// A Clock reads the clocks of this machine. It is safe for concurrent use.
type Clock struct {
	bootID string
}

var _ timing.Clock = (*Clock)(nil)

// New returns the clock of this machine. It looks up the name of the boot
// once: a process does not outlive its boot.
func New() *Clock { return &Clock{bootID: bootID()} }

// Read returns what the clocks show now. Wall is in UTC, to the resolution of
// the system, and carries none of Go's own monotonic reading, so that two of
// them differ by what the wall clock showed. Boot and BootID are both set, or
// both zero when the system does not tell them.
func (c *Clock) Read() timing.Reading {
	r := timing.Reading{Wall: time.Now().UTC()}
	if c.bootID == "" {
		return r
	}
	if boot, ok := sinceBoot(); ok {
		r.Boot, r.BootID = boot, c.bootID
	}
	return r
}
