//go:build unix

package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// journal is the journal of the day with twelve zones.
func (s *salon) journal() string {
	s.t.Helper()
	r := s.runWith(twelveZones().String(), "import", "--stdout", "-")
	require.Zero(s.t, r.code, r.err)
	return r.out
}

func TestVerify(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	whole := s.journal()
	lines := strings.SplitAfter(whole, "\n")
	for _, test := range []struct {
		name, text string
		code       int
		says       string
	}{
		{"whole", whole, 0, fmt.Sprintf("whole, %d events", len(lines)-1)},
		{"torn tail", whole[:len(whole)-20], 2, fmt.Sprintf("line %d of the log", len(lines)-1)},
		{"zeros at the end", whole + "\x00\x00\x00", 2, "is unfinished"},
		{"a changed byte", strings.Replace(whole, "Zone 7", "Zone 8", 1), 1, "line 14 of the log"},
		{"a lost line", strings.Join(append(append([]string{}, lines[:9]...), lines[10:]...), ""), 1, "line 10 of the log"},
		{"two lines changed over", strings.Join(append(append([]string{}, lines[:9]...), append([]string{lines[10], lines[9]}, lines[11:]...)...), ""), 1, "line 10 of the log"},
		{"not ours", "root:x:0:0:root:/root:/bin/sh\n", 1, "not a log written by rinseby"},
		{"a changed version", strings.Replace(whole, `"rinseby/1"`, `"rinseby/2"`, 1), 1, "line 1 of the log"},
		{"newer", `{"format":"rinseby/2","number":1,"what":"service.opened"}` + "\n", 1, "newer rinseby (format 2); update this one"},
		{"empty", "", 1, "holds no record"},
	} {
		path := s.file("log.jsonl", test.text)
		r := s.run("verify", path)
		assert.Equal(t, test.code, r.code, "%s: %s", test.name, r.err)
		assert.Contains(t, r.out+r.err, test.says, test.name)
		assert.Contains(t, r.out+r.err, path, test.name)
		assert.Equal(t, test.code == 0, r.err == "", test.name)
		after, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, test.text, string(after), "verify changes nothing")
		assert.Equal(t, test.code, s.runWith(test.text, "verify", "-").code, "%s, from standard input", test.name)

		c := s.run("card", path)
		if test.code == 1 {
			assert.Equal(t, 1, c.code, test.name)
			assert.Empty(t, c.out, "%s: no card of what is damaged", test.name)
			assert.Contains(t, c.err, test.says, test.name)
		}
	}
}

func TestList(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	assert.Equal(t, "[]\n", s.must("list", "--json"))

	day := twelveZones()
	closed := strings.TrimSpace(s.must("import", s.file("day.jsonl", day.String())))
	live := newScript()
	live.at(86400, "service.opened", `{"service":"mine","client":"Mr. \u202eOkpara\u001b[2J","zone_list":"Crown"}`)
	s.must("import", s.file("live.jsonl", live.String()))

	var got []listed
	require.NoError(t, json.Unmarshal([]byte(s.must("list", "--json")), &got))
	require.Len(t, got, 2)
	assert.Equal(t, "mine", got[0].Service, "newest first")
	assert.Nil(t, got[0].Closed)
	assert.Equal(t, "Mr. \u202eOkpara\x1b[2J", got[0].Client, "data is given as it is")
	assert.Equal(t, closed, got[1].File)
	assert.Equal(t, day.time(0), got[1].Opened.UTC())
	require.NotNil(t, got[1].Closed)
	assert.Equal(t, day.time(offAt(zones-1)+60), got[1].Closed.UTC())

	table := s.must("list")
	assert.Contains(t, table, "live")
	assert.NotContains(t, table, "\x1b", "nothing that a terminal would obey")
	assert.NotContains(t, table, "\u202e")
	for _, format := range []string{"md", "json"} {
		assert.Equal(t, s.must("card", "--format", format, closed), s.must("card", "--format", format, got[1].Service))
	}
	assert.NotContains(t, s.must("card", "mine"), "\x1b")

	stray := filepath.Join(s.data, "live", "notes.txt")
	require.NoError(t, os.WriteFile(stray, nil, 0o600))
	r := s.run("list", "--json")
	assert.Zero(t, r.code)
	assert.Contains(t, r.err, stray)
	require.NoError(t, json.Unmarshal([]byte(r.out), &got), "what is wrong is told beside the list, not in it")
}

func TestImportRefuses(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	const at = `"when":"2025-03-03T09:00:00Z"`
	opened := `{` + at + `,"kind":"service.opened","data":{"client":"Tove A."}}` + "\n"
	plan := func(pieces int) string {
		return fmt.Sprintf(`{%s,"kind":"plan.set","data":{"name":"Lightening","action":"lighten","zones":[{"id":"z","name":"Nape","pieces":%d,"bands":%s}]}}`+"\n", at, pieces, bands)
	}
	asked := newScript()
	asked.answers(0)
	note := func(data string) string { return `{` + at + `,"kind":"note.added","data":` + data + `}` }
	for _, test := range []struct{ name, text, says string }{
		{"no line", "", "the file holds no line"},
		{"no service", note(`{"text":"x"}`), "line 1: the service is not open yet"},
		{"not JSON", opened + "nape 3\n", "line 2: not of the form"},
		{"cut off", opened + plan(3)[:40], "line 2: not of the form"},
		{"no time", opened + `{"kind":"note.added","data":{"text":"x"}}`, `line 2: "when" is missing`},
		{"not a time", opened + `{"when":"9 o'clock","kind":"note.added","data":{"text":"x"}}`, "line 2: not of the form"},
		{"a time in the future", opened + `{"when":"` + time.Now().Add(time.Hour).UTC().Format(time.RFC3339) + `","kind":"note.added","data":{"text":"x"}}`, "is in the future"},
		{"before the opening", opened + `{"when":"2025-03-03T08:59:00Z","kind":"note.added","data":{"text":"x"}}`, "is before the service was opened"},
		{"unknown kind", opened + `{` + at + `,"kind":"perm.begun","data":{}}`, `line 2: unknown kind of event "perm.begun"`},
		{"unknown field", opened + note(`{"text":"x","by":"Ines"}`), `unknown field "by"`},
		{"unknown field of the line", opened + `{"by":"Ines",` + note(`{"text":"x"}`)[1:], `unknown field "by"`},
		{"no pieces", opened + plan(0), "line 2: Nape has 0 pieces: plan 1 to"},
		{"10,000 pieces", opened + plan(10_000), "line 2: Nape has 10000 pieces: plan 1 to"},
		{"rinse of an empty zone", opened + plan(3) + `{` + at + `,"kind":"rinse.began","data":{"zones":["z"]}}`, "line 3: Nape holds nothing to rinse"},
		{"rinse of no such zone", opened + plan(3) + `{` + at + `,"kind":"rinse.began","data":{"zones":["fringe"]}}`, `line 3: there is no zone "fringe"`},
		{"no question asked", opened + plan(3) + `{` + at + `,"kind":"piece.placed","data":{"zone":"z"}}`, "line 3: nothing may touch hair before the safety questions are answered (y): 11 open"},
		{"no bowl", opened + plan(3) + asked.String() + `{` + at + `,"kind":"piece.placed","data":{"zone":"z"}}`, "line 14: no bowl of Chalk at 30 vol is in use for the root of Nape: mix one"},
		{"opened twice", opened + opened, "line 2: the service is open already"},
		{"a journal", s.journal(), "line 1: not of the form"},
		{"one endless line", strings.Repeat("x", 2<<20), "longer than"},
	} {
		for _, args := range [][]string{{"import", "--stdout", "-"}, {"import", "-"}} {
			r := s.runWith(test.text, args...)
			assert.Equal(t, 1, r.code, test.name)
			assert.Empty(t, r.out, test.name)
			assert.Contains(t, r.err, test.says, test.name)
			assert.Equal(t, 1, strings.Count(r.err, "\n"), "%s: one sentence: %s", test.name, r.err)
		}
	}
	assert.Empty(t, s.logs(), "nothing of it is kept")
}

func TestArguments(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	day := s.file("day.jsonl", twelveZones().String())
	nowhere := filepath.Join(t.TempDir(), "nowhere")
	for _, test := range []struct {
		args string
		says string
	}{
		{"", "needs a terminal"},
		{"practice", "needs a terminal"},
		{"perm", `there is no command "perm"`},
		{"--perm", "unknown flag"},
		{"list everything", "takes nothing after it"},
		{"card", "takes the name of one file, not 0"},
		{"verify a b", "takes the name of one file, not 2"},
		{"card --format pdf " + day, "this file is not a log"},
		{"card 20250303-0900-none", "there is no such service"},
		{"card " + nowhere, "there is no log"},
		{"card " + day, "not a log written by rinseby"},
		{"verify " + nowhere, "can't be read (no such file or directory)"},
		{"verify " + t.TempDir(), "is a folder: name a file in it"},
		{"import " + nowhere, "can't be read (no such file or directory)"},
		{"import " + t.TempDir(), "is a folder: name a file in it"},
		{"practice --speed 0", "give a number from 1"},
		{"practice --speed NaN", "give a number from 1"},
		{"practice --zones Feet", `there is no zone list "Feet"`},
		{"--data " + day + " list", "can't be made"},
	} {
		r := s.run(strings.Fields(test.args)...)
		assert.Equal(t, 1, r.code, test.args)
		assert.Empty(t, r.out, test.args)
		assert.Contains(t, r.err, test.says, test.args)
		assert.True(t, strings.HasPrefix(r.err, "rinseby: "), r.err)
	}
}

func TestFullDisk(t *testing.T) {
	t.Parallel()
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip("there is no /dev/full here")
	}
	defer full.Close()
	s := newSalon(t)
	plain := s.file("day.jsonl", twelveZones().String())
	log := s.file("log.jsonl", s.journal())
	for _, args := range [][]string{
		{"import", "--stdout", plain}, {"import", plain}, {"card", log}, {"card", "--format", "json", log}, {"verify", log}, {"list"}, {"list", "--json"},
	} {
		var errs strings.Builder
		c := exec.Command(s.bin, s.args(args...)...)
		c.Env = append(os.Environ(), "HOME="+t.TempDir())
		c.Stdout, c.Stderr = full, &errs
		require.Error(t, c.Run(), args)
		assert.Equal(t, 1, c.ProcessState.ExitCode(), args)
		assert.Contains(t, errs.String(), "the output can't be written (no space left on device): free some space", args)
	}
}

// asNobody makes the program run without the power to pass over permissions,
// if the test has that. The files of the salon are then somebody else's who
// may do as much with them as their owner.
func (s *salon) asNobody() {
	s.t.Helper()
	if os.Geteuid() != 0 {
		return
	}
	const nobody = 65534
	top := filepath.Dir(s.data)
	bin := filepath.Join(top, "rinseby")
	// A link, no copy: a file that was just written can't be run while any
	// child that is being started still holds it open.
	require.NoError(s.t, os.Link(s.bin, bin))
	require.NoError(s.t, os.Chmod(filepath.Dir(top), 0o755))
	require.NoError(s.t, filepath.WalkDir(top, func(path string, _ fs.DirEntry, err error) error {
		return errors.Join(err, os.Chown(path, nobody, nobody))
	}))
	s.bin, s.as = bin, &syscall.Credential{Uid: nobody, Gid: nobody}
}

func TestReadOnly(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	kept := strings.TrimSpace(s.must("import", s.file("day.jsonl", twelveZones().String())))
	closed := filepath.Join(filepath.Dir(s.data), "locked.jsonl")
	require.NoError(t, os.WriteFile(closed, []byte(openedLine), 0))
	s.asNobody()
	for _, dir := range []string{"live", "closed", "."} {
		require.NoError(t, os.Chmod(filepath.Join(s.data, dir), 0o500))
		defer os.Chmod(filepath.Join(s.data, dir), 0o700)
	}
	assert.Contains(t, s.must("list"), "Tove A.", "what is there may be looked at")
	s.must("card", kept)
	other := newScript()
	other.at(0, "service.opened", openedLine)
	for _, test := range []struct {
		args []string
		says string
	}{
		{[]string{"import", "-"}, "check the"},
		{[]string{"import", closed}, "can't be read (permission denied): check its name and its permissions"},
		{[]string{"verify", closed}, "can't be read (permission denied): check its name and its permissions"},
		{[]string{"card", closed}, "change the permissions"},
		{[]string{"--data", filepath.Join(s.data, "more"), "list"}, "check its permissions, or choose another"},
	} {
		r := s.runWith(other.String(), test.args...)
		assert.Equal(t, 1, r.code, test.args)
		assert.Empty(t, r.out, test.args)
		assert.Contains(t, r.err, test.says, test.args)
	}
}
