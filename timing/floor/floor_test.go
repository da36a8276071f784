package floor_test

import (
	"encoding/json"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/timing/floor"
)

func tasks(takes ...int) (list []floor.Task) {
	for k, t := range takes {
		list = append(list, floor.Task{Name: string(rune('a' + k)), Takes: t})
	}
	return list
}

func by(to, most int) floor.Link {
	return floor.Link{From: floor.Now, To: to, Least: floor.None, Most: most, Name: "promised"}
}

func limit(from, to, least, most int) floor.Link {
	return floor.Link{From: from, To: to, Least: least, Most: most, Chemistry: true, Name: "limit"}
}

func begun(list []floor.Task) []floor.Task {
	list[0].Begun = true
	return list
}

func TestCollisions(t *testing.T) {
	tests := map[string]struct {
		chains []floor.Chain
		want   *floor.Collision
	}{
		"nothing to do":  {nil, nil},
		"an empty chain": {[]floor.Chain{{Name: "A"}, {Name: "B", Tasks: tasks(60)}}, nil},
		"one fits while the other's product works": {[]floor.Chain{
			{Name: "A", Tasks: tasks(600, 300), Links: []floor.Link{limit(0, 1, 1500, 1800)}},
			{Name: "B", Tasks: tasks(1200), Links: []floor.Link{by(0, 700)}},
		}, nil},
		"a limit that has passed collides with itself": {[]floor.Chain{
			{Name: "A", Tasks: tasks(60), Links: []floor.Link{limit(floor.Now, 0, floor.None, -90)}},
			{Name: "B", Tasks: tasks(60)},
		}, &floor.Collision{A: 0, B: 0, By: 90, Slack: 90, Soft: floor.None, Proved: true}},
		"a promise that its own chemistry breaks gives way": {[]floor.Chain{
			{Name: "A", Tasks: tasks(600, 300, 300), Links: []floor.Link{limit(0, 1, 1500, 1800), by(2, 1700)}},
		}, &floor.Collision{A: 0, B: 0, TaskA: 0, TaskB: 2, By: 100, Slack: 100, Soft: 100, Proved: true, Gap: &floor.Gap{Chain: 0, Link: 1, By: 100}}},
		"two rinses at once": {[]floor.Chain{
			{Name: "A", Tasks: tasks(300), Links: []floor.Link{limit(floor.Now, 0, 0, 100)}},
			{Name: "B", Tasks: tasks(240), Links: []floor.Link{limit(floor.Now, 0, 0, 100)}},
		}, &floor.Collision{A: 1, B: 0, By: 140, Slack: 140, Soft: floor.None, Proved: true}},
		"hands are at one": {[]floor.Chain{
			{Name: "A", Tasks: begun(tasks(900))},
			{Name: "B", Tasks: tasks(240), Links: []floor.Link{by(0, 600)}},
		}, &floor.Collision{A: 0, B: 1, By: 300, Slack: 300, Soft: 300, Proved: true, Gap: &floor.Gap{Chain: 1, Link: 0, By: 300}}},
		"any two fit, three do not": {[]floor.Chain{
			{Name: "A", Tasks: tasks(600), Links: []floor.Link{limit(floor.Now, 0, 0, 600)}},
			{Name: "B", Tasks: tasks(600), Links: []floor.Link{limit(floor.Now, 0, 0, 600)}},
			{Name: "C", Tasks: tasks(600), Links: []floor.Link{by(0, 600)}},
		}, &floor.Collision{A: 0, B: 1, By: 0, Slack: 600, Soft: 600, Proved: true, Gap: &floor.Gap{Chain: 2, Link: 0, By: 600}}},
	}
	for name, tt := range tests {
		t.Run(name, func(t *testing.T) {
			plan := solve(t, &floor.Problem{Chains: tt.chains})
			if tt.want == nil {
				assert.Equal(t, floor.Fits, plan.Verdict)
			} else {
				assert.Equal(t, floor.Cannot, plan.Verdict)
			}
			assert.Equal(t, tt.want, plan.Collision)
		})
	}
}

func TestFitInAndAround(t *testing.T) {
	// Hands are busy from 0 to 600 and, within 200 s of choice, for 300 s at 1500.
	p := &floor.Problem{Chains: []floor.Chain{
		{Name: "A", Worker: "Ines", Tasks: begun(tasks(600, 300)), Links: []floor.Link{limit(0, 1, 1500, 1700)}},
		{Name: "B", Worker: "nobody", Tasks: tasks(60), Links: []floor.Link{by(0, -5)}},
	}}
	tests := []struct {
		worker          string
		takes, from, to int
		start           int
		verdict         floor.Verdict
	}{
		{"Ines", 1100, 0, 5000, 600, floor.Fits},
		{"Ines", 1101, 0, 5000, 1800, floor.Fits},
		{"Ines", 1101, 0, 1799, floor.None, floor.Cannot},
		{"Ines", 60, 700, 700, 700, floor.Fits},
		{"another", 60, 0, 10, 0, floor.Fits},
		{"nobody", 60, 0, 10, floor.None, floor.Cannot},
	}
	for _, tt := range tests {
		start, v, err := floor.Fit(p, tt.worker, tt.takes, tt.from, tt.to, floor.Budget{})
		require.NoError(t, err)
		assert.Equal(t, tt.verdict, v, tt)
		assert.Equal(t, tt.start, start, tt)
	}
}

func TestWhatIsWrongIsNamed(t *testing.T) {
	many := make([]int, floor.MaxTasks+1)
	long := make([]int, 100)
	for k := range long {
		long[k] = 200_000
	}
	tests := map[string][]floor.Chain{
		`chain 1 (A): task 2 (b) takes -1 seconds: give 0 to 262144`:                                         {{Name: "A", Tasks: tasks(1, -1)}},
		`chain 1 (A): task 2 (b) has begun before the tasks ahead of it ended: only a chain's first can`:     {{Name: "A", Tasks: append(tasks(1), floor.Task{Name: "b", Begun: true})}},
		`chain 1 (A): link 1 (limit) goes from task 1 to 0: link a task, or now (-1), to a later one of 2`:   {{Name: "A", Tasks: tasks(1, 1), Links: []floor.Link{limit(1, 0, 0, 0)}}},
		`chain 1 (A): link 1 (limit) goes from task -1 to 2: link a task, or now (-1), to a later one of 2`:  {{Name: "A", Tasks: tasks(1, 1), Links: []floor.Link{limit(-1, 2, 0, 0)}}},
		`chain 1 (A): link 1 (limit) asks for 0 to 300000 seconds: give at most 262144 either way, or None`:  {{Name: "A", Tasks: tasks(1, 1), Links: []floor.Link{limit(0, 1, 0, 300_000)}}},
		`chain 1 (A): link 1 (limit) lets task 1 (a) start after 5 seconds, but it has begun: drop the link`: {{Name: "A", Tasks: begun(tasks(1)), Links: []floor.Link{limit(-1, 0, 5, 9)}}},
		`worker "" has more than 128 tasks: leave the latest ones out`:                                       {{Name: "A", Tasks: tasks(many...)}},
		`worker "" has more than 16777216 seconds of work and waits: leave the latest tasks out`:             {{Name: "A", Tasks: tasks(long...)}},
		`worker "" has begun both "a" of "A" and "a" of "B": end one of them, hands can be at one only`:      {{Name: "A", Tasks: begun(tasks(1))}, {Name: "B", Tasks: begun(tasks(1))}},
	}
	for want, chains := range tests {
		p := &floor.Problem{Chains: chains}
		_, err := floor.Solve(p, floor.Budget{})
		require.ErrorIs(t, err, floor.ErrProblem)
		assert.Contains(t, err.Error(), want)
		_, _, err = floor.Fit(p, "", 60, 0, 10, floor.Budget{})
		assert.True(t, errors.Is(err, floor.ErrProblem))
	}
	for _, window := range [][2]int{{-1, 5}, {6, 5}, {0, 300_000}} {
		_, _, err := floor.Fit(&floor.Problem{}, "", 60, window[0], window[1], floor.Budget{})
		assert.ErrorIs(t, err, floor.ErrProblem)
	}
}

// Once Stop says so, little more is done; what is answered is still true.
func TestStop(t *testing.T) {
	for _, after := range []int{0, 1, 5, 30} {
		for seed := range uint64(20) {
			p := draw(recipe{seed: seed, chains: 4, tasks: 8, chemistry: true, grain: 60})
			asked, late := 0, 0
			plan, err := floor.Solve(p, floor.Budget{Stop: func() bool {
				asked++
				if asked > after {
					late++
				}
				return asked > after
			}})
			require.NoError(t, err)
			require.NoError(t, keeps(p, plan.Starts, plan.Late))
			assert.LessOrEqual(t, late, 1, "asked again after it said to stop")
			assert.Equal(t, plan.Late == 0, plan.Verdict == floor.Fits)
		}
	}
}

func TestAsManyTasksAsThereMayBe(t *testing.T) {
	p := draw(recipe{seed: 1, chains: 16, tasks: 8, chemistry: true, grain: 60})
	plan := solve(t, later(p, 3600))
	assert.Equal(t, floor.Fits, plan.Verdict)
	assert.Equal(t, floor.MaxTasks, len(lineOf(plan.Starts)))
}

func TestLongestTimes(t *testing.T) {
	const takes, each = 1 << 17, 64
	var list []int
	for range each {
		list = append(list, takes)
	}
	last := floor.Link{From: floor.Now, To: each - 1, Least: floor.None, Most: -1 << 18}
	p := &floor.Problem{Chains: []floor.Chain{
		{Name: "A", Tasks: tasks(list...), Links: []floor.Link{last, limit(0, 1, 0, 1<<18)}},
		{Name: "B", Tasks: tasks(list...), Links: []floor.Link{last}},
	}}
	plan := solve(t, p)
	assert.Equal(t, floor.Cannot, plan.Verdict)
	assert.Equal(t, (each-1)*takes+1<<18, plan.Collision.By, "what one needs for itself")
	assert.Equal(t, (2*each-1)*takes+1<<18, plan.Collision.Slack)
	assert.Nil(t, plan.Collision.Gap, "both miss what they promised")
}

func TestVerdictsInWords(t *testing.T) {
	for v, want := range map[floor.Verdict]string{floor.Fits: "fits", floor.Cannot: "cannot", floor.Unproven: "not proven in time", 9: "unknown"} {
		assert.Equal(t, want, v.String())
		text, err := json.Marshal(v)
		require.NoError(t, err)
		assert.Equal(t, `"`+want+`"`, string(text))
	}
}
