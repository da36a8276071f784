//go:build !linux && !darwin && !windows

package sysclock

import "time"

// bootID returns "": whether the monotonic clock counts sleep differs between
// these systems, and one that does not would show exposures too short.
func bootID() string { return "" }

func sinceBoot() (time.Duration, bool) { return 0, false }
