package rinse_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rinseby/timing/rinse"
)

func TestBestOfAllOrdersOfDecisions(t *testing.T) {
	for seed := range uint64(40) {
		for _, r := range []recipe{
			{zones: 1}, {zones: 2}, {zones: 3}, {zones: 4},
			{zones: 3, midway: true}, {zones: 4, midway: true},
			{zones: 3, order: rinse.Open}, {zones: 3, strengths: rinse.Free}, {zones: 4, strengths: rinse.Rising},
			{zones: 3, order: rinse.Open, strengths: rinse.Rising, midway: true},
			{zones: 3, order: rinse.Open, strengths: rinse.Free},
		} {
			r.seed, r.grain = seed, 1
			p := draw(r)
			plan, err := rinse.Solve(p, rinse.Budget{})
			require.NoError(t, err, "%+v", r)
			require.NoError(t, replay(p, plan), "%+v", r)
			require.True(t, plan.Proved, "%+v", r)
			over, trips, finish, uneven := bruteForce(p)
			require.Equal(t, [...]int{over, trips, finish, uneven}, [...]int{plan.Over, plan.Trips, plan.Finish, plan.Uneven}, "%+v", r)
			require.Equal(t, rinse.Bound{Over: over, Trips: trips, Finish: finish}, plan.LowerBound, "%+v", r)
		}
	}
}
