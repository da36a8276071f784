package rinse_test

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/timing/rinse"
)

var (
	update  = flag.Bool("update", false, "solve outside instances with MiniZinc and Gecode where they are new or not proved in all goals, and write testdata/outside.json")
	patient = flag.Duration("patient", 4*time.Second, "with -update: the time for each goal of an instance, in each way of searching")
	only    = flag.String("only", "", "with -update: of the instances that are not proved in all goals, only those whose names contain this")
)

const outsideFile = "testdata/outside.json"

// An outside result is what a general-purpose constraint solver says of an
// instance. Of the goals over, trips, finish and unevenness it holds those
// that the solver proved, in this order; what it did not prove in its time is
// not there, and does not count as checked.
type outside struct {
	Recipe string `json:"recipe"`
	Proved []int  `json:"proved"`
}

// outsideRecipes are the instances, by name.
func outsideRecipes() (out []recipe) {
	each := func(n int, r recipe) {
		for seed := range n {
			r.seed, r.grain = uint64(1000+seed), 1
			out = append(out, r)
		}
	}
	for n := 4; n <= 12; n++ {
		many := [...]int{14, 8, 8, 6, 3}
		if n > 9 {
			many = [...]int{6, 3, 3, 4, 2}
		} else if n > 7 {
			many = [...]int{8, 4, 4, 4, 2}
		}
		each(many[0], recipe{zones: n})
		each(many[1], recipe{zones: n, strengths: rinse.Rising})
		each(many[2], recipe{zones: n, strengths: rinse.Free})
		each(many[3], recipe{zones: n, midway: true})
		each(many[4], recipe{zones: n, helper: true})
	}
	for n := 4; n <= 7; n++ {
		each(9, recipe{zones: n, order: rinse.Open})
		each(4, recipe{zones: n, order: rinse.Open, strengths: rinse.Rising})
		each(4, recipe{zones: n, order: rinse.Open, strengths: rinse.Free})
	}
	return out
}

// TestOutsideSolver compares the planner with what a general-purpose
// constraint solver proved of a model that was written apart.
func TestOutsideSolver(t *testing.T) {
	if *update {
		writeOutside(t)
	}
	text, err := os.ReadFile(outsideFile)
	require.NoError(t, err)
	var results []outside
	require.NoError(t, json.Unmarshal(text, &results))
	byName := map[string][]int{}
	for _, o := range results {
		byName[o.Recipe] = o.Proved
	}
	full, partly := 0, 0 // checked in all goals, in some
	for _, r := range outsideRecipes() {
		proved, ok := byName[r.id()]
		require.True(t, ok, "%s: run this test with -update", r.id())
		if len(proved) == 0 {
			continue
		}
		p := draw(r)
		plan, err := rinse.Solve(p, rinse.Budget{})
		require.NoError(t, err, r.id())
		require.NoError(t, replay(p, plan), r.id())
		got := []int{plan.Over, plan.Trips, plan.Finish - p.Now, plan.Uneven}
		if plan.Proved {
			require.Equal(t, proved, got[:len(proved)], r.id())
		}
		if len(proved) == len(got) && plan.Proved {
			full++
		} else {
			partly++
		}
	}
	t.Logf("%d instances checked in all four goals, %d in some, of %d", full, partly, len(byName))
	require.GreaterOrEqual(t, full, 200)
}

func writeOutside(t *testing.T) {
	_, err := exec.LookPath("minizinc")
	require.NoError(t, err, "install minizinc with Gecode")
	kept := map[string]outside{}
	if text, err := os.ReadFile(outsideFile); err == nil {
		var old []outside
		require.NoError(t, json.Unmarshal(text, &old))
		for _, o := range old {
			kept[o.Recipe] = o
		}
	}
	var lines []string
	for _, r := range outsideRecipes() {
		o, ok := kept[r.id()]
		if !ok || len(o.Proved) < 4 && strings.Contains(r.id(), *only) {
			o = outside{r.id(), askOutside(t, draw(r))}
		}
		line, err := json.Marshal(o)
		require.NoError(t, err)
		lines = append(lines, string(line))
		require.NoError(t, os.WriteFile(outsideFile, []byte("[\n"+strings.Join(lines, ",\n")+"\n]\n"), 0o644))
	}
}

// askOutside solves one goal after another, each with the ones before it held.
func askOutside(t *testing.T, p *rinse.Problem) (proved []int) {
	data := dzn(p)
	file := filepath.Join(t.TempDir(), "instance.dzn")
	require.NoError(t, os.WriteFile(file, []byte(data), 0o600))
	proved = []int{}
	horizon := horizon(p)
	most := []int{horizon, len(p.Zones), horizon, horizon}
	for stage := 2; stage <= 4; stage++ {
		got, ok := askGoal(t, file, stage, 1, most)
		if !ok {
			got, ok = askGoal(t, file, stage, 2, most)
		}
		if !ok && stage == 2 { // both goals are too much
			if got, ok = askGoal(t, file, 1, 2, most); ok {
				proved = append(proved, got[0])
			}
			break
		}
		if !ok {
			break
		}
		copy(most, got[:stage])
		proved = append(proved[:0], got[:stage]...)
	}
	return proved
}

// askGoal solves one goal of the model in one way of searching.
func askGoal(t *testing.T, file string, stage, way int, most []int) (got [4]int, ok bool) {
	ctx, cancel := context.WithTimeout(context.Background(), *patient+30*time.Second)
	defer cancel()
	c := exec.CommandContext(ctx, "nice", "-n", "10", "minizinc", "--solver", "gecode", "--time-limit", fmt.Sprint(patient.Milliseconds()),
		"-D", fmt.Sprintf("stage=%d; way=%d; overMost=%d; tripsMost=%d; finishMost=%d;", stage, way, most[0], most[1], most[2]), "testdata/model.mzn", file)
	text, err := c.Output()
	if err != nil || !strings.Contains(string(text), "==========") {
		return got, false
	}
	last := string(text[bytes.LastIndex(text, []byte("over=")):])
	_, err = fmt.Sscanf(last, "over=%d trips=%d finish=%d uneven=%d", &got[0], &got[1], &got[2], &got[3])
	require.NoError(t, err, last)
	return got, true
}

// horizon is a moment by which any sensible plan is done, counted from Now.
func horizon(p *rinse.Problem) int {
	sum := 0
	for _, z := range p.Zones {
		opens, longest := 0, 0
		for _, s := range z.Allowed {
			opens = max(opens, s.Opens)
		}
		if z.Apply > 0 {
			longest = z.Apply
			for _, r := range p.Rates {
				longest = max(longest, z.Apply*100/r.Percent+1)
			}
		}
		sum += longest + z.Rinse + p.Walk + p.Reseat + opens
	}
	for _, r := range p.Rates {
		sum = max(sum, r.To-p.Now)
	}
	return sum + p.Reseat
}

// dzn writes a problem as data of the model, with Now at 0.
func dzn(p *rinse.Problem) string {
	var b strings.Builder
	n, most, level0, newest := len(p.Zones), 0, 0, -1<<62
	for _, z := range p.Zones {
		most = max(most, len(z.Allowed))
		if z.On && z.Apply == 0 && z.Last >= newest {
			newest, level0 = z.Last, z.Allowed[0].Level
		}
	}
	h := horizon(p)
	put := func(name string, value any) { fmt.Fprintf(&b, "%s = %v;\n", name, value) }
	list := func(name string, f func(z *rinse.Zone) any) {
		var vs []string
		for i := range p.Zones {
			vs = append(vs, fmt.Sprint(f(&p.Zones[i])))
		}
		put(name, "["+strings.Join(vs, ",")+"]")
	}
	table := func(name string, f func(z *rinse.Zone, s rinse.Strength) int) {
		var rows []string
		for i := range p.Zones {
			z := &p.Zones[i]
			var row []string
			for k := range most {
				v := 0
				if k < len(z.Allowed) {
					v = f(z, z.Allowed[k])
				}
				row = append(row, fmt.Sprint(v))
			}
			rows = append(rows, strings.Join(row, ","))
		}
		put(name, "[|"+strings.Join(rows, "|")+"|]")
	}
	put("n", n)
	put("H", h)
	put("maxTrips", n)
	put("S", most)
	put("walk", p.Walk)
	put("reseat", p.Reseat)
	put("cap", p.IdleCap)
	put("basin", p.Basin)
	put("open_order", p.Order == rinse.Open)
	put("rising", p.Strengths == rinse.Rising)
	put("level0", level0)
	list("rinse", func(z *rinse.Zone) any { return z.Rinse })
	list("carried", func(z *rinse.Zone) any { return z.Carried })
	list("todo", func(z *rinse.Zone) any { return z.Apply > 0 })
	list("on", func(z *rinse.Zone) any { return z.On })
	contact := func(z *rinse.Zone, at int) int {
		if !z.On {
			return 0
		}
		return at - p.Now
	}
	list("first", func(z *rinse.Zone) any { return contact(z, z.First) })
	list("last", func(z *rinse.Zone) any { return contact(z, z.Last) })
	table("level", func(z *rinse.Zone, s rinse.Strength) int {
		if !z.On && z.Capped && s.Level > z.Strongest {
			return 0
		}
		return max(s.Level, 1)
	})
	table("opens", func(_ *rinse.Zone, s rinse.Strength) int { return s.Opens })
	table("limit", func(z *rinse.Zone, s rinse.Strength) int { return max(s.Limit-z.Carried, 0) })
	table("target", func(_ *rinse.Zone, s rinse.Strength) int { return s.Target })
	var rows []string
	for i, z := range p.Zones {
		for at := range h + 1 {
			takes := 0
			if z.Apply > 0 {
				takes = applyTime(p, i, p.Now+at)
			}
			rows = append(rows, fmt.Sprint(takes))
		}
	}
	put("dur", fmt.Sprintf("array2d(1..%d, 0..%d, [%s])", n, h, strings.Join(rows, ",")))
	return b.String()
}
