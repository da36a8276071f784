package tui_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/safety"
	"rinseby/tui"
)

// down is so many presses of that key.
func down(n int) (ks []string) {
	for range n {
		ks = append(ks, "down")
	}
	return ks
}

// on is a service with product on one zone.
func (d *desk) on() string {
	id := d.seat()
	d.press("space", "space")
	d.pass(time.Minute)
	d.tick(0)
	return id
}

// joined is the screen with blanks in the place of what breaks its lines.
func (d *desk) joined() string { return strings.Join(strings.Fields(d.view()), " ") }

// Each choice, from the key on.
func TestOneKeyAndOneChoice(t *testing.T) {
	for _, tt := range []struct {
		keys []string
		want session.PainReported
		sees string
	}{
		{[]string{"enter"}, session.PainReported{}, "STOP. RINSE ALL WITH COOL RUNNING WATER NOW"},
		{[]string{"esc"}, session.PainReported{}, "STOP. RINSE ALL WITH COOL RUNNING WATER NOW"},
		{[]string{"f13"}, session.PainReported{}, "STOP. RINSE ALL WITH COOL RUNNING WATER NOW"},
		{[]string{"down", "enter", "enter"}, session.PainReported{Reaction: session.Itching}, "STOP. RINSE ALL"},
		{[]string{"down", "enter", "down", "enter"}, session.PainReported{Reaction: session.Itching, Severe: true}, "STOP. RINSE ALL"},
		{[]string{"down", "enter", "down", "down", "enter"}, session.PainReported{Reaction: session.Itching, LookAgain: true}, "ITCH: LOOK AGAIN AT 09:04"},
		{append(down(2), "enter"), session.PainReported{Reaction: session.Hives}, "HIVES: all off, rinse, watch"},
		{append(down(3), "enter"), session.PainReported{Reaction: session.Emergency, Text: safety.Signs[0]}, "HELP"},
		{append(down(4), "enter"), session.PainReported{Reaction: session.Emergency, Text: safety.Signs[1]}, "HELP"},
		{append(down(5), "enter"), session.PainReported{Reaction: session.Emergency, Text: safety.Signs[2]}, "HELP"},
		{append(down(6), "enter"), session.PainReported{Reaction: session.InEye}, "EYE UNDER WATER UNTIL 09:21"},
	} {
		t.Run(fmt.Sprint(tt.keys), func(t *testing.T) {
			d := newDesk(t, nil)
			id := d.on()
			d.press("x")
			d.sees("TAKE IT OFF NOW. What is it?")
			require.Len(t, d.logged(id).State().Pains, 1, "what is on is stopped before anything is chosen")
			d.press(tt.keys...)
			p := d.logged(id).State().Pains
			require.Len(t, p, 1)
			require.Equal(t, tt.want, session.PainReported{Reaction: p[0].Reaction, Severe: p[0].Severe, LookAgain: p[0].Look, Text: p[0].Text})
			require.Equal(t, d.now.Wall, p[0].At)
			d.sees(tt.sees)
			require.NotContains(t, strings.ToLower(d.view()), "wait for")
			d.press("u")
			require.Empty(t, d.logged(id).State().Pains, "a slip is taken back by one key")
		})
	}
}

// Nothing that is open, comes up, or is pressed covers whom to call.
func TestNothingCoversTheCall(t *testing.T) {
	d := newDesk(t, nil)
	id := d.on()
	d.press("n", "h") // a form is open
	d.send(tea.KeyMsg{Type: tea.KeyCtrlP})
	d.press(append(down(4), "enter")...)
	call := safety.Call(safety.RulesOf(safety.AnyRegion).Emergency.Value)
	whole := func() {
		t.Helper()
		for _, size := range screenSizes {
			d.size(size.w, size.h)
			text := d.joined()
			last := -1
			for i, line := range call {
				at := strings.Index(text, fmt.Sprintf("%d %s", i+1, line))
				require.Greater(t, at, last, "%q at %dx%d in\n%s", line, size.w, size.h, d.view())
				last = at
			}
			require.Contains(t, strings.Split(d.view(), "\n")[0], "HELP")
			require.NotContains(t, d.view(), "…", "nothing is cut")
		}
	}
	whole()
	for _, k := range []string{"n", "m", "c", "z", "d", "o", "?", "y", "l", "e", "a", "x", "r", "k", "t", "b", "i", "j", "v", "s", "h", "f", "p", "+", "esc", "down"} {
		events := len(d.logged(id).Events())
		d.press(k)
		whole()
		require.Len(t, d.logged(id).Events(), events, k)
	}
	d.send(tea.KeyMsg{Type: tea.KeyCtrlP})
	d.send(tea.KeyMsg{Type: tea.KeyF1})
	whole()

	d.now.Wall, d.now.Boot, d.now.BootID = d.now.Wall.Add(time.Minute), time.Minute, "another boot" // the clock question
	d.tick(0)
	whole()
	d.tick(40 * time.Minute) // over every limit
	whole()
	d.size(50, 10)
	d.sees("HELP")

	d.size(80, 24)
	d.press("space")
	d.sees("Press again if all product is off, where they are.")
	require.True(t, d.logged(id).State().Zone("z1").Holding())
	d.tick(2 * time.Second)
	d.press("space")
	require.False(t, d.logged(id).State().Zone("z1").Holding())
	d.press("space")
	d.sees("Press again once help is here.")
	d.tick(2 * time.Second)
	d.press("space")
	require.Nil(t, d.logged(id).State().Calling())
	d.sees("NOTE WHAT WAS FOUND")
	d.press("space", "h", "o", "s", "p", "i", "t", "a", "l", "enter")
	require.NotContains(t, d.view(), "the work goes on")
	d.press("right", "enter")
	require.True(t, d.logged(id).State().Ended())
}

// Every screen of the machine says where help is needed, and its title too.
func TestHelpIsSeenEverywhere(t *testing.T) {
	d := newDesk(t, nil)
	live, err := d.st.Create(d.now, "test", session.Do(session.ServiceOpened{Client: "Mr. Okpara", Stylist: "another", Station: "Ferry Stairs 3", Region: safety.UK}))
	require.NoError(t, err) // run by somebody else, who is not this stylist
	mine := d.due("June L.", 5)
	_, err = live.Do(d.now, session.Do(session.PainReported{Reaction: session.Emergency}))
	require.NoError(t, err)
	d.pass(90 * time.Second)

	var calls []string
	d.open(func(o *tui.Options) {
		o.Floor, o.Title = true, true
		o.Alert = func(a tui.Alert) tea.Cmd { calls = append(calls, a.Text); return nil }
	})
	d.show(mine, live.ID)
	d.tick(0)
	top := strings.Split(d.view(), "\n")
	assert.Contains(t, top[0], "HELP: Ferry Stairs 3, Mr. Okpara", "before June, who is over")
	assert.Contains(t, d.view(), "Call 999, say anaphylaxis")
	assert.Contains(t, d.titles, "HELP: Ferry Stairs 3 - rinseby")
	assert.Contains(t, calls, "HELP. EMERGENCY: call 999, say anaphylaxis")

	d.open(func(o *tui.Options) { o.Resume = mine })
	d.show(mine, live.ID)
	d.tick(0)
	d.sees("HELP: Ferry Stairs 3, Mr. Okpara: call 999")
	d.press("a", "a")
	d.sees("Help is needed at another chair: w goes there.")
	d.sees("HELP: Ferry Stairs 3, Mr. Okpara: call 999")

	d.open(nil)
	d.show(mine, live.ID)
	d.tick(0)
	assert.Contains(t, strings.Split(d.view(), "\n")[0], "HELP: Ferry Stairs 3, Mr. Okpara")
	d.sees("HELP: call 999, say anaphylaxis")
	require.NoError(t, live.Close())
}

// Until the region is set, the first screen has all numbers, whole; then none.
func TestTheFirstScreenHasTheNumbersUntilTheRegionIsSet(t *testing.T) {
	for _, size := range screenSizes {
		d := newDesk(t, nil)
		d.size(size.w, size.h)
		assert.Contains(t, d.joined(), "Emergency: call 112 EU, 999 UK, 911 US and Canada, 000 Australia, 111 New Zealand. Set region in the settings.")
		d.open(func(o *tui.Options) { o.Region = safety.NewZealand })
		d.size(size.w, size.h)
		assert.NotContains(t, d.view(), "Emergency")
	}
	d := newDesk(t, func(o *tui.Options) { o.Region = safety.NewZealand })
	d.press("n", "T", "o", "v", "e", "enter", "enter", "enter", "enter", "ctrl+s")
	d.press("x", "down", "down", "down", "enter")
	d.sees("Call 111. Say: anaphylaxis.")
}

// What is on while an eye is rinsed is told at once, the first limit first.
func TestTheLimitsAreToldWhileAnEyeIsRinsed(t *testing.T) {
	d := newDesk(t, nil)
	id := d.on() // limit of 40 minutes
	d.pass(25 * time.Minute)
	d.press("x")
	d.press(append(down(6), "enter")...)
	for _, size := range screenSizes {
		d.size(size.w, size.h)
		d.sees("Still on, first limit first:")
		d.sees("off by 09:40, goes over while the water runs")
		d.sees("Contact lenses out, if they don't rinse out.")
		d.sees("EYE UNDER WATER UNTIL 09:46")
	}
	d.size(80, 24)
	d.press("space")
	d.sees("Why before 20 minutes of water over the eye")
	d.press("esc")
	d.tick(12 * time.Minute)
	d.sees("RINSE NAPE")
	d.press("space")
	require.NotEmpty(t, d.logged(id).State().Zone("z1").Trip)
}

// Whoever is held at the basin is told the limits of the other clients, too.
func TestTheLimitsOfOtherClientsAreTold(t *testing.T) {
	d := newDesk(t, nil)
	june := d.due("June L.", 9)
	tove := d.due("Tove A.", 30)
	other, err := d.st.Create(d.now, "test", session.Do(session.ServiceOpened{Client: "Mr. Okpara", Stylist: "another"}))
	require.NoError(t, err)
	d.open(func(o *tui.Options) { o.Resume = tove })
	d.show(june, tove, other.ID)
	d.tick(0)
	d.press("x")
	d.press(append(down(6), "enter")...)
	view := d.view()
	at := strings.Index(view, "June L.: Nape  off by 09:09, goes over while the water runs")
	require.Positive(t, at, view)
	require.Greater(t, strings.Index(view, "Nape           off by 09:30"), at, view)
	require.NotContains(t, view, "Okpara: ")
	require.NoError(t, other.Close())
}

// An itch is looked at again, and the client is asked before leaving and after.
func TestAnItchAndWhatIsAskedAfterIt(t *testing.T) {
	d := newDesk(t, nil)
	id := d.on()
	d.press("x", "down", "enter", "end", "enter")
	d.press("space")
	d.sees("Does it still itch?")
	d.press("end", "enter")
	d.sees("look again once 3 minutes have gone by")
	d.press("esc")
	d.tick(3 * time.Minute)
	d.sees("ITCH: LOOK AGAIN NOW")
	d.press("a")
	d.sees("look at the itch again now")
	d.press("space", "end", "enter")
	require.Nil(t, d.logged(id).State().OpenLook())

	d.press("x", "down", "enter") // a second time
	d.sees("Not here: it is not the first reaction of this visit")
	require.NotContains(t, d.view(), "Mild")
	d.press("enter")
	require.True(t, d.logged(id).State().Pains[1].Again)
	d.press("space")
	d.tick(20 * time.Minute)
	d.press("space", "space")
	d.press("r", "e", "d", "enter", "right", "right", "enter")
	for range 10 { // steps, if any
		if strings.Contains(d.view(), "ASK HOW IT IS NOW") {
			break
		}
		d.press("space")
	}
	d.sees("ASK HOW IT IS NOW")
	d.press("space")
	d.sees("it can still come after 45 minutes, or days later")
	d.press("enter")
	d.sees("choose how the client is")
	d.press("down", "enter", "enter")
	d.sees("FINISH THE SERVICE")
	d.press("space", "enter")
	require.False(t, d.logged(id).State().Closed.IsZero())
	d.press("x")
	d.sees("Reported after the visit")
	d.press("down", "down", "enter", "h", "i", "v", "e", "s", "enter")
	require.Equal(t, session.Hives, d.logged(id).State().Asked[2].Reaction)
}

func TestAnEmergencyInWords(t *testing.T) {
	l, id := atChair(t, nil)
	l.types("", "", "x", "wheeze")
	require.Contains(t, l.out.String(), "Not taken: there is no \"wheeze\"")
	l.types("5")
	require.NotNil(t, l.logged(id).State().Calling())
	l.says("HELP: Tove A.", "Own adrenaline pen, if they have one: use it now, first.",
		"Call 112 EU, 999 UK, 911 US and Canada, 000 Australia, 111 New Zealand. Say: anaphylaxis.", "No better after 5 minutes: second pen.", "Product off where they are, not at the basin.")
	l.heard()
	l.types("mix a bowl")
	l.says("Help first. All else waits until help is here.")
	l.types("again")
	l.says("HELP: Tove A.", "Call 112 EU", "Reaction: EMERGENCY")
	l.types("next", "next")
	require.Nil(t, l.logged(id).State().Calling())
	l.types("x", "product in")
	l.says("Nape", "Eye under water")
}
