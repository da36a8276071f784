package start

// Len is how many lines of the list are not filtered out.
func (m *Model) Len() int { return len(m.list.VisibleItems()) }

// Line is one of those, from 0 on, clean.
func (m *Model) Line(at int) string {
	l, ok := m.list.VisibleItems()[at].(line)
	if !ok {
		return ""
	}
	i := l.item()
	return i.title + ", " + i.says()
}

// Pick puts the cursor on a line of the list, from 0 on.
func (m *Model) Pick(line int) { m.list.Select(line) }

// Status is the line that answers the last key, clean.
func (m *Model) Status() string { return m.status }

// At is the line of the list that the cursor is on, from 0 on.
func (m *Model) At() int { return m.list.Index() }
