package history_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/history"
)

// TestSpecimenHasEveryKind holds the specimen to its purpose.
func TestSpecimenHasEveryKind(t *testing.T) {
	l, err := session.Fold(history.Specimen())
	require.NoError(t, err)
	s := history.Of(l)
	got := map[session.StintKind]bool{}
	for _, st := range s.Stints {
		got[st.Kind] = true
	}
	for _, kind := range []session.StintKind{
		session.StintPrepare, session.StintMix, session.StintPlace, session.StintCoat, session.StintWalk,
		session.StintReseat, session.StintDevelop, session.StintRinse, session.StintStep, session.StintClose,
	} {
		assert.True(t, got[kind], kind)
	}
}

func TestOf(t *testing.T) {
	l, err := session.Fold(history.Specimen())
	require.NoError(t, err)
	s := history.Of(l)
	assert.Equal(t, "specimen", s.ID)
	assert.Equal(t, l.State().Opened, s.Opened)
	assert.Equal(t, l.State().Stints(), s.Stints)
	assert.Equal(t, map[string]float64{"weave": 2}, s.Pieces)
	assert.Equal(t, map[string]float64{"talk": 8}, s.Steps, "drying has no minutes")
	assert.False(t, s.Invented)
}

func TestSame(t *testing.T) {
	assert.True(t, history.Same(" Ines", "INES "))
	assert.False(t, history.Same("Ines", "Ine"))
	assert.True(t, history.Same("", "  "))
}
