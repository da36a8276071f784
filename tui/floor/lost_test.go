package floor_test

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/timing"
	"rinseby/tui/floor"
	"rinseby/tui/theme"
)

var (
	saysFit  = regexp.MustCompile(`\bfit\b`)
	saysLost = regexp.MustCompile(`LATE|OVER|over its limit|over at best|min late`)
)

// Whatever the services: a screen that says that somebody is late, or over a
// limit, does not say that all fit, and the same in words.
func TestNothingFitsWhereAnythingIsLost(t *testing.T) {
	fits, lost := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		at := func(label string, from, to int) time.Time {
			return minute(float64(rapid.IntRange(from, to).Draw(t, label)))
		}
		l := floor.Look{Now: minute(62), Place: time.UTC, Fits: "All 3 clients fit on Ines's hands", Apart: "Nothing collides on Ines's hands"}
		for _, client := range []string{"Tove A.", "June L.", "Mr. Okpara"}[:rapid.IntRange(1, 3).Draw(t, "clients")] {
			s := floor.Service{FloorLook: session.FloorLook{ID: client, Client: client, Now: l.Now, Next: "Place Nape", Verb: session.DoPlace}}
			if rapid.Bool().Draw(t, "on") {
				s.RinseZone, s.RinseBy, s.Pressing = "Nape", at("by", 55, 120), timing.Working
				if s.RinseBy.Before(l.Now) && rapid.Bool().Draw(t, "pressing") { // the board may be some seconds older
					s.Pressing = timing.Over
					s.Loudest = &session.Warning{Key: "over:z1", Level: session.Alarm, Text: "Nape is 2 min over its limit: rinse it now"}
				}
			}
			if rapid.Bool().Draw(t, "collides") {
				s.Loudest = &session.Warning{Key: session.CollisionKey + "z1:z2", Level: session.Alert, Text: "Nape will be 3 min over at best: rinse early"}
			}
			if rapid.Bool().Draw(t, "promised") {
				s.Promised, s.Late, s.Lasting = at("promised", 100, 200), 0.6, rapid.Bool().Draw(t, "lasting")
			}
			if rapid.Bool().Draw(t, "foretold") {
				end := at("end", 100, 200)
				s.End = session.Moments{P10: end, P50: end, P80: end, P90: end, P95: end}
				s.After = at("after", 100, 220)
			}
			l.Services = append(l.Services, s)
		}
		m := screen(l, theme.Mono(), rapid.SampledFrom([]int{80, 120}).Draw(t, "w"), 40)
		said := m.Says()
		for _, line := range m.Lines() {
			said = append(said, line.Text)
		}
		for i, text := range []string{ansi.Strip(m.View()), strings.Join(said, "\n")} {
			require.False(t, saysFit.MatchString(text) && saysLost.MatchString(text), "%s", text)
			if saysFit.MatchString(text) {
				fits++
			}
			if saysLost.MatchString(text) {
				lost++
				if i == 1 { // a screen may have no room for it
					require.Contains(t, text, "not in time: ")
				}
			}
		}
	})
	require.NotZero(t, fits)
	require.NotZero(t, lost)
}
