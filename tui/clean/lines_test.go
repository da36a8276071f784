package clean_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session/hostile"
	"rinseby/tui/clean"
)

func TestSamplesAreSafe(t *testing.T) {
	for _, s := range hostile.Samples() {
		assert.NoError(t, hostile.Check("a "+clean.Text(s.Text)), s.Name)
		assert.NoError(t, hostile.Check(clean.Short(s.Text, 20)), s.Name)
		assert.NoError(t, hostile.Check(strings.ReplaceAll(clean.Lines(s.Text), hostile.Forged, "")), s.Name)
	}
}

func TestLinesKeepTheLayout(t *testing.T) {
	for in, want := range map[string]string{
		"": "", "  a\t b \n\n c\n": "  a\t b \n\n c\n", "é  ü\n": "é  ü\n", "e\u0301 \u0301a": "e\u0301 a",
		"\x1b[31mred\x1b[m\n": "red\n", "a\r\nb\rc": "a\nb c", "\u202e x\u2028y": " x y", "\u00a0": "", "a\u00a0b": "a b",
	} {
		assert.Equal(t, want, clean.Lines(in), "%q", in)
	}
	rapid.Check(t, func(t *rapid.T) {
		s := hostileText().Draw(t, "text")
		lines := clean.Lines(s)
		require.NoError(t, hostile.Check(lines))
		require.Equal(t, lines, clean.Lines(lines))
		require.LessOrEqual(t, strings.Count(lines, "\n"), strings.Count(s, "\n"))
	})
}

func TestJSONSaysTheSame(t *testing.T) {
	try := func(t require.TestingT, s string) {
		text, err := json.Marshal(map[string]string{s: s})
		require.NoError(t, err)
		safe := clean.JSON(text)
		require.NoError(t, hostile.Check(string(safe)))
		require.Equal(t, string(safe), clean.Lines(string(safe)), "nothing is lost in a page")
		var was, is map[string]string
		require.NoError(t, json.Unmarshal(text, &was))
		require.NoError(t, json.Unmarshal(safe, &is))
		require.Equal(t, was, is)
	}
	for _, s := range hostile.Samples() {
		try(t, s.Text)
	}
	rapid.Check(t, func(t *rapid.T) { try(t, hostileText().Draw(t, "text")) })
	assert.Equal(t, `"Å\u202e\udb40\udc41"`, string(clean.JSON([]byte("\"Å\u202e\U000e0041\""))))
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("full") }

func TestWriter(t *testing.T) {
	var out bytes.Buffer
	n, err := clean.Writer{To: &out}.Write([]byte("a\x1b[2Jb\n"))
	require.NoError(t, err)
	assert.Equal(t, 7, n, "all of it was taken")
	assert.Equal(t, "ab\n", out.String())
	_, err = clean.Writer{To: full{}}.Write([]byte("a"))
	require.EqualError(t, err, "full")
	assert.Equal(t, "a\n  b", clean.Indented(errors.New("a\nb")))
}
