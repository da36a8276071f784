package form_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"rinseby/session"
	"rinseby/timing"
	"rinseby/tui/form"
	"rinseby/tui/intent"
)

func TestEarlier(t *testing.T) { // it is 10:42:30
	for typed, want := range map[string]time.Duration{
		"3": 3 * time.Minute, "2.5": 150 * time.Second, "2,5": 150 * time.Second, " 3 ": 3 * time.Minute,
		"0:45": 45 * time.Minute, "1h20": 80 * time.Minute, "45 min": 45 * time.Minute, "90s": 90 * time.Second,
		"10:42": 30 * time.Second, "10:30": 750 * time.Second, "9:42": 60*time.Minute + 30*time.Second, "10:42:10": 20 * time.Second,
	} {
		f := open(form.Earlier(th, now))
		press(t, f, typed)
		assert.Contains(t, f.View(), "At "+now.Add(-want).Format("15:04:05"), typed)
		assert.Equal(t, intent.Late{At: now.Add(-want)}, press(t, f, "enter"), typed)
	}
	for typed, want := range map[string]string{
		"": "neither minutes", "x": "neither minutes", "10:60": "neither minutes", "-3": "neither minutes", "1:2:3:4": "neither minutes",
		"10:43": "still to come", "0": "that is now", "1:30": "more than 6 hours", "361": "more than 6 hours", "99h": "more than 6 hours",
	} {
		f := open(form.Earlier(th, now))
		assert.Nil(t, press(t, f, typed, "enter"), typed)
		assert.Contains(t, f.View(), want, typed)
	}
	midnight := time.Date(2026, 3, 2, 0, 10, 0, 0, time.UTC)
	assert.Equal(t, intent.Late{At: midnight.Add(-15 * time.Minute)}, press(t, open(form.Earlier(th, midnight)), "23:55", "enter"))
}

func TestPromised(t *testing.T) {
	zone := time.FixedZone("salon", 2*3600)
	local := now.In(zone) // 12:42:30
	for typed, want := range map[string]time.Time{
		"13:30": time.Date(2026, 3, 2, 13, 30, 0, 0, zone), "+3h": local.Add(3 * time.Hour), "+2:30": local.Add(150 * time.Minute),
		"+ 45": local.Add(45 * time.Minute), "0:30": time.Date(2026, 3, 3, 0, 30, 0, 0, zone), "": {},
	} {
		var got form.Answers
		f := open(form.NewService(th, form.Answers{Client: "Tove A."}, nil, nil, local, func(a form.Answers) intent.Intent {
			got = a
			return intent.Start{}
		}))
		assert.Equal(t, intent.Start{}, press(t, f, "enter", "enter", "enter", typed, "save"), typed)
		assert.True(t, want.Equal(got.Promised), "%s: %v", typed, got.Promised)
	}
	for typed, want := range map[string]string{
		"12:42": "12:42 has passed", "25:00": "no time of day", "soon": "no time of day", "+": "no length of time", "+0": "after now", "+25h": "after now",
	} {
		f := open(form.NewService(th, form.Answers{Client: "Tove A."}, nil, nil, local, func(form.Answers) intent.Intent { return intent.Start{} }))
		assert.Nil(t, press(t, f, "enter", "enter", "enter", typed, "enter"), typed)
		assert.Contains(t, f.View(), want, typed)
	}
}

func TestClockGap(t *testing.T) {
	gap := session.Gap{Gap: timing.Gap{From: now.Add(-12 * time.Minute), To: now, Restart: true}}
	back := session.Gap{Gap: timing.Gap{From: now, To: now, Restart: true, Backwards: true}}
	for name, c := range map[string]struct {
		gap   session.Gap
		keys  []string
		shift float64
	}{
		"right":           {gap, []string{"enter"}, 0},
		"same minute":     {gap, []string{"down", "enter", "10:42", "enter"}, 0},
		"later":           {gap, []string{"down", "enter", "10:50", "enter"}, 480},
		"to the second":   {gap, []string{"down", "enter", "10:50:40", "enter"}, 490},
		"earlier":         {gap, []string{"down", "enter", "10:40", "enter"}, -120},
		"length":          {gap, []string{"down", "down", "enter", "30", "enter"}, 1080},
		"shorter":         {gap, []string{"down", "down", "enter", "0:05", "enter"}, -420},
		"backwards":       {back, []string{"20", "enter"}, 1200},
		"backwards, long": {back, []string{"1:20", "enter"}, 4800},
	} {
		want := session.ClockNoted{What: session.ClockConfirmed, ShiftS: c.shift}
		assert.Equal(t, saves("Time off noted", want), press(t, open(form.ClockGap(th, c.gap, clock, now)), c.keys...), name)
	}
	f := open(form.ClockGap(th, gap, clock, now))
	assert.Contains(t, f.View(), "from 10:30 to 10:42")
	assert.Nil(t, press(t, f, "down", "enter", "10:20", "enter"))
	assert.Contains(t, f.View(), "! that is before the computer went off")
	press(t, f, "wipe", "10:50")
	assert.Contains(t, f.View(), "The computer was off for 20 min")
}

// TestClockGapPutsTheLogRight sends the answer through the rules of a service
// whose computer was off while product was on.
func TestClockGapPutsTheLogRight(t *testing.T) {
	c := lightening(t)
	on := c.board().OffBy.Oldest
	c.now = c.now.Add(10 * time.Minute)
	reading := timing.Reading{Wall: c.now, Boot: time.Minute, BootID: "b"}
	events, err := session.Decide(c.log, reading, session.Do(note("", "back")))
	assert.NoError(t, err)
	assert.NoError(t, c.log.Append(events...))
	got := press(t, open(form.ClockGap(th, c.state().Gaps[0], clock, c.now)), "down", "down", "enter", "25", "enter")
	events, err = session.Decide(c.log, reading, got.(intent.Log).Commands...)
	assert.NoError(t, err)
	assert.NoError(t, c.log.Append(events...))
	at := c.state().Line.Now(reading)
	// The log's last entry before the gap was five minutes before it.
	assert.Equal(t, on-5*time.Minute+25*time.Minute, session.Look(c.state(), at, clock).OffBy.Oldest)
	assert.True(t, c.state().Gaps[0].Confirmed)
}
