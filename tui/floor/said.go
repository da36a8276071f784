package floor

import (
	"fmt"

	"rinseby/timing"
)

// A Line is a listed service in words.
type Line struct {
	Text string // clean
	// Sense changes when the text is worth saying anew, and not as moments move
	// on.
	Sense string
}

// Lines are the listed services in words, the one that needs hands next first.
func (m *Model) Lines() []Line {
	lines := make([]Line, len(m.listed))
	for i, r := range m.listed {
		l := &lines[i]
		l.Text = r.who
		if r.help != "" {
			l.Text = r.help
		}
		if r.phase != timing.Waiting || r.word != "" {
			l.Text += ", " + r.word
		}
		l.Text += ": " + m.when(r) + r.next
		if off, _, _ := m.countdown(r); off != "" {
			l.Text += "; " + r.zone + " " + off
		}
		if len(r.end) > 0 {
			l.Text += "; " + r.end[0]
		}
		for _, more := range []string{r.gone, r.warn, r.station} {
			if more != "" {
				l.Text += "; " + more
			}
		}
		l.Sense = fmt.Sprint(r.id, r.word, r.next, r.zone, r.rinseBy.Unix()/60, !r.handsAt.After(m.now), r.level, r.loud, r.pain, r.help, r.gone, r.station, r.late)
	}
	return lines
}

// Says is what there is to say of all services together: what collides and what
// gives the least trouble, else that nothing does; clean.
func (m *Model) Says() (lines []string) {
	for _, t := range m.troubles {
		text := t.Text
		if t.Help != "" {
			text += ". " + t.Help
		}
		lines = append(lines, text)
	}
	if lines == nil && m.fits != "" {
		lines = []string{m.fits}
	}
	return lines
}

// Pick makes a listed service the one that keys are about, from 0 on.
func (m *Model) Pick(line int) {
	if line >= 0 && line < len(m.listed) {
		m.selected = m.listed[line].id
	}
}

// Status is the line that answers the last key, clean.
func (m *Model) Status() string { return m.status }

// At is the listed service that keys are about, from 0 on, or -1.
func (m *Model) At() int { return m.index(m.chosen()) }
