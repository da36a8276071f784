package formula

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"
	"unicode"

	"github.com/pelletier/go-toml/v2"
)

// A FieldError says what is wrong in one place of a catalogue, and what to do
// about it.
type FieldError struct {
	File  string
	Line  int    // from 1
	Field string // as written in the file; "" for the whole of it
	Say   string
}

func (e *FieldError) Error() string {
	if e.Field == "" {
		return fmt.Sprintf("%s:%d: %s", e.File, e.Line, e.Say)
	}
	return fmt.Sprintf("%s:%d: %s: %s", e.File, e.Line, e.Field, e.Say)
}

// A document is a TOML file that is being read. Errors pile up, so that the
// user sees all of them at once.
type document struct {
	file   string
	lines  *lineIndex
	errors []*FieldError
}

// openDocument parses the syntax of a file.
func openDocument(file string, data []byte) (*document, table, error) {
	refuse := func(line int, say string) (*document, table, error) {
		return nil, table{}, &FieldError{File: file, Line: line, Say: say}
	}
	if len(data) > maxFile {
		return refuse(1, fmt.Sprintf("the file is over %d KiB: split off what is no catalogue", maxFile>>10))
	}
	var values map[string]any
	if err := toml.Unmarshal(data, &values); err != nil {
		line := 1
		var decode *toml.DecodeError
		if errors.As(err, &decode) {
			line, _ = decode.Position()
		}
		return refuse(line, fmt.Sprintf("not valid TOML (%s): correct this line", strings.TrimPrefix(err.Error(), "toml: ")))
	}
	d := &document{file: file, lines: indexLines(data)}
	return d, table{d, "", values}, nil
}

func (d *document) refuse(line int, field, say string) {
	d.errors = append(d.errors, &FieldError{d.file, line, field, say})
}

// err is everything that was refused, in the order of the lines.
func (d *document) err() error {
	slices.SortStableFunc(d.errors, func(a, b *FieldError) int { return a.Line - b.Line })
	all := make([]error, len(d.errors))
	for i, e := range d.errors {
		all[i] = e
	}
	return errors.Join(all...)
}

// A table is one table of a document. Its readers return a zero value for a
// field that is missing or wrong; wrong ones are refused on the way.
type table struct {
	doc    *document
	at     place
	values map[string]any
}

// heading is the line of the table's own heading.
func (t table) heading() int { return t.doc.lines.line(t.at) }

// refuse refuses a field, on its own line or else on that of the heading.
func (t table) refuse(field, format string, args ...any) {
	t.doc.refuse(t.doc.lines.line(t.at.field(field)), field, fmt.Sprintf(format, args...))
}

func (t table) has(field string) bool {
	_, ok := t.values[field]
	return ok
}

// need refuses the table if fields are missing.
func (t table) need(fields ...string) {
	for _, f := range fields {
		if !t.has(f) {
			t.refuse(f, "missing: add it below this line")
		}
	}
}

// only refuses all fields that are not named.
func (t table) only(fields ...string) {
	for _, f := range slices.Sorted(maps.Keys(t.values)) {
		if !slices.Contains(fields, f) {
			t.refuse(f, "unknown here: take it out, or use one of %s", strings.Join(fields, ", "))
		}
	}
}

// tables are the elements of an array of tables.
func (t table) tables(field string) []table {
	if !t.has(field) {
		return nil
	}
	list, ok := t.values[field].([]any)
	if !ok {
		t.refuse(field, "write it as [[%s]], once for each", field)
	}
	var out []table
	for i, v := range list {
		values, ok := v.(map[string]any)
		if !ok {
			t.refuse(field, "write it as [[%s]], once for each", field)
			return nil
		}
		out = append(out, table{t.doc, t.at.field(field).element(i), values})
	}
	return out
}

// text is a line of at most most characters.
func (t table) text(field string, most int) string {
	if !t.has(field) {
		return ""
	}
	s, ok := t.values[field].(string)
	switch {
	case !ok:
		t.refuse(field, "must be text: put it in double quotes")
	case strings.TrimSpace(s) == "":
		t.refuse(field, "empty: write it, or take the line out")
	case len([]rune(s)) > most:
		t.refuse(field, "over %d characters: shorten it", most)
	case strings.ContainsFunc(s, func(r rune) bool { return !unicode.IsGraphic(r) }):
		t.refuse(field, "holds a character that can't be printed: take it out")
	default:
		return strings.TrimSpace(s)
	}
	return ""
}

// word is one of the words allowed.
func word[S ~string](t table, field string, allowed []S) S {
	if !t.has(field) {
		return ""
	}
	s, ok := t.values[field].(string)
	if !ok || !slices.Contains(allowed, S(s)) {
		t.refuse(field, "write %s", oneOf(allowed))
		return ""
	}
	return S(s)
}

func (t table) flag(field string) bool {
	b, ok := t.values[field].(bool)
	if !ok && t.has(field) {
		t.refuse(field, "write true or false")
	}
	return b
}

// number is a number from low to high.
func (t table) number(field string, low, high float64) float64 {
	var f float64
	switch v := t.values[field].(type) {
	case nil:
		return 0
	case int64:
		f = float64(v)
	case float64:
		f = v
	default:
		t.refuse(field, "must be a number: write it without quotes")
		return 0
	}
	if !(f >= low && f <= high) { // NaN fails too
		t.refuse(field, "%v is out of bounds: write a number from %v to %v", f, low, high)
		return 0
	}
	return f
}

// minutes is a time in minutes, from low to high, to the nearest second.
func (t table) minutes(field string, low, high float64) time.Duration {
	return time.Duration(math.Round(t.number(field, low, high)*60)) * time.Second
}
