package widget

import (
	"iter"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
	"rinseby/tui/theme"
)

const ellipsis = "…"

// Width is the number of cells that one line of text takes. Control sequences
// take none.
func Width(text string) int {
	if w, ok := simpleWidth(text); ok {
		return w
	}
	return ansi.StringWidth(harmless(text))
}

// Fit returns text cut to at most w cells, with an ellipsis where it was cut.
// Styles are kept. Line breaks and tabs become spaces; other control
// characters, and sequences that are not about style, are taken out.
func Fit(text string, w int) string {
	text, _ = fit(text, w)
	return text
}

// fit is Fit, and says how wide the result is.
func fit(text string, w int) (string, int) {
	if w <= 0 {
		return "", 0
	}
	n, ok := simpleWidth(text)
	if !ok {
		text = harmless(text)
		n = ansi.StringWidth(text)
	}
	if n > w {
		return cut(text, w)
	}
	return text, n
}

// PadRight is Fit, with spaces added at the right to exactly w cells.
func PadRight(text string, w int) string {
	text, n := fit(text, w)
	return text + spaces(w-n)
}

// PadLeft is Fit, with spaces added at the left to exactly w cells.
func PadLeft(text string, w int) string {
	text, n := fit(text, w)
	return spaces(w-n) + text
}

// Centre is Fit, with spaces added at both sides to exactly w cells.
func Centre(text string, w int) string {
	text, n := fit(text, w)
	left := max(w-n, 0) / 2
	return spaces(left) + text + spaces(w-n-left)
}

// Wrap breaks plain text into lines of at most w cells, between words where it
// can. Line breaks in the text are kept. Text without a word gives one empty
// line; a w of zero or less gives no line.
func Wrap(text string, w int) []string {
	if w <= 0 {
		return nil
	}
	var lines []string
	for paragraph := range strings.SplitSeq(text, "\n") {
		lines = wrapParagraph(lines, paragraph, w)
	}
	return lines
}

func wrapParagraph(lines []string, text string, w int) []string {
	var line strings.Builder
	used := 0
	for _, word := range strings.Fields(harmless(text)) {
		n := ansi.StringWidth(word)
		if used > 0 && used+1+n > w {
			lines = append(lines, line.String())
			line.Reset()
			used = 0
		}
		if used > 0 {
			line.WriteByte(' ')
			used++
		}
		for part, width := range parts(word) {
			if width > w {
				part, width = ellipsis, 1
			}
			if used > 0 && used+width > w {
				lines = append(lines, line.String())
				line.Reset()
				used = 0
			}
			line.WriteString(part)
			used += width
		}
	}
	return append(lines, line.String())
}

// Beside puts two blocks of lines side by side: left in a column of leftW
// cells, then gap spaces, then right as it is.
func Beside(left []string, leftW, gap int, right []string) []string {
	lines := make([]string, max(len(left), len(right)))
	for i := range lines {
		l, r := "", ""
		if i < len(left) {
			l = left[i]
		}
		if i < len(right) {
			r = right[i]
		}
		lines[i] = PadRight(l, leftW) + spaces(gap) + r
	}
	return lines
}

// Hint is a key and what it does, as in "space next foil".
func Hint(th *theme.Theme, key, does string) string {
	return th.Key.Render(key) + " " + th.KeyHint.Render(does)
}

// Arrows names the keys that go up and down.
func Arrows(th *theme.Theme) string {
	if th.ASCII {
		return "up/down"
	}
	return "↑/↓"
}

// Band is the full-width warning: text in style, over exactly w cells.
func Band(style theme.Style, text string, w int) string {
	return style.Render(PadRight(" "+text, w))
}

const blanks = "                                                                                                    "

func spaces(n int) string {
	switch {
	case n <= 0:
		return ""
	case n <= len(blanks):
		return blanks[:n]
	}
	return strings.Repeat(" ", n)
}

// simpleWidth measures text that is made of style sequences and of characters
// which are one cell wide and never join others. It says false for any other
// text, which must be measured by its grapheme clusters; that takes ten times
// as long.
func simpleWidth(text string) (int, bool) {
	n := 0
	for i := 0; i < len(text); {
		c := text[i]
		if c >= 0x20 && c < 0x7f {
			n++
			i++
			continue
		}
		if size := styleSequence(text[i:]); size > 0 {
			i += size
			continue
		}
		r, size := utf8.DecodeRuneInString(text[i:])
		if !oneCell(r) {
			return 0, false
		}
		n++
		i += size
	}
	return n, true
}

// oneCell names the characters that our own screens draw with, and the
// letters of Latin languages.
func oneCell(r rune) bool {
	switch {
	case r >= 0x2500 && r <= 0x259f, // lines and blocks
		r >= 0x00c0 && r <= 0x024f: // Latin letters
		return true
	}
	switch r {
	case '·', '…', '≈', '►', '○', '●', '▲', '▼', '■', '□', '–', '—', '’', '×', '↓', '↑', '←', '→', '«', '»', '±', '°', 'µ':
		return true
	}
	return false
}

// styleSequence is the length of the style sequence at the start of text, or 0
// if there is none.
func styleSequence(text string) int {
	if len(text) < 3 || text[0] != 0x1b || text[1] != '[' {
		return 0
	}
	for i := 2; i < len(text); i++ {
		switch c := text[i]; {
		case c == 'm':
			return i + 1
		case (c < '0' || c > '9') && c != ';' && c != ':':
			return 0
		}
	}
	return 0
}

// harmless takes out of text all that could move the cursor or change the
// terminal, and what would join the text before or behind it, so that what is
// measured is what is shown wherever it is put. It is no substitute for the
// cleaning of text that people typed.
func harmless(text string) string {
	var b strings.Builder
	b.Grow(len(text))
	for i := 0; i < len(text); {
		if size := styleSequence(text[i:]); size > 0 {
			b.WriteString(text[i : i+size])
			i += size
			continue
		}
		r, size := utf8.DecodeRuneInString(text[i:])
		i += size
		switch {
		case r == '\n' || r == '\t' || r == '\r':
			b.WriteByte(' ')
		case !unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp):
			b.WriteRune(r)
		}
	}
	text = b.String()
	b.Reset()
	for part, _ := range parts(text) {
		if part[0] == 0x1b || !joins(" ", part) && !joins(part, " ") {
			b.WriteString(part)
		}
	}
	return b.String()
}

// joins says that the end of a and the start of b are one character.
func joins(a, b string) bool {
	cluster, _ := ansi.FirstGraphemeCluster(a+b, ansi.GraphemeWidth)
	return len(cluster) > len(a)
}

// parts are the style sequences and the grapheme clusters of text that is
// harmless, each with its width.
func parts(text string) iter.Seq2[string, int] {
	return func(yield func(string, int) bool) {
		for text != "" {
			size, w := styleSequence(text), 0
			if size == 0 {
				var cluster string
				cluster, w = ansi.FirstGraphemeCluster(text, ansi.GraphemeWidth)
				size = len(cluster)
			}
			if !yield(text[:size], w) {
				return
			}
			text = text[size:]
		}
	}
}

// cut shortens harmless text to w cells, with an ellipsis in place of what
// goes. Style sequences stay, so that a style that was begun is ended.
func cut(text string, w int) (string, int) {
	var b strings.Builder
	b.Grow(len(text))
	n, full := 0, false
	for part, width := range parts(text) {
		switch {
		case part[0] == 0x1b:
			b.WriteString(part)
		case full:
		case n+width > w-1:
			full = true
			b.WriteString(ellipsis)
			n++
		default:
			b.WriteString(part)
			n += width
		}
	}
	return b.String(), n
}
