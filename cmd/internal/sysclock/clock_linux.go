package sysclock

import (
	"os"
	"strings"
	"time"

	"golang.org/x/sys/unix"
)

// bootIDFile holds a random UUID that the kernel makes once per boot; see
// proc_sys_kernel(5).
const bootIDFile = "/proc/sys/kernel/random/boot_id"

// bootID returns the kernel's name of this boot, or "" where /proc does not
// show it.
func bootID() string { return readBootID(bootIDFile) }

func readBootID(path string) string {
	text, err := os.ReadFile(path)
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(text))
}

// sinceBoot returns the time since boot. CLOCK_BOOTTIME counts the time that
// the machine is suspended; see clock_gettime(2).
func sinceBoot() (time.Duration, bool) {
	var ts unix.Timespec
	if err := unix.ClockGettime(unix.CLOCK_BOOTTIME, &ts); err != nil {
		return 0, false
	}
	return time.Duration(ts.Nano()), true
}
