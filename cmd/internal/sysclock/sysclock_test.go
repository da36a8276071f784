package sysclock

import (
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/timing"
)

func TestReadWall(t *testing.T) {
	before := time.Now().Round(0)
	r := New().Read()
	after := time.Now().Round(0)

	assert.Equal(t, time.UTC, r.Wall.Location())
	assert.NotContains(t, r.Wall.String(), "m=", "the wall time must not carry a monotonic reading")
	assert.False(t, r.Wall.Before(before), "%v is before %v", r.Wall, before)
	assert.False(t, r.Wall.After(after), "%v is after %v", r.Wall, after)
}

func TestReadBoot(t *testing.T) {
	a, b := New(), New()
	r := a.Read()
	if r.BootID == "" {
		assert.Zero(t, r.Boot)
		t.Skip("this system does not tell its boot")
	}
	assert.Positive(t, r.Boot)
	assert.Equal(t, strings.TrimSpace(r.BootID), r.BootID)

	last := r.Boot
	for range 1000 {
		next := a.Read()
		require.GreaterOrEqual(t, next.Boot, last, "the time since boot ran backwards")
		require.True(t, next.SameBoot(r))
		last = next.Boot
	}
	if runtime.GOOS != "windows" {
		other := b.Read()
		assert.True(t, other.SameBoot(r), "two clocks of one boot must agree on its name")
		assert.GreaterOrEqual(t, other.Boot, last)
	}
}

func TestUnknownBootIsWallOnly(t *testing.T) {
	r := (&Clock{}).Read()
	assert.False(t, r.Wall.IsZero())
	assert.Empty(t, r.BootID)
	assert.Zero(t, r.Boot)
	assert.False(t, r.SameBoot(r))
}

func TestTimelineSeesNoGapBetweenTwoReadings(t *testing.T) {
	var (
		clock = New()
		line  timing.Timeline
	)
	_, gap := line.Advance(clock.Read())
	require.Nil(t, gap)
	_, gap = line.Advance(New().Read())
	if runtime.GOOS == "windows" {
		require.NotNil(t, gap)
		assert.True(t, gap.Restart)
		return
	}
	assert.Nil(t, gap)
}
