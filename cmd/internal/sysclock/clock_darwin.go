package sysclock

import (
	"time"

	"golang.org/x/sys/unix"
)

// bootID returns the UUID that the kernel makes once per boot, or "" if it
// does not tell.
func bootID() string {
	id, err := unix.Sysctl("kern.bootsessionuuid")
	if err != nil {
		return ""
	}
	return id
}

// sinceBoot returns the time since boot. CLOCK_MONOTONIC_RAW goes on while the
// machine sleeps, as CLOCK_MONOTONIC does on macOS, and is not slewed by the
// time server; see clock_gettime(3) of macOS.
func sinceBoot() (time.Duration, bool) {
	var ts unix.Timespec
	if err := unix.ClockGettime(unix.CLOCK_MONOTONIC_RAW, &ts); err != nil {
		return 0, false
	}
	return time.Duration(ts.Nano()), true
}
