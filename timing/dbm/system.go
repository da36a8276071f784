package dbm

// A System is a list of difference constraints over n variables, the first of
// which is the origin, at 0. The zero System has the origin alone.
type System struct {
	n     int
	edges []edge
}

// An edge says x[to] >= x[from] + least.
type edge struct{ from, to, least int }

// Var adds a variable that is no earlier than the origin, and returns it.
func (s *System) Var() int {
	s.n = max(s.n, 1) + 1
	s.AtLeast(s.n-1, 0, 0)
	return s.n - 1
}

// AtLeast adds x[i] - x[j] >= c.
func (s *System) AtLeast(i, j, c int) { s.edges = append(s.edges, edge{j, i, c}) }

// AtMost adds x[i] - x[j] <= c.
func (s *System) AtMost(i, j, c int) { s.AtLeast(j, i, -c) }

// Mark is the number of constraints so far, for Cut.
func (s *System) Mark() int { return len(s.edges) }

// Cut takes back all constraints since Mark was mark.
func (s *System) Cut(mark int) { s.edges = s.edges[:mark] }

// Earliest returns the solution in which every variable is as early as it is
// in any, with the origin at 0. It is not ok if there is no solution.
func (s *System) Earliest() (x []int, ok bool) {
	x = make([]int, max(s.n, 1))
	for range x {
		moved := false
		for _, e := range s.edges {
			if v := x[e.from] + e.least; v > x[e.to] {
				if e.to == 0 {
					return nil, false // the origin would have to move
				}
				x[e.to], moved = v, true
			}
		}
		if !moved {
			return x, true
		}
	}
	return nil, false
}

// Holder returns a variable that keeps x[i] from being any earlier in the
// earliest solution x: one j with a constraint x[i] - x[j] >= c that x meets
// with nothing to spare. Of several, it is the one made first; the origin
// holds itself.
func (s *System) Holder(x []int, i int) int {
	holder := i
	for _, e := range s.edges {
		if e.to == i && x[e.from]+e.least == x[i] {
			holder = min(holder, e.from)
		}
	}
	return holder
}
