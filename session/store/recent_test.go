package store

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/history"
	"rinseby/timing/forecast"
)

func TestCloseLearns(t *testing.T) {
	s := newStore(t)
	_, err := s.Import(few(t)[1])
	require.NoError(t, err)
	l, err := s.Create(at(0), "station 1", session.Do(session.ServiceOpened{Client: "June L.", Stylist: "Sam"}))
	require.NoError(t, err)
	_, err = l.Do(at(9), session.Do(session.ServiceClosed{}))
	require.NoError(t, err)
	require.NoError(t, l.Close())
	text, err := os.ReadFile(s.summary(recentName(" SAM")))
	require.NoError(t, err, "the next start finds it")
	r, ok := history.Decode(text)
	require.True(t, ok)
	assert.Equal(t, 2, r.Known.Services)
	k, err := s.Learned("Sam")
	require.NoError(t, err)
	assert.Equal(t, r.Known, k.Known)
	assert.NotContains(t, strings.ToLower(recentName("Sam")), "sam")
}

func TestUsualsOfNobody(t *testing.T) {
	s := newStore(t)
	u, err := s.Usuals("Ines")
	require.NoError(t, err)
	assert.Zero(t, u.Services)
	assert.NoDirExists(t, filepath.Join(s.dir, summaryFolder), "there is nothing to say")
}

func TestUsualsRestOnTheLast(t *testing.T) {
	s := newStore(t)
	recs := few(t)[1]
	for i := range history.Most + 5 {
		id := dayName(i)
		lay(t, s.dir, renamed(t, recs, id, "Tove A.", "Sam", time.Duration(i)*24*time.Hour))
	}
	k, err := s.Learned("Sam")
	require.NoError(t, err)
	assert.Equal(t, history.Most, k.Services)
	assert.Equal(t, recs[0].When.Add(5*24*time.Hour), k.First)
	require.NoError(t, os.Remove(s.path(closedFolder, dayName(history.Most))))
	k, err = s.Learned("Sam")
	require.NoError(t, err)
	assert.Equal(t, recs[0].When.Add(4*24*time.Hour), k.First, "one further back takes its place")
}

// dayName is an id of a day.
func dayName(i int) string {
	return time.Unix(0, 0).AddDate(0, 0, i).UTC().Format("20060102-0900-aaaa")
}

func TestInventedServicesCountWhereThereIsNothingElse(t *testing.T) {
	s := newStore(t)
	lay(t, s.dir, few(t)[0])
	k, err := s.Learned("Ines")
	require.NoError(t, err)
	assert.True(t, k.Invented)
	assert.Equal(t, 1, k.Services)
	lay(t, s.dir, few(t)[2])
	k, err = s.Learned("Ines")
	require.NoError(t, err)
	assert.False(t, k.Invented)
	assert.Equal(t, 1, k.Services)
}

func TestWidthIsCarried(t *testing.T) {
	s := filled(t)
	w := forecast.Conformal{Log: [5]float64{0.5}, Seen: [5]int{3}}
	require.NoError(t, s.KeepWidth("Sam", w))
	u, err := again(s).Usuals("sam")
	require.NoError(t, err)
	assert.Equal(t, w, u.Width)
	u, err = s.Usuals("Ines")
	require.NoError(t, err)
	assert.Equal(t, forecast.Conformal{}, u.Width)

	lay(t, s.dir, renamed(t, few(t)[1], "20260401-0900-aaaa", "June L.", "Sam", time.Hour))
	u, err = s.Usuals("Sam")
	require.NoError(t, err)
	assert.Equal(t, 3, u.Services)
	assert.Equal(t, w, u.Width, "from one fit to the next")
	removeSummary(t, s.dir)
	u, err = s.Usuals("Sam")
	require.NoError(t, err)
	assert.Equal(t, forecast.Conformal{}, u.Width, "no log tells it")
}

func TestPast(t *testing.T) {
	s := filled(t)
	want, err := s.Learned("Sam")
	require.NoError(t, err)
	removeSummary(t, s.dir)
	k, problems, err := Past(s.dir, "Sam")
	require.NoError(t, err)
	assert.Empty(t, problems)
	assert.Equal(t, want, k)
	assert.NoDirExists(t, filepath.Join(s.dir, summaryFolder), "nothing is written in a folder that is only looked at")

	logs := filepath.Join(s.dir, closedFolder)
	text, err := os.ReadFile(s.path(closedFolder, "20260302-0900-aaaa"))
	require.NoError(t, err)
	for name, data := range map[string]string{"copy of one.jsonl": string(text), "broken.jsonl": "x\n", "notes.txt": "x"} {
		require.NoError(t, os.WriteFile(filepath.Join(logs, name), []byte(data), 0o600))
	}
	k, problems, err = Past(logs, "Sam")
	require.NoError(t, err)
	require.Len(t, problems, 1)
	assert.ErrorContains(t, problems[0], "broken.jsonl")
	assert.Equal(t, want, k, "from a plain folder of logs; a copy counts once")
	k, _, err = Past(logs, "")
	require.NoError(t, err)
	assert.Equal(t, 3, k.Services)

	k, problems, err = Past(t.TempDir(), "Sam")
	require.NoError(t, err)
	assert.Empty(t, problems)
	assert.Zero(t, k.Services)
	_, _, err = Past(filepath.Join(s.dir, "none"), "Sam")
	require.ErrorContains(t, err, "check its name and permissions")
}
