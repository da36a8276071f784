package replay_test

import (
	"flag"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/plain"
	tape "rinseby/session/replay"
	"rinseby/tui/intent"
	"rinseby/tui/keys"
	"rinseby/tui/replay"
	"rinseby/tui/station"
	"rinseby/tui/theme"
)

var update = flag.Bool("update", false, "write the golden files anew")

func ordinary(t testing.TB) *tape.Tape {
	f, err := os.Open("../../testdata/ordinary-day.jsonl")
	require.NoError(t, err)
	defer f.Close()
	l, err := plain.Read(f, time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC))
	require.NoError(t, err)
	return tape.New(l)
}

func screen(th *theme.Theme, tp *tape.Tape) *replay.Model {
	km := keys.Default("")
	chair := station.New(th, km)
	chair.Show(station.Look{Place: time.UTC, Wall: tp.From(), Relived: true})
	return replay.New(th, km.InReplay(), chair, tp, tp.From().Add(time.Hour), after(0))
}

func golden(t *testing.T, name, got string) {
	file := filepath.Join("testdata", name+".golden")
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(file, []byte(got+"\n"), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(want), got+"\n", file)
}

// bar is the lines that the replay adds below the chair.
func bar(m *replay.Model, h int) string {
	lines := strings.Split(m.View(), "\n")
	return strings.Join(lines[len(lines)-h:], "\n")
}

func TestTimelineGoldens(t *testing.T) {
	tp := ordinary(t)
	tp.SetMarks([]tape.Mark{{At: tp.From().Add(80 * time.Minute), Text: "here"}})
	for name, th := range map[string]*theme.Theme{"dark": theme.Dark(), "mono": theme.Mono(), "ascii": theme.Pick(true, true, true)} {
		for size, high := range map[[2]int]int{{60, 20}: 3, {80, 24}: 4, {120, 40}: 7} {
			m := screen(th, tp)
			m.SetSize(size[0], size[1])
			m.SetStops(tp.Stops())
			golden(t, "timeline-"+name+"-"+map[int]string{20: "60x20", 24: "80x24", 40: "120x40"}[size[1]], bar(m, high))
		}
	}
}

// No two keys of a replay are the same, and each is on the help screen.
func TestKeysAreOneEach(t *testing.T) {
	seen := map[string]string{}
	require.Len(t, keys.Default("").InReplay().All(), reflect.TypeFor[keys.Replay]().NumField())
	for _, b := range keys.Default("").InReplay().All() {
		for _, k := range b.Keys() {
			require.NotEmpty(t, b.Help().Desc, k)
			require.Empty(t, seen[k], "%s: %s and %s", k, seen[k], b.Help().Desc)
			seen[k] = b.Help().Desc
		}
	}
}

// Until the log was looked through, stepping waits, and nothing else does.
func TestStepsWaitForTheStops(t *testing.T) {
	tp := ordinary(t)
	m := screen(theme.Mono(), tp)
	press := func(text string) intent.Intent {
		in, _ := m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(text)})
		return in
	}
	require.Contains(t, press("w").(intent.Say).Text, "still being looked through")
	require.Equal(t, tp.From().Add(time.Hour), m.Moment())
	m.SetStops(tp.Stops())
	require.Contains(t, press("w").(intent.Say).Text, "warned: ")
	require.Equal(t, intent.Say{Text: replay.Refusal}, press("p"))
	require.Equal(t, intent.Open{Screen: intent.Fan}, press("F"))
	require.Equal(t, intent.Quit{}, press("q"))
}

// points are forecasts that close on the end of the tape.
func points(tp *tape.Tape, n int) (all []replay.Foretold) {
	end := tp.To()
	for i := range n {
		at := tp.From().Add(end.Sub(tp.From()) / time.Duration(n) * time.Duration(i))
		p := replay.Foretold{At: at}
		if left := end.Sub(at); i > 2 {
			p.End = session.Moments{P10: end.Add(-left / 8), P50: end.Add(left / 8), P90: end.Add(left / 3)}
		}
		all = append(all, p)
	}
	return all
}

func TestFanGoldens(t *testing.T) {
	tp := ordinary(t)
	for name, th := range map[string]*theme.Theme{"dark": theme.Dark(), "mono": theme.Mono(), "ascii": theme.Pick(true, true, true)} {
		f := replay.NewFan(th, keys.Default("").OnPage(), tp, 30)
		f.SetPoints(points(tp, 30))
		f.Show(tp.From().Add(time.Hour), tp.To(), tp.To().Add(-10*time.Minute))
		f.SetSize(80, 22)
		golden(t, "fan-"+name, f.View())
	}
	f := replay.NewFan(theme.Mono(), keys.Default("").OnPage(), tp, 30)
	f.SetPoints(points(tp, 30)[:12])
	f.Show(tp.From().Add(time.Hour), time.Time{}, time.Time{}) // of a service that is not closed
	f.SetSize(60, 18)
	golden(t, "fan-begun", f.View())
}

func TestScreensFit(t *testing.T) {
	tp := ordinary(t)
	tp.SetMarks([]tape.Mark{{At: tp.To(), Text: "\x1b[2Jend\u202e"}})
	stops := tp.Stops()
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(0, 200).Draw(t, "w"), rapid.IntRange(0, 60).Draw(t, "h")
		th := rapid.SampledFrom([]*theme.Theme{theme.Dark(), theme.Light(), theme.Mono(), theme.Pick(true, false, true)}).Draw(t, "theme")
		m := screen(th, tp)
		m.SetStops(stops)
		m.SetSize(w, h)
		m.Seek(tp.From().Add(time.Duration(rapid.Int64Range(0, int64(4*time.Hour)).Draw(t, "moment"))))
		f := replay.NewFan(th, keys.Default("").OnPage(), tp, 30)
		f.SetPoints(points(tp, 30)[:rapid.IntRange(0, 30).Draw(t, "points")])
		f.Show(m.Moment(), tp.To(), time.Time{})
		f.SetSize(w, h)
		for _, view := range []string{m.View(), f.View()} {
			lines := strings.Split(view, "\n")
			require.LessOrEqual(t, len(lines), max(h, 1))
			for _, line := range lines {
				require.LessOrEqual(t, ansi.StringWidth(line), w, "%q", line)
			}
		}
	})
}

func BenchmarkFan(b *testing.B) {
	tp := ordinary(b)
	f := replay.NewFan(theme.Dark(), keys.Default("").OnPage(), tp, 60)
	f.SetPoints(points(tp, 60))
	f.Show(tp.From().Add(time.Hour), tp.To(), time.Time{})
	f.SetSize(120, 38)
	for b.Loop() {
		_ = f.View()
	}
}
