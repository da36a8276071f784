package formula

import (
	"encoding/json"
	"math"
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// foils are 40 pieces at a bowl of 45 minutes: 30 from the first, the rest
// from the second.
func foils() Bench {
	return Bench{
		Recipe:   Recipe{"Chalk", Ratio{1, 2}, []Part{{9, 1}, {6, 1}}},
		Invented: true, Pieces: 40, GramsPerPiece: 7.5, PerPiece: 90 * time.Second, Life: 45 * time.Minute,
		Extra: 0.1, PricePer100g: 4.2,
	}
}

func TestBenchPlan(t *testing.T) {
	p, err := foils().Plan()
	require.NoError(t, err)
	assert.Equal(t, []string{
		"Chalk (invented product), 40 pieces at 7.5 g of mix, one every 1.5 min",
		"  110 g Chalk + 110 g 30 vol + 110 g 20 vol: 330 g in all",
		"  25 vol developer (7.5 %), 5 % when ready; 12 % is the most (EU and UK law)",
		"  by volume about 216 ml of developer (1.02 g/ml, from memory; weighing is exact)",
		"2 bowls, each good for 45 min; minutes count from the first piece",
		"  bowl 1: mix at 0 min, last piece in at 45 min, stale at 45 min; pieces 1 to 30",
		"    82.5 g Chalk + 82.5 g 30 vol + 82.5 g 20 vol",
		"  bowl 2: mix at 45 min, last piece in at 60 min, stale at 90 min; pieces 31 to 40",
		"    27.5 g Chalk + 27.5 g 30 vol + 27.5 g 20 vol",
		"Left over: 30 g. Product: 4.62 in your currency",
	}, p.Lines(Gram))
	assert.Equal(t, "  3.88 oz Chalk + 3.88 oz 30 vol + 3.88 oz 20 vol: 11.64 oz in all", p.Lines(Ounce)[1])
}

func TestBenchPlanWithoutDeveloper(t *testing.T) {
	b := foils()
	b.Recipe = Recipe{Product: "Veil"}
	p, err := b.Plan()
	require.NoError(t, err)
	assert.Equal(t, "none", p.Strength)
	assert.Empty(t, p.Ratio)
	assert.Zero(t, p.DeveloperML)
	assert.Equal(t, 330.0, p.Mix.Products[0].Grams)
}

func TestBenchRefuses(t *testing.T) {
	for say, change := range map[string]func(*Bench){
		"0 pieces":                                    func(b *Bench) { b.Pieces = 0 },
		"1000000000 pieces":                           func(b *Bench) { b.Pieces = 1e9 },
		"0 g a piece":                                 func(b *Bench) { b.GramsPerPiece = 0 },
		"NaN g a piece":                               func(b *Bench) { b.GramsPerPiece = math.NaN() },
		"make 8800 g, more than the 5000 g":           func(b *Bench) { b.GramsPerPiece = 200 },
		"40 pieces at 0 min each":                     func(b *Bench) { b.PerPiece = 0 },
		"40 pieces at 60 min each":                    func(b *Bench) { b.PerPiece = time.Hour },
		"working life of a bowl: give it":             func(b *Bench) { b.Life = 0 },
		"a bowl of Chalk works for 1 min":             func(b *Bench) { b.Life = time.Minute },
		"and the largest bowl holds 5 g":              func(b *Bench) { b.Largest = 5 },
		"the mix holds 12.75 %, and 12 % is the most": func(b *Bench) { b.Liquid = []Part{{18, 1}}; b.Ratio = Ratio{7, 17} },
		"strength must be from 0 (water) to":          func(b *Bench) { b.Liquid = []Part{{45, 1}} },
	} {
		b := foils()
		change(&b)
		_, err := b.Plan()
		require.Error(t, err, say)
		assert.Contains(t, err.Error(), say)
	}
}

// planFields lists the fields of a plan in JSON as the reference writes them,
// with the word for their types.
func planFields(t *testing.T, typ reflect.Type, prefix string, out map[string]string) {
	t.Helper()
	for i := range typ.NumField() {
		f := typ.Field(i)
		if !f.IsExported() {
			continue
		}
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		require.NotEmpty(t, name, "%v.%s", typ, f.Name)
		path := prefix + name
		switch ft := f.Type; {
		case ft == reflect.TypeFor[Mix]():
			out[path] = "object"
		case ft.Kind() == reflect.Slice:
			out[path] = "list"
			planFields(t, ft.Elem(), path+"[].", out)
		case ft.Kind() == reflect.Pointer:
			out[path] = "number or null"
		default:
			out[path] = map[reflect.Kind]string{reflect.String: "text", reflect.Bool: "true/false",
				reflect.Int: "whole number", reflect.Float64: "number"}[ft.Kind()]
		}
	}
}

func TestReferenceOfBenchPlan(t *testing.T) {
	text, err := os.ReadFile("../FORMATS.md")
	require.NoError(t, err)
	_, chapter, found := strings.Cut(string(text), "\n## 7. The mix\n")
	require.True(t, found)
	chapter, _, _ = strings.Cut(chapter, "\n## ")
	got := map[string]string{}
	for _, row := range regexp.MustCompile("(?m)^\\| `([^`]+)` \\| ([^|]+) \\|").FindAllStringSubmatch(chapter, -1) {
		assert.NotContains(t, got, row[1], "documented twice")
		got[row[1]] = row[2]
	}
	want := map[string]string{}
	planFields(t, reflect.TypeFor[BenchPlan](), "", want)
	assert.Equal(t, want, got)

	_, example, found := strings.Cut(chapter, "\n```json\n")
	require.True(t, found)
	example, _, _ = strings.Cut(example, "\n```")
	p, err := foils().Plan()
	require.NoError(t, err)
	printed, err := json.Marshal(p)
	require.NoError(t, err)
	assert.JSONEq(t, example, string(printed))
}
