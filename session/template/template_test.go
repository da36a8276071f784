package template

import (
	"errors"
	"io/fs"
	"os"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/timing"
)

// small is a list with everything in it.
const small = `name = "Two rounds"
about = "For tests."
minutes_per_piece = 1.5
[[step]]
name = "washing"
before = true
[[step]]
name = "drying"
minutes = 20
[[round]]
name = "Lightening"
action = "lighten"
[[round.band]]
band = "root"
product = "Chalk"
strength = "30 vol"
contact = "off"
condition = "natural"
[[round.zone]]
name = "Nape"
pieces = 8
[[round.zone]]
name = "Crown"
pieces = 5
minutes_per_piece = 2
[[round.zone.band]]
band = "end"
product = "Chalk"
strength = "6 %"
contact = "off"
condition = "lightened"
[[round.zone.band]]
band = "root"
product = "Chalk"
strength = "20 vol"
contact = "scalp"
condition = "natural"
later = true
[[round]]
name = "Toning"
action = "colour"
[[round.band]]
band = "root"
product = "veil"
strength = "none"
contact = "scalp"
condition = "lightened"
[[round.zone]]
name = "Nape"
pieces = 1
same_hair_as = ["*"]
[[round.zone]]
name = "Rest"
pieces = 1
same_hair_as = [ "crown", "NAPE" ]
`

func TestParse(t *testing.T) {
	l, err := Parse("two.toml", []byte(small))
	require.NoError(t, err)
	assert.Equal(t, "Two rounds", l.Name)
	assert.Equal(t, "For tests.", l.About)
	assert.Equal(t, "two.toml", l.File)
	assert.Equal(t, small, l.Text)
	rounds, steps, err := l.Plans(formula.Starter())
	require.NoError(t, err)
	assert.Equal(t, []session.PlanStep{{Name: "washing", Before: true}, {Name: "drying", Minutes: 20}}, steps)
	root := session.PlanBand{Band: session.Root, Product: "Chalk", Kind: formula.PowderLightener, Strength: formula.FromVolumes(30),
		Contact: formula.OffScalp, Condition: formula.Natural}
	veil := session.PlanBand{Band: session.Root, Product: "Veil", Kind: formula.Demi, Contact: formula.OnScalp, Condition: formula.Lightened}
	assert.Equal(t, []session.PlanSet{
		{Round: "r1", Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{
			{ID: "z1", Name: "Nape", Pieces: 8, MinutesPerPiece: 1.5, Bands: []session.PlanBand{root}},
			{ID: "z2", Name: "Crown", Pieces: 5, MinutesPerPiece: 2, Bands: []session.PlanBand{
				{Band: session.End, Product: "Chalk", Kind: formula.PowderLightener, Strength: 6, Contact: formula.OffScalp, Condition: formula.Lightened},
				{Band: session.Root, Product: "Chalk", Kind: formula.PowderLightener, Strength: formula.FromVolumes(20),
					Contact: formula.OnScalp, Condition: formula.Natural, Later: true},
			}},
		}},
		{Round: "r2", Name: "Toning", Action: formula.Colour, Zones: []session.PlanZone{
			{ID: "z3", Name: "Nape", Pieces: 1, MinutesPerPiece: 1.5, Bands: []session.PlanBand{veil}, SameHairAs: []string{"z1", "z2"}},
			{ID: "z4", Name: "Rest", Pieces: 1, MinutesPerPiece: 1.5, Bands: []session.PlanBand{veil}, SameHairAs: []string{"z2", "z1", "z3"}},
		}},
	}, rounds)
}

func TestTechniqueOfARoundAndOfAZone(t *testing.T) {
	text := strings.Replace(small, "pieces = 5\n", "pieces = 5\ntechnique = \"open section\"\n", 1)
	text = strings.Replace(text, "action = \"lighten\"\n", "action = \"lighten\"\ntechnique = \" weave \"\n", 1)
	l, err := Parse("two.toml", []byte(text))
	require.NoError(t, err)
	rounds, _, err := l.Plans(formula.Starter())
	require.NoError(t, err)
	var got []string
	for _, r := range rounds {
		for _, z := range r.Zones {
			got = append(got, z.Technique)
		}
	}
	assert.Equal(t, []string{"weave", "open section", "", ""}, got)
	_, err = Parse("x.toml", []byte(strings.Replace(text, `"open section"`, `""`, 1)))
	assert.ErrorContains(t, err, "x.toml:26: technique: empty: write it")
	_, err = Parse("x.toml", []byte(strings.Replace(text, `" weave "`, `""`, 1)))
	assert.ErrorContains(t, err, "x.toml:13: technique: empty: write it")
	for _, l := range Builtin() {
		rounds, _, err := l.Plans(formula.Starter())
		require.NoError(t, err)
		for _, r := range rounds {
			for _, z := range r.Zones {
				assert.NotEmpty(t, z.Technique, "%s, %s", l.Name, z.Name)
			}
		}
	}
}

func TestPlansAreTheCallersOwn(t *testing.T) {
	l, err := Parse("two.toml", []byte(small))
	require.NoError(t, err)
	first, steps, err := l.Plans(formula.Starter())
	require.NoError(t, err)
	first[1].Zones[0].SameHairAs[0], first[0].Zones[0].Bands[0].Strength = "x", 12
	first[0].Zones[1].Pieces, steps[0].Name = 99, "x"
	again, steps, err := l.Plans(formula.Starter())
	require.NoError(t, err)
	assert.Equal(t, "z1", again[1].Zones[0].SameHairAs[0])
	assert.Equal(t, formula.FromVolumes(30), again[0].Zones[0].Bands[0].Strength)
	assert.Equal(t, 5, again[0].Zones[1].Pieces)
	assert.Equal(t, "washing", steps[0].Name)
}

func TestPlansNamesEveryMissingProductOnce(t *testing.T) {
	text := strings.Replace(strings.ReplaceAll(small, `"Chalk"`, `"Flint"`), `"veil"`, `"Gauze"`, 1)
	l, err := Parse("two.toml", []byte(text))
	require.NoError(t, err)
	rounds, steps, err := l.Plans(formula.Starter())
	require.EqualError(t, err, `two.toml: Nape, root: the catalogue has no product "Flint": add it there, or name another in the list
two.toml: Nape, root: the catalogue has no product "Gauze": add it there, or name another in the list`)
	assert.Nil(t, rounds)
	assert.Nil(t, steps)
}

func TestParseErrors(t *testing.T) {
	for _, c := range []struct{ name, old, new, want string }{
		{"syntax", "pieces = 8", "pieces =", `x.toml:21: not valid TOML`},
		{"unknown field", "pieces = 8", "peices = 8", `x.toml:21: peices: unknown here: take it out, or check how it is spelt`},
		{"unknown table", "[[step]]", "[[stop]]", `x.toml:4: stop: unknown here`},
		{"text for a number", "pieces = 8", `pieces = "8"`, `x.toml:21: pieces: write a whole number`},
		{"fraction for a whole number", "pieces = 8", `pieces = 8.5`, `x.toml:21: pieces: write a whole number`},
		{"number for text", `name = "Nape"`, `name = 7`, `x.toml:20: name: must be text`},
		{"text for a list", `same_hair_as = ["*"]`, `same_hair_as = "*"`, `x.toml:51: same_hair_as: write a list of names`},
		{"text for yes or no", `later = true`, `later = "yes"`, `x.toml:38: later: write true or false`},
		{"no name", `name = "Two rounds"`, ``, `x.toml:1: name: missing`},
		{"blank name", `name = "Two rounds"`, `name = " "`, `x.toml:1: name: empty`},
		{"long name", `name = "Two rounds"`, `name = "` + strings.Repeat("x", session.MaxName+1) + `"`, `x.toml:1: name: over 200 bytes`},
		{"control character", `"Nape"`, `"Na\u001bpe"`, `x.toml:20: name: holds a character that can't be printed`},
		{"no pieces", "pieces = 8", ``, `x.toml:19: pieces: missing`},
		{"no piece", "pieces = 8", `pieces = 0`, `x.toml:21: pieces: 0 is out of bounds: write 1 to 200`},
		{"too many pieces", "pieces = 8", `pieces = 201`, `x.toml:21: pieces: 201 is out of bounds`},
		{"slow piece", "minutes_per_piece = 2", `minutes_per_piece = 121`, `x.toml:25: minutes_per_piece: 121 is out of bounds: write 0 (not known) to 120`},
		{"no number", "minutes_per_piece = 2", `minutes_per_piece = nan`, `x.toml:25: minutes_per_piece: NaN is out of bounds`},
		{"negative step", "minutes = 20", `minutes = -1`, `x.toml:9: minutes: -1 is out of bounds: write 0 (not known) to 600`},
		{"step twice", `name = "drying"`, `name = "Washing"`, `x.toml:8: name: there is a step "Washing" already`},
		{"zone twice", `name = "Crown"`, `name = "nape"`, `x.toml:23: name: there is a zone "nape" in this round already`},
		{"action", `action = "lighten"`, `action = "bleach"`, `x.toml:12: action: write "lighten" or "colour"`},
		{"no action", `action = "lighten"`, ``, `x.toml:10: action: missing: write "lighten" or "colour"`},
		{"band", `band = "end"`, `band = "tips"`, `x.toml:27: band: write "root", "mid" or "end"`},
		{"band twice", `band = "end"`, `band = "root"`, `x.toml:33: band: the root is planned twice`},
		{"strength without unit", `"6 %"`, `"6"`, `x.toml:29: strength: strength "6" may be volumes or percent`},
		{"no strength", `strength = "6 %"`, ``, `x.toml:26: strength: missing`},
		{"contact", `contact = "scalp"`, `contact = "on"`, `x.toml:36: contact: write "off" or "scalp"`},
		{"condition", `"natural"`, `"virgin"`, `x.toml:18: condition: write "natural", "coloured", "lightened" or "sensitive"`},
		{"all later", `condition = "lightened"`, "condition = \"lightened\"\nlater = true", `x.toml:26: band: all bands are coated later`},
		{"no such zone", `"crown"`, `"Fringe"`, `x.toml:55: same_hair_as: no zone "Fringe" stands above this one`},
		{"no earlier round", "pieces = 8", "pieces = 8\nsame_hair_as = [\"*\"]", `x.toml:22: same_hair_as: "*" means all zones of earlier rounds, but there are none`},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Contains(t, small, c.old)
			l, err := Parse("x.toml", []byte(strings.Replace(small, c.old, c.new, 1)))
			require.Error(t, err)
			assert.Nil(t, l)
			assert.Contains(t, err.Error(), c.want)
		})
	}
}

func TestParseErrorsOfWholeLists(t *testing.T) {
	zones := func(n, pieces int) string {
		var b strings.Builder
		b.WriteString("name='x'\n[[round]]\nname='r'\naction='colour'\n[[round.band]]\nband='root'\nproduct='Veil'\nstrength='none'\ncontact='off'\ncondition='natural'\n")
		for i := range n {
			b.WriteString("[[round.zone]]\nname='z" + strconv.Itoa(i) + "'\npieces=" + strconv.Itoa(pieces) + "\n")
		}
		return b.String()
	}
	for _, c := range []struct{ name, text, want string }{
		{"empty", "", "x.toml:1: round: there is none"},
		{"no zone", "name='x'\n[[round]]\nname='r'\naction='colour'", "x.toml:2: zone: the round has 0 zones"},
		{"too many zones", zones(session.MaxZones+1, 1), "x.toml:11: zone: the round has 61 zones: write 1 to 60"},
		{"too many pieces", zones(6, 180), "x.toml:2: round: the list has 1080 pieces: at most 1000"},
		{"too many rounds", zones(1, 1) + strings.Repeat("[[round]]\n", 10), "x.toml:2: round: there are 11: at most 10"},
		{"too many steps", zones(1, 1) + strings.Repeat("[[step]]\n", 31), "x.toml:14: step: there are 31: at most 30"},
		{"zone without bands", "name='x'\n[[round]]\nname='r'\naction='colour'\nzone=[{name='a',pieces=1}]", "x.toml:5: band: nothing says what is put on"},
		{"too long", strings.Repeat("#", maxFile+1), "x.toml:1: the file is over 256 KiB"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Parse("x.toml", []byte(c.text))
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
		})
	}
	_, err := Parse("x.toml", []byte(zones(session.MaxZones, 16)))
	require.NoError(t, err, "at the bounds")
}

func TestParseNamesAllErrorsInOrder(t *testing.T) {
	text := strings.NewReplacer("pieces = 5", "pieces = 0", "minutes = 20", "minutes = 601", `"none"`, `"strong"`).Replace(small)
	_, err := Parse("x.toml", []byte(text))
	require.Error(t, err)
	var places []string
	for _, line := range strings.Split(err.Error(), "\n") {
		places = append(places, strings.Join(strings.SplitN(line, ":", 4)[:3], ":"))
	}
	assert.Equal(t, []string{"x.toml:9: minutes", "x.toml:24: pieces", "x.toml:45: strength"}, places)
	var first *formula.FieldError
	require.ErrorAs(t, err, &first)
	assert.Equal(t, 9, first.Line)
}

// decide runs a list's plans through the rules of a service.
func decide(rounds []session.PlanSet, steps []session.PlanStep) ([]session.Event, error) {
	now := timing.Reading{Wall: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)}
	cmds := []session.Command{session.Do(session.ServiceOpened{Service: "s1", Client: "June L.", Steps: steps})}
	for _, r := range rounds {
		cmds = append(cmds, session.Do(r))
	}
	return session.Decide(&session.Log{}, now, cmds...)
}

func TestBuiltin(t *testing.T) {
	lists := Builtin()
	entries, err := builtin.ReadDir("lists")
	require.NoError(t, err)
	require.Len(t, lists, len(entries), "every file is offered")
	windows := formula.Starter().Windows()
	for i, l := range lists {
		t.Run(l.Name, func(t *testing.T) {
			assert.True(t, l.Builtin)
			assert.Equal(t, builtinFiles[i], l.File)
			assert.NotEmpty(t, l.About)
			assert.Contains(t, l.Text, "common practice, no source")
			assert.Contains(t, l.Text, "invented")
			rounds, steps, err := l.Plans(formula.Starter())
			require.NoError(t, err)
			_, err = decide(rounds, steps)
			require.NoError(t, err, "a service takes the plan")
			for _, r := range rounds {
				for _, z := range r.Zones {
					assert.Positive(t, z.MinutesPerPiece, z.Name)
					for _, b := range z.Bands {
						_, ok := formula.Match(windows, formula.Query{Product: b.Product, Kind: b.Kind, Strength: b.Strength,
							Hair: formula.Hair{Contact: b.Contact, Condition: b.Condition}})
						assert.True(t, ok, "the starter catalogue has no window for the %s of %s", b.Band, z.Name)
						assert.Equal(t, r.Action, b.Kind.Action(), "%s of %s", b.Band, z.Name)
					}
				}
			}
		})
	}
}

func TestBuiltinFullHead(t *testing.T) {
	l := Builtin()[0]
	require.Equal(t, "Full head of weaves", l.Name)
	rounds, _, err := l.Plans(formula.Starter())
	require.NoError(t, err)
	pieces, minutes, ids := 0, 0.0, []string{}
	for _, z := range rounds[0].Zones {
		pieces, minutes, ids = pieces+z.Pieces, minutes+float64(z.Pieces)*z.MinutesPerPiece, append(ids, z.ID)
	}
	assert.Len(t, ids, 12)
	assert.Equal(t, 96, pieces)
	assert.InDelta(t, 100, minutes, 5)
	assert.Equal(t, "Nape", rounds[0].Zones[0].Name, "the back goes first")
	for _, z := range rounds[1].Zones {
		assert.Equal(t, ids, z.SameHairAs)
	}
}

func TestBuiltinIsTheCallersOwn(t *testing.T) {
	Builtin()[0] = nil
	assert.NotNil(t, Builtin()[0])
}

func TestLoad(t *testing.T) {
	file := func(name string) *fstest.MapFile {
		return &fstest.MapFile{Data: []byte(strings.Replace(small, "Two rounds", name, 1))}
	}
	lists, problems := Load(fstest.MapFS{
		"a.toml":           file("Our own"),
		"b.toml":           {Data: []byte("name = 'broken'\nround = 3\n")},
		"c.toml":           file("half head  of weaves"),
		"d.toml":           file("OUR own"),
		"notes.txt":        {Data: []byte("not a list")},
		"folder.toml/x":    {Data: []byte("not a list")},
		"old/another.toml": file("Another"),
	})
	var names []string
	for _, l := range lists {
		names = append(names, l.Name)
	}
	assert.Equal(t, []string{"Full head of weaves", "half head  of weaves", "Crown and hairline", "Open painting",
		"Regrowth to the scalp", "Root shadow with gloss", "Our own"}, names)
	assert.False(t, lists[1].Builtin)
	assert.Equal(t, "c.toml", lists[1].File)
	assert.Equal(t, "a.toml", lists[6].File)
	require.Len(t, problems, 2)
	assert.ErrorContains(t, problems[0], "b.toml:2: round: write it as [[round]]")
	assert.EqualError(t, problems[1], `d.toml: the name "OUR own" is taken by a.toml: give one of them another name`)
}

func TestLoadWithoutFolder(t *testing.T) {
	for _, fsys := range []fs.FS{nil, fstest.MapFS{}, os.DirFS(t.TempDir() + "/none")} {
		lists, problems := Load(fsys)
		assert.Empty(t, problems)
		assert.Equal(t, Builtin(), lists)
	}
}

// brokenFS is a folder that can't be read.
type brokenFS struct{}

func (brokenFS) Open(string) (fs.File, error) { return nil, fs.ErrPermission }

func TestLoadUnreadableFolder(t *testing.T) {
	lists, problems := Load(brokenFS{})
	assert.Equal(t, Builtin(), lists)
	require.Len(t, problems, 1)
	assert.ErrorIs(t, problems[0], fs.ErrPermission)
}

// FuzzParse: errors have their place, and a service takes every list that was
// accepted.
func FuzzParse(f *testing.F) {
	f.Add([]byte(small))
	for _, l := range Builtin() {
		f.Add([]byte(l.Text))
	}
	for _, seed := range []string{"", "[[round]]\n[round.a.b]\n[[round.a.c]]\nx.y=[{z=1}]", "round=[{zone=[{band=[{later=true}]}]}]",
		"[a]\n[[a.b]]\n[[a.b.c]]\n\"\\u0000.0\"=1", "\xef\xbb\xbf", "NAME='x'\n'round.0'=1", "round.name='a'\n[[round.zone]]"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		l, err := Parse("f.toml", data)
		if err == nil {
			rounds, steps, err := l.Plans(formula.Starter())
			if err != nil {
				return // a product that the catalogue has not
			}
			if _, err := decide(rounds, steps); err != nil {
				t.Errorf("accepted, but no service takes it: %v", err)
			}
			return
		}
		for _, line := range strings.Split(err.Error(), "\n") {
			if !strings.HasPrefix(line, "f.toml:") {
				t.Errorf("error without its place: %q", line)
			}
		}
		var first *formula.FieldError
		if !errors.As(err, &first) || first.Line < 1 || first.Line > strings.Count(string(data), "\n")+1 {
			t.Errorf("%v is not in the file", err)
		}
	})
}
