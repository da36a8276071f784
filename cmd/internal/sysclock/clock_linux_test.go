package sysclock

import (
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestBootIDIsTheKernels(t *testing.T) {
	if _, err := os.Stat(bootIDFile); err != nil {
		t.Skip("no /proc here")
	}
	assert.Regexp(t, regexp.MustCompile(`^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$`), bootID())
}

func TestReadBootID(t *testing.T) {
	file := filepath.Join(t.TempDir(), "boot_id")
	assert.Empty(t, readBootID(file), "a missing file means that the boot is unknown")

	require.NoError(t, os.WriteFile(file, []byte("one-boot\n"), 0o600))
	assert.Equal(t, "one-boot", readBootID(file))
}

// /proc/uptime is in hundredths of a second and counts sleep: see
// proc_uptime(5). It must lie between two looks at the clock.
func TestSinceBootAgreesWithUptime(t *testing.T) {
	before, ok := sinceBoot()
	require.True(t, ok)
	text, err := os.ReadFile("/proc/uptime")
	if err != nil {
		t.Skip("no /proc here")
	}
	after, _ := sinceBoot()

	first, _, _ := strings.Cut(string(text), " ")
	seconds, err := strconv.ParseFloat(first, 64)
	require.NoError(t, err)
	uptime := time.Duration(seconds * float64(time.Second))
	const digit = 10 * time.Millisecond
	assert.GreaterOrEqual(t, uptime, before-digit)
	assert.LessOrEqual(t, uptime, after+digit)
}
