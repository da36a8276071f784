package dbm

// Inf stands for no bound. Bounds that are given must be smaller in size than
// Inf/8, so that sums of a few of them stay apart from it.
const Inf int32 = 1 << 29

// A Matrix holds for each two variables i and j the least known c with
// x[i] - x[j] <= c. All methods but Close take and keep it closed: no bound
// could be made tighter from the others.
//
// It is a view of storage that may be shared, as a slice is.
type Matrix struct {
	n int
	b []int32
}

// New returns the matrix of n variables with no bounds between them.
func New(n int) Matrix {
	m := Matrix{n, make([]int32, n*n)}
	for i := range m.b {
		m.b[i] = Inf
	}
	for i := range n {
		m.b[i*n+i] = 0
	}
	return m
}

// Over returns the matrix of n variables whose bounds, row by row, are the
// first n*n of b.
func Over(b []int32, n int) Matrix { return Matrix{n, b[:n*n]} }

// Size is the number of variables.
func (m Matrix) Size() int { return m.n }

// Bounds are the bounds, row by row. They share the matrix's storage.
func (m Matrix) Bounds() []int32 { return m.b }

// Most is the largest that x[i] - x[j] can be; Inf if there is no bound.
func (m Matrix) Most(i, j int) int32 { return m.b[i*m.n+j] }

// Least is the smallest that x[i] - x[j] can be; -Inf if there is no bound.
func (m Matrix) Least(i, j int) int32 { return -m.b[j*m.n+i] }

// Tighten adds x[i] - x[j] <= c and closes the matrix again, in time n*n. It
// reports whether a solution is left; if none is, the matrix is as it was.
func (m Matrix) Tighten(i, j int, c int32) bool {
	n := m.n
	if c >= m.b[i*n+j] {
		return true
	}
	if back := m.b[j*n+i]; back < Inf && c+back < 0 {
		return false
	}
	from := m.b[j*n : j*n+n]
	for p := range n {
		row := m.b[p*n : p*n+n]
		to := row[i]
		if to >= Inf {
			continue
		}
		to += c
		if to >= row[j] { // then no bound of this row gets tighter
			continue
		}
		for q, f := range from {
			if f < Inf && to+f < row[q] {
				row[q] = to + f
			}
		}
	}
	return true
}

// Close makes the bounds of a matrix that was filled by hand the tightest
// ones, in time n*n*n. It reports whether there is a solution.
func (m Matrix) Close() bool {
	n := m.n
	for k := range n {
		via := m.b[k*n : k*n+n]
		for i := range n {
			row := m.b[i*n : i*n+n]
			to := row[k]
			if to >= Inf {
				continue
			}
			for j, f := range via {
				if f < Inf && to+f < row[j] {
					row[j] = to + f
				}
			}
			if row[i] < 0 {
				return false
			}
		}
	}
	return true
}

// Covers reports whether every solution of o is one of m: no bound of m is
// tighter. Both must have as many variables.
func (m Matrix) Covers(o Matrix) bool {
	other := o.b[:len(m.b)]
	for i, c := range m.b {
		if c < other[i] {
			return false
		}
	}
	return true
}

// Delay lets x[i] be any later: its bounds from above are forgotten, and all
// that it says of the others stays.
func (m Matrix) Delay(i int) {
	row := m.b[i*m.n : (i+1)*m.n]
	for j := range row {
		row[j] = Inf
	}
	row[i] = 0
}

// Shift moves x[i] by d: the variable stands for x[i] + d from now on.
func (m Matrix) Shift(i int, d int32) {
	n := m.n
	for j := range n {
		if j == i {
			continue
		}
		if m.b[i*n+j] < Inf {
			m.b[i*n+j] += d
		}
		if m.b[j*n+i] < Inf {
			m.b[j*n+i] -= d
		}
	}
}

// Twin writes into dst a matrix with one variable more, at the place at,
// which equals x[of]. It returns it; dst needs room for (n+1)*(n+1) bounds and
// must not overlap m's.
func (m Matrix) Twin(dst []int32, of, at int) Matrix {
	n := m.n
	t := Over(dst, n+1)
	old := func(i int) int {
		switch {
		case i == at:
			return of
		case i > at:
			return i - 1
		}
		return i
	}
	for i := range n + 1 {
		row, src := t.b[i*(n+1):(i+1)*(n+1)], m.b[old(i)*n:(old(i)+1)*n]
		copy(row[:at], src[:at])
		row[at] = src[of]
		copy(row[at+1:], src[at:])
	}
	return t
}

// Without writes into dst the matrix without the variable at. What it said of
// the others is kept, since m is closed. dst may be m's own storage.
func (m Matrix) Without(dst []int32, at int) Matrix {
	n := m.n
	t := Over(dst, n-1)
	k := 0
	for i := range n {
		if i == at {
			continue
		}
		for j := range n {
			if j != at {
				t.b[k] = m.b[i*n+j]
				k++
			}
		}
	}
	return t
}

// CopyTo writes the matrix into dst and returns that copy.
func (m Matrix) CopyTo(dst []int32) Matrix {
	copy(dst, m.b)
	return Over(dst, m.n)
}

// Onto writes into dst the matrix of only the variables in keep, in that order,
// and returns it. What it said of them is kept, since m is closed. dst must not
// overlap m's storage.
func (m Matrix) Onto(dst []int32, keep []int) Matrix {
	t := Over(dst, len(keep))
	k := 0
	for _, i := range keep {
		row := m.b[i*m.n : (i+1)*m.n]
		for _, j := range keep {
			t.b[k] = row[j]
			k++
		}
	}
	return t
}
