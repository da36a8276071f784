package timing_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/timing"
)

func window(opens, limit int) timing.Window {
	return timing.Window{Opens: time.Duration(opens) * time.Minute, Limit: time.Duration(limit) * time.Minute}
}

func minute(m int) time.Time { return nine.Add(time.Duration(m) * time.Minute) }

func TestTightestWindow(t *testing.T) {
	for _, c := range []struct {
		name       string
		a, b, want timing.Window
	}{
		{"the earlier limit and the later opening", window(20, 45), window(15, 35), window(20, 35)},
		{"one lies within the other", window(5, 50), window(10, 20), window(10, 20)},
		{"the opening no later than the limit", window(30, 45), window(5, 20), window(20, 20)},
		{"alike", window(10, 30), window(10, 30), window(10, 30)},
		{"one unknown", timing.Window{}, window(10, 30), window(10, 30)},
		{"one that opens after its limit is unknown", window(40, 30), window(10, 60), window(10, 60)},
		{"both unknown", timing.Window{}, timing.Window{}, timing.Window{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, c.a.Tightest(c.b))
			assert.Equal(t, c.want, c.b.Tightest(c.a), "the order does not matter")
		})
	}
	for _, w := range []timing.Window{{}, window(5, 0), window(-1, 5), window(6, 5), window(0, -5)} {
		assert.False(t, w.Known(), "%v", w)
	}
	for _, w := range []timing.Window{window(0, 1), window(5, 5)} {
		assert.True(t, w.Known(), "%v", w)
	}
}

// The coat is on from minute 0 (oldest piece) and 10 (newest), opens 20 minutes
// after the newest, and must be off by minute 45. It closes in the last 10.
func TestPhasesAtTheirBoundaries(t *testing.T) {
	on := timing.Coat{First: minute(0), Last: minute(10), Complete: true, Window: window(20, 45)}
	with := func(change func(*timing.Coat)) timing.Coat { c := on; change(&c); return c }
	const breath = time.Nanosecond
	for _, c := range []struct {
		name string
		coat timing.Coat
		now  time.Time
		want timing.Phase
	}{
		{"nothing on", timing.Coat{Window: window(20, 45)}, minute(0), timing.Waiting},
		{"a breath before first contact", on, minute(0).Add(-breath), timing.Waiting},
		{"first contact", on, minute(0), timing.Working},
		{"more to come", with(func(c *timing.Coat) { c.Complete = false }), minute(34), timing.Applying},
		{"a breath before it opens", on, minute(30).Add(-breath), timing.Working},
		{"opens", on, minute(30), timing.Open},
		{"ten minutes left", on, minute(35), timing.Open},
		{"a breath less than ten minutes left", on, minute(35).Add(breath), timing.Closing},
		{"more to come, but the limit is near", with(func(c *timing.Coat) { c.Complete = false }), minute(36), timing.Closing},
		{"at the limit", on, minute(45), timing.Closing},
		{"a breath past the limit", on, minute(45).Add(breath), timing.Over},
		{"carried minutes bring the limit nearer", with(func(c *timing.Coat) { c.Carried = 10 * time.Minute }), minute(36), timing.Over},
		{"never open without a window", with(func(c *timing.Coat) { c.Window = timing.Window{} }), minute(600), timing.Working},
		{"a breath before it was rinsed", with(func(c *timing.Coat) { c.Off = minute(50) }), minute(50).Add(-breath), timing.Over},
		{"rinsed", with(func(c *timing.Coat) { c.Off = minute(50) }), minute(50), timing.Rinsed},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, c.coat.Phase(c.now, 10*time.Minute))
		})
	}
}

func TestExposureOfACoat(t *testing.T) {
	c := timing.Coat{
		First: minute(0), Last: minute(10), Fresh: minute(25), Carried: 12 * time.Minute,
		Off: minute(40), Window: window(20, 45),
	}
	assert.Equal(t, 42*time.Minute, c.Oldest(minute(30)), "30 minutes on, and 12 before")
	assert.Equal(t, 20*time.Minute, c.Newest(minute(30)), "what was before does not open it")
	assert.Equal(t, 5*time.Minute, c.ProductAge(minute(30)))
	assert.Equal(t, minute(33), c.LimitAt(), "45 less 12 from first contact")
	assert.Equal(t, minute(30), c.OpensAt())
	assert.Equal(t, 7*time.Minute, c.Over(minute(40)))
	assert.Equal(t, 7*time.Minute, c.Over(minute(400)), "it ends with the rinse")
	assert.True(t, c.On(minute(39)))
	assert.False(t, c.On(minute(40)))

	c.Carried = time.Hour
	assert.Equal(t, minute(0), c.LimitAt(), "the limit was used up before")
	assert.Equal(t, 15*time.Minute, c.Over(minute(0)))

	var none timing.Coat
	assert.Zero(t, none.Oldest(minute(5)))
	assert.Zero(t, none.LimitAt())
	assert.Zero(t, none.OpensAt())
	assert.False(t, none.On(minute(5)))
	c.Window = timing.Window{}
	assert.Zero(t, c.LimitAt(), "no window, no limit")
	assert.Zero(t, c.OpensAt())
	assert.Zero(t, c.Over(minute(500)))
}

func TestPhaseIsItsWord(t *testing.T) {
	b, err := json.Marshal([]timing.Phase{timing.Waiting, timing.Closing, timing.Rinsed})
	require.NoError(t, err)
	assert.JSONEq(t, `["waiting","closing","rinsed"]`, string(b))
	assert.Equal(t, "unknown", timing.Phase(-1).String())
	assert.Equal(t, "unknown", timing.Phase(99).String())
}

// drawCoat draws a coat with a known window, first contact at nine o'clock.
func drawCoat(t *rapid.T) timing.Coat {
	span := func(name string, most time.Duration) time.Duration {
		return time.Duration(rapid.Int64Range(0, int64(most)).Draw(t, name))
	}
	c := timing.Coat{First: nine, Last: nine.Add(span("newest", 2*time.Hour)), Complete: rapid.Bool().Draw(t, "complete")}
	c.Fresh = c.Last.Add(span("fresh", time.Hour))
	c.Window.Limit = 1 + span("limit", 3*time.Hour)
	c.Window.Opens = span("opens", c.Window.Limit)
	if rapid.Bool().Draw(t, "carries") {
		c.Carried = span("carried", 4*time.Hour)
	}
	if rapid.Bool().Draw(t, "rinsed") {
		c.Off = c.Fresh.Add(span("off", 3*time.Hour))
	}
	return c
}

func TestExposureHoldsForAnyCoat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCoat(t)
		now := nine.Add(time.Duration(rapid.Int64Range(-int64(time.Hour), int64(9*time.Hour)).Draw(t, "now")))
		later := now.Add(time.Duration(rapid.Int64Range(0, int64(time.Hour)).Draw(t, "later")))
		for _, f := range []func(time.Time) time.Duration{c.Oldest, c.Newest, c.ProductAge, c.Over} {
			require.GreaterOrEqual(t, f(now), time.Duration(0), "never negative")
			require.GreaterOrEqual(t, f(later), f(now), "never less than before")
			if !c.Off.IsZero() && !now.Before(c.Off) {
				require.Equal(t, f(c.Off), f(later), "stands still after the rinse")
			}
		}
		require.GreaterOrEqual(t, c.Oldest(now), c.Carried+c.Newest(now), "the oldest is on for longest")
		require.GreaterOrEqual(t, c.Newest(now), c.ProductAge(now))
		if !now.Before(c.First) && c.Off.IsZero() && c.Carried <= c.Window.Limit {
			require.Equal(t, now.After(c.LimitAt()), c.Over(now) > 0, "over just when past its limit")
		}
		if c.Off.IsZero() && c.Phase(now, time.Minute) == timing.Over {
			require.Equal(t, timing.Over, c.Phase(later, time.Minute), "what is over stays over until it is rinsed")
		}
	})
}
