package card

import (
	"fmt"
	"strings"
	"time"

	"rinseby/session"
)

// A Cut is how a section of the head was cut, and when that was noted.
type Cut struct {
	At time.Time `json:"at"`
	session.CutNoted
}

// LastCut is how a visit's hair was cut, one a section, in the order in which
// the sections were first noted; empty if nothing was. The next visit may
// start from it.
func LastCut(l *session.Log) []session.CutNoted {
	return each(l.State().Cuts, func(c session.Cut) session.CutNoted { return c.CutNoted })
}

func cut(c session.Cut) Cut {
	d := c.CutNoted
	for _, text := range []*string{&d.Section, &d.OverDirection, &d.Texture, &d.Tool, &d.Note} {
		*text = valid(*text)
	}
	return Cut{At: utc(c.At), CutNoted: d}
}

// cutAgain says in one line how to cut the same again; empty if nothing was
// noted.
func (c Card) cutAgain() string {
	var parts []string
	for _, k := range c.Cuts {
		words := k.Words()
		if len(words) == 0 {
			words = []string{"see the note"}
		}
		parts = append(parts, fmt.Sprintf("%s (%s)", k.Section, strings.Join(words, ", ")))
	}
	if len(parts) == 0 {
		return ""
	}
	return "Cut: " + strings.Join(parts, "; ")
}

// cutSection is the cut by sections of the head. Columns that nothing was
// noted for are left out.
func (c Card) cutSection() section {
	s := section{title: "The cut"}
	head := []string{"Section", "Guide", "Elevation", "Over-direction", "Length at the guide", "Texture", "Tool", "Note"}
	used := make([]bool, len(head))
	var rows [][]string
	for _, k := range c.Cuts {
		row := []string{k.Section, string(k.Guide), "", k.OverDirection, "", k.Texture, k.Tool, k.Note}
		if k.Elevation != nil {
			row[2] = number(*k.Elevation) + "°"
		}
		if k.LengthMM > 0 {
			row[4] = number(k.LengthMM) + " mm"
		}
		for i, cell := range row {
			used[i] = used[i] || strings.TrimSpace(cell) != ""
		}
		rows = append(rows, row)
	}
	pick := func(cells []string) []string {
		var out []string
		for i, cell := range cells {
			if used[i] {
				out = append(out, cell)
			}
		}
		return out
	}
	s.head, s.rows = pick(head), each(rows, pick)
	return s
}
