//go:build unix

package main

import (
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// past asks for the history as JSON.
func (s *salon) past(args ...string) (p pastTimes) {
	s.t.Helper()
	dec := json.NewDecoder(strings.NewReader(s.must(append([]string{"history", "--json"}, args...)...)))
	dec.DisallowUnknownFields()
	require.NoError(s.t, dec.Decode(&p))
	return p
}

func TestHistory(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.must("import", s.file("a.jsonl", exampleService(t)))
	s.must("import", s.file("b.jsonl", strings.NewReplacer(`"invented":true`, `"station":"two"`, "0302-0900-demo", "0302-0900-real", `"Ines"`, `"Sam \u001b[31mR."`).Replace(exampleService(t))))

	out := s.must("history", "--stylist", "ines")
	for _, line := range []string{
		"Times of ines, from 1 service closed, 2 March 2026 to 2 March 2026.\n",
		"These are demonstration data, about nobody",
		"minutes per piece  usual  8 of 10 services  services  pieces\n",
		"lighten            1.",
		"rinsing a zone",
		"consultation",
		"from the last of it to the closing",
	} {
		assert.Contains(t, out, line)
	}
	assert.NotContains(t, out, "Closed services are there of")

	out = s.must("history")
	assert.Contains(t, out, "Times of all stylists together, from 1 service closed", "the other one is made up")
	assert.NotContains(t, out, "demonstration")
	assert.Contains(t, out, "Closed services are there of: Ines (1 service), Sam R. (1 service).", "nothing that a terminal acts on")
	assert.Equal(t, 1, s.past("--stylist", " INES").Services)

	out = s.must("history", "--stylist", "June")
	assert.Contains(t, out, "Nothing is known of the times of June: there is no closed service to learn from.\n")
	assert.Contains(t, out, "minutes per piece of each technique")
	assert.Contains(t, out, "Closed services are there of: Ines")
	r := s.run("history", "Ines")
	assert.Equal(t, 1, r.code)
	assert.Contains(t, r.err, "nothing after it but flags")
}

func TestHistoryOfNothing(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	out := s.must("history")
	assert.Contains(t, out, "there is no closed service to learn from")
	assert.NotContains(t, out, "Closed services are there of")
	assert.Equal(t, pastTimes{Pieces: []pastPiece{}, Others: []pastOther{}, Stylists: []pastStylist{}}, s.past())
}

// TestHistoryOfAnotherFolder learns from journals elsewhere, and leaves them
// as they are.
func TestHistoryOfAnotherFolder(t *testing.T) {
	t.Parallel()
	s, other := newSalon(t), newSalon(t)
	other.must("import", other.file("a.jsonl", exampleService(t)))
	want := other.past()
	require.NoError(t, os.RemoveAll(filepath.Join(other.data, "summary")))
	assert.Equal(t, want, s.past("--history", other.data))
	assert.NoDirExists(t, filepath.Join(other.data, "summary"))

	closed := filepath.Join(other.data, "closed")
	require.NoError(t, os.WriteFile(filepath.Join(closed, "broken.jsonl"), []byte("x\n"), 0o600))
	r := s.run("history", "--json", "--history", closed)
	assert.Zero(t, r.code)
	assert.Contains(t, r.err, "broken.jsonl")
	var got pastTimes
	require.NoError(t, json.Unmarshal([]byte(r.out), &got))
	assert.Equal(t, want, got)
	names, err := os.ReadDir(closed)
	require.NoError(t, err)
	assert.Len(t, names, 2)
	r = s.run("history", "--history", filepath.Join(closed, "none"))
	assert.Equal(t, 1, r.code)
	assert.Contains(t, r.err, "check its name and permissions")
}

func TestReferenceOfTheHistory(t *testing.T) {
	t.Parallel()
	chapter := chapterOf(t, "10. The history")
	want, got := map[string]bool{}, map[string]bool{}
	rangeFields(reflect.TypeFor[pastTimes](), "", want)
	for _, m := range regexp.MustCompile("(?m)^\\| `([^`]+)` \\|").FindAllStringSubmatch(chapter, -1) {
		assert.False(t, got[m[1]], "%s is documented twice", m[1])
		got[m[1]] = true
	}
	assert.Equal(t, slices.Sorted(maps.Keys(want)), slices.Sorted(maps.Keys(got)))

	_, example, found := strings.Cut(chapter, "\n```json history\n")
	require.True(t, found)
	example, _, _ = strings.Cut(example, "```")
	var shown pastTimes
	dec := json.NewDecoder(strings.NewReader(example))
	dec.DisallowUnknownFields()
	require.NoError(t, dec.Decode(&shown))
	s := newSalon(t)
	s.must("import", s.file("a.jsonl", exampleService(t)))
	printed := s.past()
	require.Len(t, shown.Pieces, len(printed.Pieces))
	for i := range shown.Pieces { // which the engine of the pace may tell a little better some day
		a, b := printed.Pieces[i], &shown.Pieces[i]
		assert.InEpsilon(t, a.Minutes, b.Minutes, 0.05)
		assert.InEpsilon(t, a.Low, b.Low, 0.1)
		assert.InEpsilon(t, a.High, b.High, 0.1)
		b.Minutes, b.Low, b.High = a.Minutes, a.Low, a.High
	}
	assert.Equal(t, printed, shown)
}
