package theme

import "strings"

// A Style is a way to show text on the terminal. The zero Style shows it as
// it is.
type Style struct{ on, off string }

// newStyle makes a style of the parameters of one Select Graphic Rendition
// sequence (ECMA-48, 8.3.117), such as "1;36". No parameters give the zero
// Style.
func newStyle(parameters string) Style {
	if parameters == "" {
		return Style{}
	}
	return Style{on: "\x1b[" + parameters + "m", off: "\x1b[m"}
}

// Render returns text in the style. Styles do not nest: what follows an inner
// styled part is shown plain. Empty text stays empty.
func (s Style) Render(text string) string {
	if text == "" || s.on == "" {
		return text
	}
	return s.on + text + s.off
}

// WriteRun adds n copies of glyph to b, in the style. For n below 1 it adds
// nothing.
func (s Style) WriteRun(b *strings.Builder, glyph string, n int) {
	if n < 1 || glyph == "" {
		return
	}
	b.WriteString(s.on)
	for range n {
		b.WriteString(glyph)
	}
	b.WriteString(s.off)
}
