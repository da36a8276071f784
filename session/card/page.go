package card

import (
	"fmt"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/session/clean"
)

// A section is a part of the card as people read it, before it is laid out:
// lines of plain text, then a table. The text is as it was typed; layouts
// make it harmless.
type section struct {
	title string
	lines []string
	head  []string
	rows  [][]string
}

func (s *section) add(format string, args ...any) {
	s.lines = append(s.lines, fmt.Sprintf(format, args...))
}

// addSome adds the lines that say something.
func (s *section) addSome(lines ...string) {
	for _, l := range lines {
		if l != "" {
			s.add("%s", l)
		}
	}
}

// addIf adds a line "name: value" if there is a value.
func (s *section) addIf(name, value string) {
	if strings.TrimSpace(value) != "" {
		s.add("%s: %s", name, value)
	}
}

// Markdown is the card for people: all text in it that people typed is
// escaped, so that it reads as typed and does nothing.
func (c Card) Markdown() string {
	var b strings.Builder
	fmt.Fprintf(&b, "# %s\n", escape(c.title()))
	for _, s := range c.sections() {
		if s.title != "" {
			fmt.Fprintf(&b, "\n## %s\n", escape(s.title))
		}
		if len(s.lines) > 0 {
			b.WriteByte('\n')
		}
		for _, l := range s.lines {
			fmt.Fprintf(&b, "- %s\n", escape(l))
		}
		if len(s.rows) == 0 {
			continue
		}
		b.WriteByte('\n')
		row := func(cells []string) { fmt.Fprintf(&b, "| %s |\n", strings.Join(cells, " | ")) }
		row(each(s.head, escape))
		row(each(s.head, func(string) string { return "---" }))
		for _, r := range s.rows {
			row(each(r, escape))
		}
	}
	return b.String()
}

// Text is the card in plain lines of at most width columns, for a screen. A
// width below 20 counts as 20.
func (c Card) Text(width int) []string {
	const narrowest = 20
	width = max(width, narrowest)
	lines := wrap(clean.Text(c.title()), "", width)
	for _, s := range c.sections() {
		if s.title != "" {
			lines = append(lines, "")
			lines = append(lines, wrap(strings.ToUpper(clean.Text(s.title)), "", width)...)
		}
		for _, l := range s.lines {
			lines = append(lines, wrap("- "+clean.Text(l), "  ", width)...)
		}
		for _, r := range s.rows {
			var parts []string
			for i, cell := range r[1:] {
				if cell != "" {
					parts = append(parts, strings.ToLower(s.head[i+1])+" "+clean.Text(cell))
				}
			}
			lines = append(lines, wrap("- "+clean.Text(r[0])+": "+strings.Join(parts, "; "), "  ", width)...)
		}
	}
	return lines
}

func (c Card) title() string {
	if c.Client == "" {
		return "Record of a visit"
	}
	return "Record of a visit: " + c.Client
}

// sections are the parts that have anything in them, in the order in which
// they are read.
func (c Card) sections() []section {
	if c.Opened.IsZero() {
		return []section{{lines: []string{"The visit is not open yet: there is nothing to tell."}}}
	}
	var out []section
	for _, s := range []section{
		c.headSection(), c.painSection(), c.nextSection(), c.limitSection(), c.zoneSection(), c.coatSection(), c.checkSection(),
		c.consultSection(), c.safetySection(), c.bowlSection(), c.windowSection(), c.cutSection(), c.timeSection(), c.noteSection(),
		{title: "Cautions", lines: cautions},
	} {
		if len(s.lines)+len(s.rows) > 0 {
			out = append(out, s)
		}
	}
	return out
}

func (c Card) local() *time.Location { return time.FixedZone("", c.UTCOffsetS) }

// clock says a moment as the salon's clock shows it.
func (c Card) clock(t *time.Time) string {
	if t == nil {
		return ""
	}
	l := t.In(c.local())
	if open := c.Opened.In(c.local()); l.YearDay() != open.YearDay() || l.Year() != open.Year() {
		return l.Format("2 Jan 15:04:05")
	}
	return l.Format("15:04:05")
}

// span says from when to when.
func (c Card) span(from, to *time.Time, open string) string {
	if to == nil {
		return c.clock(from) + ", " + open
	}
	return c.clock(from) + " to " + c.clock(to)
}

// zone is the name of a zone, and whether the card has one with the id.
func (c Card) zone(id string) (name string, known bool) {
	for _, z := range c.Zones {
		if z.ID == id {
			return z.Name, true
		}
	}
	return "", false
}

// zoneName is the name of a zone, or its id if the card has no such zone.
func (c Card) zoneName(id string) string {
	if name, known := c.zone(id); known {
		return name
	}
	return id
}

// bandWord is what people call a band.
func bandWord(b session.Band) string {
	switch b {
	case session.Root:
		return "roots"
	case session.Mid:
		return "mid-lengths"
	case session.End:
		return "ends"
	}
	return string(b)
}

func (c Card) zoneNames(ids []string) string {
	return strings.Join(each(ids, c.zoneName), ", ")
}

// roundName is the name of a round, or its id if the card has no such round.
func (c Card) roundName(id string) string {
	for _, r := range c.Rounds {
		if r.ID == id {
			return r.Name
		}
	}
	return id
}
