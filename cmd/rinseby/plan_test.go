package main

import (
	"bytes"
	"encoding/json"
	"maps"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/timing/rinse"
)

const ordinaryPlan = "../../testdata/plan-ordinary.toml"

func TestPlanOfAnOrdinaryHead(t *testing.T) {
	var out bytes.Buffer
	e := &edge{out: &out}
	require.NoError(t, e.plan(ordinaryPlan, true))
	var p struct {
		Proved  bool
		Trips   int
		Over    float64             `json:"over_minutes"`
		Finish  float64             `json:"finish_minutes"`
		Bound   struct{ Trips int } `json:"lower_bound"`
		Actions []struct {
			Kind  string
			Zones []string
			End   float64
		}
	}
	require.NoError(t, json.Unmarshal(out.Bytes(), &p))
	assert.True(t, p.Proved)
	assert.Zero(t, p.Over)
	assert.Equal(t, p.Trips, p.Bound.Trips)
	require.NotEmpty(t, p.Actions)
	assert.Equal(t, "apply", p.Actions[0].Kind)
	assert.Equal(t, []string{"Nape"}, p.Actions[0].Zones)
	assert.InDelta(t, p.Finish, p.Actions[len(p.Actions)-1].End, 1e-9, "the last rinse is the finish")

	out.Reset()
	require.NoError(t, e.plan(ordinaryPlan, false))
	for _, want := range []string{"0:00      0:08  apply Nape, ", "walk to the basin with Nape, ", "Proved: no plan is better.", "sets the next trip: set out by "} {
		assert.Contains(t, out.String(), want)
	}
}

func TestPlanFromStandardInput(t *testing.T) {
	text, err := os.ReadFile(ordinaryPlan)
	require.NoError(t, err)
	var a, b bytes.Buffer
	require.NoError(t, (&edge{out: &a, in: bytes.NewReader(text)}).plan("-", true))
	require.NoError(t, (&edge{out: &b}).plan(ordinaryPlan, true))
	assert.Equal(t, b.String(), a.String())
}

func TestPlanThatIsNotProvedSaysSo(t *testing.T) {
	text, err := os.ReadFile(ordinaryPlan)
	require.NoError(t, err)
	var out bytes.Buffer
	e := &edge{out: &out, in: strings.NewReader("budget.nodes = 1\n" + string(text))}
	require.NoError(t, e.plan("-", false))
	assert.Contains(t, out.String(), "Best found, not proved.")
	assert.NotContains(t, out.String(), "no plan is better")
}

// zoneWith is a file with one zone, on top of which lines can be spoilt.
const zoneWith = `order = "fixed"
[trip]
walk_minutes = 1
reseat_minutes = 2
idle_cap_minutes = 3
[[zone]]
name = "Nape"
apply_minutes = 8
rinse_minutes = 2
[[zone.strength]]
strength = "20 vol"
opens_minutes = 10
limit_minutes = 40
`

func TestBadPlanFiles(t *testing.T) {
	for _, c := range []struct{ old, new, want string }{
		{`"fixed"`, `"fix"`, `p.toml:1: order: "fix": write "fixed" or "open"`},
		{`order = "fixed"`, `order = 3`, `p.toml:1: order: of the wrong type`},
		{`order`, `ordr`, `p.toml:1: ordr: unknown here`},
		{`walk_minutes = 1`, `walk_minutes = -1`, `p.toml:3: walk_minutes: -1: give 0 to 600 minutes`},
		{`walk_minutes = 1`, `walk_minutes = nan`, `p.toml:3: walk_minutes: NaN: give`},
		{`walk_minutes = 1`, ``, `p.toml:2: walk_minutes: missing`},
		{`name = "Nape"`, ``, `p.toml:6: name: give 1 to 60 characters`},
		{`apply_minutes = 8`, ``, `p.toml:6: apply_minutes: missing`},
		{`apply_minutes = 8`, `minutes_per_piece = 2`, `p.toml:6: pieces: missing`},
		{`apply_minutes = 8`, "apply_minutes = 8\nminutes_per_piece = 2", `p.toml:8: apply_minutes: given beside`},
		{`apply_minutes = 8`, "pieces = 1000\nminutes_per_piece = 100", `p.toml:9: minutes_per_piece: applying takes over`},
		{`apply_minutes = 8`, "apply_minutes = 8\nfirst_minute = -4", `p.toml:6: last_minute: missing`},
		{`apply_minutes = 8`, "first_minute = -4\nlast_minute = -5", `p.toml:9: last_minute: before first_minute`},
		{`rinse_minutes = 2`, `rinse_minutes = 0`, `p.toml:9: rinse_minutes: 0: give 0.1`},
		{`"20 vol"`, `"3"`, `p.toml:11: strength: strength "3" may be volumes or percent`},
		{`opens_minutes = 10`, `opens_minutes = 41`, `p.toml:12: opens_minutes: past limit_minutes`},
		{`rinse_minutes = 2`, "rinse_minutes = 2\nstrongest = \"10 vol\"", `p.toml:10: strongest: weaker than all`},
		{`[[zone.strength]]`, "[[zone.strength]]\nstrength=\"30 vol\"\nopens_minutes=1\nlimit_minutes=2\n[[zone.strength]]", `strength: 2 where there can be one only`},
		{`[trip]`, "budget.nodes = 0\n[trip]", `nodes: 0: give 1`},
		{`[trip]`, "[helper]\nrate = 0\n[trip]", `p.toml:3: rate: 0: give 0.1 to 10`},
		{`[trip]`, "[helper]\nrate = 2\nfrom_minute = 9\nto_minute = 9\n[trip]", `p.toml:5: to_minute: not after`},
		{`[trip]`, `[trip`, `p.toml:2: not valid TOML`},
	} {
		require.Contains(t, zoneWith, c.old)
		_, err := readPlan("p.toml", []byte(strings.Replace(zoneWith, c.old, c.new, 1)))
		assert.ErrorContains(t, err, c.want, c.new)
	}
	_, err := readPlan("p.toml", []byte(zoneWith))
	require.NoError(t, err)
	_, err = readPlan("p.toml", []byte("order = \"fixed\"\n"))
	require.ErrorContains(t, err, "p.toml:1: zone: there is none")
	_, err = readPlan("p.toml", bytes.Repeat([]byte("#\n"), maxPlanFile))
	require.ErrorContains(t, err, "larger than")
}

func TestStrengthsThatCantRise(t *testing.T) {
	two := strings.Replace(zoneWith, `"fixed"`, "\"fixed\"\nstrengths = \"rising\"", 1) +
		"[[zone]]\nname = \"Crown\"\napply_minutes = 5\nrinse_minutes = 1\n[[zone.strength]]\nstrength = \"10 vol\"\nopens_minutes = 5\nlimit_minutes = 30\n"
	e := &edge{out: &bytes.Buffer{}, in: strings.NewReader(two)}
	require.ErrorContains(t, e.plan("-", false), "zone 2 (Crown): none of its strengths is as strong")
}

// planFields lists the fields of a type by their tags, as the reference writes
// them.
func planFields(typ reflect.Type, tag, prefix string, out map[string]bool) {
	for i := range typ.NumField() {
		f := typ.Field(i)
		path, ft := prefix+f.Tag.Get(tag), f.Type
		for ft.Kind() == reflect.Pointer || ft.Kind() == reflect.Slice && ft.Elem().Kind() == reflect.Struct {
			if ft.Kind() == reflect.Slice {
				path += "[]"
			}
			ft = ft.Elem()
		}
		if ft.Kind() == reflect.Struct {
			planFields(ft, tag, path+".", out)
			continue
		}
		out[path] = true
	}
}

func TestReferenceOfThePlan(t *testing.T) {
	chapter := chapterOf(t, "8. The rinse plan")
	in, out, found := strings.Cut(chapter, "`rinseby plan --json` prints")
	require.True(t, found)
	row := regexp.MustCompile("(?m)^\\| `([^`]+)` \\|")
	for _, c := range []struct {
		text, tag string
		typ       reflect.Type
	}{{in, "toml", reflect.TypeFor[planTOML]()}, {out, "json", reflect.TypeFor[planned]()}} {
		want, got := map[string]bool{}, map[string]bool{}
		planFields(c.typ, c.tag, "", want)
		for _, m := range row.FindAllStringSubmatch(c.text, -1) {
			got[m[1]] = true
		}
		assert.Equal(t, slices.Sorted(maps.Keys(want)), slices.Sorted(maps.Keys(got)))
	}
	_, example, found := strings.Cut(in, "```toml plan\n")
	require.True(t, found)
	example, _, _ = strings.Cut(example, "```")
	f, err := readPlan("example.toml", []byte(example))
	require.NoError(t, err)
	assert.Len(t, f.Problem.Zones, 3)
	var printed bytes.Buffer
	require.NoError(t, (&edge{out: &printed, in: strings.NewReader(example)}).plan("-", true))
	assert.Contains(t, printed.String(), `"proved": true`)
}

func FuzzPlanFile(f *testing.F) {
	text, err := os.ReadFile(ordinaryPlan)
	require.NoError(f, err)
	f.Add(string(text))
	f.Add(zoneWith)
	f.Add(strings.Replace(zoneWith, "[trip]", "[helper]\nrate = 1.5\n[trip]", 1))
	f.Add(strings.Replace(zoneWith, "apply_minutes = 8", "first_minute = -20\nlast_minute = -12", 1))
	f.Fuzz(func(t *testing.T, text string) {
		p, err := readPlan("f.toml", []byte(text))
		if err != nil {
			for line := range strings.Lines(err.Error()) {
				require.True(t, strings.HasPrefix(line, "f.toml"), line)
			}
			return
		}
		if _, err := rinse.Solve(&p.Problem, rinse.Budget{Nodes: 5}); err != nil {
			require.ErrorIs(t, err, rinse.ErrProblem)
		}
	})
}
