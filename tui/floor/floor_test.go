package floor_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/timing"
	"rinseby/tui/floor"
	"rinseby/tui/intent"
	"rinseby/tui/keys"
	"rinseby/tui/theme"
)

var update = flag.Bool("update", false, "write the golden files anew")

var zero = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

func minute(m float64) time.Time { return zero.Add(time.Duration(m * float64(time.Minute))) }

// morning is three invented services of one stylist at minute 62: June's toner
// and Tove's rinse collide.
func morning() floor.Look {
	block := func(from, to float64, name string, rinse bool) session.Block {
		return session.Block{From: minute(from), To: minute(to), Name: name, Rinse: rinse}
	}
	end := func(p10, p50, p90 float64) session.Moments {
		return session.Moments{P10: minute(p10), P50: minute(p50), P80: minute(p50 + 8), P90: minute(p90), P95: minute(p90 + 6)}
	}
	tove := session.FloorLook{
		ID: "tove", Client: "Tove A.", Stylist: "Ines", Station: "station 1", Invented: true, Opened: minute(0),
		Phase: "closing", Pressing: timing.Closing, Next: "Rinse Nape", Verb: session.DoRinse, RinseBy: minute(70.5), RinseZone: "Nape",
		End: end(150, 162, 178), Promised: minute(180), Late: 0.08,
		Loudest:  &session.Warning{Key: "closing:z1", Level: session.Alert, Text: "Nape must be off in 8 min: rinse it now"},
		Warnings: 1,
		Blocks:   []session.Block{block(62, 70, "rinse Nape", true), block(70, 88, "place Crown", false), block(104, 112, "rinse Crown", true), block(115, 160, "drying, cut", false)},
	}
	june := session.FloorLook{
		ID: "june", Client: "June L.", Stylist: "Ines", Station: "station 2", Invented: true, Opened: minute(10),
		Phase: "waiting", Next: "Mix Veil 7 vol", Verb: session.DoMix, RinseZone: "",
		End: end(118, 126, 140), Promised: minute(110), Late: 0.9, Lasting: true,
		Blocks: []session.Block{block(62, 65, "mix Veil", false), block(65, 75, "place toner", false), block(88, 95, "rinse toner", true), block(96, 124, "drying", false)},
	}
	okpara := session.FloorLook{
		ID: "okpara", Client: "Mr. Okpara", Stylist: "Ines", Station: "station 3", Invented: true, Opened: minute(40),
		Phase: "working", Pressing: timing.Working, Next: "Rinse Top", Verb: session.DoWait, HandsAt: minute(81), RinseBy: minute(99), RinseZone: "Top",
		RunBy: "", Gone: true, Blocks: []session.Block{block(81, 88, "rinse Top", true)},
	}
	return floor.Look{
		Now: minute(62), Place: time.UTC,
		Services: []floor.Service{{FloorLook: june, Clash: []bool{false, true}}, {FloorLook: okpara}, {FloorLook: tove, Mine: true, Clash: []bool{true}}},
		Troubles: []floor.Trouble{{
			Text: "Tove A.'s rinse of Nape and June L.'s toner collide by 6 min",
			Help: "Least trouble: June L. out 10 min later than the promised 11:00",
		}},
	}
}

func screen(l floor.Look, th *theme.Theme, w, h int) *floor.Model {
	m := floor.New(th, keys.Default("").OnFloor())
	m.SetSize(w, h)
	m.Show(l)
	return m
}

func TestGoldens(t *testing.T) {
	fits := morning()
	fits.Troubles, fits.Fits = nil, "All three fit on Ines's hands."
	fits.Services[0].Clash, fits.Services[2].Clash = nil, nil
	fits.Services[0].After, fits.Services[2].After = minute(131), minute(170)
	for name, l := range map[string]floor.Look{"collide": morning(), "fit": fits, "none": {Now: minute(62), Place: time.UTC}} {
		for _, size := range []struct{ w, h int }{{60, 20}, {80, 24}, {120, 40}} {
			for look, th := range map[string]*theme.Theme{"dark": theme.Dark(), "light": theme.Light(), "mono": theme.Mono(), "ascii": theme.Pick(true, true, true)} {
				file := filepath.Join("testdata", fmt.Sprintf("%s-%dx%d-%s.golden", name, size.w, size.h, look))
				got := screen(l, th, size.w, size.h).View() + "\n"
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

var hostile = []string{
	"\x1b[2J\x1b]0;x\a", "名前名前名前名前名前", strings.Repeat("e\u0301\u0302\u0303", 300), "a\r\nb\tc\x07",
	"\u202eevil\u2066", strings.Repeat("long ", 60), "", "\u009b2Jx", "June L.",
}

// drawService draws a service of any text and any moments.
func drawService(t *rapid.T) floor.Service {
	text := rapid.SampledFrom(hostile)
	at := func(label string) time.Time {
		if rapid.Bool().Draw(t, label+" is known") {
			return minute(rapid.Float64Range(-300, 900).Draw(t, label))
		}
		return time.Time{}
	}
	s := floor.Service{Mine: rapid.Bool().Draw(t, "mine"), Clash: rapid.SliceOfN(rapid.Bool(), 0, 4).Draw(t, "clash")}
	s.ID, s.Client, s.Stylist = rapid.StringMatching(`[a-z]{3}`).Draw(t, "id"), text.Draw(t, "client"), text.Draw(t, "stylist")
	s.Station, s.Next, s.RinseZone, s.RunBy, s.Phase = text.Draw(t, "station"), text.Draw(t, "next"), text.Draw(t, "zone"), text.Draw(t, "run by"), text.Draw(t, "phase")
	s.Invented, s.Gone = rapid.Bool().Draw(t, "invented"), rapid.Bool().Draw(t, "gone")
	s.Pressing = timing.Phase(rapid.IntRange(-1, 8).Draw(t, "pressing"))
	s.Verb = rapid.SampledFrom([]session.Verb{session.DoPain, session.DoCool, session.DoWait, session.DoPlace}).Draw(t, "verb")
	s.Opened, s.HandsAt, s.RinseBy, s.Promised = at("opened"), at("hands"), at("rinse by"), at("promised")
	s.End = session.Moments{P10: at("p10"), P50: at("p50"), P90: at("p90")}
	s.Late, s.Lasting = rapid.Float64Range(0, 1).Draw(t, "late"), rapid.Bool().Draw(t, "lasting")
	if rapid.Bool().Draw(t, "warns") {
		s.Loudest = &session.Warning{Level: session.Level(rapid.IntRange(0, 2).Draw(t, "level")), Text: text.Draw(t, "warning"), Fixed: rapid.Bool().Draw(t, "fixed")}
	}
	s.After = at("after")
	for range rapid.IntRange(0, 4).Draw(t, "blocks") {
		s.Blocks = append(s.Blocks, session.Block{From: at("from"), To: at("to"), Name: text.Draw(t, "block"), Rinse: rapid.Bool().Draw(t, "rinse")})
	}
	return s
}

func TestViewFitsAnySizeAndAnyText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(0, 200).Draw(t, "w"), rapid.IntRange(0, 60).Draw(t, "h")
		th := rapid.SampledFrom([]*theme.Theme{theme.Dark(), theme.Light(), theme.Mono(), theme.Pick(true, false, true)}).Draw(t, "theme")
		text := rapid.SampledFrom(hostile)
		l := floor.Look{Now: minute(62), Place: time.UTC, Fits: text.Draw(t, "fits")}
		for range rapid.IntRange(0, 12).Draw(t, "services") {
			l.Services = append(l.Services, drawService(t))
		}
		for range rapid.IntRange(0, 2).Draw(t, "troubles") {
			l.Troubles = append(l.Troubles, floor.Trouble{Text: text.Draw(t, "trouble"), Help: text.Draw(t, "help")})
		}
		m := screen(l, th, w, h)
		m.Tell(text.Draw(t, "status"), rapid.Bool().Draw(t, "bad"))
		for range rapid.IntRange(0, 5).Draw(t, "downs") {
			m.Update(tea.KeyMsg{Type: tea.KeyDown})
		}
		view := m.View()
		if w == 0 || h == 0 {
			require.Empty(t, view)
			return
		}
		lines := strings.Split(view, "\n")
		require.Len(t, lines, h)
		for _, line := range lines {
			require.LessOrEqual(t, ansi.StringWidth(line), w, "%q", line)
			plain := ansi.Strip(line)
			require.NotContains(t, plain, "\u202e")
			for _, r := range plain {
				require.False(t, unicode.IsControl(r), "%q", plain)
				require.False(t, th.ASCII && r > 126, "%q", plain)
			}
		}
	})
}

// crowd is so many services, of which every third needs hands now.
func crowd(n int) floor.Look {
	l := morning()
	var all []floor.Service
	for i := range n {
		s := l.Services[i%3]
		s.ID, s.Client = fmt.Sprintf("s%03d", i), fmt.Sprintf("Client %03d", i)
		s.HandsAt = minute(62 + float64(i%3)*20)
		all = append(all, s)
	}
	l.Services = all
	return l
}

func TestThoseWhoNeedHandsStayOnTopWhileTheOthersScroll(t *testing.T) {
	l := crowd(40)
	for i := range l.Services {
		s := &l.Services[i].FloorLook
		s.Pressing, s.Loudest, s.HandsAt = timing.Working, nil, minute(80+float64(i))
		if i == 7 || i == 12 {
			s.HandsAt = time.Time{}
		}
	}
	m := screen(l, theme.Mono(), 80, 24)
	clients := func() (all []string) {
		for _, line := range strings.Split(ansi.Strip(m.View()), "\n")[6:] {
			if f := strings.Fields(line); len(f) > 2 {
				for i, word := range f {
					if word == "Client" && !strings.Contains(line, "go to") {
						all = append(all, f[i+1])
					}
				}
			}
		}
		return all
	}
	top := clients()
	require.Equal(t, []string{"007*", "012*"}, top[:2])
	require.Contains(t, m.View(), "more; the arrows go to them")
	for range 30 {
		m.Update(tea.KeyMsg{Type: tea.KeyDown})
	}
	scrolled := clients()
	require.Equal(t, top[:2], scrolled[:2])
	require.NotEqual(t, top[2:], scrolled[2:])
	require.Contains(t, strings.Join(scrolled, " "), "030*", "the one that was picked is in sight")
}

func TestTheTopLineSaysTheNextThingForWhomAndByWhen(t *testing.T) {
	for _, size := range []struct{ w, h int }{{60, 20}, {80, 24}, {200, 60}} {
		lines := strings.Split(ansi.Strip(screen(morning(), theme.Mono(), size.w, size.h).View()), "\n")
		require.Contains(t, lines[0], "RINSE NAPE")
		require.Contains(t, lines[0], "Tove A.")
		require.Contains(t, strings.Join(lines[1:4], " "), "Nape must be off by 10:10")
		require.Contains(t, strings.Join(lines, " "), "collide")
		require.Contains(t, strings.Join(lines, " "), "ITS CHAIR IS GONE")
	}
	l := morning()
	l.Services = l.Services[1:2]
	lines := strings.Split(ansi.Strip(screen(l, theme.Mono(), 80, 24).View()), "\n")
	require.Contains(t, strings.Join(lines[1:4], " "), "until hands are needed, at 10:21")
}

// What colour says, words and shapes say too: the plain text differs as well.
func TestACollisionShowsInTheStrips(t *testing.T) {
	with := ansi.Strip(screen(morning(), theme.Mono(), 80, 24).View())
	l := morning()
	for i := range l.Services {
		l.Services[i].Clash = nil
	}
	without := ansi.Strip(screen(l, theme.Mono(), 80, 24).View())
	require.Contains(t, with, "│!!!!")
	require.NotContains(t, without, "!!")
}

func TestKeysBecomeIntents(t *testing.T) {
	m := screen(morning(), theme.Mono(), 80, 24)
	press := func(k tea.KeyMsg) intent.Intent {
		in, _ := m.Update(k)
		return in
	}
	letter := func(r string) tea.KeyMsg { return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(r)} }
	require.Equal(t, intent.Resume{Service: "tove"}, press(tea.KeyMsg{Type: tea.KeyEnter}), "the one that needs hands next")
	press(tea.KeyMsg{Type: tea.KeyDown})
	require.Equal(t, intent.Resume{Service: "june"}, press(tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}}))
	press(tea.KeyMsg{Type: tea.KeyUp})
	require.Equal(t, intent.LetGo{Service: "okpara"}, press(letter("g")))
	require.Nil(t, press(tea.KeyMsg{Type: tea.KeyEsc}), "forgets what was picked")
	require.Equal(t, intent.Floor{}, press(tea.KeyMsg{Type: tea.KeyEsc}))
	require.Equal(t, intent.Floor{}, press(letter("w")))
	require.Equal(t, intent.Open{Screen: intent.New}, press(letter("n")))
	require.Equal(t, intent.Quit{}, press(letter("q")))
	require.Nil(t, press(letter("%")))
	empty := screen(floor.Look{Now: zero, Place: time.UTC}, theme.Mono(), 80, 24)
	for _, k := range []tea.KeyMsg{{Type: tea.KeyEnter}, {Type: tea.KeyDown}, letter("g")} {
		in, _ := empty.Update(k)
		require.Nil(t, in)
	}
}

func TestEveryKeyOfTheWallDoesSomething(t *testing.T) {
	for _, b := range keys.Default("").OnFloor().All() {
		k := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(b.Keys()[0])}
		switch b.Keys()[0] {
		case " ":
			k.Type = tea.KeySpace
		case "up", "down", "/", "enter":
			continue
		case "esc":
			k = tea.KeyMsg{Type: tea.KeyEsc}
		}
		m := screen(morning(), theme.Mono(), 80, 24)
		in, _ := m.Update(k)
		require.NotNil(t, in, "%s: %s", b.Help().Key, b.Help().Desc)
	}
}

// BenchmarkView draws 200 services, all of them made anew as at a tick.
func BenchmarkView(b *testing.B) {
	l := crowd(200)
	m := screen(l, theme.Dark(), 200, 60)
	b.ReportAllocs()
	for b.Loop() {
		m.Show(l)
		m.View()
	}
}

// What the floor allocates grows with the services that are shown, not with
// those that are live.
func TestAFrameOfTheFloorIsLight(t *testing.T) {
	frame := func(n int) float64 {
		m := screen(crowd(n), theme.Dark(), 120, 40)
		return testing.AllocsPerRun(10, func() { m.View() })
	}
	require.Less(t, frame(200), 1500.0) // the race detector adds some
	require.Less(t, frame(400), 1.5*frame(100))
}

// Where help is needed stands first, at every size, with the chair and whom to
// call.
func TestHelpIsOnTop(t *testing.T) {
	l := morning()
	h := l.Services[1]
	h.Phase, h.Verb, h.Next, h.Help, h.Number, h.Since = "HELP", session.DoCall, "Call 112, say anaphylaxis", true, "112", minute(60)
	h.HandsAt = time.Time{}
	h.Loudest = &session.Warning{Key: "pain:9", Level: session.Alarm, Text: "HELP. EMERGENCY: call 112, say anaphylaxis"}
	l.Services[1] = h
	for _, size := range []struct{ w, h int }{{60, 20}, {80, 24}, {120, 40}} {
		m := screen(l, theme.Mono(), size.w, size.h)
		lines := strings.Split(ansi.Strip(m.View()), "\n")
		require.Contains(t, lines[0], "HELP: station 3, Mr. Okpara")
		require.Contains(t, strings.Join(lines[1:6], "\n"), "Call 112, say anaphylaxis")
		require.Contains(t, strings.Join(lines[1:7], "\n"), "HELP. EMERGENCY: call 112, say anaphylaxis")
		require.Contains(t, m.Lines()[0].Text, "HELP: station 3, Mr. Okpara, HELP: now: Call 112, say anaphylaxis")
		require.Equal(t, "HELP: station 3, Mr. Okpara: Call 112, say anaphylaxis", m.Short())
	}
}
