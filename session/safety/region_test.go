package safety_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session/safety"
)

func TestRegions(t *testing.T) {
	strictest := safety.RulesOf(safety.AnyRegion)
	for _, r := range safety.Regions() {
		got, err := safety.ParseRegion(" " + strings.ToUpper(string(r)))
		require.NoError(t, err)
		assert.Equal(t, r, got)
		rules := safety.RulesOf(r)
		assert.True(t, strictest.Peroxide.Value.AtMost(rules.Peroxide.Value), r)
		assert.GreaterOrEqual(t, strictest.TestHours.Value, rules.TestHours.Value, r)
		assert.LessOrEqual(t, strictest.TestDays.Value, rules.TestDays.Value, r)
		assert.Contains(t, strictest.Emergency.Value, rules.Emergency.Value, r)
		for _, source := range []string{rules.Peroxide.Source, rules.TestHours.Source, rules.TestDays.Source, rules.Emergency.Source} {
			assert.NotEmpty(t, source, r)
		}
	}
	_, err := safety.ParseRegion("atlantis")
	assert.ErrorContains(t, err, "give one of eu, uk, us, canada, australia, new-zealand")
}
