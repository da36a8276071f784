package floor_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rinseby/timing/floor"
)

var (
	update  = flag.Bool("update", false, "ask the outside solver, z3, for what testdata/outside.json lacks")
	patient = flag.Int("patience", 60, "with -update: seconds for one question")
)

const outsideFile = "testdata/outside.json"

// An outside result is what a general-purpose solver decided of an instance.
type outside struct {
	Recipe string `json:"recipe"`
	// Edge is the least that has to be added to every Most, negative if some can
	// be taken off, for a schedule to exist: the solver found one with it, and
	// proved that there is none with one less. Not there: not decided in time.
	Edge *int `json:"edge,omitempty"`
	// Start is the earliest start of the walk-in in its window, decided alike;
	// floor.None if there is none.
	Start *int `json:"start,omitempty"`
}

// A question is an instance, and perhaps a walk-in for it.
type question struct {
	recipe
	walkIn bool
}

func (q question) id() string {
	if q.walkIn {
		return q.recipe.id() + "/walk-in"
	}
	return q.recipe.id()
}

// questions are the instances, each once with chemistry and once without; and
// some with high seeds at which a planner that rules out too much is found out,
// as few others do.
func questions() (out []question) {
	for chains := 2; chains <= 4; chains++ {
		for tasks := 4; tasks <= 8; tasks++ {
			for seed := range 7 {
				for _, chemistry := range []bool{true, false} {
					r := recipe{seed: uint64(seed), chains: chains, tasks: tasks, chemistry: chemistry, grain: 1}
					out = append(out, question{r, false})
					if seed < 3 {
						out = append(out, question{r, true})
					}
				}
			}
		}
	}
	for _, seed := range []uint64{1087, 1144, 1253, 1360, 1435, 1450, 1482} {
		out = append(out, question{recipe{seed: seed, chains: 3, tasks: 6, chemistry: true, grain: 1}, false})
	}
	for _, seed := range []uint64{1281, 1486, 1588, 1904} {
		out = append(out, question{recipe{seed: seed, chains: 4, tasks: 5, chemistry: true, grain: 1}, false})
	}
	for _, r := range []recipe{{2005, 3, 6, true, 1}, {2374, 3, 4, true, 1}} {
		out = append(out, question{r, false}, question{r, true})
	}
	return out
}

// A walkIn is what is asked about one: room is what every Most of the others is
// put past the edge.
type walkIn struct{ room, takes, from, to int }

func (q question) walk() walkIn {
	if q.seed >= 1000 {
		return walkIn{room: 5, takes: 7, from: 5, to: 120}
	}
	s := int(q.seed)
	return walkIn{room: 2 + 4*s, takes: 5 + 5*s, from: 5 * s, to: 60 + 40*s}
}

func readOutside(t testing.TB) map[string]outside {
	text, err := os.ReadFile(outsideFile)
	require.NoError(t, err)
	var results []outside
	require.NoError(t, json.Unmarshal(text, &results))
	byName := map[string]outside{}
	for _, o := range results {
		byName[o.Recipe] = o
	}
	return byName
}

// TestOutsideSolver compares the planner with what a general-purpose solver
// decided of a model that was written apart: on both sides of the edge between
// what fits and what does not, and of walk-ins.
func TestOutsideSolver(t *testing.T) {
	if *update {
		writeOutside(t)
	}
	byName := readOutside(t)
	decided, walkIns := 0, 0
	for _, q := range questions() {
		o, ok := byName[q.id()]
		require.True(t, ok, "%s: run this test with -update", q.id())
		edge := byName[q.recipe.id()].Edge
		if o.Edge != nil {
			agree(t, q, *o.Edge)
			decided += 2
		}
		if o.Start != nil {
			w := q.walk()
			start, v, err := floor.Fit(later(draw(q.recipe), *edge+w.room), "Ines", w.takes, w.from, w.to, floor.Budget{})
			require.NoError(t, err)
			require.Equal(t, *o.Start, start, q.id())
			require.Equal(t, *o.Start == floor.None, v == floor.Cannot, q.id())
			require.NotEqual(t, floor.Unproven, v, q.id())
			walkIns++
		}
	}
	t.Logf("%d decisions at the edge and %d walk-ins agree", decided, walkIns)
	require.GreaterOrEqual(t, decided, 200)
	require.GreaterOrEqual(t, walkIns, 60)
}

// agree asks the planner on both sides of the edge, and some way off.
func agree(t *testing.T, q question, edge int) {
	for _, by := range []int{5, 0, -1, -7} {
		p := later(draw(q.recipe), edge+by)
		plan, err := floor.Solve(p, floor.Budget{})
		require.NoError(t, err, q.id())
		require.NoError(t, keeps(p, plan.Starts, plan.Late), q.id())
		if by >= 0 {
			require.Equal(t, floor.Fits, plan.Verdict, "%s, %d from the edge", q.id(), by)
			require.Zero(t, plan.Late)
			continue
		}
		require.Equal(t, floor.Cannot, plan.Verdict, "%s, %d from the edge", q.id(), by)
		require.NotNil(t, plan.Collision)
		require.GreaterOrEqual(t, plan.Collision.Slack, -by, q.id())
		require.True(t, plan.Collision.Proved, q.id())
		require.Equal(t, -by, plan.Collision.Slack, q.id())
	}
}

func writeOutside(t *testing.T) {
	_, err := exec.LookPath("z3")
	require.NoError(t, err, "install z3")
	kept := map[string]outside{}
	if _, err := os.Stat(outsideFile); err == nil {
		kept = readOutside(t)
	}
	for _, q := range questions() {
		o := kept[q.id()]
		o.Recipe = q.id()
		p := draw(q.recipe)
		if edge := kept[q.recipe.id()].Edge; q.walkIn && o.Start == nil && edge != nil {
			o.Start = outsideStart(t, later(p, *edge+q.walk().room), q.walk())
		} else if !q.walkIn && o.Edge == nil {
			o.Edge = leastTrue(-60, 200, func(d int) (bool, bool) { return askOutside(t, later(p, d)) })
		}
		kept[q.id()] = o
		keepOutside(t, kept)
	}
}

func keepOutside(t *testing.T, kept map[string]outside) {
	var lines []string
	for _, q := range questions() {
		if o, ok := kept[q.id()]; ok {
			line, err := json.Marshal(o)
			require.NoError(t, err)
			lines = append(lines, string(line))
		}
	}
	require.NoError(t, os.WriteFile(outsideFile, []byte("[\n"+strings.Join(lines, ",\n")+"\n]\n"), 0o644))
}

func outsideStart(t *testing.T, p *floor.Problem, w walkIn) *int {
	at := leastTrue(w.from, w.to+1, func(to int) (bool, bool) {
		if to > w.to {
			return true, true // stands for none
		}
		return askOutside(t, withWalkIn(p, "Ines", w.takes, w.from, to))
	})
	if at != nil && *at > w.to {
		*at = floor.None
	}
	return at
}

// leastTrue is the least x from lo to hi for which ok says true; nil if ok can't
// say.
func leastTrue(lo, hi int, ok func(int) (yes, known bool)) *int {
	for lo < hi {
		mid := lo + (hi-lo)>>1
		yes, known := ok(mid)
		switch {
		case !known:
			return nil
		case yes:
			hi = mid
		default:
			lo = mid + 1
		}
	}
	return &lo
}

// askOutside has the solver decide whether there is a schedule.
func askOutside(t *testing.T, p *floor.Problem) (yes, known bool) {
	model, err := os.ReadFile("testdata/model.smt2")
	require.NoError(t, err)
	c := exec.Command("nice", "-n", "10", "z3", "-in", fmt.Sprintf("-T:%d", *patient))
	c.Stdin = strings.NewReader(string(model) + instance(p))
	text, _ := c.Output() // of a question not decided in time it makes an error
	switch string(bytes.TrimSpace(text)) {
	case "sat":
		return true, true
	case "unsat":
		return false, true
	case "timeout", "unknown":
		return false, false
	}
	require.Fail(t, "z3 answers: "+string(text))
	return false, false
}

// instance writes a problem of one worker as assertions of the model.
func instance(p *floor.Problem) string {
	var b strings.Builder
	type task struct {
		name  string
		chain int
		takes int
	}
	var all []task
	for i, c := range p.Chains {
		for k, k0 := range c.Tasks {
			all = append(all, task{fmt.Sprintf("s%d.%d", i, k), i, k0.Takes})
			fmt.Fprintf(&b, "(declare-const s%d.%d Int)\n(assert (at-least now s%d.%d 0))\n", i, k, i, k)
			if k > 0 {
				fmt.Fprintf(&b, "(assert (follows s%d.%d %d s%d.%d))\n", i, k-1, c.Tasks[k-1].Takes, i, k)
			}
			if k0.Begun {
				fmt.Fprintf(&b, "(assert (at-most now s%d.%d 0))\n", i, k)
			}
		}
		for _, l := range c.Links {
			from, to := "now", fmt.Sprintf("s%d.%d", i, l.To)
			if l.From != floor.Now {
				from = fmt.Sprintf("s%d.%d", i, l.From)
			}
			if l.Least != floor.None {
				fmt.Fprintf(&b, "(assert (at-least %s %s %s))\n", from, to, number(l.Least))
			}
			if l.Most != floor.None {
				fmt.Fprintf(&b, "(assert (at-most %s %s %s))\n", from, to, number(l.Most))
			}
		}
	}
	for i, a := range all {
		for _, c := range all[:i] {
			if a.chain != c.chain {
				fmt.Fprintf(&b, "(assert (apart %s %d %s %d))\n", a.name, a.takes, c.name, c.takes)
			}
		}
	}
	return b.String() + "(check-sat)\n"
}

func number(x int) string {
	if x < 0 {
		return fmt.Sprintf("(- %d)", -x)
	}
	return fmt.Sprint(x)
}
