package card_test

import (
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session/card"
)

// cardFields lists the fields of a type of the card's document, by their full
// names, with the word for their types.
func cardFields(t *testing.T, typ reflect.Type, prefix string, out map[string]string) {
	t.Helper()
	for i := range typ.NumField() {
		f := typ.Field(i)
		if f.Anonymous {
			cardFields(t, f.Type, prefix, out)
			continue
		}
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		require.NotEmpty(t, name, "%v.%s has no name in JSON", typ, f.Name)
		ft, null := f.Type, ""
		if ft.Kind() == reflect.Pointer {
			ft, null = ft.Elem(), " or null"
		}
		path := prefix + name
		kind := cardWord(t, ft)
		out[path] = kind + null
		switch {
		case kind == "object" && ft.Kind() == reflect.Struct:
			cardFields(t, ft, path+".", out)
		case kind == "list":
			cardFields(t, ft.Elem(), path+"[].", out)
		}
	}
}

// cardWord is what the reference calls a type.
func cardWord(t *testing.T, typ reflect.Type) string {
	t.Helper()
	if typ == reflect.TypeFor[time.Time]() {
		return "moment"
	}
	if typ.Kind() == reflect.Slice {
		switch of := cardWord(t, typ.Elem()); of {
		case "object":
			return "list"
		case "moment":
			return "list of moments"
		default:
			return "list of " + of
		}
	}
	words := map[reflect.Kind]string{
		reflect.String: "text", reflect.Bool: "true/false", reflect.Int: "whole number",
		reflect.Float64: "number", reflect.Struct: "object", reflect.Map: "object",
	}
	require.Contains(t, words, typ.Kind(), "the reference has no word for %v", typ)
	return words[typ.Kind()]
}

// documentedCard reads the card's chapter of the reference in the same form.
// A heading names what its table is about: nothing for the whole document, or
// one or several places. Types that are "as in" an event are taken from want.
func documentedCard(t *testing.T, want map[string]string) map[string]string {
	t.Helper()
	text, err := os.ReadFile("../FORMATS.md")
	require.NoError(t, err)
	_, chapter, found := strings.Cut(string(text), "\n## 4. The card\n")
	require.True(t, found)
	chapter, _, _ = strings.Cut(chapter, "\n## ")
	names := func(cell string) (all []string) {
		for _, m := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(cell, -1) {
			all = append(all, m[1])
		}
		return all
	}
	got := map[string]string{}
	for _, section := range strings.Split(chapter, "\n### ")[1:] {
		heading, body, _ := strings.Cut(section, "\n")
		places := []string{""}
		if of := names(heading); len(of) > 0 {
			places = places[:0]
			for _, p := range of {
				places = append(places, p+".")
			}
		}
		for _, line := range strings.Split(body, "\n") {
			cells := strings.Split(line, "|")
			if len(cells) < 5 || len(names(cells[1])) == 0 {
				continue
			}
			kinds := strings.Split(strings.TrimSpace(cells[2]), "; ")
			for i, name := range names(cells[1]) {
				for _, place := range places {
					assert.NotContains(t, got, place+name, "documented twice")
					got[place+name] = kinds[min(i, len(kinds)-1)]
					if strings.HasPrefix(kinds[0], "as in ") {
						got[place+name] = want[place+name]
					}
				}
			}
		}
	}
	return got
}

func TestReferenceHasEveryFieldOfTheCard(t *testing.T) {
	want := map[string]string{}
	cardFields(t, reflect.TypeFor[card.Card](), "", want)
	assert.Equal(t, want, documentedCard(t, want))
	text, err := os.ReadFile("../FORMATS.md")
	require.NoError(t, err)
	assert.Contains(t, string(text), "| `format` | text | `"+card.Format+"` |")
}
