package floor_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/timing/floor"
)

// A brute tries every order of the tasks of one worker, and solves the moments
// of each by itself.
type brute struct {
	p    *floor.Problem
	late int // added to every Most
	one  [2]int
	more int // added to the Most of the chain and link in one
	soft int // added to every Most that is not of chemistry
	done []int
	line [][2]int
}

// fits reports whether there is an order that can be kept.
func (b *brute) fits() bool {
	b.done = make([]int, len(b.p.Chains))
	b.line = b.line[:0]
	return b.try()
}

func (b *brute) try() bool {
	left := false
	for i, c := range b.p.Chains {
		k := b.done[i]
		if k == len(c.Tasks) {
			continue
		}
		left = true
		b.done[i]++
		b.line = append(b.line, [2]int{i, k})
		ok := b.try()
		b.done[i]--
		b.line = b.line[:len(b.line)-1]
		if ok {
			return true
		}
	}
	return !left && b.starts() != nil
}

// starts are the earliest starts of the tasks in the order of the line, by chain
// and task; nil if the order can't be kept.
func (b *brute) starts() [][]int {
	x := make([][]int, len(b.p.Chains))
	for i, c := range b.p.Chains {
		x[i] = make([]int, len(c.Tasks))
	}
	for range 4 * (len(b.line) + 2) {
		free, moved := 0, false
		push := func(i, k, at int) {
			if x[i][k] < at {
				x[i][k], moved = at, true
			}
		}
		for _, at := range b.line {
			push(at[0], at[1], free)
			free = x[at[0]][at[1]] + b.p.Chains[at[0]].Tasks[at[1]].Takes
		}
		for i, c := range b.p.Chains {
			if len(c.Tasks) > 0 && c.Tasks[0].Begun && x[i][0] > 0 {
				return nil
			}
			for k, l := range c.Links {
				most := l.Most + b.late
				if b.one == [2]int{i, k} {
					most += b.more
				}
				if !l.Chemistry {
					most += b.soft
				}
				from := 0
				if l.From != floor.Now {
					from = x[i][l.From]
				}
				if l.Least != floor.None {
					push(i, l.To, from+l.Least)
				}
				if l.Most == floor.None || x[i][l.To] <= from+most {
					continue
				}
				if l.From == floor.Now {
					return nil
				}
				push(i, l.From, x[i][l.To]-most)
			}
		}
		if !moved {
			return x
		}
	}
	return nil
}

// slack is the least that has to be added to every Most.
func (b *brute) slack() int {
	for b.late = 0; !b.fits(); b.late++ {
	}
	return b.late
}

func bruteSlack(p *floor.Problem) int { return (&brute{p: p, one: [2]int{-1, -1}}).slack() }

// bruteGap is the least widening of a single Most; math.MaxInt for none.
func bruteGap(p *floor.Problem, most int) int {
	best := math.MaxInt
	for i, c := range p.Chains {
		for k, l := range c.Links {
			for by := 1; !l.Chemistry && l.Most != floor.None && by <= most && by < best; by++ {
				if (&brute{p: p, one: [2]int{i, k}, more: by}).fits() {
					best = by
				}
			}
		}
	}
	return best
}

// bruteSoft is the least that has to be added to every Most that is not of
// chemistry; None if that much does not do.
func bruteSoft(p *floor.Problem, most int) int {
	for by := range most + 1 {
		if (&brute{p: p, one: [2]int{-1, -1}, soft: by}).fits() {
			return by
		}
	}
	return floor.None
}

// drawTiny draws up to three chains of up to three tasks, hard to fit.
func drawTiny(t *rapid.T) *floor.Problem {
	p := &floor.Problem{}
	sum := 0
	for i := range rapid.IntRange(1, 3).Draw(t, "chains") {
		c := floor.Chain{Name: string(rune('A' + i)), Worker: "Ines"}
		for k := range rapid.IntRange(1, 3).Draw(t, "tasks") {
			c.Tasks = append(c.Tasks, floor.Task{Name: string(rune('a' + k)), Takes: rapid.IntRange(0, 4).Draw(t, "takes")})
			sum += c.Tasks[k].Takes
		}
		c.Tasks[0].Begun = i == 0 && rapid.Bool().Draw(t, "begun")
		for range rapid.IntRange(0, 3).Draw(t, "links") {
			to := rapid.IntRange(0, len(c.Tasks)-1).Draw(t, "to")
			l := floor.Link{From: rapid.IntRange(floor.Now, to-1).Draw(t, "from"), To: to, Least: floor.None, Most: floor.None, Chemistry: rapid.Bool().Draw(t, "chemistry")}
			if rapid.Bool().Draw(t, "has least") && !(to == 0 && c.Tasks[0].Begun) {
				l.Least = rapid.IntRange(-2, 9).Draw(t, "least")
			}
			if rapid.Bool().Draw(t, "has most") {
				l.Most = rapid.IntRange(-3, 14).Draw(t, "most")
			}
			c.Links = append(c.Links, l)
		}
		p.Chains = append(p.Chains, c)
	}
	return p
}

func solve(t require.TestingT, p *floor.Problem) *floor.Plan {
	plan, err := floor.Solve(p, floor.Budget{})
	require.NoError(t, err)
	require.NoError(t, keeps(p, plan.Starts, plan.Late))
	return plan
}

// On tiny problems every answer is the one that trying all orders gives.
func TestAgainstAllOrders(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawTiny(t)
		plan := solve(t, p)
		slack := bruteSlack(p)
		require.Equal(t, slack, plan.Late)
		if slack == 0 {
			require.Equal(t, floor.Fits, plan.Verdict)
			require.Nil(t, plan.Collision)
			return
		}
		require.Equal(t, floor.Cannot, plan.Verdict)
		c := plan.Collision
		require.True(t, c.Proved)
		require.Equal(t, slack, c.Slack)
		checkPair(t, p, c)
		require.Equal(t, bruteSoft(p, 60), c.Soft)
		gap := bruteGap(p, 60)
		if c.Gap == nil {
			require.Equal(t, math.MaxInt, gap)
			return
		}
		require.Equal(t, gap, c.Gap.By)
		l := p.Chains[c.Gap.Chain].Links[c.Gap.Link]
		require.False(t, l.Chemistry)
		require.True(t, (&brute{p: p, one: [2]int{c.Gap.Chain, c.Gap.Link}, more: gap}).fits())
	})
}

// checkPair checks the two chains of a collision: that no other single chain, or
// else no other pair, needs more.
func checkPair(t require.TestingT, p *floor.Problem, c *floor.Collision) {
	only := func(is ...int) int {
		q := &floor.Problem{}
		for _, i := range is {
			q.Chains = append(q.Chains, p.Chains[i])
		}
		return bruteSlack(q)
	}
	alone, pairs := 0, 0
	for i := range p.Chains {
		alone = max(alone, only(i))
		for j := range i {
			pairs = max(pairs, only(j, i))
		}
	}
	switch {
	case alone > 0:
		require.Equal(t, c.A, c.B)
		require.Equal(t, alone, c.By)
		require.Equal(t, alone, only(c.A))
		require.LessOrEqual(t, c.TaskA, c.TaskB)
	case pairs > 0:
		require.NotEqual(t, c.A, c.B)
		require.Equal(t, pairs, c.By)
		require.Equal(t, pairs, only(c.A, c.B))
	default:
		require.NotEqual(t, c.A, c.B)
		require.Zero(t, c.By)
	}
	require.Less(t, c.TaskA, len(p.Chains[c.A].Tasks))
	require.Less(t, c.TaskB, len(p.Chains[c.B].Tasks))
}

// The earliest start of a walk-in is the first one that trying them all allows.
func TestWalkInAgainstAllOrders(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawTiny(t)
		takes := rapid.IntRange(1, 5).Draw(t, "walk-in takes")
		from := rapid.IntRange(0, 6).Draw(t, "from")
		to := from + rapid.IntRange(0, 12).Draw(t, "window")
		start, v, err := floor.Fit(p, "Ines", takes, from, to, floor.Budget{})
		require.NoError(t, err)
		want := floor.None
		for at := from; at <= to && want == floor.None; at++ {
			if (&brute{p: withWalkIn(p, "Ines", takes, at, at), one: [2]int{-1, -1}}).fits() {
				want = at
			}
		}
		require.Equal(t, want, start)
		require.Equal(t, want != floor.None, v == floor.Fits)
		require.NotEqual(t, floor.Unproven, v)
	})
}

// No two tasks that follow one another could change places for an earlier
// schedule, and in its order no task can start earlier.
func TestSchedulesAreEarly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawTiny(t)
		for i := range p.Chains {
			for k := range p.Chains[i].Tasks {
				p.Chains[i].Tasks[k].Takes++ // so that starts tell the order
			}
		}
		plan := solve(t, p)
		if plan.Verdict != floor.Fits {
			return
		}
		b := &brute{p: p, one: [2]int{-1, -1}, line: lineOf(plan.Starts)}
		require.Equal(t, plan.Starts, b.starts())
		for k := 1; k < len(b.line); k++ {
			if b.line[k][0] == b.line[k-1][0] {
				continue
			}
			b.line[k], b.line[k-1] = b.line[k-1], b.line[k]
			if other := b.starts(); other != nil {
				require.GreaterOrEqual(t, total(other), total(plan.Starts))
			}
			b.line[k], b.line[k-1] = b.line[k-1], b.line[k]
		}
	})
}

func lineOf(starts [][]int) (line [][2]int) {
	for i, list := range starts {
		for k := range list {
			at := len(line)
			line = append(line, [2]int{i, k})
			for ; at > 0 && starts[line[at-1][0]][line[at-1][1]] > list[k]; at-- {
				line[at], line[at-1] = line[at-1], line[at]
			}
		}
	}
	return line
}

func total(starts [][]int) (sum int) {
	for _, list := range starts {
		for _, at := range list {
			sum += at
		}
	}
	return sum
}
