package main

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/journal"
	"rinseby/session/store"
)

// naming lists the files below a folder that hold the bytes of a name, in any
// case, or whose own names do.
func naming(t *testing.T, dir, name string) (paths []string) {
	t.Helper()
	name = strings.ToLower(name)
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		require.NoError(t, err)
		in := strings.Contains(strings.ToLower(d.Name()), name)
		if d.Type().IsRegular() {
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			in = in || bytes.Contains(bytes.ToLower(text), []byte(name))
		}
		if in {
			paths = append(paths, path)
		}
		return nil
	}))
	return paths
}

// forgetDesk is a desk with services of two clients. Those of June L. are
// "first", "second" and, live, "third"; "other" is of Mr. Okpara. All invented.
func forgetDesk(t *testing.T) *desk {
	d := newDesk(t)
	d.imports(plainService("first", "Ines", 0, 2, true))
	d.imports(strings.ReplaceAll(plainService("second", "Ines", 1, 3, true), "June L.", "  JUNE l."))
	d.imports(strings.ReplaceAll(plainService("other", "Ines", 2, 2.5, true), "June L.", "Mr. Okpara"))
	d.imports(plainService("third", "Ines", 3, 2, false))
	require.NoError(t, writeMarks(filepath.Join(d.data, "marks", "first.marks.jsonl"), nil))
	require.Zero(t, d.run("list"))
	return d
}

func TestForget(t *testing.T) {
	d := forgetDesk(t)
	require.Zero(t, d.run("history", "--stylist", "Ines"))
	times := d.out.String()
	require.Contains(t, times, "3 services")

	assert.Equal(t, 1, d.run("forget", "june l."), "nobody can be asked")
	assert.Contains(t, d.err.String(), "nobody can be asked here: give --yes")
	assert.Contains(t, d.err.String(), "1 service is under way: close it first, or give --live")
	assert.Contains(t, d.out.String(), "  first  2 March 2026 09:00, closed, 28 entries, of June L.\n")
	assert.Contains(t, d.out.String(), "  second  ")
	assert.NotContains(t, d.out.String(), "third")
	assert.Contains(t, d.out.String(), "Not reached: copies, backups and exports")
	assert.Len(t, naming(t, d.data, "june l."), 4, "three logs and the index")

	require.Zero(t, d.run("forget", "june l.", "--yes"))
	assert.Contains(t, d.out.String(), "Removed: 2 services.\n")
	assert.NoFileExists(t, filepath.Join(d.data, "marks", "first.marks.jsonl"))
	require.Len(t, naming(t, d.data, "june l."), 1)
	assert.Contains(t, naming(t, d.data, "june l.")[0], "third", "which is live")
	assert.Equal(t, 1, d.run("forget", "June L.", "--yes"))
	assert.Contains(t, d.err.String(), "nothing was removed")

	require.Zero(t, d.run("forget", "June L.", "--yes", "--live"))
	assert.Contains(t, d.out.String(), "third  5 March 2026 09:00, under way")
	assert.Empty(t, naming(t, d.data, "june"), "no byte of the name")
	require.Zero(t, d.run("history", "--stylist", "Ines"))
	assert.Equal(t, times, d.out.String(), "usual times are as they were")
	require.Zero(t, d.run("list"))
	assert.Equal(t, 2, strings.Count(d.out.String(), "\n"))
	assert.Contains(t, d.out.String(), "Mr. Okpara")
}

// Removing the files alone, which is what anybody could do, is not enough: the
// tests above would tell.
func TestRemovingLogsByHandLeavesTheName(t *testing.T) {
	d := forgetDesk(t)
	for _, name := range []string{"closed/first.jsonl", "closed/second.jsonl", "live/third.jsonl"} {
		require.NoError(t, os.Remove(filepath.Join(d.data, name)))
	}
	require.Zero(t, d.run("list"))
	assert.NotEmpty(t, naming(t, d.data, "june"), "in the index")
	assert.Equal(t, 1, d.run("forget", "June L.", "--yes"))
	assert.Contains(t, d.err.String(), `there is no service of "June L."`)
}

func TestForgetOneService(t *testing.T) {
	d := forgetDesk(t)
	require.Zero(t, d.run("forget", "--service", "second", "--yes"), d.err.String())
	assert.NoFileExists(t, filepath.Join(d.data, "closed", "second.jsonl"))
	assert.FileExists(t, filepath.Join(d.data, "closed", "first.jsonl"))
	assert.Equal(t, 1, d.run("forget", "--service", "third", "--yes"))
	assert.FileExists(t, filepath.Join(d.data, "live", "third.jsonl"))
	require.Zero(t, d.run("forget", "--service", "third", "--yes", "--live"))
	assert.NoFileExists(t, filepath.Join(d.data, "live", "third.jsonl"))
}

func TestForgetRefuses(t *testing.T) {
	d := forgetDesk(t)
	for _, test := range []struct {
		args []string
		says string
	}{
		{nil, "takes the name of one client"},
		{[]string{"June", "L."}, "in quotes"},
		{[]string{"June L.", "--service", "first"}, "takes the name of one client"},
		{[]string{"  "}, "has no name"},
		{[]string{"Juno"}, `there is no service of "Juno"`},
		{[]string{"--service", "none"}, "there is no such service"},
		{[]string{"--service", "../closed/first.jsonl"}, "a file elsewhere is yours to remove"},
	} {
		assert.Equal(t, 1, d.run(append([]string{"forget", "--yes"}, test.args...)...), test.args)
		assert.Contains(t, d.err.String(), test.says)
	}
	st, err := store.Open(d.data)
	require.NoError(t, err)
	l, err := st.Resume(d.e.clock.Read(), "third", "Ferry Stairs 2")
	require.NoError(t, err)
	assert.Equal(t, 1, d.run("forget", "June L.", "--yes", "--live"))
	assert.Contains(t, d.err.String(), "service is being run by Ferry Stairs 2")
	require.NoError(t, l.Close())
	assert.Len(t, naming(t, d.data, "june l."), 4, "nothing was removed")
}

// What another client's service says is not touched, and told.
func TestForgetTellsWhereTheNameStillStands(t *testing.T) {
	d := forgetDesk(t)
	st, err := store.Open(d.data)
	require.NoError(t, err)
	l, err := st.Create(d.e.clock.Read(), "", session.Do(session.ServiceOpened{Client: "Tove A."}), session.Do(session.NoteAdded{Text: "came with\njune L., her sister"}))
	require.NoError(t, err)
	path := l.Path()
	require.NoError(t, l.Close())
	assert.Equal(t, exitStillNamed, d.run("forget", "June L.", "--yes", "--live"))
	assert.Contains(t, d.err.String(), "rinseby: the name still stands in "+path+"\n")
	assert.Contains(t, d.out.String(), "Removed: 3 services.")
	_, _, err = journal.ReadFile(path)
	require.NoError(t, err)
}
