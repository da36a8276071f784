package widget

import (
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
	"rinseby/tui/theme"
)

// Clamp returns the first h lines, each fitted to w cells. A line with line
// breaks in it counts as several.
func Clamp(lines []string, w, h int) []string {
	if w <= 0 || h <= 0 {
		return nil
	}
	out := make([]string, 0, min(len(lines), h))
	for _, line := range lines {
		for strings.IndexByte(line, '\n') >= 0 && len(out) < h {
			var first string
			first, line, _ = strings.Cut(line, "\n")
			out = append(out, Fit(first, w))
		}
		if len(out) >= h {
			break
		}
		out = append(out, Fit(line, w))
	}
	return out
}

// Screen puts a whole screen together: head at the top, foot at the bottom,
// body in between, cut or filled up with empty lines to exactly h lines. Where
// there is too little room the end of the body goes first, then the foot from
// its end, then the head from its end: the top line is always there. For a w
// or h of zero or less it is empty.
func Screen(th *theme.Theme, head, body, foot []string, w, h int) string {
	if w <= 0 || h <= 0 {
		return ""
	}
	head = Clamp(head, w, h)
	foot = Clamp(foot, w, h-len(head))
	body = Clamp(body, w, h-len(head)-len(foot))
	var b strings.Builder
	b.Grow(h * (w + 32))
	n := 0
	write := func(lines []string) {
		for _, line := range lines {
			if n++; n > 1 {
				b.WriteByte('\n')
			}
			b.WriteString(line)
		}
	}
	write(head)
	write(body)
	for n+len(foot) < h {
		write([]string{""})
	}
	write(foot)
	if th.ASCII {
		return ASCII(b.String())
	}
	return b.String()
}

// Frame draws a border with a title around lines, w cells wide and h lines
// high on the outside. A frame of less than 4 cells or 2 lines has no border.
func Frame(th *theme.Theme, title string, lines []string, w, h int) []string {
	if w < 4 || h < 2 {
		return Clamp(lines, w, h)
	}
	g, inner := th.Glyphs, w-4
	out := make([]string, 0, h)
	title, n := fit(title, max(inner-2, 0))
	if n > 0 {
		title = " " + th.Title.Render(title) + " "
		n += 2
	}
	var b strings.Builder
	b.WriteString(th.Frame.Render(g.TopLeft + g.Across))
	b.WriteString(title)
	th.Frame.WriteRun(&b, g.Across, inner-n)
	b.WriteString(th.Frame.Render(g.Across + g.TopRight))
	out = append(out, b.String())

	side := th.Frame.Render(g.Down)
	content := Clamp(lines, inner, h-2)
	for i := range h - 2 {
		line := ""
		if i < len(content) {
			line = content[i]
		}
		out = append(out, side+" "+PadRight(line, inner)+" "+side)
	}
	b.Reset()
	b.WriteString(g.BottomLeft)
	theme.Style{}.WriteRun(&b, g.Across, w-2)
	b.WriteString(g.BottomRight)
	return append(out, th.Frame.Render(b.String()))
}

// ASCII puts characters of the same width in the place of all that a
// terminal without Unicode would garble.
func ASCII(text string) string {
	var b strings.Builder
	b.Grow(len(text))
	for i := 0; i < len(text); {
		if text[i] < utf8.RuneSelf && (i+1 == len(text) || text[i+1] < utf8.RuneSelf) {
			b.WriteByte(text[i])
			i++
			continue
		}
		cluster, w := ansi.FirstGraphemeCluster(text[i:], ansi.GraphemeWidth)
		i += len(cluster)
		switch {
		case cluster == ellipsis:
			b.WriteByte('~')
			continue
		case cluster[0] < utf8.RuneSelf: // a letter with marks on it
			b.WriteByte(cluster[0])
			w--
		}
		for range w {
			b.WriteByte('?')
		}
	}
	return b.String()
}
