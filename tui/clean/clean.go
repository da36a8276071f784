package clean

import (
	"strings"

	"github.com/charmbracelet/x/ansi"

	"rinseby/session/clean"
)

// MaxMarks is how many combining marks may sit on one character.
const MaxMarks = clean.MaxMarks

// Text returns s as one line that is safe to show: see [clean.Text].
func Text(s string) string { return clean.Text(s) }

// Lines is Text for a page of lines, of which the layout stays: see
// [clean.Lines].
func Lines(s string) string { return clean.Lines(s) }

// Short is [Text], cut to at most maxCells terminal cells with an ellipsis
// where it was cut. It is empty for a maxCells of zero or less.
func Short(s string, maxCells int) string {
	if maxCells <= 0 {
		return ""
	}
	s = Text(s)
	if len(s) <= maxCells { // no character has more cells than bytes
		return s
	}
	if ansi.StringWidth(s) <= maxCells {
		return s
	}
	return strings.TrimRight(ansi.Truncate(s, maxCells-1, ""), " ") + "…"
}
