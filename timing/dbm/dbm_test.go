package dbm_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/timing/dbm"
)

// A rule says x[i] - x[j] <= c.
type rule struct {
	i, j int
	c    int32
}

func drawRules(t *rapid.T, n int) []rule {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) rule {
		i := rapid.IntRange(0, n-1).Draw(t, "i")
		j := (i + rapid.IntRange(1, n-1).Draw(t, "step")) % n
		return rule{i, j, rapid.Int32Range(-9, 12).Draw(t, "c")}
	}), 0, 12).Draw(t, "rules")
}

func keeps(x []int, rules []rule) bool {
	for _, r := range rules {
		if x[r.i]-x[r.j] > int(r.c) {
			return false
		}
	}
	return true
}

// Rules taken in one by one, all at once, or as a sparse system say the same.
func TestThreeWaysOfSolving(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const n = 5
		rules := drawRules(t, n)
		for i := 1; i < n; i++ { // nothing before the origin
			rules = append(rules, rule{0, i, 0})
		}
		step, whole := dbm.New(n), dbm.New(n)
		var s dbm.System
		for range n - 1 {
			s.Var()
		}
		ok := true
		for _, r := range rules {
			ok = ok && step.Tighten(r.i, r.j, r.c)
			whole.Bounds()[r.i*n+r.j] = min(whole.Bounds()[r.i*n+r.j], r.c)
			s.AtMost(r.i, r.j, int(r.c))
		}
		x, solved := s.Earliest()
		require.Equal(t, ok, solved)
		require.Equal(t, ok, whole.Close())
		if !ok {
			return
		}
		require.Equal(t, whole.Bounds(), step.Bounds())
		require.True(t, keeps(x, rules))
		for i := range n {
			require.EqualValues(t, step.Least(i, 0), x[i], "the earliest is the least distance from the origin")
			if h := s.Holder(x, i); h != i {
				require.EqualValues(t, x[i]-x[h], step.Least(i, h))
			}
			for j := range n {
				require.LessOrEqual(t, x[i]-x[j], int(step.Most(i, j)))
			}
		}
	})
}

// What the operations on variables leave is still closed, and says what it
// should of the old variables.
func TestVariablesComeAndGo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const n = 4
		m := dbm.New(n)
		for _, r := range drawRules(t, n) {
			m.Tighten(r.i, r.j, r.c)
		}
		closed := func(m dbm.Matrix) {
			c := m.CopyTo(make([]int32, m.Size()*m.Size()))
			require.True(t, c.Close())
			require.Equal(t, c.Bounds(), m.Bounds())
		}
		of, at := rapid.IntRange(0, n-1).Draw(t, "of"), rapid.IntRange(0, n).Draw(t, "at")
		twin := m.Twin(make([]int32, 25), of, at)
		closed(twin)
		require.Equal(t, m.Bounds(), twin.Without(make([]int32, 25), at).Bounds(), "taking the twin away leaves the matrix")
		keep := []int{}
		for i := range n + 1 {
			if i != at {
				keep = append(keep, i)
			}
		}
		require.Equal(t, m.Bounds(), twin.Onto(make([]int32, 25), keep).Bounds(), "so does keeping all others")
		turned := m.Onto(make([]int32, 4), []int{of, (of + 1) % n})
		require.Equal(t, m.Most(of, (of+1)%n), turned.Most(0, 1))
		require.Equal(t, m.Least(of, (of+1)%n), turned.Least(0, 1))
		moved := of
		if of >= at {
			moved++
		}
		require.Zero(t, twin.Most(moved, at))
		require.Zero(t, twin.Least(moved, at))

		was := m.CopyTo(make([]int32, n*n))
		m.Shift(of, 7)
		closed(m)
		m.Delay(of)
		closed(m)
		require.True(t, m.Most(of, (of+1)%n) == dbm.Inf)
		for i := range n {
			if i != of && was.Most(i, of) < dbm.Inf {
				require.Equal(t, was.Most(i, of)-7, m.Most(i, of))
			}
		}
	})
}

// What clashes is a closed walk whose waits add up to more than nothing, and
// there is a clash exactly if there is no solution.
func TestClash(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const n = 5
		var s dbm.System
		for range n - 1 {
			s.Var()
		}
		for _, r := range drawRules(t, n) {
			s.AtMost(r.i, r.j, int(r.c))
		}
		_, ok := s.Earliest()
		clash := s.Clash()
		require.Equal(t, ok, clash == nil)
		sum := 0
		for k, c := range clash {
			i, j, least := s.Constraint(c)
			sum += least
			_, before, _ := s.Constraint(clash[(k+len(clash)-1)%len(clash)])
			require.Equal(t, before, i, "each leads to the one before it in the list")
			require.NotEqual(t, j, i)
		}
		if !ok {
			require.Positive(t, sum)
		}
	})
}

func TestCovers(t *testing.T) {
	wide, tight := dbm.New(2), dbm.New(2)
	require.True(t, wide.Tighten(1, 0, 5))
	require.True(t, tight.Tighten(1, 0, 4))
	assert.True(t, wide.Covers(tight))
	assert.False(t, tight.Covers(wide))
	assert.True(t, wide.Covers(wide))
}

func TestNoSolutionLeavesTheMatrix(t *testing.T) {
	m := dbm.New(2)
	require.True(t, m.Tighten(1, 0, 5))
	was := m.CopyTo(make([]int32, 4))
	assert.False(t, m.Tighten(0, 1, -6))
	assert.Equal(t, was.Bounds(), m.Bounds())
}

func TestConstraintsAreTakenBack(t *testing.T) {
	var s dbm.System
	a := s.Var()
	s.AtLeast(a, 0, 3)
	mark := s.Mark()
	s.AtMost(a, 0, 2)
	_, ok := s.Earliest()
	assert.False(t, ok)
	s.Cut(mark)
	x, ok := s.Earliest()
	assert.True(t, ok)
	assert.Equal(t, []int{0, 3}, x)
	var none dbm.System
	x, ok = none.Earliest()
	assert.True(t, ok)
	assert.Equal(t, []int{0}, x)
}
