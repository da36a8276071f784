package replay_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/replay"
)

func TestMarksAreReadAsTheyWereWritten(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var marks []replay.Mark
		for i := range rapid.IntRange(0, 20).Draw(rt, "marks") {
			text := rapid.StringN(-1, 200, replay.MaxMarkText).Draw(rt, "text")
			marks = append(marks, replay.Mark{At: zero.Add(time.Duration(i) * time.Second), Text: text})
		}
		written, err := replay.FormatMarks(marks)
		require.NoError(rt, err)
		read, err := replay.ParseMarks(strings.NewReader(string(written)))
		require.NoError(rt, err)
		require.Equal(rt, marks, read)
		again, err := replay.FormatMarks(read)
		require.NoError(rt, err)
		require.Equal(rt, string(written), string(again))
	})
}

func TestMarksStandInOrder(t *testing.T) {
	read, err := replay.ParseMarks(strings.NewReader(`{"at":"2026-03-02T11:00:00+01:00","text":"b"}` + "\n\n" + `{"at":"2026-03-02T09:30:00.12345Z","text":"a"}`))
	require.NoError(t, err)
	assert.Equal(t, []replay.Mark{{zero.Add(30*time.Minute + 123*time.Millisecond), "a"}, {zero.Add(time.Hour), "b"}}, read)
	assert.Equal(t, "live/x.marks.jsonl", replay.MarksPath("live/x.jsonl"))
}

func TestMarksThatCanNotBe(t *testing.T) {
	line := `{"at":"2026-03-02T09:00:00Z","text":%q}` + "\n"
	for name, c := range map[string]struct{ text, says string }{
		"not JSON":         {"x", "line 1"},
		"another field":    {`{"at":"2026-03-02T09:00:00Z","text":"x","by":"y"}`, "not of the form"},
		"no moment":        {`{"text":"x"}`, `"at" is missing`},
		"two on a line":    {`{"at":"2026-03-02T09:00:00Z","text":"x"} {}`, "more than one value"},
		"a list":           {"[1]", "not of the form"},
		"no UTF-8":         {"{\"at\":\"2026-03-02T09:00:00Z\",\"text\":\"\xff\"}", "UTF-8"},
		"a long text":      {fmt.Sprintf(line, strings.Repeat("x", replay.MaxMarkText+1)), "bytes"},
		"a very long line": {strings.Repeat(" ", 1<<20) + "{}", "longer than"},
		"too many":         {strings.Repeat(fmt.Sprintf(line, "x"), replay.MaxMarks+1), "more than 500 marks"},
		"a huge file":      {strings.Repeat("\n", 5<<20), "MiB"},
	} {
		_, err := replay.ParseMarks(strings.NewReader(c.text))
		assert.ErrorContains(t, err, c.says, name)
	}
	for _, m := range []replay.Mark{{}, {At: zero, Text: strings.Repeat("x", replay.MaxMarkText+1)}, {At: zero, Text: "\xff"}} {
		_, err := replay.FormatMarks([]replay.Mark{m})
		assert.Error(t, err)
	}
	_, err := replay.FormatMarks(make([]replay.Mark, replay.MaxMarks+1))
	assert.ErrorContains(t, err, "too many")
}

func FuzzParseMarks(f *testing.F) {
	f.Add(`{"at":"2026-03-02T09:00:00Z","text":"x"}` + "\n")
	f.Add("\x1b[2J\n{}")
	f.Fuzz(func(t *testing.T, text string) {
		marks, err := replay.ParseMarks(strings.NewReader(text))
		if err != nil {
			return
		}
		written, err := replay.FormatMarks(marks)
		if err != nil {
			t.Fatal(err)
		}
		again, err := replay.ParseMarks(strings.NewReader(string(written)))
		if err != nil || len(again) != len(marks) {
			t.Fatal("what was read and written is not read again", err)
		}
	})
}

func TestMarksAreStops(t *testing.T) {
	c := ready(t).at(10).do(place("z1", 1)).at(20).do(session.NoteAdded{Text: "x"})
	tape := replay.New(c.log)
	n := len(tape.Stops())
	tape.SetMarks([]replay.Mark{{zero.Add(15 * time.Minute), "here"}})
	assert.Len(t, tape.Stops(), n+1)
	stop, ok := tape.Next(tape.From(), replay.Marked)
	require.True(t, ok)
	assert.Equal(t, replay.Stop{At: zero.Add(15 * time.Minute), Kind: replay.Marked, Text: "here"}, stop)
	tape.SetMarks(nil)
	assert.Len(t, tape.Stops(), n)
}
