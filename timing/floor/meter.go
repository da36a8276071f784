package floor

// An answer is how a search ended.
type answer int

const (
	found answer = iota
	none         // there is no schedule; proved
	spent        // the budget is
)

// defaultNodes is the budget where none is given.
const defaultNodes = 40_000

// A meter counts what a search may still spend.
type meter struct {
	left, used int
	stop       func() bool
	stopped    bool
}

func newMeter(b Budget) *meter {
	m := &meter{left: b.Nodes, stop: b.Stop}
	if m.left <= 0 {
		m.left = defaultNodes
	}
	return m
}

// empty reports whether the budget is known to be spent.
func (m *meter) empty() bool { return m.left <= 0 || m.stopped }

// spend takes one from the budget, and reports whether there was one.
func (m *meter) spend() bool {
	if m.empty() {
		return false
	}
	if m.stop != nil && m.stop() {
		m.stopped = true
		return false
	}
	m.left--
	m.used++
	return true
}

// part is a meter of the same budget that ends after so many at the latest.
func (m *meter) part(most int) *meter {
	return &meter{left: min(most, m.left), stop: m.stop, stopped: m.stopped}
}

// took enters what a part of the budget spent.
func (m *meter) took(part *meter) {
	m.left -= part.used
	m.used += part.used
	m.stopped = part.stopped
}
