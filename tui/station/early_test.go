package station_test

import (
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/tui/intent"
	"rinseby/tui/keys"
	"rinseby/tui/station"
	"rinseby/tui/theme"
)

// A press that is likely to be a slip of the pedal asks for a second one, and a
// pedal that bounces does not give it.
func TestASlipOfThePedalIsNoRinse(t *testing.T) {
	zero := minute(0)
	m := station.New(theme.Mono(), keys.Default(""))
	m.SetSize(80, 24)
	show := func(after time.Duration, zones ...string) {
		b := session.Board{Now: zero.Add(after), Next: session.Action{Verb: session.DoOff, Text: "Rinse clean: " + zones[0], Zones: zones[:1],
			Commands: []session.Command{session.Do(session.RinseEnded{Zones: zones[:1]})}}}
		for _, z := range zones {
			b.Zones = append(b.Zones, session.ZoneLook{ID: z, Name: z, Rinsing: true, RinseFrom: zero})
		}
		m.Show(station.Look{Board: b, Wall: b.Now, Place: time.UTC})
	}
	press := func() intent.Intent {
		in, _ := m.Update(tea.KeyMsg{Type: tea.KeySpace})
		return in
	}
	says := func(text string) {
		t.Helper()
		in, ok := press().(intent.Say)
		require.True(t, ok, "it asks for a second press")
		require.Contains(t, in.Text, text)
	}
	show(time.Second, "nape", "crown")
	says("Only 1 s at the basin. Press again if it is clean.")
	show(1200*time.Millisecond, "nape", "crown")
	says("Only 1 s") // bounced
	show(3*time.Second, "nape", "crown")
	require.IsType(t, intent.Log{}, press(), "it is meant")
	show(3100*time.Millisecond, "crown")
	says("Pressed twice? Press again if crown is clean, too.")
	show(30*time.Second, "crown")
	require.IsType(t, intent.Log{}, press(), "it was asked long ago, and there was time to rinse")

	zero = zero.Add(10 * time.Minute) // another trip
	show(2*time.Second, "fringe")
	says("Only 2 s")
	show(25*time.Second, "fringe")
	says("Only 25 s") // that was another time
}
