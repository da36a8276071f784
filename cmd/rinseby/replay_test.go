//go:build unix

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/cmd/internal/screentest"
)

// TestReplay relives the invented ordinary day.
func TestReplay(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	log := strings.TrimSpace(s.must("import", "../../testdata/ordinary-day.jsonl"))
	before, err := os.ReadFile(log)
	require.NoError(t, err)

	x := s.open("replay", log, "--at", "60m")
	x.WaitFor("REPLAY paused")
	x.WaitFor("10:00:00")
	x.WaitFor("NAPE RIGHT")
	x.WaitFor("▲w≈") // the timeline
	x.Keys("+", "+", "+", "space")
	x.WaitFor("REPLAY playing")
	x.WaitForFunc("another moment", func(screen string) bool { return !strings.Contains(screen, "1:00:00 of") })
	x.Keys("space")
	x.WaitFor("REPLAY paused")
	x.Keys("home", "r")
	x.WaitFor("rinsed clean: Nape left")
	x.Keys("e")
	x.WaitFor("10:01:00")
	x.Keys("pgup", "shift+left", "left")
	x.WaitFor("09:49:50")
	x.Keys("p")
	x.WaitFor("This is a replay: nothing is logged.")
	x.Keys("n")
	x.WaitFor("Replay: mark")
	x.Type("look here")
	x.Keys("enter")
	x.WaitFor("Marked. Marks are kept beside the log")
	x.Keys("end")
	x.WaitFor("THE SERVICE IS CLOSED")
	x.Keys("q")
	code, err := x.Wait()
	require.NoError(t, err)
	assert.Zero(t, code)
	given(t, x)

	after, err := os.ReadFile(log)
	require.NoError(t, err)
	assert.Equal(t, string(before), string(after), "the journal is only read")
	marks := filepath.Join(s.data, "marks", strings.TrimSuffix(filepath.Base(log), ".jsonl")+".marks.jsonl")
	text, err := os.ReadFile(marks)
	require.NoError(t, err)
	assert.Contains(t, string(text), `"text":"look here"`)
	info, err := os.Stat(marks)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	assert.NotContains(t, s.must("list"), "needs a look")

	x = s.open("replay", strings.TrimSuffix(filepath.Base(log), ".jsonl")) // by its id
	x.WaitFor("REPLAY at the start")
	x.Keys("N")
	x.WaitFor("look here")
}

// TestReplayOfAFileElsewhere keeps marks beside the journal, and says what is
// wrong with those that are there.
func TestReplayOfAFileElsewhere(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	dir := t.TempDir()
	text, err := os.ReadFile(strings.TrimSpace(s.must("import", "../../testdata/ordinary-day.jsonl")))
	require.NoError(t, err)
	log := filepath.Join(dir, "day.jsonl")
	require.NoError(t, os.WriteFile(log, text, 0o600))
	x := screentest.Start(t, s.bin, screentest.Options{Args: s.args("replay", log), Width: 120, Height: 40})
	x.WaitFor("REPLAY at the start")
	x.Keys("n", "enter")
	x.WaitFor("Marked.")
	x.Keys("q")
	_, err = x.Wait()
	require.NoError(t, err)
	marks := filepath.Join(dir, "day.marks.jsonl")
	require.FileExists(t, marks)

	require.NoError(t, os.WriteFile(marks, []byte("no mark\n"), 0o600))
	r := s.run("replay", log)
	assert.Equal(t, 1, r.code)
	assert.Contains(t, r.err, "day.marks.jsonl")
	assert.Contains(t, r.err, "line 1")
}

func TestReplayRefuses(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	for _, args := range [][]string{{"replay"}, {"replay", "nowhere"}, {"replay", "nowhere.jsonl"}, {"replay", "x", "--at", "-5m"}, {"replay", "x", "--at", "soon"}} {
		r := s.run(args...)
		assert.NotZero(t, r.code, args)
		assert.NotEmpty(t, r.err, args)
		assert.Equal(t, 1, strings.Count(r.err, "\n"), args)
	}
}
