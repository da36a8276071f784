package station_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/timing"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// hurt is the day with pain reported at minute 52, and so far as the stage
// goes: water on at 53, rinsed clean at 60.
func hurt(t testing.TB, stage int) *session.Log {
	l := day(t)
	for i, d := range []session.Data{session.PainReported{}, session.RinseBegan{Zones: []string{"z2", "z3", "z4"}}, session.RinseEnded{}}[:stage] {
		_, err := l.Commit(timing.Reading{Wall: minute([]float64{52, 53, 60}[i])}, session.Do(d))
		require.NoError(t, err)
	}
	return l
}

func TestPainGoldens(t *testing.T) {
	for name, c := range map[string]struct {
		stage int
		at    float64
	}{"reported": {1, 52.5}, "water": {2, 58}, "off": {3, 61}, "found": {3, 73}} {
		for _, size := range []struct{ w, h int }{{60, 20}, {80, 24}} {
			file := filepath.Join("testdata", "pain-"+name+"-"+map[int]string{60: "60x20", 80: "80x24"}[size.w]+".golden")
			got := screen(hurt(t, c.stage), theme.Mono(), minute(c.at), size.w, size.h).View() + "\n"
			if *update {
				require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
			}
			want, err := os.ReadFile(file)
			require.NoError(t, err)
			require.Equal(t, string(want), got, file)
		}
	}
}

// The words that must be read at a glance, whole, at the least size.
func TestPainSaysWhatToDo(t *testing.T) {
	lines := func(stage int, at float64) []string {
		return strings.Split(ansi.Strip(screen(hurt(t, stage), theme.Mono(), minute(at), 80, 24).View()), "\n")
	}
	l := lines(1, 52.5)
	require.Contains(t, l[0], "STOP. RINSE ALL WITH COOL RUNNING WATER NOW")
	require.NotContains(t, l[0], "off by")
	top := strings.Join(l[:6], "\n")
	for _, words := range []string{"of cool running water, or more", "cool running water at once, 20 min or more; medical help", "then medical help, whatever minutes remain"} {
		require.Contains(t, top, words)
	}
	require.NotContains(t, top, "[a] seen")
	l = lines(2, 58)
	require.Contains(t, l[0], "COOL WATER UNTIL 10:13, THEN: RINSED CLEAN")
	require.Contains(t, strings.Join(l[:6], "\n"), "left of cool running water")
	require.Contains(t, lines(3, 73)[0], "NOTE WHAT WAS FOUND")

	top = ansi.Strip(screen(hurt(t, 1), theme.Mono(), minute(52.5), 80, 24).Top(2))
	require.Contains(t, top, "STOP. RINSE ALL")
	require.Contains(t, top, "ctrl+p pain", "over a form, too")
}

func TestPainKeys(t *testing.T) {
	press := func(l *session.Log, at float64, k string) intent.Intent {
		m := screen(l, theme.Mono(), minute(at), 80, 24)
		msg := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(k)}
		if k == " " {
			msg.Type = tea.KeySpace
		}
		in, _ := m.Update(msg)
		return in
	}
	require.Equal(t, intent.Pain{}, press(day(t), 51, "x"))
	require.Equal(t, intent.Open{Screen: intent.Safety, Zone: "z2"}, press(day(t), 51, "y"))
	require.Equal(t, session.RinseBegan{Zones: []string{"z2", "z3", "z4"}}, press(hurt(t, 1), 52.5, " ").(intent.Log).Commands[0].Data)
	require.Contains(t, press(hurt(t, 2), 58, " ").(intent.Say).Text, "Press again if the product is off; the water runs on.")
	require.Equal(t, session.RinseEnded{Trip: "t2"}, press(hurt(t, 2), 80, " ").(intent.Log).Commands[0].Data)
	require.Equal(t, intent.Found, press(hurt(t, 3), 61, " ").(intent.Open).Screen)
	require.Equal(t, intent.Found, press(hurt(t, 3), 73, " ").(intent.Open).Screen)
	require.IsType(t, intent.Say{}, press(hurt(t, 1), 52.5, "a"), "pain is not passed over while product is on")
	require.IsType(t, intent.Acknowledge{}, press(hurt(t, 3), 61, "a"))
}

// Hair that can take no more has the band and the top line as pain does.
func TestMushyHairIsNotPassedOver(t *testing.T) {
	l := day(t)
	_, err := l.Commit(timing.Reading{Wall: minute(51)}, session.Do(session.ZoneChecked{Zone: "z2", Feel: session.FeelMushy}))
	require.NoError(t, err)
	m := screen(l, theme.Mono(), minute(51), 80, 24)
	lines := strings.Split(ansi.Strip(m.View()), "\n")
	require.Contains(t, lines[0], "STOP. RINSE")
	top := strings.Join(lines[:6], "\n")
	require.Contains(t, top, "now: the hair can take no more")
	require.NotContains(t, top, "[a] seen")
	in, _ := m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("a")})
	require.Equal(t, intent.Say{Text: "This can't be passed over while product is on: rinse it now."}, in)
}
