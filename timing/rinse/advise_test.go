package rinse_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/timing/rinse"
)

func TestAdvice(t *testing.T) {
	head := func(n, apply int, windows ...rinse.Strength) *rinse.Problem {
		p := &rinse.Problem{Walk: 60, Reseat: 60, IdleCap: 20 * 60}
		for range n {
			p.Zones = append(p.Zones, rinse.Zone{Apply: apply * 60, Rinse: 60, Allowed: windows})
		}
		return p
	}
	strong := rinse.Strength{Level: 30, Opens: 10 * 60, Limit: 35 * 60}
	weak := rinse.Strength{Level: 20, Opens: 20 * 60, Limit: 50 * 60}
	for _, c := range []struct {
		name string
		p    *rinse.Problem
		wish rinse.Wish
		want rinse.Advice
	}{
		{"fits", head(3, 5, strong), rinse.InOneGo, rinse.Advice{Fits: true, Sure: true, Zones: 3}},
		// The last zone is in at 40 and the first must be off by 35. At 130 % it
		// is in at 31. Three zones are in at 30.
		{"a helper or two visits", head(4, 10, strong), rinse.InOneGo, rinse.Advice{Sure: true, Faster: 130, Zones: 3, Split: 3}},
		// The first two are weak, so that they may wait for the last until 50.
		{"weaker first zones", head(4, 10, weak, strong), rinse.InOneGo, rinse.Advice{Sure: true, Faster: 130, Weaker: []int{0, 0, 1, 1}, Zones: 3, Split: 3}},
		// The third zone is in at 30, opens at 40 and is off then.
		{"by a moment", head(3, 10, strong), rinse.Wish{Finish: 40 * 60}, rinse.Advice{Fits: true, Sure: true, Zones: 3}},
		{"by a moment before", head(3, 10, strong), rinse.Wish{Finish: 40*60 - 1}, rinse.Advice{Sure: true, Faster: 110, Zones: 2, Split: 2}},
		{"too late for anything", head(1, 10, strong), rinse.Wish{Finish: -1}, rinse.Advice{Sure: true}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := rinse.Advise(c.p, c.wish, rinse.Budget{})
			require.NoError(t, err)
			assert.Equal(t, c.want, *got)
		})
	}
}

// Each way that is named must hold when it is planned, and one step less must
// not.
func TestAdviceHolds(t *testing.T) {
	for seed := range uint64(20) {
		p := draw(recipe{seed: seed, zones: 6, grain: 60})
		a, err := rinse.Advise(p, rinse.InOneGo, rinse.Budget{})
		require.NoError(t, err)
		require.True(t, a.Sure)
		fits := func(q *rinse.Problem) bool {
			plan, err := rinse.Solve(q, rinse.Budget{})
			require.NoError(t, err)
			require.True(t, plan.Proved)
			return plan.Over == 0 && plan.Trips <= 1
		}
		faster := func(percent int) *rinse.Problem {
			q := *p
			q.Rates = []rinse.Rate{{From: 0, To: 100000, Percent: percent}}
			return &q
		}
		part := func(from, to int) *rinse.Problem {
			q := *p
			q.Zones = p.Zones[from:to]
			return &q
		}
		require.Equal(t, fits(p), a.Fits)
		if a.Faster > 0 {
			require.True(t, fits(faster(a.Faster)))
			require.False(t, fits(faster(a.Faster-10)))
		}
		require.True(t, a.Zones == 0 || fits(part(0, a.Zones)))
		require.True(t, a.Zones == 6 || !fits(part(0, a.Zones+1)))
		if a.Split > 0 {
			require.True(t, fits(part(0, a.Split)) && fits(part(a.Split, 6)))
		}
	}
}
