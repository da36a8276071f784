package floor_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/timing/floor"
)

// drawSome draws a problem of ordinary size, near the edge.
func drawSome(t *rapid.T) *floor.Problem {
	p := draw(recipe{
		seed:   rapid.Uint64().Draw(t, "seed"),
		chains: rapid.IntRange(2, 4).Draw(t, "chains"), tasks: rapid.IntRange(2, 6).Draw(t, "tasks"),
		chemistry: rapid.Bool().Draw(t, "chemistry"), grain: 60,
	})
	return later(p, rapid.IntRange(-1200, 1200).Draw(t, "later"))
}

func TestOneMoreChainNeverMakesItFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawSome(t)
		fewer := &floor.Problem{Chains: p.Chains[:len(p.Chains)-1]}
		all, some := solve(t, p), solve(t, fewer)
		require.NotEqual(t, floor.Unproven, all.Verdict)
		if all.Verdict == floor.Fits {
			require.Equal(t, floor.Fits, some.Verdict)
		}
		require.GreaterOrEqual(t, all.Late, some.Late)
	})
}

func TestWideningNeverHarms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawSome(t)
		wider := later(p, 0)
		c := &wider.Chains[rapid.IntRange(0, len(p.Chains)-1).Draw(t, "chain")]
		if len(c.Links) == 0 {
			return
		}
		l := &c.Links[rapid.IntRange(0, len(c.Links)-1).Draw(t, "link")]
		if l.Most == floor.None {
			return
		}
		by := rapid.IntRange(1, 900).Draw(t, "by")
		l.Most += by
		before, after := solve(t, p), solve(t, wider)
		require.LessOrEqual(t, after.Late, before.Late)
		require.GreaterOrEqual(t, after.Late, before.Late-by)
	})
}

func TestOrderOfChainsDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawSome(t)
		shuffled := &floor.Problem{Chains: slices.Clone(p.Chains)}
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "shuffle"), 0))
		rng.Shuffle(len(shuffled.Chains), func(i, j int) {
			shuffled.Chains[i], shuffled.Chains[j] = shuffled.Chains[j], shuffled.Chains[i]
		})
		a, b := solve(t, p), solve(t, shuffled)
		require.Equal(t, a.Verdict, b.Verdict)
		require.Equal(t, a.Late, b.Late)
		if a.Collision != nil {
			require.True(t, a.Collision.Proved)
			require.Equal(t, a.Collision.By, b.Collision.By)
			require.Equal(t, a.Collision.Gap == nil, b.Collision.Gap == nil)
			if a.Collision.Gap != nil {
				require.Equal(t, a.Collision.Gap.By, b.Collision.Gap.By)
			}
		}
	})
}

// What is offered for widening is enough, and one second less is not.
func TestGapIsEnoughAndNeeded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawSome(t)
		plan := solve(t, p)
		if plan.Collision == nil || plan.Collision.Gap == nil {
			return
		}
		g := plan.Collision.Gap
		wider := later(p, 0)
		l := &wider.Chains[g.Chain].Links[g.Link]
		require.False(t, l.Chemistry)
		l.Most += g.By
		require.Equal(t, floor.Fits, solve(t, wider).Verdict)
		l.Most--
		require.Equal(t, floor.Cannot, solve(t, wider).Verdict)
	})
}

func TestWorkersDontInterfere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q := drawSome(t), drawSome(t)
		both := &floor.Problem{Chains: slices.Clone(p.Chains)}
		for _, c := range q.Chains {
			c.Worker = "Mr. Okpara's stylist"
			both.Chains = append(both.Chains, c)
		}
		a, b, all := solve(t, p), solve(t, q), solve(t, both)
		require.Equal(t, max(a.Late, b.Late), all.Late)
		require.Equal(t, a.Verdict == floor.Fits && b.Verdict == floor.Fits, all.Verdict == floor.Fits)
		if a.Collision != nil && b.Collision != nil {
			require.Nil(t, all.Collision.Gap, "no single promise helps both")
			require.Equal(t, max(a.Collision.By, b.Collision.By), all.Collision.By)
		}
	})
}

// Whatever the budget, what is said is true.
func TestBudgetEndsEarly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawSome(t)
		whole := solve(t, p)
		b := floor.Budget{Nodes: rapid.IntRange(1, 300).Draw(t, "nodes")}
		part, err := floor.Solve(p, b)
		require.NoError(t, err)
		require.NoError(t, keeps(p, part.Starts, part.Late))
		again, err := floor.Solve(p, b)
		require.NoError(t, err)
		require.Equal(t, part, again)
		if part.Verdict != floor.Unproven {
			require.Equal(t, whole.Verdict, part.Verdict)
		}
		require.GreaterOrEqual(t, part.Late, whole.Late)
		if c := part.Collision; c != nil {
			require.LessOrEqual(t, c.By, c.Slack)
			require.Equal(t, part.Late, c.Slack)
			if c.Proved {
				require.Equal(t, whole.Collision.Slack, c.Slack)
				require.Equal(t, whole.Collision.By, c.By)
				require.Equal(t, whole.Collision.Gap, c.Gap)
				require.Equal(t, whole.Collision.Soft, c.Soft)
			}
			require.GreaterOrEqual(t, c.Soft, whole.Collision.Soft)
			if g := c.Gap; g != nil {
				require.NotNil(t, whole.Collision.Gap)
				require.GreaterOrEqual(t, g.By, whole.Collision.Gap.By)
			}
		}
	})
}
