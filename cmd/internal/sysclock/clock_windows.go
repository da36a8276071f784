package sysclock

import (
	"crypto/rand"
	"time"

	"golang.org/x/sys/windows"
)

// bootID returns a name that this process alone has: Windows has no documented
// name for a boot, and one worked out from the wall clock would change
// whenever that is put right.
func bootID() string { return "process-" + rand.Text() }

// sinceBoot returns the time since boot, in steps of 10 to 16 ms.
// GetTickCount64 counts sleep and hibernation.
func sinceBoot() (time.Duration, bool) { return windows.DurationSinceBoot(), true }
