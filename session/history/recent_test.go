package history_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session/history"
	"rinseby/timing/forecast"
)

var width = forecast.Conformal{Log: [5]float64{0.1, -0.2, 0, 0.3, 1}, Seen: [5]int{1, 2, 3, 4, 5}}

func learned(t testing.TB) history.Recent {
	t.Helper()
	services := newStylist(8).services(3)
	services[1].Pieces["weave"], services[1].Steps["drying"] = 1.5, 20
	services[2].Stints[0].Helpers = 0.5
	var basis []history.Basis
	for i, s := range services {
		basis = append(basis, history.Basis{ID: s.ID, Size: int64(1000 + i)})
	}
	r, err := history.Learn("Ines", basis, services, width)
	require.NoError(t, err)
	return r
}

func TestRecentReadsBack(t *testing.T) {
	r := learned(t)
	assert.Equal(t, width, r.Known.Width)
	text, err := r.Encode()
	require.NoError(t, err)
	again, err := r.Encode()
	require.NoError(t, err)
	assert.Equal(t, string(text), string(again))

	got, ok := history.Decode(text)
	require.True(t, ok)
	assert.Equal(t, r.Known, got.Known)
	assert.Equal(t, "Ines", got.Stylist)
	assert.True(t, got.Rests(r.Basis))
	assert.False(t, got.Rests(r.Basis[1:]))
	assert.Nil(t, got.Services, "only when they are asked for")
	assert.Equal(t, r, history.DecodeWhole(text))
	assert.Equal(t, forecast.Conformal{}, got.WithWidth(forecast.Conformal{}).Known.Width)
}

// TestRecentDamage flips each byte, and cuts at each place: nothing of it is
// then believed.
func TestRecentDamage(t *testing.T) {
	text, err := learned(t).Encode()
	require.NoError(t, err)
	for i := range text {
		spoilt := bytes.Clone(text)
		spoilt[i] ^= 1
		for _, bad := range [][]byte{spoilt, text[:i]} {
			_, ok := history.Decode(bad)
			require.False(t, ok, i)
		}
	}
	for i := 0; i < len(text); i += 97 {
		spoilt := bytes.Clone(text)
		spoilt[i] ^= 1
		assert.Equal(t, history.Recent{}, history.DecodeWhole(spoilt))
	}
}

// TestRecentByOtherRules is what another version of the program wrote: only the
// width, which no log tells, is taken over.
func TestRecentByOtherRules(t *testing.T) {
	text, err := learned(t).Encode()
	require.NoError(t, err)
	_, body, _ := bytes.Cut(text, []byte("\n"))
	i := bytes.Index(body, []byte(`"made":"`)) + len(`"made":"`)
	other := bytes.Clone(body)
	other[i] ^= 1
	spoilt := history.Reseal(other)
	assert.Equal(t, text, history.Reseal(body))
	_, ok := history.Decode(spoilt)
	assert.False(t, ok)
	got := history.DecodeWhole(spoilt)
	assert.Equal(t, width, got.Known.Width)
	assert.Empty(t, got.Services)
	assert.Empty(t, got.Known.Others)
}
