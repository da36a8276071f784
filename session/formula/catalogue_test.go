package formula

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/timing"
)

// An invented catalogue. Lines are counted in the tests: "name" is line 2.
const small = `[[product]]
name = "Chalk"
kind = "powder lightener"
ratios = ["1:1", "1:1,5"]
life_minutes = 45
price_per_100g = 4.20
invented = true
notes = "for foils"

[[window]]
product = "chalk"
strength = "9 %"
contact = "off"
condition = "natural"
heat = "no"
opens_minutes = 7.5
limit_minutes = 40
origin = "leaflet of an invented product"

[[window]]
kind = "demi colour"
strength = "none"
opens_minutes = 5
limit_minutes = 20
origin = "house rule"
`

func TestParse(t *testing.T) {
	c, err := Parse("catalogue.toml", []byte(small))
	require.NoError(t, err)
	chalk := Product{Name: "Chalk", Kind: PowderLightener, Ratios: []Ratio{{1, 1}, {1, 1.5}}, Life: 45 * time.Minute,
		Invented: true, PricePer100g: 4.2, Notes: "for foils"}
	assert.Equal(t, []Product{chalk}, c.Products())
	assert.Equal(t, []Row{
		{Product: "Chalk", Kind: PowderLightener, Strength: 9, Contact: OffScalp, Condition: Natural, Heat: NoHeat,
			Window: timing.Window{Opens: 450 * time.Second, Limit: 40 * time.Minute},
			Origin: "leaflet of an invented product"},
		{Kind: Demi, Window: minutes(5, 20), Origin: "house rule"},
	}, c.Windows())

	got, ok := c.Product(" CHALK")
	assert.True(t, ok)
	assert.Equal(t, chalk, got)
	_, ok = c.Product("Rime")
	assert.False(t, ok)

	c.Products()[0].Ratios[0] = Ratio{9, 9}
	c.Windows()[0].Kind = Semi
	got.Ratios[1] = Ratio{9, 9}
	again, _ := c.Product("Chalk")
	assert.Equal(t, chalk, again, "a catalogue can't be changed from outside")
	assert.Equal(t, PowderLightener, c.Windows()[0].Kind)
}

func TestParseNamesLineAndField(t *testing.T) {
	for _, c := range []struct{ old, new, want string }{
		{`name = "Chalk"`, `name = 3`, `2: name: must be text`},
		{`name = "Chalk"`, `name = " "`, `2: name: empty`},
		{`name = "Chalk"`, `name = "Ch\u001b[2J"`, `2: name: holds a character that can't be printed`},
		{`name = "Chalk"`, `name = "` + strings.Repeat("x", 61) + `"`, `2: name: over 60 characters`},
		{`notes = "for foils"`, `note = "for foils"`, "8: note: unknown here: take it out, or use one of name, kind"},
		{`name = "Chalk"`, ``, "1: name: missing"},
		{`"powder lightener"`, `"bleach"`, `3: kind: write "powder lightener", "clay lightener"`},
		{`"1:1,5"`, `"2"`, `4: ratios: ratio "2" has no colon`},
		{`"1:1,5"`, "\n\n2", `6: ratios: put each ratio in quotes`},
		{`["1:1", "1:1,5"]`, `"1:1"`, `4: ratios: write a list`},
		{`life_minutes = 45`, `life_minutes = 0`, `5: life_minutes: 0 is out of bounds: write a number from 1 to 240`},
		{`life_minutes = 45`, `life_minutes = nan`, `5: life_minutes: NaN is out of bounds`},
		{`4.20`, `-1`, `6: price_per_100g: -1 is out of bounds`},
		{`4.20`, `"4.20"`, `6: price_per_100g: must be a number`},
		{`invented = true`, `invented = "yes"`, `7: invented: write true or false`},
		{`product = "chalk"`, `product = "Rime"`, `11: product: there is no product "Rime" in this file`},
		{`product = "chalk"`, "kind = \"semi colour\"\nproduct = \"chalk\"", `11: kind: a window is of a product or of a kind`},
		{`product = "chalk"`, ``, `10: kind: missing: say for which kind, or for which product`},
		{`"9 %"`, `30`, `12: strength: put it in quotes with its unit`},
		{`"9 %"`, `"150 vol"`, `12: strength: strength "150 vol": stronger than 60 vol`},
		{`contact = "off"`, `contact = "on"`, `13: contact: write "off" or "scalp"`},
		{`condition = "natural"`, `condition = 1`, `14: condition: write "natural", "coloured", "lightened" or "sensitive"`},
		{`heat = "no"`, `heat = false`, `15: heat: write "yes" or "no"`},
		{`opens_minutes = 7.5`, `opens_minutes = 41`, `16: opens_minutes: later than limit_minutes`},
		{`limit_minutes = 40`, `limit_minutes = 900`, `17: limit_minutes: 900 is out of bounds: write a number from 1 to 240`},
		{`limit_minutes = 40`, `limit_minutes = inf`, `17: limit_minutes: +Inf is out of bounds`},
		{`limit_minutes = 40`, ``, `10: limit_minutes: missing`},
		{`limit_minutes = 40`, `limit_minutes = `, `17: not valid TOML`},
		{`limit_minutes = 40`, "limit_minutes = 40\nlimit_minutes = 4", `18: not valid TOML (key limit_minutes is already defined)`},
		{`origin = "house rule"`, "origin = \"house rule\"\n[shop]\nx = 1", `26: shop: unknown here`},
		{"[[window]]\nkind", "[[product]]\nname = \"CHALK\"\nkind = \"semi colour\"\n[[window]]\nkind",
			`21: name: there is a product "CHALK" already`},
		{`origin = "house rule"`, "origin = \"house rule\"\n[[window]]\nproduct = \"Chalk\"\nstrength = \"9,11 %\"\n" +
			"contact = \"off\"\ncondition = \"natural\"\nheat = \"no\"\nopens_minutes = 1\nlimit_minutes = 2\norigin = \"x\"",
			`26: this [[window]] holds for the same as the one on line 10`},
	} {
		require.Contains(t, small, c.old)
		_, err := Parse("catalogue.toml", []byte(strings.Replace(small, c.old, c.new, 1)))
		require.Error(t, err, c.new)
		lines := strings.Split(err.Error(), "\n")
		assert.Len(t, lines, 1, "one slip, one error: %v", err)
		assert.True(t, strings.HasPrefix(lines[0], "catalogue.toml:"+c.want), "%q: %v", c.new, err)
	}
}

func TestParseTellsAllErrorsAtOnce(t *testing.T) {
	_, err := Parse("c.toml", []byte("product = [{name = \"A\", kind = 1},\n {name = \"B\",\n kind = \"x\"}]\nwindow = 3\n"))
	var first *FieldError
	require.True(t, errors.As(err, &first))
	assert.Equal(t, 1, first.Line)
	assert.Equal(t, "kind", first.Field)
	lines := strings.Split(err.Error(), "\n")
	require.Len(t, lines, 3)
	assert.Contains(t, lines[1], "c.toml:3: kind: write")
	assert.Contains(t, lines[2], "c.toml:4: window: write it as [[window]]")
}

func TestParseRefusesWhatIsNoCatalogue(t *testing.T) {
	for text, say := range map[string]string{
		"":                                    "c.toml:1: product: there is none: add a [[product]]",
		"\xff":                                "c.toml:1: not valid TOML",
		strings.Repeat("#\n", maxFile):        "c.toml:1: the file is over 256 KiB",
		"product = [1]":                       "c.toml:1: product: write it as [[product]]",
		"x = " + strings.Repeat("[", 200<<10): "c.toml:1: not valid TOML",
	} {
		_, err := Parse("c.toml", []byte(text))
		require.Error(t, err)
		assert.Contains(t, err.Error(), say)
	}
}

// everyQuery calls f for all sorts of hair and each strength that the trade
// sells, and for no developer.
func everyQuery(f func(Query)) {
	for _, kind := range Kinds() {
		for _, vol := range append([]float64{0}, tradeLabels[:]...) {
			worst := Hair{OnScalp, Sensitive, true}
			for _, hair := range worst.milder() {
				f(Query{Kind: kind, Strength: FromVolumes(vol), Hair: hair})
			}
		}
	}
}

func TestStarterIsMarkedForWhatItIs(t *testing.T) {
	c := Starter()
	assert.Len(t, c.Products(), 3)
	for _, name := range []string{"Chalk", "Rime", "Veil"} {
		p, ok := c.Product(name)
		require.True(t, ok)
		assert.True(t, p.Invented, name)
		assert.NotEmpty(t, p.Ratios, name)
		assert.Positive(t, p.Life, name)
	}
	for _, r := range c.Windows() {
		assert.Equal(t, HouseRule, r.Origin)
	}
	again, err := Parse("copy.toml", []byte(StarterText()))
	require.NoError(t, err)
	assert.Equal(t, c, again)
}

func TestStarterIsOnTheCarefulSide(t *testing.T) {
	rows, matched := Starter().Windows(), 0
	limits := map[string]time.Duration{}
	everyQuery(func(q Query) {
		name := q.String()
		row, ok := Match(rows, q)
		if !ok {
			return
		}
		matched++
		limits[name] = row.Window.Limit
		assert.LessOrEqual(t, row.Window.Limit, 50*time.Minute, name)
		assert.Equal(t, HouseRule, row.Origin, "%s: no row needs holding to another", name)
		assert.False(t, q.Heat, name)
		if q.Kind.Action() == Lighten {
			assert.NotEqual(t, Sensitive, q.Condition, name)
		}
		for weaker := q; weaker.Strength >= 3; weaker.Strength -= 3 {
			mild, ok := Match(rows, weaker)
			assert.True(t, ok, name)
			assert.LessOrEqual(t, row.Window.Limit, mild.Window.Limit, name)
		}
	})
	assert.Greater(t, matched, 20)
	for name, want := range map[string]time.Duration{
		"powder lightener, 20 vol, natural hair off the scalp, no heat":   50,
		"powder lightener, 30 vol, natural hair off the scalp, no heat":   45,
		"powder lightener, 20 vol, lightened hair off the scalp, no heat": 35,
		"powder lightener, 30 vol, lightened hair off the scalp, no heat": 0,
		"powder lightener, 40 vol, natural hair off the scalp, no heat":   0,
		"powder lightener, 20 vol, natural hair at the scalp, no heat":    30,
		"clay lightener, 30 vol, natural hair off the scalp, no heat":     45,
		"clay lightener, 20 vol, natural hair at the scalp, no heat":      0,
		"demi colour, 7 vol, lightened hair at the scalp, no heat":        20,
		"demi colour, 7 vol, sensitive hair off the scalp, no heat":       10,
		"semi colour, water, lightened hair off the scalp, no heat":       20,
	} {
		assert.Equal(t, want*time.Minute, limits[name], name)
	}
}

// An ordinary day: a head of foils takes 100 minutes to put in, and the last
// one processes for 45 more. By the starter, rinsing it all at the end leaves
// the first foils on too long, at either strength.
func TestStarterDoesNotAllowRinsingAFullHeadAtTheEnd(t *testing.T) {
	start := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	for vol, condition := range map[float64]Condition{30: Natural, 20: Coloured} {
		row, ok := Match(Starter().Windows(), ask(vol, OffScalp, condition, false))
		require.True(t, ok)
		coat := timing.Coat{First: start, Last: start.Add(10 * time.Minute), Complete: true, Window: row.Window}
		assert.Positive(t, coat.Over(start.Add(145*time.Minute)))
		assert.Equal(t, timing.Open, coat.Phase(start.Add(30*time.Minute), 5*time.Minute), "but there is time to rinse by turns")
	}
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{small, string(starter), "", "[[product]]\n[product.a.b]\n[[product.a.c]]\nx.y=[{z=1}]",
		"product=[{name='A',kind={a=[1]}}]\nwindow=[[]]", "[a]\n[[a.b]]\n[[a.b.c]]\n\"\\u0000#0\"=1", "\xef\xbb\xbf"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := Parse("f.toml", data)
		if err == nil {
			everyQuery(func(q Query) {
				if row, ok := Match(c.Windows(), q); ok && !row.Window.Known() {
					t.Errorf("%+v gave %+v", q, row)
				}
			})
			return
		}
		for _, line := range strings.Split(err.Error(), "\n") {
			if !strings.HasPrefix(line, "f.toml:") {
				t.Errorf("error without its place: %q", line)
			}
		}
		var first *FieldError
		if !errors.As(err, &first) || first.Line < 1 || first.Line > strings.Count(string(data), "\n")+1 {
			t.Errorf("%v is not in the file", err)
		}
	})
}
