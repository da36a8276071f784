package session_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"hash/crc32"
	"maps"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/journal"
	"rinseby/session/plain"
	"rinseby/session/template"
)

// dayAfter is later than everything in the examples of the reference.
var dayAfter = time.Date(2026, 3, 3, 0, 0, 0, 0, time.UTC)

// reference is FORMATS.md.
func reference(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("FORMATS.md")
	require.NoError(t, err)
	return string(text)
}

// chapter is what stands under a heading of the second level.
func chapter(t *testing.T, title string) string {
	t.Helper()
	_, after, found := strings.Cut(reference(t), "\n## "+title+"\n")
	require.True(t, found, "the reference has no chapter %q", title)
	text, _, _ := strings.Cut(after, "\n## ")
	return text
}

// block is the only fenced block with the word or words after its fence.
func block(t *testing.T, words string) string {
	t.Helper()
	parts := strings.Split(reference(t), "\n```"+words+"\n")
	require.Len(t, parts, 2, "fenced blocks of %s", words)
	text, _, closed := strings.Cut(parts[1], "\n```")
	require.True(t, closed)
	return text + "\n"
}

var quoted = regexp.MustCompile("`([^`]+)`")

// A docRow is a documented field: a row of a table, or a part of one that names several.
type docRow struct{ path, kind, needed string }

// docRows reads the tables of a text whose first column is headed Field.
func docRows(t *testing.T, text string) (all []docRow) {
	t.Helper()
	in := false
	for _, line := range strings.Split(text, "\n") {
		cells := strings.Split(line, "|")
		switch {
		case !strings.HasPrefix(line, "|"):
			in = false
		case strings.HasPrefix(line, "| Field |"):
			in = true
		case in && !strings.HasPrefix(line, "| --- |"):
			require.GreaterOrEqual(t, len(cells), 5, line)
			names := quoted.FindAllStringSubmatch(cells[1], -1)
			require.NotEmpty(t, names, line)
			for _, n := range names {
				all = append(all, docRow{n[1], strings.TrimSpace(cells[2]), strings.TrimSpace(cells[3])})
			}
		}
	}
	return all
}

// jsonFields lists the fields of a type as the reference writes them, with
// the word for their types.
func jsonFields(t *testing.T, typ reflect.Type, prefix string, out map[string]string) {
	t.Helper()
	if typ.Implements(reflect.TypeFor[json.Marshaler]()) { // its own form: its keys are those of a zero value
		text, err := json.Marshal(reflect.Zero(typ).Interface())
		require.NoError(t, err)
		values := map[string]any{}
		require.NoError(t, json.Unmarshal(text, &values))
		for name, v := range values {
			out[prefix+name] = word(t, reflect.TypeOf(v))
		}
		return
	}
	for f := range structFields(typ) {
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		require.NotEmpty(t, name, "%v.%s has no name in JSON", typ, f.Name)
		ft := f.Type
		if ft.Kind() == reflect.Pointer {
			ft = ft.Elem()
		}
		path := prefix + name
		out[path] = word(t, ft)
		switch {
		case out[path] == "object" && ft.Kind() == reflect.Struct:
			jsonFields(t, ft, path+".", out)
		case out[path] == "list":
			jsonFields(t, ft.Elem(), path+"[].", out)
		}
	}
}

func structFields(typ reflect.Type) func(func(reflect.StructField) bool) {
	return func(yield func(reflect.StructField) bool) {
		for i := range typ.NumField() {
			if !yield(typ.Field(i)) {
				return
			}
		}
	}
}

// word is what the reference calls a type.
func word(t *testing.T, typ reflect.Type) string {
	t.Helper()
	switch kind := typ.Kind(); {
	case typ == reflect.TypeFor[time.Time]():
		return "moment"
	case kind == reflect.String:
		return "text"
	case kind == reflect.Bool:
		return "true/false"
	case kind == reflect.Int:
		return "whole number"
	case kind == reflect.Float64:
		return "number"
	case kind == reflect.Slice && typ.Elem().Kind() == reflect.Struct:
		return "list"
	case kind == reflect.Slice:
		return "list of " + word(t, typ.Elem())
	case kind == reflect.Struct, kind == reflect.Map:
		return "object"
	}
	t.Fatalf("the reference has no word for %v", typ)
	return ""
}

// sections are the kinds that the reference has a section on, with its text.
func sections(t *testing.T) map[string]string {
	t.Helper()
	all := map[string]string{}
	for _, part := range strings.Split(chapter(t, "3. Events"), "\n### ")[1:] {
		heading, text, _ := strings.Cut(part, "\n")
		kind := strings.Trim(heading, "`")
		require.NotContains(t, all, kind, "documented twice")
		all[kind] = text
	}
	return all
}

func TestReferenceHasEveryKindAndField(t *testing.T) {
	documented := sections(t)
	assert.Equal(t, session.Kinds(), slices.Sorted(maps.Keys(documented)))
	for _, kind := range session.Kinds() {
		t.Run(kind, func(t *testing.T) {
			data, err := session.DecodeData(kind, []byte("{}"))
			require.NoError(t, err)
			want := map[string]string{}
			jsonFields(t, reflect.TypeOf(data), "", want)
			got := map[string]string{}
			for _, f := range docRows(t, documented[kind]) {
				assert.NotContains(t, got, f.path, "documented twice")
				got[f.path] = f.kind
				if from, elsewhere := strings.CutPrefix(f.kind, "as in "); elsewhere {
					require.Contains(t, documented, strings.Trim(from, "`"))
					got[f.path] = want[f.path]
				}
			}
			assert.Equal(t, want, got)
		})
	}
}

// example imports lines as the example of the reference is imported.
func example(lines []string) (*session.Log, error) {
	return plain.Read(strings.NewReader(strings.Join(lines, "\n")), dayAfter)
}

func exampleLines(t *testing.T) []string {
	t.Helper()
	return strings.Split(strings.TrimSpace(block(t, "jsonl")), "\n")
}

func TestReferenceExampleImports(t *testing.T) {
	lines := exampleLines(t)
	l, err := example(lines)
	require.NoError(t, err)
	s := l.State()
	assert.False(t, s.Closed.IsZero(), "the example ends with the closing")
	assert.Len(t, s.Zones, 2)
	assert.Len(t, l.Events(), len(lines))
	for _, z := range s.Zones {
		assert.False(t, z.Rinsed.IsZero(), z.Name)
	}
	late := slices.ContainsFunc(l.Events(), func(e session.Event) bool { return e.Late() > 0 })
	assert.True(t, late, "the example shows a line that is logged late")

	recs, err := session.Records(l.Events())
	require.NoError(t, err)
	text, err := journal.Encode(recs)
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(string(text), block(t, "journal")), "the journal that the reference shows begins:\n%.900s", text)

	covered := []byte("rinseby journal")
	for line := range bytes.Lines(text) {
		body, sum, found := bytes.Cut(line, []byte(`,"crc":"`))
		require.True(t, found)
		covered = append(covered, body...)
		assert.Equal(t, fmt.Sprintf("%08x\"}\n", crc32.Checksum(covered, crc32.MakeTable(crc32.Castagnoli))), string(sum))
	}
}

// TestReferenceNeeded takes from the example, one at a time, the fields that
// the reference says are needed; none may then be imported. Fields that are
// filled in, or not needed, may be missing as far as the kind's own rules go:
// what later lines name is not asked here.
func TestReferenceNeeded(t *testing.T) {
	lines, documented := exampleLines(t), sections(t)
	tried := 0
	for i, text := range lines {
		var in map[string]any
		require.NoError(t, json.Unmarshal([]byte(text), &in))
		kind := in["kind"].(string)
		for _, f := range docRows(t, documented[kind]) {
			require.NoError(t, json.Unmarshal([]byte(text), &in))
			if data, ok := in["data"].(map[string]any); !ok || f.kind == "true/false" || !remove(data, f.path) {
				continue
			}
			without, err := json.Marshal(in)
			require.NoError(t, err)
			_, err = example(append(slices.Clone(lines[:i]), string(without)))
			switch f.needed {
			case "yes":
				tried++
				assert.Error(t, err, "%s without %s", kind, f.path)
			case "no", "filled in":
				if f.path != "coats[].bowl" {
					assert.NoError(t, err, "%s without %s", kind, f.path)
				}
			}
		}
	}
	assert.Greater(t, tried, 30)
}

// remove takes a field out of data, of the first element in lists. It is
// false where the field is not there.
func remove(data map[string]any, path string) bool {
	name, rest, nested := strings.Cut(path, ".")
	value, ok := data[strings.TrimSuffix(name, "[]")]
	switch {
	case !ok:
		return false
	case !nested:
		delete(data, name)
		return true
	}
	if list, ok := value.([]any); ok {
		if len(list) == 0 {
			return false
		}
		value = list[0]
	}
	inner, ok := value.(map[string]any)
	return ok && remove(inner, rest)
}

// tomlFields lists the fields that a TOML document uses, as the reference
// writes them.
func tomlFields(values map[string]any, prefix string, out map[string]bool) {
	for name, v := range values {
		list, isList := v.([]any)
		if !isList || len(list) == 0 {
			out[prefix+name] = true
			continue
		}
		for _, e := range list {
			if inner, isTable := e.(map[string]any); isTable {
				tomlFields(inner, prefix+name+"[].", out)
			} else {
				out[prefix+name] = true
			}
		}
	}
}

// used are the fields that an example in TOML uses.
func used(t *testing.T, text string) map[string]bool {
	t.Helper()
	values, out := map[string]any{}, map[string]bool{}
	require.NoError(t, toml.Unmarshal([]byte(text), &values))
	tomlFields(values, "", out)
	return out
}

func TestReferenceOfTOML(t *testing.T) {
	cat, err := formula.Parse("catalogue.toml", []byte(block(t, "toml catalogue")))
	require.NoError(t, err)
	got := map[string]bool{}
	for _, f := range docRows(t, chapter(t, "6. The catalogue")) {
		got[f.path] = true
	}
	assert.Equal(t, used(t, block(t, "toml catalogue")), got, "the example uses every field")

	list, err := template.Parse("list.toml", []byte(block(t, "toml zone list")))
	require.NoError(t, err)
	rounds, _, err := list.Plans(cat)
	require.NoError(t, err)
	assert.Len(t, rounds, 2)
	got, bands := map[string]bool{}, []string{}
	for _, f := range docRows(t, chapter(t, "5. The zone list")) {
		switch {
		case f.kind == "as below":
			bands = append(bands, f.path+".")
		case !strings.Contains(f.path, "[]") && f.path != "name" && f.path != "about" && f.path != "minutes_per_piece":
			for _, at := range bands { // the table of a band, at each of its places
				got[at+f.path] = true
			}
		default:
			got[f.path] = true
		}
	}
	want := used(t, block(t, "toml zone list"))
	if want["round[].band[].later"] {
		want["round[].zone[].band[].later"] = true
	}
	assert.Equal(t, want, got, "the example uses every field")
}
