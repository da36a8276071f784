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

func TestTheRegionRulesTheSkinTest(t *testing.T) {
	for _, tt := range []struct {
		region      safety.Region
		hours, days int
		answer      string
		word        safety.Word
		why, source string
	}{
		{safety.AnyRegion, 0, 0, "yesterday", safety.Stop, "about 48 hours", "UK training texts"},
		{safety.Canada, 0, 0, "yesterday", safety.GoOn, "No reaction seen, 2026-03-01: tested 1 day before.", "C.R.C. c. 869"},
		{safety.Canada, 0, 0, "today", safety.Stop, "about 24 hours", "C.R.C. c. 869"},
		{safety.AnyRegion, 0, 0, "not done", safety.Stop, "needs a test about 48 hours before", "UK training texts"},
		{safety.Canada, 0, 0, "not done", safety.Stop, "needs a test about 24 hours before", "C.R.C. c. 869"},
		{safety.US, 0, 0, "yesterday", safety.Stop, "about 48 hours", "FDA"},
		{safety.UK, 0, 0, "182 days ago", safety.GoOn, "No reaction seen", "training"},
		{safety.UK, 0, 0, "183 days ago", safety.Stop, "183 days old, and here it is good for 182", "NHBF"},
		{safety.EU, 0, 0, "8 days ago", safety.Stop, "here it is good for 7", "house rule"},
		{safety.EU, 72, 0, "2 days ago", safety.Stop, "about 72 hours", "the salon's own setting"},
		{safety.EU, 60, 0, "2 days ago", safety.Stop, "about 60 hours", "the salon's own setting"},
		{safety.EU, 24, 0, "yesterday", safety.GoOn, "This salon has set 24 hours before, where 48 are usual here: the products' instructions come first.", "the salon's own setting"},
		{safety.EU, 0, 30, "20 days ago", safety.GoOn, "a test that is good for 30 days, where 7 are usual here", ""},
		{safety.UK, 0, 30, "31 days ago", safety.Stop, "31 days old, and here it is good for 30", "the salon's own setting"},
	} {
		in := safety.Setting{Opened: opened, Rules: safety.RulesOf(tt.region).With(tt.hours, tt.days)}
		out, err := safety.Judge(safety.SkinTest, tt.answer, in)
		require.NoError(t, err)
		assert.Equal(t, tt.word, out.Word, "%s: %s", tt.region, tt.answer)
		assert.Contains(t, out.Why, tt.why, "%s: %s", tt.region, tt.answer)
		assert.Contains(t, out.Source, tt.source, "%s: %s", tt.region, tt.answer)
	}
	assert.Empty(t, safety.RulesOf(safety.EU).With(72, 3).Looser, "stricter is nothing to tell of")
	assert.Empty(t, safety.RulesOf(safety.Canada).With(24, 0).Looser)
}

func TestTheLawSaysWhereItHolds(t *testing.T) {
	for region, says := range map[safety.Region]string{
		safety.EU: "12 % is the most (EU law, (EC) 1223/2009)", safety.UK: "UK law", safety.US: "house rule, as EU law", safety.AnyRegion: "EU and UK law",
	} {
		assert.Contains(t, safety.RulesOf(region).Law().String(), says)
	}
}
