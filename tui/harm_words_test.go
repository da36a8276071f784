package tui_test

import (
	"regexp"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/tui"
)

// holdsBack are words that would keep hands from hair that is being harmed.
var holdsBack = regexp.MustCompile(`(?i)\bwait\b|not before|nothing to press|opens at`)

// Where hair is weakened, hurts or can take no more, no screen tells to wait: the
// chair at every size, the floor, the first screen, the title, and words.
func TestNothingSaysWaitWhereHairIsHarmed(t *testing.T) {
	weak := func(feel string) func(d *desk, id string) {
		return func(d *desk, id string) { d.logs(id, session.ZoneChecked{Zone: "z1", Feel: feel}) }
	}
	for name, harm := range map[string]func(d *desk, id string){
		"weak": weak(session.FeelWeak), "mushy": weak(session.FeelMushy),
		"pain": func(d *desk, id string) { d.logs(id, session.PainReported{}) },
		"weak, at the basin": func(d *desk, id string) {
			weak(session.FeelWeak)(d, id)
			d.logs(id, session.RinseBegan{Zones: []string{"z1"}})
		},
	} {
		t.Run(name, func(t *testing.T) {
			d := newDesk(t, nil)
			id := d.ready()
			d.logs(id, session.PiecePlaced{Zone: "z1", Count: 6})
			d.pass(5 * time.Minute) // open after 20: without harm there is nothing to do but wait
			harm(d, id)
			d.pass(time.Minute)
			calm := func(where, text string) {
				t.Helper()
				for _, line := range strings.Split(text, "\n") {
					require.False(t, holdsBack.MatchString(line), "%s: %q", where, line)
				}
			}
			d.open(func(o *tui.Options) { o.Resume, o.Title = id, true })
			for _, size := range []tea.WindowSizeMsg{{Width: 60, Height: 20}, {Width: 80, Height: 24}, {Width: 120, Height: 40}, {Width: 40, Height: 10}} {
				d.send(size)
				d.send(tui.Tick(d.Read()))
				calm("chair", d.view())
			}
			d.send(tea.WindowSizeMsg{Width: 80, Height: 24})
			d.press("?") // what stays of the chair over another screen
			calm("over another screen", strings.Join(strings.Split(d.view(), "\n")[:2], "\n"))
			calm("title", strings.Join(d.titles, "\n"))

			d.open(func(o *tui.Options) { o.Floor = true })
			d.show(id)
			calm("floor", d.view())
			d.open(nil)
			d.show(id)
			d.send(tui.Tick(d.Read()))
			d.sees("Tove A.")
			calm("first screen", d.view())
			require.NotContains(t, d.view(), "off by", "no time is told for what must come off now")

			l := d.listen(func(o *tui.Options) { o.Resume = id })
			l.tick(2)
			calm("in words", l.heard())
		})
	}
}

// logs logs at the chair of a service that nobody runs.
func (d *desk) logs(id string, data session.Data) {
	d.t.Helper()
	live, err := d.st.Resume(d.Read(), id, "test")
	require.NoError(d.t, err)
	_, err = live.Do(d.Read(), session.Do(data))
	require.NoError(d.t, err)
	require.NoError(d.t, live.Close())
}
