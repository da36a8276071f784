//go:build unix

package main

import (
	"bytes"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"filippo.io/age"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/cmd/internal/screentest"
	"rinseby/session/hostile"
)

// closedToOthers checks that nobody else can look into a folder or read a file
// of it, and that no name of a file tells of a client.
func closedToOthers(t *testing.T, dir, client string) (files int) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		require.NoError(t, err)
		info, err := d.Info()
		require.NoError(t, err)
		want := fs.FileMode(0o600)
		if d.IsDir() {
			want = 0o700
		} else {
			files++
		}
		assert.Equal(t, want, info.Mode().Perm(), path)
		assert.NotContains(t, strings.ToLower(d.Name()), client)
		return nil
	}))
	return files
}

// TestNobodyElseCanRead runs a service from its opening to its forgetting with
// a umask that keeps nothing from anybody.
func TestNobodyElseCanRead(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.owns("zones/two.toml", twoZones)
	s.owns("catalogue.toml", s.must("starter"))
	s.data = filepath.Join(s.data, "some", "where", "deep")
	out := t.TempDir()
	open := func(stdin string, args ...string) (string, string) {
		t.Helper()
		c := exec.Command("/bin/sh", append([]string{"-c", `umask 000; exec "$0" "$@"`, s.bin}, s.args(args...)...)...)
		var said, errs bytes.Buffer
		c.Stdin, c.Stdout, c.Stderr = strings.NewReader(stdin), &said, &errs
		c.Env = append(os.Environ(), "HOME="+t.TempDir(), "TZ=UTC")
		require.NoError(t, c.Run(), "%v: %s", args, errs.String())
		return said.String(), errs.String()
	}
	said, _ := open(strings.Join([]string{"new", "Tove A.", "Ines", "", "+2h", "two zones", "q"}, "\n")+"\n", "--plain") // invented
	require.Contains(t, said, "The service of Tove A. stays live.")
	require.NotZero(t, closedToOthers(t, s.data, "tove"))

	log := s.file("day.jsonl", strings.ReplaceAll(plainService("done", "Ines", 0, 2, true), "June L.", "Tove A."))
	open("", "import", log)
	open("", "history", "--stylist", "Ines")
	said, _ = open("n\nlook at this\nq\n", "replay", "done", "--plain")
	require.Contains(t, said, "Marked.")
	open("", "list")
	key, err := age.GenerateX25519Identity()
	require.NoError(t, err)
	open("", "export", "done", "--to", key.Recipient().String(), "-o", filepath.Join(out, "done.age"))
	open("", "export", "done", "--redact", "-o", filepath.Join(out, "done.jsonl"))
	closedToOthers(t, s.data, "tove")
	assert.FileExists(t, filepath.Join(s.data, "marks", "done.marks.jsonl"))
	assert.FileExists(t, filepath.Join(s.data, "catalogue.last-good.toml"))
	require.NoError(t, os.Chmod(out, 0o700)) // which the test made itself
	assert.Equal(t, 2, closedToOthers(t, out, "tove"))
	assert.Empty(t, naming(t, out, "tove"))

	open("", "forget", "tove a.", "--yes", "--live")
	assert.Empty(t, naming(t, s.data, "tove"))
	assert.NotZero(t, closedToOthers(t, s.data, "tove"))
	assert.FileExists(t, filepath.Join(s.data, "times", "done.times"))

	// What others could read before is closed to them at the next start.
	for _, name := range []string{"times", "summary"} {
		require.NoError(t, os.Chmod(filepath.Join(s.data, name), 0o755))
	}
	require.NoError(t, os.Chmod(filepath.Join(s.data, "times", "done.times"), 0o644))
	open("", "list")
	closedToOthers(t, s.data, "tove")
}

// TestTitlesAndNotificationsNameNobody looks at all that the terminal is told
// beside the screen.
func TestTitlesAndNotificationsNameNobody(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.owns("settings.toml", "title = true\nnotify = true\n")
	s.must("import", s.file("over.jsonl", strings.ReplaceAll(plainService("over", "Ines", 0, 2, false), "June L.", "Tove A."))) // invented
	x := s.open()
	x.WaitFor("Go on with Tove A.")
	x.Keys("enter")
	x.WaitFor("OVER")
	x.WaitForFunc("a title and a notification", func(string) bool {
		return bytes.Contains(x.Raw(), []byte("\x1b]9;")) && bytes.Contains(x.Raw(), []byte("\x1b]2;"))
	})
	x.Keys("q")
	_, err := x.Wait()
	require.NoError(t, err)
	raw := string(x.Raw())
	require.Contains(t, raw, "Tove A.", "on the screen")
	titles, told := strings.Count(raw, "\x1b]2;"), 0
	for _, part := range strings.Split(raw, "\x1b]")[1:] {
		text, _, _ := strings.Cut(part, "\x1b")
		text, _, _ = strings.Cut(text, "\a")
		told++
		assert.NotContains(t, strings.ToLower(text), "tove")
	}
	assert.Greater(t, told, titles, "notifications")
	assert.NotZero(t, titles, "%q", raw)
}

// TestWhatATerminalReceives runs the program in a terminal where all names are
// hostile. But for the sequences that draw, nothing arrives that does anything.
func TestWhatATerminalReceives(t *testing.T) {
	t.Parallel()
	for from := 0; from < 30; from += 10 {
		h := newHostileDesk(t, &tongue{next: from})
		s := newSalon(t)
		s.data, s.config = h.data, h.config
		s.owns("settings.toml", "bell = false\n")
		x := screentest.Start(t, s.bin, screentest.Options{Args: s.args()})
		x.WaitFor("New service")
		x.Keys("enter")
		x.WaitFor("all keys")
		for _, key := range []string{"o", "esc", "d", "esc", "l", "esc", "w", "esc", "?", "esc"} {
			x.Keys(key)
		}
		x.Keys("q")
		_, err := x.Wait()
		require.NoError(t, err)
		assert.NoError(t, harmlessStream(string(x.Raw())), "%d", from)
	}
}

// drawn are the sequences by which the program draws and leaves: styles, moves,
// erasing, its modes, the title of the window put by and brought back.
var drawn = regexp.MustCompile(`\x1b\[[0-9;]*[mABCDGHJKLMr]|\x1b\[\?(25|1049|2004|1002|1003|1006|2026|2027)[hl]|\x1b\[2[23];[012]t|\x1b\]2;[^\x1b\a]*\a|\x1b\[[0-9;]*[PX@]|\r|\x08|\x1b\[>[0-9;]*[mu]|\x1b[78=>]`)

// harmlessStream says what a terminal received beside text and what draws.
func harmlessStream(raw string) error { return hostile.Check(drawn.ReplaceAllString(raw, "")) }

func TestHarmfulStreamsAreFound(t *testing.T) {
	for _, s := range []string{"\x1b]52;c;eA==\a", "\x1b[c", "\x1b]0;x\a", "\x1b[8;1;1t", "\x1bc", "\u009b2J", "\u202e", "\x1b[?1000;1h", "\x1b]8;;x\a"} {
		assert.Error(t, harmlessStream("\x1b[1mok\x1b[m\r\n"+s), "%q", s)
	}
}
