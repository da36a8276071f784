package tui_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/tui"
	"rinseby/tui/keys"
)

// click clicks on what the screen says.
func (d *desk) click(text string) {
	d.t.Helper()
	for y, line := range strings.Split(ansi.Strip(d.view()), "\n") {
		if i := strings.Index(line, text); i >= 0 {
			d.send(tea.MouseMsg{X: ansi.StringWidth(line[:i]), Y: y, Action: tea.MouseActionPress, Button: tea.MouseButtonLeft})
			return
		}
	}
	d.t.Fatalf("nothing says %q to click on:\n%s", text, d.view())
}

// Every screen has help of its own keys, and comes back from it.
func TestHelpOnEveryScreen(t *testing.T) {
	d := newDesk(t, nil)
	help := func(has string) {
		d.t.Helper()
		before := d.view()
		d.send(tea.KeyMsg{Type: tea.KeyF1})
		d.sees(" Keys")
		d.sees(has)
		d.press("esc")
		require.Equal(t, before, d.view(), "back is where it was")
	}
	help("began earlier")
	d.press("w")
	help("client above")
	d.press("w")
	d.press("n")
	d.press("?")
	d.sees("> ?")
	help("Client: What you call the client")
	d.press("esc")
	require.NoError(t, d.app.Err())

	d.opened(t)
	help("pain or reaction")
	d.press("?")
	d.sees("zone finished")
	d.press("?")
	d.sees("do: ")
	d.press("o")
	help("page down")
	d.press("/")
	d.press("?")
	d.sees(`"?" in 0 of`)
	help("show all")
}

// opened opens a service at the chair by way of the store.
func (d *desk) opened(t *testing.T) {
	id := d.due("Tove A.", 25)
	d.run(d.app.Init())
	d.press("esc")
	d.sees("Go on with Tove A.")
	d.press("enter")
	_ = id
	d.sees("Nape must be off by")
}

func TestTheMousePressesWhatTheFootSays(t *testing.T) {
	d := newDesk(t, func(o *tui.Options) { o.Mouse = true })
	d.opened(t)
	d.click("? all keys")
	d.sees(" Keys")
	d.send(tea.MouseMsg{Action: tea.MouseActionPress, Button: tea.MouseButtonWheelDown})
	d.click("esc back")
	d.click("NAPE")
	d.sees("at the basin")
	d.click("u undo")
	d.sees("taken back")
	d.send(tea.MouseMsg{X: 5, Y: 999, Action: tea.MouseActionPress, Button: tea.MouseButtonLeft})
	d.send(tea.MouseMsg{X: -1, Y: -1, Action: tea.MouseActionPress, Button: tea.MouseButtonLeft})
	d.click("x pain")
	d.sees("PAIN")
}

func TestAMessageIsWhatItsBindingAnswersTo(t *testing.T) {
	km := keys.Default("")
	for _, b := range append(append(km.All(), km.InReplay().All()...), append(keys.InForm().All(), km.OnPage().All()...)...) {
		require.Contains(t, b.Keys(), keys.Message(b).String(), b.Help().Desc)
	}
}

// Hints help along until the first service of a client was closed, and go away
// once they were followed.
func TestHintsGoAway(t *testing.T) {
	d := newDesk(t, nil)
	d.sees("New here?")
	d.opened(t)
	d.sees("Space as the water starts")
	d.press("space")
	d.sees("Space as each zone is rinsed clean")
	for range 3 {
		d.press("space", "u")
	}
	require.NotContains(t, d.view(), "Space as each zone is rinsed clean")

	for _, h := range tui.AllHints() {
		require.LessOrEqual(t, ansi.StringWidth(h), 58, "the narrowest screen shows all of %q", h)
	}
	never := newDesk(t, func(o *tui.Options) { o.Hints = tui.HintsNever })
	require.NotContains(t, never.view(), "New here?")
}

// A warning calls when it comes up, and again until it is acknowledged.
func TestWarningsCallUntilAcknowledged(t *testing.T) {
	var calls []tui.Alert
	d := newDesk(t, func(o *tui.Options) {
		o.Alert = func(a tui.Alert) tea.Cmd { calls = append(calls, a); return nil }
	})
	d.opened(t)
	calls = nil
	tick := func(by time.Duration) {
		d.pass(by)
		d.send(tui.Tick(d.Read()))
	}
	for range 21 * 60 / 5 {
		tick(5 * time.Second)
	}
	require.NotEmpty(t, calls)
	require.Zero(t, calls[0].Again)
	require.Equal(t, session.Alert, calls[0].Level)
	for _, c := range calls {
		require.NotContains(t, c.Text, "Tove", "no client's name leaves the screen")
		require.NotEmpty(t, c.Text)
	}
	require.True(t, slices.ContainsFunc(calls, func(c tui.Alert) bool { return c.Again > 0 }), "it calls again")
	d.press("a", "a", "a", "a")
	d.sees("No warning waits to be seen.")
	calls = nil
	tick(time.Minute)
	tick(time.Minute)
	for _, c := range calls {
		require.Zero(t, c.Again, "what was acknowledged is quiet: %s", c.Text)
	}
}

// The title says the next rinse, and no name of a client.
func TestTheTitleSaysTheNextRinse(t *testing.T) {
	d := newDesk(t, func(o *tui.Options) { o.Title = true })
	d.opened(t)
	d.send(tui.Tick(d.Read()))
	d.send(tui.Tick(d.Read()))
	require.Equal(t, "Nape off by 09:25 - rinseby", d.titles[len(d.titles)-1])
	for _, title := range d.titles {
		require.NotContains(t, title, "Tove")
	}
	n := len(d.titles)
	d.send(tui.Tick(d.Read()))
	require.Len(t, d.titles, n, "only what is new is said")
}
