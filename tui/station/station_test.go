package station_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/timing"
	"rinseby/tui/intent"
	"rinseby/tui/keys"
	"rinseby/tui/station"
	"rinseby/tui/theme"
)

var update = flag.Bool("update", false, "write the golden files anew")

var zero = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

func minute(m float64) time.Time { return zero.Add(time.Duration(m * float64(time.Minute))) }

// answered answers every safety question as one does who may go on without a
// cap.
func answered() (all []session.Data) {
	for _, q := range safety.Questions() {
		a := session.SafetyAnswered{Question: q.ID, Answer: q.Answers[0].Word}
		if q.Kind == safety.Day {
			a.Answer = "2 days ago"
		}
		all = append(all, a)
	}
	return all
}

// day folds an invented service: five zones of four pieces, a piece every two
// minutes from minute 10, the first zone rinsed at minute 45.
func day(t require.TestingT) *session.Log {
	plan := func(b session.Band, strength formula.Percent, c formula.Condition) session.PlanBand {
		return session.PlanBand{Band: b, Product: "Chalk", Kind: formula.PowderLightener, Strength: strength, Contact: formula.OffScalp, Condition: c}
	}
	root, end := plan(session.Root, 9, formula.Natural), plan(session.End, 6, formula.Lightened)
	window := func(b session.PlanBand, opens, limit int) session.WindowConfirmed {
		return session.WindowConfirmed{Basis: session.BasisInstructions, Row: formula.Row{
			Product: b.Product, Kind: b.Kind, Strength: b.Strength, Contact: b.Contact, Condition: b.Condition, Heat: formula.NoHeat,
			Window: timing.Window{Opens: time.Duration(opens) * time.Minute, Limit: time.Duration(limit) * time.Minute}, Origin: "invented"}}
	}
	bowl := func(b session.PlanBand) session.BowlMixed {
		return session.BowlMixed{Product: b.Product, Family: b.Kind, LifeS: 3600, Mix: formula.Mix{
			Products: []formula.ProductPart{{Product: b.Product, Grams: 40}}, Developers: []formula.DeveloperPart{{Strength: b.Strength, Grams: 80}}}}
	}
	promised := minute(240)
	l := &session.Log{}
	do := func(m float64, data ...session.Data) {
		for _, d := range data {
			_, err := l.Commit(timing.Reading{Wall: minute(m)}, session.Do(d))
			require.NoError(t, err)
		}
	}
	zones := []session.PlanZone{}
	for _, name := range []string{"Nape", "Back left", "Back right", "Crown", "Fringe"} {
		zones = append(zones, session.PlanZone{Name: name, Pieces: 4, MinutesPerPiece: 2, Bands: []session.PlanBand{root, end}})
	}
	do(0, session.ServiceOpened{Service: "s", Client: "Tove A.", Stylist: "Ines", Promised: &promised, Invented: true},
		session.ConsultationNoted{}, session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: zones},
		window(root, 20, 45), window(end, 15, 40), session.SafetyAnswered{Question: safety.Airways, Answer: "none"}, bowl(root), bowl(end))
	do(0, answered()...)
	for i := range 12 {
		do(float64(10+2*i), session.PiecePlaced{Zone: fmt.Sprintf("z%d", i/4+1), Count: 1})
	}
	do(45, session.RinseBegan{Zones: []string{"z1"}})
	do(48, session.RinseEnded{})
	do(50, session.PiecePlaced{Zone: "z4", Count: 2})
	return l
}

func look(l *session.Log, at time.Time) station.Look {
	s := l.State()
	return station.Look{
		Client: s.Client, Invented: s.Invented, Round: "Lightening", Opened: s.Opened, Promised: s.Promised,
		Board: session.Look(s, at, func(t time.Time) string { return t.Format("15:04") }),
		Wall:  at, Place: time.UTC,
	}
}

func screen(l *session.Log, th *theme.Theme, at time.Time, w, h int) *station.Model {
	m := station.New(th, keys.Default(""))
	m.SetSize(w, h)
	m.Show(look(l, at))
	return m
}

func TestGoldens(t *testing.T) {
	l := day(t)
	for _, at := range []float64{9, 51, 60, 75} {
		for _, size := range []struct{ w, h int }{{60, 20}, {80, 24}, {120, 40}} {
			for name, th := range map[string]*theme.Theme{"dark": theme.Dark(), "light": theme.Light(), "mono": theme.Mono()} {
				file := filepath.Join("testdata", fmt.Sprintf("minute%02.0f-%dx%d-%s.golden", at, size.w, size.h, name))
				got := screen(l, th, minute(at), size.w, size.h).View() + "\n"
				if *update {
					require.NoError(t, os.MkdirAll("testdata", 0o755))
					require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
				}
				want, err := os.ReadFile(file)
				require.NoError(t, err)
				require.Equal(t, string(want), got, file)
			}
		}
	}
}

// The end has a line of its own on every screen, in the words that fit.
func TestTheEndHasALine(t *testing.T) {
	l := day(t)
	for _, size := range []struct{ w, h int }{{60, 20}, {80, 24}, {120, 40}} {
		for name, e := range map[string]station.Ending{
			"on-time": {Words: []string{
				"out of the chair about 12:40 (80 %: 12:28–12:58) · on time: 9 in 10 that by 13:00",
				"end about 12:40 (80 %: 12:28–12:58) · on time: 9 in 10 that by 13:00", "end 12:40 (12:28–12:58) · on time: 9 in 10 that by 13:00"}},
			"late": {Late: true, Words: []string{
				"out of the chair about 12:40 (80 %: 12:28–12:58) · probably 10 min late: tell the front desk",
				"end about 12:40 (80 %: 12:28–12:58) · probably 10 min late: tell the front desk",
				"end 12:40 (12:28–12:58) · probably 10 min late: tell the front desk"}},
		} {
			m := station.New(theme.Mono(), keys.Default(""))
			m.SetSize(size.w, size.h)
			k := look(l, minute(51))
			k.Ending, k.NextBowl = e, "next bowl 10:05: Chalk 40 g, 30 vol 80 g"
			m.Show(k)
			got := m.View() + "\n"
			file := filepath.Join("testdata", fmt.Sprintf("ending-%s-%dx%d.golden", name, size.w, size.h))
			if *update {
				require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
			}
			want, err := os.ReadFile(file)
			require.NoError(t, err)
			require.Equal(t, string(want), got, file)
			require.Contains(t, strings.Split(ansi.Strip(got), "\n")[0], "RINSE BACK LEFT")
			require.Contains(t, ansi.Strip(got), "12:28–12:58")
		}
	}
}

// What the top line and the big figure must answer, whatever the looks.
func TestNextActionAndItsTimeAreOnTop(t *testing.T) {
	l := day(t)
	for at, want := range map[float64][]string{
		9:  {"PLACE NAPE", "", "nothing is on the hair"},
		51: {"RINSE BACK LEFT", "off by 09:58", "Back left must be off by 09:58"},
		60: {"RINSE BACK LEFT, BACK RIGHT", "off by 09:58", "Back left OVER since 09:58"},
	} {
		lines := strings.Split(ansi.Strip(screen(l, theme.Mono(), minute(at), 80, 24).View()), "\n")
		if at == 9 {
			continue
		}
		require.Contains(t, lines[0], want[0])
		require.Contains(t, lines[0], want[1])
		require.Contains(t, strings.Join(lines[:5], "\n"), want[2])
	}
}

func TestViewFitsAnySizeAndAnyText(t *testing.T) {
	l := day(t)
	hostile := []string{"\x1b[2J\x1b]0;x\a", "名前名前名前名前名前", strings.Repeat("e\u0301\u0302\u0303", 300), "a\r\nb\tc\x07", "\u202eevil\u2066", strings.Repeat("long ", 60)}
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(0, 200).Draw(t, "w"), rapid.IntRange(0, 60).Draw(t, "h")
		m := station.New(rapid.SampledFrom([]*theme.Theme{theme.Dark(), theme.Mono(), theme.Pick(true, false, true)}).Draw(t, "theme"), keys.Default(""))
		m.SetSize(w, h)
		k := look(l, minute(rapid.Float64Range(0, 300).Draw(t, "minute")))
		text := rapid.SampledFrom(hostile).Draw(t, "text")
		k.Client, k.Round, k.Helpers = text, text, []string{text}
		k.Ending = station.Ending{Words: []string{text + text, text}, Late: rapid.Bool().Draw(t, "late")}
		for i := range k.Board.Zones {
			k.Board.Zones[i].Name = text
		}
		m.Show(k)
		m.Tell(station.Status{Text: text, Bad: true})
		for _, view := range []string{m.View(), m.Top(2)} {
			lines := strings.Split(view, "\n")
			if w == 0 || h == 0 {
				continue
			}
			require.LessOrEqual(t, len(lines), max(h, 2))
			for _, line := range lines {
				require.LessOrEqual(t, ansi.StringWidth(line), w, "%q", line)
				plain := ansi.Strip(line)
				require.NotContains(t, plain, "\x1b")
				require.NotContains(t, plain, "\u202e")
				require.False(t, strings.ContainsAny(plain, "\a\r\t"))
			}
		}
	})
}

func TestKeysBecomeIntents(t *testing.T) {
	m := screen(day(t), theme.Mono(), minute(51), 80, 24)
	press := func(k tea.KeyMsg) intent.Intent {
		in, _ := m.Update(k)
		return in
	}
	letter := func(r string) tea.KeyMsg { return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(r)} }
	require.Equal(t, intent.Undo{}, press(letter("u")))
	require.Equal(t, intent.Open{Screen: intent.Check, Zone: "z2"}, press(letter("c")))
	press(tea.KeyMsg{Type: tea.KeyDown})
	require.Equal(t, intent.Open{Screen: intent.Check, Zone: "z3"}, press(letter("c")), "the zone below was picked")
	in := press(tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}})
	log, ok := in.(intent.Log)
	require.True(t, ok)
	require.Equal(t, session.RinseBegan{Zones: []string{"z2"}}, log.Commands[0].Data)
	require.Equal(t, intent.Acknowledge{Warning: "closing:z2"}, press(letter("a")))
	require.Nil(t, press(letter("%")))
}

func TestEveryKeyOfTheHelpDoesSomething(t *testing.T) {
	m := screen(day(t), theme.Mono(), minute(51), 80, 24)
	for _, b := range keys.Default("").All() {
		switch b.Help().Desc {
		case "zone above", "zone below", "back", "pain, from a form too", "help, from a form too", "to the shell; fg comes back":
			continue
		}
		k := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(b.Keys()[0])}
		if b.Keys()[0] == " " {
			k.Type = tea.KeySpace
		}
		in, _ := m.Update(k)
		require.NotNil(t, in, "%s: %s", b.Help().Key, b.Help().Desc)
	}
}

func BenchmarkView(b *testing.B) {
	m := screen(day(b), theme.Dark(), minute(51), 120, 40)
	b.ReportAllocs()
	for b.Loop() {
		m.View()
	}
}

// What a frame of the chair allocates is held by number: time is measured
// elsewhere, and fails nothing.
func TestAFrameOfTheChairIsLight(t *testing.T) {
	m := screen(day(t), theme.Dark(), minute(51), 120, 40)
	require.Less(t, testing.AllocsPerRun(20, func() { m.View() }), 500.0)
}
