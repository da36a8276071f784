package session_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
)

func (c *chair) forecast(u session.Usuals) *session.Forecast {
	c.t.Helper()
	q, ok := c.state().AskForecast(moment(c.state(), c), u)
	require.True(c.t, ok, q.Why)
	f, err := q.Answer()
	require.NoError(c.t, err)
	return f
}

func wall(at time.Time) string { return at.Format("15:04") }

func TestForecastTry(t *testing.T) {
	c := lightening(t)
	for i := range 4 {
		c.at(float64(i+1) * 2).do(place("z1", 1))
	}
	f := c.forecast(session.Usuals{})
	b, _ := json.MarshalIndent(f, "", " ")
	t.Log(string(b))
	for _, l := range f.Lines(wall) {
		t.Log(l)
	}
	assert.NotNil(t, f)
	rapid.Check(t, func(*rapid.T) {})
}
