package station_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/timing"
	"rinseby/tui/keys"
	"rinseby/tui/station"
	"rinseby/tui/theme"
)

// checkedDay is the day with a depth wanted and the second zone, on since
// minute 18, looked at twice.
func checkedDay(t testing.TB) *session.Log {
	l := day(t)
	for _, e := range []struct {
		minute float64
		data   session.Data
	}{
		{51, session.ConsultationNoted{NaturalDepth: 6, TargetDepth: 9}},
		{51.5, session.ZoneChecked{Zone: "z2", Band: session.Root, Depth: 8.5, Undertone: "gold"}},
		{52, session.ZoneChecked{Zone: "z3", Band: session.Root, Depth: 7, Undertone: "red"}},
	} {
		_, err := l.Commit(timing.Reading{Wall: minute(e.minute)}, session.Do(e.data))
		require.NoError(t, err)
	}
	return l
}

func TestGoldensWithChecks(t *testing.T) {
	l := checkedDay(t)
	for _, size := range []struct{ w, h int }{{60, 20}, {80, 24}, {120, 40}} {
		m := screen(l, theme.Mono(), minute(53), size.w, size.h)
		for _, name := range []string{"checked", "checked-once"} { // near its limit, and with time to look again
			file := filepath.Join("testdata", fmt.Sprintf("%s-%dx%d.golden", name, size.w, size.h))
			got := m.View() + "\n"
			if *update {
				require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
			}
			want, err := os.ReadFile(file)
			require.NoError(t, err)
			require.Equal(t, string(want), got, file)
			m.Update(tea.KeyMsg{Type: tea.KeyDown})
		}
	}
}

func TestTheLiftIsThatOfTheZoneInHand(t *testing.T) {
	m := screen(checkedDay(t), theme.Mono(), minute(53), 240, 40)
	line := func() string {
		for _, s := range strings.Split(ansi.Strip(m.View()), "\n") {
			if strings.Contains(s, " lift, ") {
				return strings.TrimSpace(s)
			}
		}
		return ""
	}
	require.True(t, strings.HasPrefix(line(), "Back left root lift, from one check only, not chemistry: may not make it by "), line())
	m.Update(tea.KeyMsg{Type: tea.KeyDown})
	require.True(t, strings.HasPrefix(line(), "Back right root lift, from one check only, not chemistry: look again at 09:57 before you rely on it; so far it will not: "), line())
	m.Update(tea.KeyMsg{Type: tea.KeyDown})
	require.Equal(t, "z4", m.Zone())
	require.Empty(t, line(), "a zone that was picked and not checked has none")
	require.Empty(t, checkedAt(t, 9))
}

// checkedAt is the lines about lift of the day without checks.
func checkedAt(t *testing.T, at float64) (lines []string) {
	for _, s := range strings.Split(ansi.Strip(screen(day(t), theme.Mono(), minute(at), 120, 40).View()), "\n") {
		if strings.Contains(s, " lift, ") {
			lines = append(lines, s)
		}
	}
	return lines
}

func TestAnUndertoneThatWasTypedDoesNothingToTheScreen(t *testing.T) {
	l := checkedDay(t)
	_, err := l.Commit(timing.Reading{Wall: minute(53)}, session.Do(session.ZoneChecked{Zone: "z2", Depth: 8.5, Undertone: "gold\x1b[2J\u202eevil"}))
	require.NoError(t, err)
	m := station.New(theme.Mono(), keys.Default(""))
	m.SetSize(200, 40)
	m.Show(look(l, minute(53)))
	view := ansi.Strip(m.View())
	require.Contains(t, view, "at last check: for the toner")
	require.NotContains(t, view, "\u202e")
	require.NotContains(t, m.View(), "\x1b[2J")
}
