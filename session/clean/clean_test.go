package clean_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session/clean"
	"rinseby/session/hostile"
)

// What exactly becomes of each kind of character is held by the tests of
// rinseby/tui/clean.
func TestAnythingIsSafe(t *testing.T) {
	try := func(t require.TestingT, s string) {
		text := "x" + clean.Text(s)
		require.NoError(t, hostile.Check(text), "%q", s)
		require.NotContains(t, text, "\n")
		require.NoError(t, hostile.Check(strings.ReplaceAll(clean.Lines(s), hostile.Forged, "")), "%q", s)
	}
	for _, s := range hostile.Samples() {
		try(t, s.Text)
	}
	rapid.Check(t, func(r *rapid.T) {
		try(r, rapid.SampledFrom(hostile.Samples()).Draw(r, "one").Text+rapid.String().Draw(r, "more")+rapid.SampledFrom(hostile.Samples()).Draw(r, "two").Text)
	})
}
