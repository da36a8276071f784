package form_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/replay"
	"rinseby/tui/form"
	"rinseby/tui/intent"
)

// The log goes from 23:10:30 by the wall clock to an hour past midnight; its
// time line is two hours behind that clock.
func TestJumpTo(t *testing.T) {
	wall := time.Date(2026, 3, 2, 23, 40, 30, 0, time.UTC)
	at := wall.Add(-2 * time.Hour)
	from, to := at.Add(-30*time.Minute), at.Add(80*time.Minute)
	for typed, want := range map[string]time.Time{
		"23:50":    at.Add(9*time.Minute + 30*time.Second),
		"23:10":    from.Add(-30 * time.Second), // the minute in which it begins
		"0:30":     at.Add(49*time.Minute + 30*time.Second),
		"00:30:15": at.Add(49*time.Minute + 45*time.Second),
		"+45":      from.Add(45 * time.Minute),
		"+1:05":    from.Add(65 * time.Minute),
		"+90s":     from.Add(90 * time.Second),
	} {
		got := press(t, open(form.JumpTo(th, at, from, to, wall)), typed, "enter")
		seek, ok := got.(intent.Seek)
		require.True(t, ok, typed)
		assert.WithinDuration(t, want, seek.At, 0, typed)
	}
	for _, typed := range []string{"", "soon", "25:00", "+", "+soon", "12"} {
		f := open(form.JumpTo(th, at, from, to, wall))
		assert.Nil(t, press(t, f, typed, "enter"), typed)
		assert.Contains(t, f.View(), "! ", typed)
	}
}

func TestMarks(t *testing.T) {
	assert.Equal(t, intent.Mark{Text: "look here"}, press(t, open(form.NewMark(th, "10:42:30")), "look here", "enter"))
	assert.Equal(t, intent.Mark{}, press(t, open(form.NewMark(th, "10:42:30")), "enter"))
	places := []form.Place{{At: now, Label: "one"}, {At: now.Add(time.Minute), Label: "two"}}
	assert.Equal(t, intent.Seek{At: now.Add(time.Minute)}, press(t, open(form.PickPlace(th, "Marks", "Go to", places)), "down", "enter"))
}

func TestAsk(t *testing.T) {
	f := open(form.Ask(th, deep, []string{"It is 10:42."}))
	assert.Contains(t, f.View(), "It is 10:42.")
	assert.Contains(t, f.View(), " answer ")
	assert.Equal(t, intent.Answer{Option: 1}, press(t, f, "down", "enter"))
	assert.Equal(t, intent.Back{}, press(t, open(form.Ask(th, deep, nil)), "esc"))
}

func TestWhatIf(t *testing.T) {
	b := lightening(t).board()
	assert.Equal(t, intent.WhatIf{Change: replay.RinseNow{Zones: []string{"nape"}}}, press(t, open(form.WhatIf(th, b, clock)), "enter", "enter"))
	assert.Equal(t, intent.WhatIf{Change: replay.Weaker{Zone: "nape", Strength: 3}},
		press(t, open(form.WhatIf(th, b, clock)), "down", "enter", "enter", "10 vol", "enter"))
	assert.Equal(t, intent.WhatIf{Change: replay.Helper{Minutes: 30}}, press(t, open(form.WhatIf(th, b, clock)), "down", "down", "enter", "enter"))
	assert.Equal(t, intent.WhatIf{Change: replay.Helper{Minutes: 45}},
		press(t, open(form.WhatIf(th, session.Board{Now: now}, clock)), "enter", "wipe", "45", "enter"), "nothing else is to be done")
}
