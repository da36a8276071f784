package widget_test

import (
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/charmbracelet/x/vt"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/timing"
	"rinseby/tui/theme"
	"rinseby/tui/widget"
)

// textual draws lines of any kind: styled, wide, broken, hostile.
func textual() *rapid.Generator[string] {
	piece := rapid.OneOf(
		rapid.SampledFrom([]string{
			theme.Dark().Phase(timing.Over).Label(), theme.Dark().Band.Render("take it off"), "\x1b[38;5;1m", "\x1b[m",
			"crown ", "日本", "e\u0301", "\U0001f468\u200d\U0001f469", "\U0001f1f8\U0001f1ea", "─═█▀", "…", "1\ufe0f\u20e3",
			"\n", "\r", "\t", "\x1b", "\x1b[", "\x1b]0;", "\a", "\u009b", "\xff", "\u0301", "\u200b", " ",
		}),
		rapid.String(),
		rapid.StringOfN(rapid.RuneFrom([]rune("abc  -.é")), 0, 300, -1),
	)
	return rapid.Map(rapid.SliceOfN(piece, 0, 8), func(p []string) string { return strings.Join(p, "") })
}

func themes() *rapid.Generator[*theme.Theme] {
	return rapid.Custom(func(t *rapid.T) *theme.Theme {
		return theme.Pick(rapid.Bool().Draw(t, "dark"), rapid.Bool().Draw(t, "mono"), rapid.Bool().Draw(t, "ascii"))
	})
}

func width() *rapid.Generator[int]  { return rapid.IntRange(-1, 200) }
func height() *rapid.Generator[int] { return rapid.IntRange(-1, 60) }

// requireFits checks that lines are no more than h, no wider than w, and have
// no control characters but those of style.
func requireFits(t require.TestingT, lines []string, w, h int) {
	require.LessOrEqual(t, len(lines), max(h, 0), "lines")
	for _, line := range lines {
		require.LessOrEqual(t, ansi.StringWidth(line), max(w, 0), "width of %q", line)
		require.NotContains(t, line, "\n")
		for _, r := range ansi.Strip(line) {
			require.False(t, r < 0x20 || r >= 0x7f && r < 0xa0, "%U in %q", r, line)
		}
	}
}

func TestTextFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text, w := textual().Draw(t, "text"), width().Draw(t, "w")
		require.Equal(t, ansi.StringWidth(widget.Fit(text, 1<<20)), widget.Width(text))
		requireFits(t, []string{widget.Fit(text, w)}, w, 1)
		require.Equal(t, widget.Fit(text, w), widget.Fit(widget.Fit(text, w), w))
		for _, padded := range []string{widget.PadLeft(text, w), widget.PadRight(text, w), widget.Centre(text, w)} {
			requireFits(t, []string{padded}, w, 1)
			require.Equal(t, max(w, 0), ansi.StringWidth(padded), "%q", padded)
		}
		plain := ansi.Strip(text)
		requireFits(t, widget.Wrap(plain, w), w, len(plain)+1)
	})
}

// No single character joins what a widget puts before or behind it.
func TestNothingJoinsItsSurroundings(t *testing.T) {
	for r := rune(0); r <= 0x323af; r++ {
		text := widget.Fit(string(r), 9)
		n := ansi.StringWidth(text)
		require.Equal(t, n, widget.Width(string(r)), "%U", r)
		require.Equal(t, n+4, ansi.StringWidth("│ "+text+" │"), "%U", r)
	}
}

func TestWrapLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[a-zåé日 ]{0,80}`).Draw(t, "text")
		w := rapid.IntRange(2, 40).Draw(t, "w")
		got := strings.Join(widget.Wrap(text, w), "")
		require.Equal(t, strings.ReplaceAll(text, " ", ""), strings.ReplaceAll(got, " ", ""))
	})
}

func TestScreenFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		th := themes().Draw(t, "theme")
		w, h := width().Draw(t, "w"), height().Draw(t, "h")
		lines := rapid.SliceOfN(textual(), 0, 20)
		head, body, foot := lines.Draw(t, "head"), lines.Draw(t, "body"), lines.Draw(t, "foot")
		requireFits(t, widget.Clamp(body, w, h), w, h)
		framed := widget.Frame(th, textual().Draw(t, "title"), body, w, h)
		requireFits(t, framed, w, h)
		if w >= 4 && h >= 2 {
			require.Len(t, framed, h)
			for _, line := range framed {
				require.Equal(t, w, ansi.StringWidth(line), "%q", line)
			}
		}
		screen := widget.Screen(th, head, body, foot, w, h)
		if w <= 0 || h <= 0 {
			require.Empty(t, screen)
			return
		}
		got := strings.Split(screen, "\n")
		requireFits(t, got, w, h)
		require.Len(t, got, h)
		if len(head) > 0 && !th.ASCII {
			first, _, _ := strings.Cut(head[0], "\n")
			require.Equal(t, widget.Fit(first, w), got[0], "the top line")
		}
		if th.ASCII {
			require.True(t, isASCII(screen), "%q", screen)
		}
	})
}

// On a terminal of just the size of the screen, the top line is still there
// when all is written, whatever the text.
func TestTopLineStaysOnATerminal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(20, 120).Draw(t, "w"), rapid.IntRange(5, 40).Draw(t, "h")
		lines := rapid.SliceOfN(textual(), 0, 60)
		screen := widget.Screen(theme.Dark(), []string{"next: nape"}, lines.Draw(t, "body"), lines.Draw(t, "foot"), w, h)
		terminal := vt.NewEmulator(w, h)
		_, err := terminal.WriteString(strings.ReplaceAll(screen, "\n", "\r\n"))
		require.NoError(t, err)
		first, _, _ := strings.Cut(terminal.String(), "\n")
		require.Equal(t, "next: nape", strings.TrimRight(first, " "))
	})
}

func isASCII(s string) bool {
	return strings.IndexFunc(s, func(r rune) bool { return r >= 0x80 }) < 0
}

func TestDigitsFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(rapid.StringMatching(`[-+]?[0-9]{1,2}(:[0-5][0-9]){0,2}`), textual()).Draw(t, "text")
		th, w, h := themes().Draw(t, "theme"), width().Draw(t, "w"), height().Draw(t, "h")
		lines := widget.Digits(th, text, w, h)
		requireFits(t, lines, w, h)
		for _, line := range lines {
			require.Equal(t, ansi.StringWidth(lines[0]), ansi.StringWidth(line))
		}
	})
}

func TestBarAndAxisFit(t *testing.T) {
	moment := rapid.Custom(func(t *rapid.T) time.Time {
		if rapid.IntRange(0, 9).Draw(t, "unset") == 0 {
			return time.Time{}
		}
		return at(rapid.Float64Range(-300, 600).Draw(t, "minutes"))
	})
	rapid.Check(t, func(t *rapid.T) {
		th, w := themes().Draw(t, "theme"), rapid.IntRange(-1, 400).Draw(t, "w")
		b := widget.Bar{
			From: moment.Draw(t, "from"), To: moment.Draw(t, "to"), Now: moment.Draw(t, "now"),
			FirstContact: moment.Draw(t, "first"), LastContact: moment.Draw(t, "last"),
			OpensAt: moment.Draw(t, "opens"), LimitAt: moment.Draw(t, "limit"), Off: moment.Draw(t, "off"),
		}
		for _, line := range []string{b.Render(th, w), widget.Axis(th, b.From, b.To, b.Now, time.UTC, w)} {
			requireFits(t, []string{line}, w, 1)
			require.Equal(t, max(w, 0), ansi.StringWidth(line), "%q", line)
			require.True(t, !th.ASCII || isASCII(line), "%q", line)
		}
	})
}

func TestFit(t *testing.T) {
	for _, c := range []struct {
		in   string
		w    int
		want string
	}{
		{"back left", 9, "back left"},
		{"back left", 8, "back le…"},
		{"back left", 0, ""},
		{"日本語", 4, "日…"},
		{"\x1b[1mback left\x1b[m", 5, "\x1b[1mback…\x1b[m"},
		{"a\tb\nc", 9, "a b c"},
		{"a\x1b[2Jb\ac", 9, "a[2Jbc"},
	} {
		assert.Equal(t, c.want, widget.Fit(c.in, c.w), "%q", c.in)
	}
}

func TestPads(t *testing.T) {
	assert.Equal(t, "nape  ", widget.PadRight("nape", 6))
	assert.Equal(t, "  nape", widget.PadLeft("nape", 6))
	assert.Equal(t, " nape  ", widget.Centre("nape", 7))
	assert.Len(t, widget.PadRight("", 500), 500)
	assert.Equal(t, []string{"a   c", "b   d", "    e"}, widget.Beside([]string{"a", "b"}, 2, 2, []string{"c", "d", "e"}))
}

func TestWrap(t *testing.T) {
	for _, c := range []struct {
		in   string
		w    int
		want []string
	}{
		{"rinse it after zone 4", 10, []string{"rinse it", "after zone", "4"}},
		{"lighteners", 4, []string{"ligh", "tene", "rs"}},
		{"a lighteners", 4, []string{"a", "ligh", "tene", "rs"}},
		{"one\n\ntwo", 9, []string{"one", "", "two"}},
		{"日本", 1, []string{"…", "…"}},
		{"", 9, []string{""}},
		{"x", 0, nil},
	} {
		assert.Equal(t, c.want, widget.Wrap(c.in, c.w), "%q", c.in)
	}
}

func TestScreenGivesUpTheLeastFirst(t *testing.T) {
	th := theme.Mono()
	head, body, foot := []string{"next", "ring"}, []string{"a", "b", "c"}, []string{"keys", "more"}
	for h, want := range map[int]string{
		9: "next|ring|a|b|c|||keys|more",
		7: "next|ring|a|b|c|keys|more",
		5: "next|ring|a|keys|more",
		3: "next|ring|keys",
		1: "next",
		0: "",
	} {
		assert.Equal(t, want, strings.ReplaceAll(widget.Screen(th, head, body, foot, 20, h), "\n", "|"), "%d lines", h)
	}
}

func TestScreenInASCII(t *testing.T) {
	th := theme.Pick(true, true, true)
	assert.Equal(t, "?sa 20~ ?? cafe", widget.Screen(th, []string{"Åsa 20… 日 cafe\u0301"}, nil, nil, 40, 1))
}

func TestHintAndBand(t *testing.T) {
	th := theme.Mono()
	assert.Equal(t, "\x1b[1mspace\x1b[m next foil", widget.Hint(th, "space", "next foil"))
	assert.Equal(t, "\x1b[1;7m nape over   \x1b[m", widget.Band(th.Band, "nape over", 13))
}

func TestClock(t *testing.T) {
	for want, d := range map[string]time.Duration{
		"00:00":         999 * time.Millisecond,
		"12:34":         12*time.Minute + 34*time.Second,
		"59:59":         time.Hour - 1,
		"1:00:00":       time.Hour,
		"1:02:03":       time.Hour + 2*time.Minute + 3*time.Second,
		"02:10":         -130 * time.Second,
		"2562047:47:16": -1 << 63,
	} {
		assert.Equal(t, want, widget.Clock(d))
	}
}

// A line separator has no width to measure, but some terminals draw one.
func TestLineSeparatorsAreLeftOut(t *testing.T) {
	for _, text := range []string{"AAA\u2028", "A\u2029AA"} {
		require.Equal(t, "AAA", widget.Fit(text, 10))
		require.Equal(t, 3, widget.Width(text))
	}
}

func TestWordsAreCutBetween(t *testing.T) {
	for _, c := range []struct {
		text string
		w    int
		want string
	}{
		{"", 5, ""}, {"Nape", 0, ""}, {"Nape", 4, "Nape"}, {"Back left", 9, "Back left"}, {"Back left", 8, "Back…"},
		{"Back left, under", 11, "Back left…"}, {"Undercrown left", 6, "Under…"}, {"Tove A. · Rime", 10, "Tove A.…"}, {"日本 日本", 6, "日本…"},
	} {
		assert.Equal(t, c.want, widget.FitWords(c.text, c.w), "%q in %d", c.text, c.w)
	}
	assert.Equal(t, []string{"rinse the", "nape before", "it is too…"}, widget.WrapWords("rinse the nape before it is too late for it", 10, 11, 3))
	assert.Equal(t, []string{"Underthecr", "own is over"}, widget.WrapWords("Underthecrown is over", 10, 11, 3))
	assert.Equal(t, "PLACE…   Undercrown… off by 10:20", widget.Keep("PLACE THE NEXT PIECE", "   Undercrown left", " off by 10:20", 34))
	rapid.Check(t, func(t *rapid.T) {
		text, w := textual().Draw(t, "text"), width().Draw(t, "w")
		requireFits(t, []string{widget.FitWords(text, w)}, w, 1)
		requireFits(t, []string{widget.Keep(text, text, " at 10:20", w)}, w, 1)
		requireFits(t, widget.WrapWords(text, w, w, 4), w, 4)
	})
}
