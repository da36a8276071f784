package start

import "strings"

// Lines are the lines of the list that are not filtered out, clean.
func (m *Model) Lines() []string {
	lines := make([]string, 0, len(m.list.VisibleItems()))
	for _, li := range m.list.VisibleItems() {
		if i, ok := li.(item); ok {
			lines = append(lines, i.title+", "+strings.TrimPrefix(i.about, ", "))
		}
	}
	return lines
}

// Pick puts the cursor on a line of the list, from 0 on.
func (m *Model) Pick(line int) { m.list.Select(line) }

// Status is the line that answers the last key, clean.
func (m *Model) Status() string { return m.status }

// At is the line of the list that the cursor is on, from 0 on.
func (m *Model) At() int { return m.list.Index() }
