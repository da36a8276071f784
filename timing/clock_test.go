package timing_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/timing"
)

var nine = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

// look is a reading at a wall time, and a time since the boot with the id.
func look(wall time.Time, boot time.Duration, id string) timing.Reading {
	return timing.Reading{Wall: wall, Boot: boot, BootID: id}
}

func TestTimelineStartsAtTheFirstReading(t *testing.T) {
	var l timing.Timeline
	assert.False(t, l.Started())
	assert.Equal(t, nine, l.Now(look(nine, time.Hour, "a")), "before the first reading it is the wall time")
	assert.False(t, l.Started(), "looking does not start it")
	at, gap := l.Advance(look(nine, time.Hour, "a"))
	assert.Equal(t, nine, at)
	assert.Nil(t, gap)
	assert.True(t, l.Started())
}

func TestTimelineGoesByTheTimeSinceBootWhileTheBootLasts(t *testing.T) {
	for _, c := range []struct {
		name string
		step time.Duration // of the wall clock against what really went by
		gap  bool
	}{
		{"clocks agree", 0, false},
		{"a second on", time.Second, false},
		{"a second back", -time.Second, false},
		{"two seconds are still agreed", 2 * time.Second, false},
		{"a breath over two seconds", 2*time.Second + time.Nanosecond, true},
		{"an hour on", time.Hour, true},
		{"an hour back", -time.Hour, true},
		{"a day on", 24 * time.Hour, true},
		{"a day back", -24 * time.Hour, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			var l timing.Timeline
			l.Advance(look(nine, time.Hour, "a"))
			r := look(nine.Add(10*time.Minute+c.step), time.Hour+10*time.Minute, "a")
			peeked, peekedGap := l.Peek(r)
			at, gap := l.Advance(r)
			assert.Equal(t, nine.Add(10*time.Minute), at, "ten minutes went by, whatever the wall clock says")
			assert.Equal(t, peeked, at)
			assert.Equal(t, peekedGap, gap)
			if !c.gap {
				assert.Nil(t, gap)
				return
			}
			require.NotNil(t, gap)
			assert.Equal(t, timing.Gap{From: nine, To: at, Step: c.step}, *gap)
			_, again := l.Advance(look(r.Wall.Add(time.Minute), r.Boot+time.Minute, "a"))
			assert.Nil(t, again, "a step is told once")
		})
	}
}

// Daylight saving moves what a wall clock on a wall shows, not UTC.
func TestTimelineDoesNotKnowDaylightSaving(t *testing.T) {
	helsinki := time.FixedZone("before", 2*3600)
	summer := time.FixedZone("after", 3*3600)
	start := time.Date(2026, 3, 29, 2, 55, 0, 0, helsinki)
	var l timing.Timeline
	l.Advance(look(start, time.Hour, "a"))
	at, gap := l.Advance(look(time.Date(2026, 3, 29, 4, 5, 0, 0, summer), time.Hour+10*time.Minute, "a"))
	assert.Nil(t, gap)
	assert.Equal(t, 10*time.Minute, at.Sub(start))
}

func TestTimelineCountsSleep(t *testing.T) {
	var l timing.Timeline
	l.Advance(look(nine, time.Hour, "a"))
	at, gap := l.Advance(look(nine.Add(40*time.Minute), time.Hour+40*time.Minute, "a"))
	assert.Nil(t, gap, "the time since boot counts sleep, so there is nothing to tell")
	assert.Equal(t, nine.Add(40*time.Minute), at)
}

func TestTimelineAcrossBoots(t *testing.T) {
	for _, c := range []struct {
		name       string
		from, to   string // boot ids
		wall, want time.Duration
		gap        *timing.Gap
	}{
		{"restart, clock goes on", "a", "b", 7 * time.Minute, 7 * time.Minute, &timing.Gap{Restart: true}},
		{"restart, clock stands before", "a", "b", -time.Hour, 0, &timing.Gap{Restart: true, Backwards: true}},
		{"restart, clock stands still", "a", "b", 0, 0, &timing.Gap{Restart: true}},
		{"boot was not known", "", "b", 7 * time.Minute, 7 * time.Minute, &timing.Gap{Restart: true}},
		{"boot is not known any more", "a", "", 7 * time.Minute, 7 * time.Minute, &timing.Gap{Restart: true}},
		{"no boot known, forwards", "", "", 7 * time.Minute, 7 * time.Minute, nil},
		{"no boot known, a second back", "", "", -time.Second, 0, nil},
		{"no boot known, backwards", "", "", -7 * time.Minute, 0, &timing.Gap{Step: -7 * time.Minute, Backwards: true}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var l timing.Timeline
			l.Advance(look(nine, time.Hour, c.from))
			at, gap := l.Advance(look(nine.Add(c.wall), time.Minute, c.to))
			assert.Equal(t, nine.Add(c.want), at)
			if c.gap != nil {
				c.gap.From, c.gap.To = nine, at
			}
			assert.Equal(t, c.gap, gap)
			assert.Equal(t, gap != nil, gap != nil && gap.Unsure(), "none of them can be trusted unasked")
			if c.to != "" {
				at, gap = l.Advance(look(nine.Add(c.wall+time.Minute), 2*time.Minute, c.to))
				assert.Equal(t, nine.Add(c.want+time.Minute), at, "it runs on in the new boot")
				assert.Nil(t, gap)
			}
		})
	}
}

// A time since boot that runs back within one boot can't be. Time must not
// stand still for it, or exposures would read too short.
func TestTimelineTrustsTheWallClockIfTheTimeSinceBootRunsBack(t *testing.T) {
	var l timing.Timeline
	l.Advance(look(nine, time.Hour, "a"))
	at, gap := l.Advance(look(nine.Add(5*time.Minute), 0, "a"))
	assert.Equal(t, nine.Add(5*time.Minute), at)
	require.NotNil(t, gap)
	assert.Equal(t, 65*time.Minute, gap.Step)
	at, gap = l.Advance(look(nine.Add(4*time.Minute+59*time.Second), -time.Second, "a"))
	assert.Equal(t, nine.Add(5*time.Minute), at, "an older reading moves nothing")
	assert.Nil(t, gap)
}

func TestShift(t *testing.T) {
	for _, c := range []struct {
		name      string
		by, floor time.Duration // the floor from nine o'clock
		want      time.Duration
	}{
		{"longer than the clock said", 5 * time.Minute, 0, 15 * time.Minute},
		{"shorter", -4 * time.Minute, 0, 6 * time.Minute},
		{"never below the floor", -30 * time.Minute, 2 * time.Minute, 2 * time.Minute},
		{"exactly to the floor", -8 * time.Minute, 2 * time.Minute, 2 * time.Minute},
	} {
		t.Run(c.name, func(t *testing.T) {
			var l timing.Timeline
			r := look(nine.Add(10*time.Minute), time.Minute, "b")
			l.Advance(look(nine, time.Hour, "a"))
			l.Advance(r)
			l.Shift(c.by, nine.Add(c.floor))
			assert.Equal(t, nine.Add(c.want), l.Now(r))
			r = look(r.Wall.Add(time.Minute), r.Boot+time.Minute, "b")
			assert.Equal(t, nine.Add(c.want+time.Minute), l.Now(r), "it runs on from there")
		})
	}
}

func TestWallSaysMomentsByTheClockAsItIsNow(t *testing.T) {
	var l timing.Timeline
	l.Advance(look(nine, time.Hour, "a"))
	now := look(nine.Add(70*time.Minute), time.Hour+10*time.Minute, "a") // put on by an hour
	l.Advance(now)
	assert.Equal(t, nine.Add(time.Hour), l.Wall(nine, now), "first contact, as the clock put right would have shown it")
	assert.Equal(t, nine.Add(100*time.Minute), l.Wall(nine.Add(40*time.Minute), now), "a limit to come")
	assert.Equal(t, now.Wall, l.Wall(l.Now(now), now))
}

// drawReadings draws readings of a machine whose wall clock steps and which is
// started anew at times, and how long each really came after the one before.
func drawReadings(t *rapid.T) (rs []timing.Reading, passed []time.Duration, restart []bool) {
	wall, boot, id := nine, time.Hour, "a"
	for range rapid.IntRange(1, 30).Draw(t, "readings") {
		d := time.Duration(rapid.Int64Range(0, int64(3*time.Hour)).Draw(t, "passed"))
		step := time.Duration(rapid.SampledFrom([]int64{0, 0, 0, 1, -1, 3600, -3600, 86400, -86400}).Draw(t, "step")) * time.Second
		again := rapid.IntRange(0, 9).Draw(t, "restart") == 0
		wall, boot = wall.Add(d+step), boot+d
		if again {
			boot, id = time.Minute, id+"x"
		}
		rs, passed, restart = append(rs, look(wall, boot, id)), append(passed, d), append(restart, again)
	}
	return rs, passed, restart
}

func TestTimelineNeverRunsBackwardsAndLosesNothingWithinABoot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rs, passed, restart := drawReadings(t)
		var l, twin timing.Timeline
		var last time.Time
		for i, r := range rs {
			at, gap := l.Advance(r)
			again, _ := twin.Advance(r)
			require.Equal(t, at, again, "the same readings give the same line")
			if i > 0 {
				require.False(t, at.Before(last))
				if !restart[i] {
					require.Equal(t, passed[i], at.Sub(last))
				} else {
					require.NotNil(t, gap)
				}
			}
			require.Equal(t, at, l.Now(r))
			last = at
		}
	})
}
