package start_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/store"
	"rinseby/timing"
	"rinseby/tui/keys"
	"rinseby/tui/start"
	"rinseby/tui/theme"
)

var nine = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

// left is the first screen over services that were left live, each of a client
// of the name.
func left(t testing.TB, th *theme.Theme, clients ...string) (*start.Model, []string) {
	st, err := store.Open(t.TempDir())
	require.NoError(t, err)
	var ids []string
	for i, c := range clients {
		live, err := st.Create(timing.Reading{Wall: nine.Add(time.Duration(i) * time.Minute)}, "test", session.Do(session.ServiceOpened{Client: c, ZoneList: "Full head"}))
		require.NoError(t, err)
		require.NoError(t, live.Close())
		ids = append(ids, live.ID)
	}
	all, problems, err := st.List()
	require.NoError(t, err)
	require.Empty(t, problems)
	m := start.New(th, keys.Default("").AtStart(), time.UTC)
	m.SetSize(80, 24)
	m.SetEntries(all)
	return m, ids
}

func TestWhatIsOverIsToldFirst(t *testing.T) {
	m, ids := left(t, theme.Dark(), "Tove A.", "June L.")
	lines := strings.Split(m.View(), "\n")
	require.Contains(t, lines[0], "What to do")
	m.SetLive(map[string]start.Live{
		ids[0]: {Order: -2, Off: "Nape OVER 12 min, limit 09:48", Over: true}, ids[1]: {Order: -1, Off: "Crown off by 10:20, in 20 min"},
	})
	lines = strings.Split(m.View(), "\n")
	over := theme.Dark().Phase(timing.Over).Style
	require.Equal(t, "Go on with Tove A.: ! Nape OVER 12 min, limit 09:48", strings.TrimSpace(ansi.Strip(lines[0])))
	list := slices.IndexFunc(lines, func(l string) bool { return strings.Contains(ansi.Strip(l), "»") })
	require.Contains(t, lines[list], over.Render("  PRODUCT ON, ! Nape OVER 12 min, limit 09:48"))
	require.Contains(t, lines[list+1], "Go on with June L.")
	require.Contains(t, lines[list+1], "  PRODUCT ON, Crown off by 10:20, in 20 min")
	require.NotContains(t, lines[list+1], over.Render("x")[:4])
	require.Equal(t, "Go on with Tove A., PRODUCT ON, ! Nape OVER 12 min, limit 09:48. Full head, since 2 Mar 09:00", m.Line(0))

	m.SetLive(map[string]start.Live{ids[0]: {Order: -2, Off: "Nape OVER 13 min, limit 09:48", Over: true}, ids[1]: {Order: -1}})
	require.Contains(t, m.View(), "13 min", "the words follow though the order is the same")
}

// Whatever the names, what must be off stays in sight whole.
func TestWhatMustBeOffIsNotCut(t *testing.T) {
	tove := strings.Repeat("Tove A. of the far side ", 5)
	m, ids := left(t, theme.Mono(), strings.TrimSpace(tove[:min(len(tove), session.MaxName)]))
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.IntRange(60, 160).Draw(t, "w")
		off := rapid.StringMatching(`[A-Z][a-z]{2,9}( [a-z]{2,8})?`).Draw(t, "zone") + rapid.SampledFrom([]string{" off by 10:20, in 20 min", " OVER 12 min, limit 09:48"}).Draw(t, "off")
		m.SetSize(w, 24)
		m.SetLive(map[string]start.Live{ids[0]: {Order: -1, Off: off, Over: strings.Contains(off, "OVER")}})
		lines := strings.Split(ansi.Strip(m.View()), "\n")
		list := slices.IndexFunc(lines, func(l string) bool { return strings.Contains(l, "»") })
		require.Contains(t, lines[list], off)
		for _, l := range lines {
			require.LessOrEqual(t, ansi.StringWidth(l), w)
		}
		if strings.Contains(off, "OVER") {
			require.Contains(t, lines[0], off)
		}
	})
}

// Where a line has no room for all, the name of the zone is cut: neither the
// time nor the client is.
func TestALongZoneLeavesRoomForTheClientAndTheTime(t *testing.T) {
	m, ids := left(t, theme.Mono(), "Tove A.", "June L.")
	for _, w := range []int{60, 80, 120} {
		m.SetSize(w, 20)
		m.SetLive(map[string]start.Live{
			ids[0]: {Order: -2, Zone: "Nape left and the hair behind the ears", Off: "OVER 12 min, limit 09:48", Over: true},
			ids[1]: {Order: -1, Zone: "Crown and the long parting above it", Off: "off by 10:20, in 20 min"},
		})
		lines := strings.Split(ansi.Strip(m.View()), "\n")
		list := slices.IndexFunc(lines, func(l string) bool { return strings.Contains(l, "»") })
		for _, at := range []int{0, list} {
			require.Contains(t, lines[at], "Tove A.")
			require.Contains(t, lines[at], "Nape left")
			require.Contains(t, lines[at], " OVER 12 min, limit 09:48")
		}
		require.Contains(t, lines[list+1], "June L.")
		require.Contains(t, lines[list+1], "Crown and")
		require.Contains(t, lines[list+1], " off by 10:20, in 20 min")
	}
}
