package tui_test

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"

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

// ours are the only control sequences that a screen may hold: those that the
// themes make.
var ours = regexp.MustCompile(`\x1b\[[0-9;]*m`)

// requireSound holds a screen to its size, and to text and our own sequences.
func requireSound(t require.TestingT, view string, w, h int, where string) {
	lines := strings.Split(view, "\n")
	require.LessOrEqual(t, len(lines), h, "%s: too many lines", where)
	for i, line := range lines {
		require.LessOrEqual(t, ansi.StringWidth(line), w, "%s, line %d: %q", where, i, line)
	}
	for _, r := range ours.ReplaceAllString(strings.ReplaceAll(view, "\n", ""), "") {
		require.False(t, unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == '\u200b' || r == '\ufeff' ||
			r >= 0xe0000 && r <= 0xe007f || r >= 0xe000 && r <= 0xf8ff, "%s: %U is on the screen", where, r)
	}
}

// corpus is text that says something else to a terminal than to a person.
var corpus = []string{
	"\x1b[2J\x1b[H", "\x1b]0;title\a", "\x1b]52;c;aGk=\x1b\\", "\x9b31m", "\u009b31m", "\u009d0;x\u009c", "\x00\x07\x08\x0b\x0c\x0e\x7f", "a\rb\tc\nd",
	"\u202eabc\u202c", "\u2066x\u2069", "\u200b\u200d\ufeff", "\U000e0041\U000e0042\U000e007f", "e" + strings.Repeat("\u0301", 5000), "\xff\xfe\xc3",
	"\U0001f469\u200d\U0001f469\u200d\U0001f467", "\u2028\u2029\u0085", "日本語の名前", "\ue000\uf8ff", strings.Repeat("long ", 60), "<script>alert(1)</script>", "%s%d%n",
}

var sizesEach = flag.Int("sizes", 12, "at how many sizes each screen is tried with hostile text")

// Whatever people typed, no screen is ever too wide or too high, and none holds
// a control that is not our own; at any size.
func TestScreensStaySoundWithHostileText(t *testing.T) {
	for i, s := range scenes() {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			text := corpus[i%len(corpus)] + corpus[(i*7+3)%len(corpus)]
			th := []*theme.Theme{theme.Dark(), theme.Mono(), theme.Pick(true, false, true)}[i%3]
			d := s.build(t, hostileNames(short(text)), func(o *tui.Options) { o.Theme = th })
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

// short keeps a text to what a name may be.
func short(text string) string {
	if len(text) > 90 {
		return strings.ToValidUTF8(text[:90], "")
	}
	return text
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
