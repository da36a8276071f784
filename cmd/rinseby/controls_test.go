//go:build unix

package main

import (
	"encoding/json"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var controls = flag.Bool("controls", false, "break the program in known ways, and see that tests find each")

// A control is a way to break the program that a test must find.
type control struct {
	name     string
	file     string // from the top of the tree
	old, new string // what is put in the place of what
	pkg, run string // the test
	finds    string // what it says then
}

var broken = []control{
	{
		name: "no lock", file: "session/journal/fs.go",
		old: "ok, err := l.TryLock()", new: "_, err := l.TryLock()\n\tok := err == nil",
		pkg: "./cmd/rinseby", run: "^TestEightChairsRaceForOneService$", finds: "two processes log to one service",
	},
	{
		name: "no lock", file: "session/journal/fs.go",
		old: "ok, err := l.TryLock()", new: "_, err := l.TryLock()\n\tok := err == nil",
		pkg: "./cmd/rinseby", run: "^TestKilledAtAnyMoment$", finds: "a second writer",
	},
	{
		name: "an entry is answered before it is written", file: "session/store/live.go",
		old: "return l.journal.Append(recs...)", new: "if len(recs) == 1 {\n\t\tgo l.journal.Append(recs...)\n\t\treturn nil\n\t}\n\treturn l.journal.Append(recs...)",
		pkg: "./cmd/rinseby", run: "^TestKilledAtAnyMoment$", finds: `were answered with "Logged"`,
	},
	{
		name: "no fsync", file: "session/journal/journal.go",
		old: "return f.Sync()", new: "return nil",
		pkg: "./session/journal", run: "^TestNoAcknowledgedRecordIsLost$", finds: "are lost",
	},
	{
		name: "no fsync", file: "session/journal/journal.go",
		old: "return f.Sync()", new: "return nil",
		pkg: "./session/journal", run: "^TestEveryOperationFails$", finds: "are lost",
	},
	{
		name: "fsync is tried again", file: "session/journal/journal.go",
		old: "return f.Sync()", new: "if f.Sync() == nil {\n\t\treturn nil\n\t}\n\treturn f.Sync()",
		pkg: "./session/journal", run: "^TestEveryOperationFails$", finds: "are lost",
	},
	{
		name: "what was read is not made safe", file: "session/journal/journal.go",
		old: "err := settle(fsys, j.path, c.lines)", new: "err := error(nil)",
		pkg: "./session/journal", run: "^TestNoAcknowledgedRecordIsLost$", finds: "are lost",
	},
	{
		name: "checksums are not compared", file: "session/journal/read.go",
		old: "sum != want {", new: "sum != want && false {",
		pkg: "./session", run: "^TestNoChangeOfAByteIsSilent$", finds: "is not what was written",
	},
	{
		name: "checksums are not chained", file: "session/journal/read.go",
		old: "sum = crc32.Update(sum, castagnoli, body); sum != want {", new: "sum = want; false {",
		pkg: "./session", run: "^TestNoLineIsMissedDoubledMovedOrStrange$", finds: "what was read is not what was written",
	},
	{
		name: "a file is read to its end, however large", file: "session/journal/read.go",
		old: "if large = room > limit; large {", new: "if large = room > limit; false {",
		pkg: "./session/journal", run: "^TestWhatIsNoLogIsNotReadToItsEnd$", finds: "is not less than",
	},
	{
		name: "what waits is not saved by itself", file: "tui/unsaved.go",
		old: "!s.saving && (since >= saveAgain", new: "false && (since >= saveAgain",
		pkg: "./tui", run: "^TestWhatCantBeSavedCountsAndIsSavedByItself$", finds: "Logged: 2 entries",
	},
	{
		name: "what is not saved is forgotten", file: "tui/unsaved.go",
		old: "s.unsaved, s.why, s.tried = msg.left, msg.err, a.now.Wall", new: "s.why, s.tried = msg.err, a.now.Wall",
		pkg: "./tui", run: "^TestWhatCouldNotBeSavedIsSavedWithTheNextKey$", finds: "NOT SAVED, 3 entries",
	},
	{
		name: "what is not saved is answered as logged", file: "tui/desk.go",
		old: "a.say(a.said(msg), true)", new: "a.say(\"Logged: \"+a.said(msg), true)",
		pkg: "./tui", run: "^TestWhatCantBeSavedCountsAndIsSavedByItself$", finds: "should not contain \"Logged\"",
	},
}

// TestControls breaks the program on purpose, each way apart, and runs the test
// that must find it. It takes minutes.
func TestControls(t *testing.T) {
	if !*controls {
		t.Skip("by -controls only: it builds the program anew for each")
	}
	top, err := filepath.Abs("../..")
	require.NoError(t, err)
	for _, c := range slices.Concat(broken, brokenSafety, brokenHarm) {
		t.Run(c.name+strings.NewReplacer("^", "/", "$", "").Replace(c.run), func(t *testing.T) {
			out, err := c.test(t, top)
			require.Error(t, err, "the test found nothing:\n%s", out)
			assert.Contains(t, out, "--- FAIL", "it must fail, and not only not build")
			assert.Contains(t, out, c.finds)
			line, _, _ := strings.Cut(out[max(strings.Index(out, c.finds), 0):], "\n")
			t.Logf("found: %.120s", line)
		})
	}
}

// TestControlsAreUpToDate holds the controls to the program as it is: what each
// replaces is there once, and so is its test.
func TestControlsAreUpToDate(t *testing.T) {
	for _, c := range slices.Concat(broken, brokenSafety, brokenHarm) {
		text, err := os.ReadFile(filepath.Join("../..", c.file))
		require.NoError(t, err)
		assert.Equal(t, 1, strings.Count(string(text), c.old), "%s: %s has %q once", c.name, c.file, c.old)
		tests, err := filepath.Glob(filepath.Join("../..", c.pkg, "*_test.go"))
		require.NoError(t, err)
		assert.True(t, slices.ContainsFunc(tests, func(path string) bool {
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			return strings.Contains(string(text), "\nfunc "+strings.Trim(c.run, "^$")+"(t *testing.T)")
		}), "%s: %s is in %s", c.name, c.run, c.pkg)
	}
}

// test runs the control's test on the broken program.
func (c control) test(t *testing.T, top string) (string, error) {
	t.Helper()
	path := filepath.Join(top, c.file)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, 1, strings.Count(string(text), c.old), "%s has %q once", c.file, c.old)
	dir := t.TempDir()
	spoilt := filepath.Join(dir, filepath.Base(c.file))
	require.NoError(t, os.WriteFile(spoilt, []byte(strings.Replace(string(text), c.old, c.new, 1)), 0o600))
	overlay, err := json.Marshal(map[string]map[string]string{"Replace": {path: spoilt}})
	require.NoError(t, err)
	list := filepath.Join(dir, "overlay.json")
	require.NoError(t, os.WriteFile(list, overlay, 0o600))
	run := exec.Command("go", "test", "-count=1", "-run", c.run, c.pkg)
	run.Dir = top
	run.Env = append(os.Environ(), "GOFLAGS="+strings.TrimSpace(os.Getenv("GOFLAGS")+" -overlay="+list)) // also for the program that the test builds
	out, err := run.CombinedOutput()
	return string(out), err
}
