package rinse_test

import (
	"flag"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/timing/rinse"
)

var plans = flag.Int("plans", 300, "how many random plans to replay")

func TestBestOfAllOrdersOfDecisions(t *testing.T) {
	for _, c := range []struct {
		seeds int
		recipe
	}{
		{40, recipe{zones: 1}}, {60, recipe{zones: 2}}, {100, recipe{zones: 3}}, {60, recipe{zones: 4}}, {4, recipe{zones: 5}},
		{80, recipe{zones: 3, midway: true}}, {60, recipe{zones: 4, midway: true}}, {8, recipe{zones: 5, midway: true}},
		{30, recipe{zones: 3, order: rinse.Open}}, {30, recipe{zones: 3, strengths: rinse.Free}},
		{30, recipe{zones: 4, strengths: rinse.Rising}}, {4, recipe{zones: 4, strengths: rinse.Free}},
		{30, recipe{zones: 3, order: rinse.Open, strengths: rinse.Rising, midway: true}},
		{20, recipe{zones: 3, order: rinse.Open, strengths: rinse.Free}},
		{2, recipe{zones: 4, order: rinse.Open}},
	} {
		for seed := range c.seeds {
			r := c.recipe
			r.seed, r.grain = uint64(seed), 1
			p := draw(r)
			plan, err := rinse.Solve(p, rinse.Budget{})
			require.NoError(t, err, r.id())
			require.NoError(t, replay(p, plan), r.id())
			require.True(t, plan.Proved, r.id())
			over, trips, finish, uneven := bruteForce(p)
			require.Equal(t, [...]int{over, trips, finish, uneven}, [...]int{plan.Over, plan.Trips, plan.Finish, plan.Uneven}, r.id())
			require.Equal(t, rinse.Bound{Over: over, Trips: trips, Finish: finish}, plan.LowerBound, r.id())
		}
	}
}

// TestRandomPlansHold replays plans for problems of every kind. With a small
// budget the plans are not the best, but must hold all the same.
func TestRandomPlansHold(t *testing.T) {
	proved := 0
	for k := range *plans {
		r := recipe{
			seed: uint64(k), zones: 1 + k%14, grain: 1 + k%60, midway: k%3 == 1, helper: k%5 == 2,
			order: rinse.Order(k / 7 % 2), strengths: rinse.Choice(k / 2 % 3),
		}
		p := draw(r)
		plan, err := rinse.Solve(p, rinse.Budget{Nodes: 1 + k%400})
		require.NoError(t, err, r.id())
		require.NoError(t, replay(p, plan), r.id())
		low := plan.LowerBound
		require.LessOrEqual(t, low.Over, plan.Over, r.id())
		if low.Over == plan.Over {
			require.LessOrEqual(t, low.Trips, plan.Trips, r.id())
			if low.Trips == plan.Trips {
				require.LessOrEqual(t, low.Finish, plan.Finish, r.id())
			}
		}
		if plan.Proved {
			proved++
			require.Equal(t, rinse.Bound{Over: plan.Over, Trips: plan.Trips, Finish: plan.Finish}, low, r.id())
		}
	}
	assert.NotZero(t, proved)
	assert.Less(t, proved, *plans, "some budgets are too small")
}

func TestSameProblemSamePlan(t *testing.T) {
	for _, r := range []recipe{{zones: 9, grain: 60}, {zones: 7, order: rinse.Open, grain: 60}, {zones: 8, strengths: rinse.Free, midway: true, grain: 60}} {
		a, err := rinse.Solve(draw(r), rinse.Budget{Nodes: 500})
		require.NoError(t, err)
		b, err := rinse.Solve(draw(r), rinse.Budget{Nodes: 500})
		require.NoError(t, err)
		assert.Equal(t, a, b)
	}
}

func TestStopEndsTheSearch(t *testing.T) {
	p := draw(recipe{zones: 12, order: rinse.Open, grain: 60})
	asked := 0
	plan, err := rinse.Solve(p, rinse.Budget{Stop: func() bool { asked++; return true }})
	require.NoError(t, err)
	require.NoError(t, replay(p, plan))
	assert.False(t, plan.Proved, "never called the best without proof")
	assert.Positive(t, asked)
}

// minutes makes zones that take so long to apply, open and reach their limit
// so late, and take two minutes to rinse.
func minutes(zs ...[3]int) (out []rinse.Zone) {
	for i, z := range zs {
		out = append(out, rinse.Zone{
			Name: string(rune('A' + i)), Apply: z[0] * 60, Rinse: 120,
			Allowed: []rinse.Strength{{Opens: z[1] * 60, Limit: z[2] * 60}},
		})
	}
	return out
}

// on says that a zone is on as a whole.
func on(z rinse.Zone, first, last int) rinse.Zone {
	z.On, z.First, z.Last, z.Apply = true, first*60, last*60, 0
	return z
}

func TestNothingToDo(t *testing.T) {
	plan, err := rinse.Solve(&rinse.Problem{Now: 77}, rinse.Budget{})
	require.NoError(t, err)
	assert.True(t, plan.Proved)
	assert.Equal(t, 77, plan.Finish)
	assert.Empty(t, plan.Actions)
}

func TestWhatSetsTheNextTrip(t *testing.T) {
	p := &rinse.Problem{Walk: 60, Reseat: 120, Zones: minutes([3]int{10, 10, 30}, [3]int{10, 10, 50}, [3]int{10, 10, 50})}
	plan, err := rinse.Solve(p, rinse.Budget{})
	require.NoError(t, err)
	require.True(t, plan.Proved)
	assert.Zero(t, plan.Why.Zone)
	assert.Equal(t, 27*60, plan.Why.Leave, "30 minutes less the walk and the rinse")
	assert.Equal(t, -1, plan.Why.Late)
}

// Two zones reach their limits at the same moment: one of them must wait.
func TestTwoZonesCollide(t *testing.T) {
	zs := minutes([3]int{5, 10, 29}, [3]int{5, 10, 25})
	p := &rinse.Problem{Now: 25 * 60, Walk: 60, Zones: []rinse.Zone{on(zs[0], 0, 5), on(zs[1], 4, 9)}}
	plan, err := rinse.Solve(p, rinse.Budget{})
	require.NoError(t, err)
	require.True(t, plan.Proved)
	assert.Equal(t, 60, plan.Over, "off at 28 and 30, both limits at 29")
	assert.Equal(t, 60, plan.Why.By)
	assert.NotEqual(t, plan.Why.Late, plan.Why.Behind)
}

func TestOneZoneCantBeInTimeAlone(t *testing.T) {
	p := &rinse.Problem{Walk: 60, Zones: minutes([3]int{25, 10, 30}, [3]int{5, 10, 30})}
	plan, err := rinse.Solve(p, rinse.Budget{})
	require.NoError(t, err)
	assert.Equal(t, 5*60, plan.Over)
	assert.Equal(t, 0, plan.Why.Late)
	assert.Equal(t, 0, plan.Why.Behind)
	assert.Equal(t, -5*60, plan.MinSlack)
}

func TestAtTheBasinNothingIsWalked(t *testing.T) {
	zs := minutes([3]int{5, 10, 40}, [3]int{5, 10, 40})
	p := &rinse.Problem{Now: 20 * 60, Basin: true, Walk: 60, Zones: []rinse.Zone{on(zs[0], 0, 5), on(zs[1], 5, 10)}}
	plan, err := rinse.Solve(p, rinse.Budget{})
	require.NoError(t, err)
	assert.Zero(t, plan.Trips)
	assert.Equal(t, 24*60, plan.Finish)
	assert.Equal(t, -1, plan.Why.Zone)
}

// What does not fit into one stay at the basin may need another right after.
func TestBackToTheBasinStraightAfterAReturn(t *testing.T) {
	zs := minutes([3]int{5, 10, 20}, [3]int{5, 30, 60})
	p := &rinse.Problem{Now: 11 * 60, Walk: 60, Reseat: 60, Zones: []rinse.Zone{on(zs[0], 0, 5), on(zs[1], 5, 10)}}
	plan, err := rinse.Solve(p, rinse.Budget{})
	require.NoError(t, err)
	require.NoError(t, replay(p, plan))
	assert.Equal(t, 2, plan.Trips)
	assert.Zero(t, plan.Over)
}

// A helper halves the time of the pieces that are begun while both work.
func TestPaceByThePiece(t *testing.T) {
	zs := minutes([3]int{10, 5, 60})
	zs[0].Pieces = 5
	p := &rinse.Problem{Zones: zs, Rates: []rinse.Rate{{From: 3 * 60, To: 100 * 60, Percent: 200}}}
	plan, err := rinse.Solve(p, rinse.Budget{})
	require.NoError(t, err)
	require.NoError(t, replay(p, plan))
	assert.Equal(t, rinse.Apply, plan.Actions[0].Kind)
	assert.Equal(t, (2+2+1+1+1)*60, plan.Actions[0].End-plan.Actions[0].Start, "two pieces alone, three together")
}

// Many pieces and changes of pace make more ways to treat a zone than fit into
// a byte.
func TestManyWaysToTreatAZone(t *testing.T) {
	zs := minutes([3]int{20, 5, 60}, [3]int{20, 5, 60}, [3]int{20, 5, 60})
	for i := range zs {
		zs[i].Pieces = 400
	}
	p := &rinse.Problem{Walk: 60, Zones: zs, Rates: []rinse.Rate{{From: 600, To: 900, Percent: 170}, {From: 1500, To: 2000, Percent: 60}, {From: 2600, To: 4000, Percent: 300}}}
	plan, err := rinse.Solve(p, rinse.Budget{Nodes: 300})
	require.NoError(t, err)
	require.NoError(t, replay(p, plan))
}

func TestBadProblems(t *testing.T) {
	good := func() *rinse.Problem {
		return &rinse.Problem{Now: 1000, Walk: 60, Zones: minutes([3]int{10, 10, 30}, [3]int{10, 10, 30})}
	}
	for want, spoil := range map[string]func(p *rinse.Problem){
		"walk: -1 seconds":                       func(p *rinse.Problem) { p.Walk = -1 },
		"zone 2 (B): a rinse takes 0 seconds":    func(p *rinse.Problem) { p.Zones[1].Rinse = 0 },
		"zone 1 (A): no strength is allowed":     func(p *rinse.Problem) { p.Zones[0].Allowed = nil },
		"zone 1 (A): it opens after 1801":        func(p *rinse.Problem) { p.Zones[0].Allowed[0].Opens = 1801 },
		"zone 1 (A): applying takes no time":     func(p *rinse.Problem) { p.Zones[0].Apply = 0 },
		"zone 1 (A): on from 0 to 2000":          func(p *rinse.Problem) { p.Zones[0].On, p.Zones[0].Last = true, 2000 },
		"zone 1 (A): all its strengths":          func(p *rinse.Problem) { p.Zones[0].Capped, p.Zones[0].Strongest = true, -1 },
		"zone 2 (B): 2 strengths":                func(p *rinse.Problem) { p.Zones[1].Allowed = append(p.Zones[1].Allowed, p.Zones[1].Allowed...) },
		"2 zones are partly on":                  func(p *rinse.Problem) { p.Zones[0].On, p.Zones[1].On = true, true },
		"rate 1, from 5 to 5":                    func(p *rinse.Problem) { p.Rates = []rinse.Rate{{From: 5, To: 5, Percent: 100}} },
		"rate 1: 0 percent":                      func(p *rinse.Problem) { p.Rates = []rinse.Rate{{From: 5, To: 6}} },
		"65 zones":                               func(p *rinse.Problem) { p.Zones = make([]rinse.Zone, 65) },
		"none of its strengths is as strong":     func(p *rinse.Problem) { p.Strengths, p.Zones[0].Allowed[0].Level = rinse.Rising, 5 },
		"unknown order 2 or choice of strengths": func(p *rinse.Problem) { p.Order = 2 },
	} {
		p := good()
		spoil(p)
		_, err := rinse.Solve(p, rinse.Budget{})
		require.ErrorIs(t, err, rinse.ErrProblem, want)
		assert.ErrorContains(t, err, want)
	}
}
