package session_test

import (
	"fmt"
	"regexp"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
)

// foretold is the forecast as the chair has it, which knows the log.
func (c *chair) foretold(u session.Usuals) *session.Forecast {
	c.t.Helper()
	q, ok := c.log.AskForecast(moment(c.state(), c), u)
	require.True(c.t, ok, q.Why)
	f, err := q.Answer()
	require.NoError(c.t, err)
	return f
}

// The service is out after 79 minutes: 20 of placing, 30 of developing, 4 of
// rinsing, 20 of drying and 5 for the rest. Minutes in which nothing is done come
// on top of that.
func TestLateIsToldWhenItLasts(t *testing.T) {
	start := func(promised float64) *chair {
		c := roomy(t)
		c.do(promise(promised, ""))
		return c
	}
	told := func(c *chair, m float64) string { return c.at(m).foretold(certain()).SayPromise(wall) }

	c := start(74) // always 5 minutes late: 5 are within what a range moves
	for m := range 4 {
		c.at(2 * float64(m+1)).do(place("z1", 1))
	}
	assert.Equal(t, "may be late: 9 in 10", told(c, 8))
	assert.Equal(t, "may be late: 9 in 10", told(c, 9))

	c = start(84) // on time until nothing is done for 15 minutes
	assert.Contains(t, told(c, 1), "on time")
	assert.Equal(t, "may be late: 9 in 10", told(c, 17), "late by more than 10 minutes, but not 5 minutes ago")
	assert.Regexp(t, `^probably 1\d min late: tell the front desk$`, told(c, 21), "as it was 5 minutes ago")

	c = start(84)
	c.at(16).do(session.NoteAdded{Text: "the phone"})
	assert.Equal(t, "may be late: 9 in 10", told(c, 16), "one entry at which it is late")
	c.do(session.NoteAdded{Text: "again"})
	assert.Equal(t, "may be late: 9 in 10", told(c, 16))
	c.do(session.NoteAdded{Text: "and again"})
	assert.Regexp(t, `^probably 1\d min late: tell the front desk$`, told(c, 16), "three of them")

	c.do(promise(120, ""))
	assert.Contains(t, told(c, 16), "on time", "it is held against what is promised now")
	c.undo()
	assert.Regexp(t, `^probably 1\d min late: tell the front desk$`, told(c, 16), "and was late all the time against the other")

	assert.False(t, c.forecast(certain()).LateLikely(), "a state alone does not know for how long")
}

// A zone that would be over its limit is told as that, with what keeps it.
func TestAForecastPastALimitIsToldAsThat(t *testing.T) {
	at := func(m int) time.Time { return time.Date(2026, 3, 2, 0, m, 10, 0, time.UTC) }
	off := session.Moments{P10: at(20), P50: at(34), P90: at(49)}
	z := session.ZoneForecast{Name: "Crown", Off: off, OnOff: off, LimitAt: at(24), GoBy: at(16)}
	assert.Equal(t, "Crown would be off about 00:34, 10 min past its limit 00:24: go to the basin by 00:16 to keep it", z.SayZone(wall))
	z.Applied = session.Moments{P50: at(18)}
	assert.Equal(t, "Crown: applied about 00:18, would be off about 00:34, 10 min past its limit 00:24: go to the basin by 00:16 to keep it", z.SayZone(wall))
	z.Applied, z.GoBy = session.Moments{}, time.Time{}
	assert.Equal(t, "Crown would be off about 00:34, 10 min past its limit 00:24: rinse it now", z.SayZone(wall))
	z.LimitAt, z.GoBy = at(40), at(32)
	assert.Equal(t, "Crown: off about 00:34 (80 %: 00:20–00:49, which ends past its limit 00:40): go to the basin by 00:32 to keep it", z.SayZone(wall))
	z.LimitAt, z.GoBy, z.Past = at(12), time.Time{}, true
	assert.Equal(t, "Crown: OVER its limit 00:12: rinse it now", z.SayZone(wall))
	z.LimitAt, z.Past = at(49), false
	assert.Equal(t, "Crown: off about 00:34 (80 %: 00:20–00:49)", z.SayZone(wall))
}

// Whatever is on: a forecast that ends past its limit names the limit and, until
// that time has come, a time to go that leaves the way, the rinse, and those of
// all that must be off before it.
func TestTheTimeToGoKeepsTheLimit(t *testing.T) {
	c := lightening(t) // 45 minutes for the roots, 35 for the ends
	c.at(0).do(place("z1", 4))
	c.at(3).do(place("z2", 2))
	for m := 3; m < 60; m += 4 {
		f := c.at(float64(m)).foretold(session.Usuals{})
		require.Len(t, f.Zones, 2)
		for i, limit := range []float64{35, 38} {
			z := f.Zones[i]
			assert.Equal(t, c.minute(limit), z.LimitAt)
			assert.Equal(t, float64(m) > limit, z.Past)
			// two minutes to spare, two of walking, four for each that is due by then
			if by := c.minute(limit - 2 - 2 - 4*float64(i+1)); by.After(c.now) {
				assert.Equal(t, by, z.GoBy)
			} else {
				assert.Zero(t, z.GoBy)
			}
			said := z.SayZone(wall)
			switch {
			case z.Past:
				assert.Equal(t, fmt.Sprintf("%s: OVER its limit %s: rinse it now", z.Name, wall(z.LimitAt)), withoutApplied(said))
			case z.OnOff.P90.After(z.LimitAt):
				assert.Contains(t, said, "past its limit "+wall(z.LimitAt))
			default:
				assert.NotContains(t, said, "limit")
			}
		}
	}
}

// withoutApplied is what is said of a zone without when all of it is in.
func withoutApplied(said string) string { return appliedPattern.ReplaceAllString(said, "") }

var appliedPattern = regexp.MustCompile(` applied about \d\d:\d\d,`)
