package tui_test

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"

	"rinseby/session/hostile"
	"rinseby/tui"
	"rinseby/tui/theme"
)

var (
	screenSizes  = []struct{ w, h int }{{60, 20}, {80, 24}, {120, 40}}
	screenThemes = []struct {
		name string
		th   func() *theme.Theme
	}{{"dark", theme.Dark}, {"light", theme.Light}, {"no colour", theme.Mono}}
)

// TestScreens holds every screen, at three sizes and in three themes, to what
// it looked like when somebody last looked at it. Escape sequences are shown by
// a visible sign.
func TestScreens(t *testing.T) {
	for _, s := range scenes() {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			var out strings.Builder
			for _, th := range screenThemes {
				d := s.build(t, invented, func(o *tui.Options) { o.Theme = th.th() })
				for _, size := range screenSizes {
					d.size(size.w, size.h)
					fmt.Fprintf(&out, "== %dx%d, %s\n%s\n", size.w, size.h, th.name, strings.ReplaceAll(d.app.View(), "\x1b", "␛"))
				}
			}
			file := filepath.Join("testdata", "screens", s.name+".golden")
			if *update {
				require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
				require.NoError(t, os.WriteFile(file, []byte(out.String()), 0o644))
			}
			want, err := os.ReadFile(file)
			require.NoError(t, err)
			require.Equal(t, string(want), out.String(), file)
		})
	}
}

// requireSound holds a screen to its size, and to text and our own sequences.
func requireSound(t require.TestingT, view string, w, h int, where string) {
	lines := strings.Split(view, "\n")
	require.LessOrEqual(t, len(lines), h, "%s: too many lines", where)
	for i, line := range lines {
		require.LessOrEqual(t, ansi.StringWidth(line), w, "%s, line %d: %q", where, i, line)
	}
	require.NoError(t, hostile.CheckScreen(view), where)
}

var sizesEach = flag.Int("sizes", 12, "at how many sizes each screen is tried with hostile text")

// Whatever people typed, no screen is ever too wide or too high, and none holds
// a control that is not our own; at any size.
func TestScreensStaySoundWithHostileText(t *testing.T) {
	for i, s := range scenes() {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			all := hostile.Samples()
			text := all[i%len(all)].Text + all[(i*7+3)%len(all)].Text
			th := []*theme.Theme{theme.Dark(), theme.Mono(), theme.Pick(true, false, true)}[i%3]
			d := s.build(t, hostileNames(hostile.Name(text, 90)), func(o *tui.Options) { o.Theme = th })
			sizes := rand.New(rand.NewPCG(uint64(i), 1))
			for range *sizesEach {
				w, h := 20+sizes.IntN(181), 5+sizes.IntN(56)
				d.size(w, h)
				requireSound(t, d.app.View(), w, h, fmt.Sprintf("%s at %dx%d", s.name, w, h))
			}
			for _, size := range []struct{ w, h int }{{0, 0}, {1, 1}, {3, 200}, {400, 2}} {
				d.size(size.w, size.h)
				requireSound(t, d.app.View(), size.w, max(size.h, 1), s.name)
			}
		})
	}
}

// caught is told of a failure instead of the test.
type caught struct{ failed bool }

func (c *caught) Errorf(string, ...any) { c.failed = true }
func (c *caught) FailNow()              { panic(c) }

// The check itself finds what it is for.
func TestUnsoundScreensAreFound(t *testing.T) {
	for name, view := range map[string]string{
		"too wide": "123456", "too many lines": "1\n2\n3\n4", "clears the screen": "\x1b[2J", "C1": "\u009b31m", "bell": "\a", "tab": "\t", "return": "\r",
		"bidi": "\u202e", "zero width": "\u200b", "tag": "\U000e0041", "title": "\x1b]0;x", "private use": "\ue000",
	} {
		c := &caught{}
		func() {
			defer func() { _ = recover() }()
			requireSound(c, view, 5, 3, name)
		}()
		require.True(t, c.failed, name)
	}
	requireSound(t, "\x1b[1;7m12345\x1b[m\nab\nc", 5, 3, "sound")
}
