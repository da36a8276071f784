package dbm

import "math"

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

// Clash returns constraints that can't all be kept, each of them needed for
// that: a cycle through variables by which one would have to be later than
// itself. Constraints are counted as Mark counts them. It returns nil if there
// is a solution.
func (s *System) Clash() []int {
	n := max(s.n, 1)
	x, by := make([]int, n), make([]int, n) // by: the constraint that moved a variable last
	for i := range x {
		x[i], by[i] = math.MinInt, -1
	}
	x[0] = 0
	moved := 0
	for range n + 1 {
		moved = -1
		for k, e := range s.edges {
			if x[e.from] == math.MinInt || x[e.from]+e.least <= x[e.to] {
				continue
			}
			x[e.to], by[e.to], moved = x[e.from]+e.least, k, e.to
			if e.to == 0 {
				return s.cycle(by, 0)
			}
		}
		if moved < 0 {
			return nil
		}
	}
	return s.cycle(by, moved)
}

// cycle follows what moved the variables back from i, to the first one that it
// meets again, and returns what lies between.
func (s *System) cycle(by []int, i int) []int {
	var path []int
	at := map[int]int{} // where on the path a variable was met
	for {
		if k, met := at[i]; met {
			return path[k:]
		}
		at[i] = len(path)
		path = append(path, by[i])
		i = s.edges[by[i]].from
	}
}

// Constraint tells a constraint by its number: x[i] - x[j] >= least.
func (s *System) Constraint(k int) (i, j, least int) {
	e := s.edges[k]
	return e.to, e.from, e.least
}
