package rinse

// A meter counts what a search may still spend.
type meter struct {
	left int
	stop func() bool
	used int
	out  bool
}

// defaultNodes is the budget, in partial plans expanded, where none is given.
// A partial plan takes some hundred bytes.
const defaultNodes = 150_000

func newMeter(b Budget) *meter {
	m := &meter{left: b.Nodes, stop: b.Stop}
	if m.left <= 0 {
		m.left = defaultNodes
	}
	return m
}

// spend takes one from the budget, and reports whether there was one.
func (m *meter) spend() bool {
	const between = 16 // nodes from one look at stop to the next
	if m.out || m.left == 0 || m.stop != nil && m.used%between == 0 && m.stop() {
		m.out = true
		return false
	}
	m.left--
	m.used++
	return true
}

// An arena keeps many small slices in few large ones.
type arena struct{ room []int32 }

func (a *arena) keep(b []int32) []int32 {
	const chunk = 1 << 14
	if len(a.room) < len(b) {
		a.room = make([]int32, max(chunk, len(b)))
	}
	kept := a.room[:len(b):len(b)]
	a.room = a.room[len(b):]
	copy(kept, b)
	return kept
}

// A queue is a heap of states, least rank first; of equal ranks, the older
// state first.
type queue []queued

type queued struct {
	rank uint64
	id   int32
}

func (a queued) before(b queued) bool { return a.rank < b.rank || a.rank == b.rank && a.id < b.id }

func (q *queue) push(rank uint64, id int32) {
	h := append(*q, queued{rank, id})
	i := len(h) - 1
	for i > 0 {
		up := (i - 1) / 2
		if !h[i].before(h[up]) {
			break
		}
		h[i], h[up] = h[up], h[i]
		i = up
	}
	*q = h
}

func (q *queue) pop() (int32, bool) {
	h := *q
	if len(h) == 0 {
		return 0, false
	}
	top := h[0].id
	last := len(h) - 1
	h[0] = h[last]
	h = h[:last]
	for i := 0; ; {
		down := 2*i + 1
		if down >= last {
			break
		}
		if down+1 < last && h[down+1].before(h[down]) {
			down++
		}
		if !h[down].before(h[i]) {
			break
		}
		h[i], h[down] = h[down], h[i]
		i = down
	}
	*q = h
	return top, true
}
