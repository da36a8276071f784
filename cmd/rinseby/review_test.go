package main

import (
	"bytes"
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session/replay"
)

func ordinaryDay(t *testing.T, d *desk) string {
	t.Helper()
	text, err := os.ReadFile("../../testdata/ordinary-day.jsonl")
	require.NoError(t, err)
	d.imports(strings.Replace(string(text), `"client":`, `"service":"ordinary","client":`, 1))
	return "ordinary"
}

func TestReviewOfTheOrdinaryDay(t *testing.T) {
	d := newDesk(t)
	day := ordinaryDay(t, d)
	require.Zero(t, d.run("review", day), d.err.String())
	// Side right: first contact 10:15, 45 minutes at most, off at 11:03.
	at := time.Date(2025, 3, 3, 11, 0, 0, 0, time.UTC).In(time.Local).Format("15:04:05")
	assert.Contains(t, d.out.String(), "  "+at+"  over its limit by 3 min 00 s: Chalk 20 vol, end of Side right (Lightening)\n")
	assert.Contains(t, d.out.String(), "demonstration data, about nobody")
	require.Zero(t, d.run("review", day, "--format", "md"))
	assert.Contains(t, d.out.String(), "# Review of June L.\n\n- demonstration data")
	assert.Contains(t, d.out.String(), "\n- "+at+"  over its limit by 3 min 00 s")

	require.Zero(t, d.run("review", day, "--json"))
	var f replay.Findings
	dec := json.NewDecoder(bytes.NewReader(d.out.Bytes()))
	dec.DisallowUnknownFields()
	require.NoError(t, dec.Decode(&f))
	require.Len(t, f.Breaches, 1)
	assert.InDelta(t, 180, f.Breaches[0].ByS, 0)
	asJSON := d.out.String()
	require.Zero(t, d.run("review", filepath.Join(d.data, "closed", "ordinary.jsonl"), "--format", "json"))
	assert.Equal(t, asJSON, d.out.String(), "equal input gives equal output")
}

func TestReviewThatCantBeMade(t *testing.T) {
	d := newDesk(t)
	day := ordinaryDay(t, d)
	for _, tt := range []struct {
		args []string
		want string
	}{
		{[]string{"review", "none"}, "there is no such service"},
		{[]string{"review", day, "--format", "pdf"}, `there is no report in format "pdf"`},
		{[]string{"review", day, "--json", "--format", "md"}, "can't both be"},
		{[]string{"review"}, "takes the name of one file"},
		{[]string{"compare", day}, "takes the names of two files"},
		{[]string{"compare", day, "none"}, "there is no such service"},
		{[]string{"export", day}, "only exported without them"},
		{[]string{"export", day, "--redact", "-o", d.data}, "is there already"},
		{[]string{"export", day, "--redact", "-o", filepath.Join(d.data, "no", "x")}, "can't be written"},
	} {
		assert.Equal(t, 1, d.run(tt.args...), tt.want)
		assert.Contains(t, d.err.String(), tt.want)
		assert.Empty(t, d.out.String())
	}
}

// Whatever names hold, nothing that moves a cursor leaves the program.
func TestReportsAreSafeToShow(t *testing.T) {
	d := newDesk(t)
	evil := `Ta\u001b[31m\u0007\u202e\u009b2J # *x* <b>`
	text := strings.ReplaceAll(plainService("evil", "Ines", 0, 2, true), "June L.", evil)
	d.imports(strings.ReplaceAll(text, `"name":"Nape"`, `"name":"1. `+evil+`"`))
	for _, args := range [][]string{{"review", "evil"}, {"review", "evil", "--json"}, {"review", "evil", "--format", "md"}, {"compare", "evil", "evil"}, {"compare", "evil", "evil", "--json"}} {
		require.Zero(t, d.run(args...), d.err.String())
		for _, r := range d.out.String() {
			if r != '\n' && (r < ' ' || (r >= 0x7f && r < 0xa0) || r == 0x202e) {
				t.Fatalf("%v prints %U", args, r)
			}
		}
		assert.NotContains(t, d.out.String(), `\u001b`)
	}
	require.Zero(t, d.run("review", "evil", "--format", "md"))
	assert.Contains(t, d.out.String(), `- 1\. Ta \# \*x\* \<b\>`)
}

func TestCompareTwoServices(t *testing.T) {
	d := newDesk(t)
	d.imports(plainService("one", "Ines", 0, 2, true))
	d.imports(plainService("two", "Ines", 1, 3, true))
	day := ordinaryDay(t, d)
	require.Zero(t, d.run("compare", "one", "two"), d.err.String())
	assert.Contains(t, d.out.String(), "minutes per piece: 2.0 | 3.0\n")
	// From the first piece, at 2 or 3 minutes after mixing, to the end of the
	// rinse, 29 minutes after the tenth: 9 times that and 29 minutes.
	assert.Contains(t, d.out.String(), "A: 10 pieces, minutes each 2.0, oldest 47 min 00 s")
	assert.Contains(t, d.out.String(), "B: 10 pieces, minutes each 3.0, oldest 56 min 00 s")
	require.Zero(t, d.run("compare", "one", day))
	assert.Contains(t, d.out.String(), "different zone lists")
	assert.Contains(t, d.out.String(), "no zone of this name")
}

func TestExportCanBeImported(t *testing.T) {
	d := newDesk(t)
	day := ordinaryDay(t, d)
	out := filepath.Join(t.TempDir(), "out.jsonl")
	require.Zero(t, d.run("export", day, "--redact", "-o", out), d.err.String())
	assert.Empty(t, d.out.String())
	info, err := os.Stat(out)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	text, err := os.ReadFile(out)
	require.NoError(t, err)
	assert.NotContains(t, string(text), "June")
	require.Zero(t, d.run("export", day, "--redact"))
	assert.Equal(t, string(text), d.out.String())
	require.Zero(t, d.run("import", out), d.err.String())
	imported := strings.TrimSpace(d.out.String())
	require.Zero(t, d.run("review", imported), d.err.String())
	assert.Contains(t, d.out.String(), "over its limit by 3 min 00 s: Product 1 20 vol, end of Zone 7 (Round 1)")
}

// documented are the fields of a chapter, with their types.
func documented(t *testing.T, title string) map[string]string {
	t.Helper()
	got := map[string]string{}
	for _, row := range regexp.MustCompile("(?m)^\\| (`.*?`) \\| ([^|]*) \\|").FindAllStringSubmatch(chapterOf(t, title), -1) {
		for _, name := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(row[1], -1) {
			assert.NotContains(t, got, name[1], "documented twice")
			got[name[1]] = row[2]
		}
	}
	return got
}

// reportFields lists the fields of a report as the reference writes them.
func reportFields(t *testing.T, typ reflect.Type, prefix string, out map[string]string) {
	for i := range typ.NumField() {
		f := typ.Field(i)
		path, ft, null := prefix+f.Tag.Get("json"), f.Type, ""
		if ft.Kind() == reflect.Pointer {
			ft, null = ft.Elem(), " or null"
		}
		word := map[reflect.Kind]string{reflect.String: "text", reflect.Bool: "true/false", reflect.Int: "whole number", reflect.Float64: "number", reflect.Struct: "object", reflect.Slice: "list"}[ft.Kind()]
		require.NotEmpty(t, word, path)
		switch {
		case ft == reflect.TypeFor[time.Time]():
			word = "moment"
		case ft.Kind() == reflect.Struct:
			reportFields(t, ft, path+".", out)
		case ft.Kind() == reflect.Slice && ft.Elem().Kind() == reflect.Struct:
			reportFields(t, ft.Elem(), path+"[].", out)
		case ft.Kind() == reflect.Slice:
			word = "list of text"
		}
		out[path] = word + null
	}
}

func TestReferenceOfTheReview(t *testing.T) {
	want := map[string]string{}
	reportFields(t, reflect.TypeFor[replay.Findings](), "", want)
	assert.Equal(t, want, documented(t, "12. The review"))
}

// The reference tells of the fields of one side, and leaves out those that are
// as in the review.
func TestReferenceOfTheComparison(t *testing.T) {
	want := map[string]string{}
	reportFields(t, reflect.TypeFor[replay.Comparison](), "", want)
	maps.DeleteFunc(want, func(path, _ string) bool {
		return strings.HasPrefix(path, "b.") || strings.HasPrefix(path, "zones[].b.") || strings.HasPrefix(path, "a.breaches[].")
	})
	assert.Equal(t, want, documented(t, "13. The comparison"))
}

func TestReferenceOfTheExportAndOfMarks(t *testing.T) {
	d := newDesk(t)
	d.imports(exampleService(t))
	require.Zero(t, d.run("export", "20260302-0900-demo", "--redact"), d.err.String())
	_, example, found := strings.Cut(chapterOf(t, "14. The export"), "\n```jsonl export\n")
	require.True(t, found)
	example, _, _ = strings.Cut(example, "```")
	assert.True(t, strings.HasPrefix(d.out.String(), example), "the export begins:\n%.900s", d.out.String())

	_, example, found = strings.Cut(chapterOf(t, "15. Marks"), "\n```jsonl marks\n")
	require.True(t, found)
	example, _, _ = strings.Cut(example, "```")
	marks, err := replay.ParseMarks(strings.NewReader(example))
	require.NoError(t, err)
	written, err := replay.FormatMarks(marks)
	require.NoError(t, err)
	assert.Equal(t, example, string(written))
	keys := map[string]any{}
	require.NoError(t, json.Unmarshal(written, &keys))
	assert.Equal(t, []string{"at", "text"}, slices.Sorted(maps.Keys(keys)))
	assert.Contains(t, chapterOf(t, "15. Marks"), "at most 500 marks")
	assert.Equal(t, 500, replay.MaxMarks)
}
