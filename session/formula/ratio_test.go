package formula

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseRatio(t *testing.T) {
	for text, want := range map[string]Ratio{
		"1:2": {1, 2}, "1:1.5": {1, 1.5}, "1:1,5": {1, 1.5}, " 2 : 3 ": {2, 3},
	} {
		r, err := ParseRatio(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, r)
		again, err := ParseRatio(r.String())
		require.NoError(t, err)
		assert.Equal(t, r, again)
	}
	for text, say := range map[string]string{
		"2":     "no colon",
		"":      "no colon",
		"0:1":   "above 0",
		"1:0":   "above 0",
		"1:200": "up to 100",
		"-1:2":  "product side: a negative number cannot be",
		"1:-2":  "developer side: a negative number cannot be",
		"1:":    "developer side: the number is missing",
		"1:2:3": "not a plain number",
		"1:NaN": "not a plain number",
	} {
		_, err := ParseRatio(text)
		require.Error(t, err, text)
		assert.Contains(t, err.Error(), say, text)
	}
}

func TestRatioInJSON(t *testing.T) {
	data, err := json.Marshal(Ratio{1, 1.5})
	require.NoError(t, err)
	assert.Equal(t, `"1:1.5"`, string(data))
	var r Ratio
	require.NoError(t, json.Unmarshal(data, &r))
	assert.Equal(t, Ratio{1, 1.5}, r)
	assert.Error(t, json.Unmarshal([]byte(`"2"`), &r))
	assert.Equal(t, Ratio{1, 1.5}, r, "left alone by what can't be read")
}
