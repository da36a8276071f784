package floor_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"rinseby/timing/floor"
)

// hide draws a problem together with a schedule of it, and then bounds waits so
// that there is little but that schedule. Slack is the most that a bound leaves.
func hide(seed uint64, chains, tasks, slack int) (*floor.Problem, [][]int) {
	rng := rand.New(rand.NewPCG(seed, uint64(chains<<16|tasks<<8|slack)))
	p := &floor.Problem{Chains: make([]floor.Chain, chains)}
	starts := make([][]int, chains)
	free := 0
	for left := chains * tasks; left > 0; {
		i := rng.IntN(chains)
		c := &p.Chains[i]
		if len(c.Tasks) == tasks {
			continue
		}
		left--
		if rng.IntN(4) == 0 {
			free += rng.IntN(6)
		}
		takes := 1 + rng.IntN(12)
		c.Tasks = append(c.Tasks, floor.Task{Takes: takes})
		starts[i] = append(starts[i], free)
		free += takes
	}
	for i := range p.Chains {
		for to := range tasks {
			from := floor.Now + rng.IntN(to+1)
			wait := starts[i][to]
			if from != floor.Now {
				wait -= starts[i][from]
			}
			l := floor.Link{From: from, To: to, Least: wait - rng.IntN(slack+1), Most: wait + rng.IntN(slack+1)}
			switch rng.IntN(4) {
			case 0:
				l.Least = floor.None
			case 1:
				l.Most = floor.None
			}
			p.Chains[i].Links = append(p.Chains[i].Links, l)
		}
	}
	return p, starts
}

// What has a schedule is never said not to have one, however tight it is.
func TestHiddenScheduleIsFound(t *testing.T) {
	for seed := range uint64(40) {
		for _, slack := range []int{0, 3, 8, 20, 40} {
			for _, size := range [][2]int{{2, 8}, {3, 5}, {4, 4}, {4, 8}, {6, 4}} {
				p, starts := hide(seed, size[0], size[1], slack)
				require.NoError(t, keeps(p, starts, 0), "the drawn schedule")
				plan, err := floor.Solve(p, floor.Budget{Nodes: 3000})
				require.NoError(t, err)
				require.NoError(t, keeps(p, plan.Starts, plan.Late))
				require.NotEqual(t, floor.Cannot, plan.Verdict, "seed %d, size %v, slack %d", seed, size, slack)
			}
		}
	}
}

// A walk-in that was taken out of a schedule finds its place again, or an
// earlier one.
func TestHiddenWalkInIsFound(t *testing.T) {
	for seed := range uint64(100) {
		p, starts := hide(seed, 4, 5, 12)
		walkIn := p.Chains[3].Tasks[0]
		p.Chains = append(p.Chains[:3:3], floor.Chain{Name: "rest", Tasks: p.Chains[3].Tasks[1:]})
		at := starts[3][0]
		start, v, err := floor.Fit(p, "", walkIn.Takes, 0, at+30, floor.Budget{})
		require.NoError(t, err)
		require.Equal(t, floor.Fits, v)
		require.LessOrEqual(t, start, at)
		if start > 0 {
			_, v, err = floor.Fit(p, "", walkIn.Takes, 0, start-1, floor.Budget{})
			require.NoError(t, err)
			require.Equal(t, floor.Cannot, v)
		}
		_, v, err = floor.Fit(p, "", walkIn.Takes, start, start, floor.Budget{})
		require.NoError(t, err)
		require.Equal(t, floor.Fits, v)
	}
}
