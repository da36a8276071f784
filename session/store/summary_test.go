package store

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/history"
	"rinseby/session/journal"
)

// told is all that the summary is asked for.
type told struct {
	Entries  []Entry
	Problems []string
	Known    map[string]history.Known
	Stylists []Stylist
}

// tell asks a store, leaving the names of folders out.
func tell(t require.TestingT, s *Store) (all told) {
	l, problems, err := s.List()
	require.NoError(t, err)
	for e := range l.All {
		e.Path = strings.TrimPrefix(e.Path, s.dir)
		all.Entries = append(all.Entries, e)
	}
	for _, p := range problems {
		all.Problems = append(all.Problems, strings.ReplaceAll(p.Error(), s.dir, ""))
	}
	all.Known = map[string]history.Known{}
	for _, name := range []string{"", "Ines", "Sam"} {
		k, err := s.Learned(name)
		require.NoError(t, err)
		all.Known[name], all.Stylists = k.Known, k.Stylists
	}
	return all
}

// fresh is what the logs of a store tell, without its summary.
func fresh(t testing.TB, s *Store) told {
	t.Helper()
	dir := t.TempDir()
	for _, folder := range []string{liveFolder, closedFolder} {
		require.NoError(t, os.CopyFS(filepath.Join(dir, folder), os.DirFS(filepath.Join(s.dir, folder))))
		require.NoError(t, os.Chmod(filepath.Join(dir, folder), folderMode))
		names, err := os.ReadDir(filepath.Join(dir, folder))
		require.NoError(t, err)
		for _, e := range names {
			require.NoError(t, os.Chmod(filepath.Join(dir, folder, e.Name()), fileMode))
		}
	}
	return tell(t, &Store{dir: dir, frozen: true})
}

// few are short services of two stylists, from the oldest.
func few(t testing.TB) (all [][]journal.Record) {
	t.Helper()
	for i := range 4 {
		d := day{id: fmt.Sprintf("2026030%d-0900-aaaa", i+1), stylist: []string{"Ines", "Sam"}[i%2], opened: at(24 * 60 * i).Wall.Truncate(time.Millisecond), piece: time.Duration(70+20*i) * time.Second, zones: 1, real: i > 0}
		all = append(all, visit(t, d))
	}
	return all
}

// filled is a store with a summary of a few services.
func filled(t testing.TB) *Store {
	t.Helper()
	s := newStore(t)
	for _, recs := range few(t) {
		_, err := s.Import(recs)
		require.NoError(t, err)
	}
	tell(t, s)
	require.FileExists(t, s.summary(indexName))
	return s
}

// again is the same store as the next process sees it.
func again(s *Store) *Store { return &Store{dir: s.dir, random: s.random} }

func TestSummaryTellsWhatLogsTell(t *testing.T) {
	s := filled(t)
	want := fresh(t, s)
	assert.Equal(t, want, tell(t, s))
	assert.Equal(t, want, tell(t, again(s)))
	require.Len(t, want.Entries, 4)
	assert.Equal(t, []Stylist{{"Ines", 2}, {"Sam", 2}}, want.Stylists)
	assert.Equal(t, 3, want.Known[""].Services, "without those that are made up, as there are others")
	assert.Equal(t, 1, want.Known["Ines"].Services)
	assert.Equal(t, 2, want.Known["Sam"].Services)
	assert.Contains(t, want.Known["Sam"].Pace.Steps, "weave")
}

// TestSummaryIsUsed takes what is in a log away without changing its size: a
// listing that reads it would notice.
func TestSummaryIsUsed(t *testing.T) {
	s := filled(t)
	want := tell(t, s)
	for _, e := range want.Entries {
		text, err := os.ReadFile(s.dir + e.Path)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(s.dir+e.Path, bytes.Repeat([]byte("x"), len(text)), 0o600))
	}
	assert.Equal(t, want, tell(t, again(s)))
	last, ok, err := again(s).LastOf("tove a.")
	require.NoError(t, err)
	require.True(t, ok)
	assert.Equal(t, want.Entries[0].ID, last.ID)
}

// TestSummaryIsNotNeeded deletes it, or parts of it, or puts something else in
// its place.
func TestSummaryIsNotNeeded(t *testing.T) {
	s := filled(t)
	want := tell(t, s)
	whole, err := os.ReadFile(s.summary(indexName))
	require.NoError(t, err)
	pace, err := os.ReadFile(s.summary(recentName("Ines")))
	require.NoError(t, err)
	other := filled(t)
	require.NoError(t, os.Remove(other.path(closedFolder, "20260301-0900-aaaa")))
	tell(t, other)
	foreign, err := os.ReadFile(other.summary(indexName))
	require.NoError(t, err)
	for name, spoil := range map[string]func() error{
		"all of it":        func() error { return os.RemoveAll(filepath.Join(s.dir, summaryFolder)) },
		"the index":        func() error { return os.Remove(s.summary(indexName)) },
		"what was learned": func() error { return os.Remove(s.summary(recentName("Ines"))) },
		"another version": func() error {
			return os.WriteFile(s.summary(indexName), bytes.Replace(whole, []byte("1\n"), []byte("2\n"), 1), 0o600)
		},
		"nothing":               func() error { return os.WriteFile(s.summary(indexName), nil, 0o600) },
		"that of other folders": func() error { return os.WriteFile(s.summary(indexName), foreign, 0o600) },
		"that of other people":  func() error { return os.WriteFile(s.summary(recentName("Sam")), pace, 0o600) },
		"of other people, said": func() error {
			return os.WriteFile(s.summary(recentName("Sam")), bytes.ReplaceAll(pace, []byte("Ines"), []byte("Sam")), 0o600)
		},
		"a torn line": func() error { return os.WriteFile(s.summary(indexName), whole[:len(whole)-40], 0o600) },
		"a line that came after the mark": func() error {
			return os.WriteFile(s.summary(indexName), history.AppendGone(bytes.Clone(whole), "20260302-0900-aaaa"), 0o600)
		},
		"a service that is nowhere": func() error {
			c := history.Closed{ID: "20260302-0900-zzzz", Size: 7, Opened: at(0).Wall}
			return os.WriteFile(s.summary(indexName), history.AppendMark(history.AppendClosed(bytes.Clone(whole), c), s.closedMark()), 0o600)
		},
		"a folder in place of the index": func() error {
			return errors.Join(os.Remove(s.summary(indexName)), os.Mkdir(s.summary(indexName), 0o700))
		},
	} {
		require.NoError(t, spoil(), name)
		assert.Equal(t, want, tell(t, again(s)), name)
		assert.Equal(t, want, tell(t, again(s)), "%s, once more", name)
		if info, err := os.Stat(s.summary(indexName)); err == nil && info.IsDir() {
			require.NoError(t, os.Remove(s.summary(indexName)))
		}
		tell(t, again(s))
		ix := again(s).index()
		assert.True(t, ix.Whole, name)
		assert.Equal(t, s.closedMark(), ix.Mark, name)
		assert.Equal(t, 4, ix.Len(), name)
	}
}

// TestIndexDamage flips each byte of the index, and cuts it at many places.
func TestIndexDamage(t *testing.T) {
	s := newStore(t)
	for _, recs := range few(t)[:2] {
		_, err := s.Import(recs)
		require.NoError(t, err)
	}
	want, _ := list(t, s)
	whole, err := os.ReadFile(s.summary(indexName))
	require.NoError(t, err)
	check := func(text []byte, what string, i int) {
		require.NoError(t, os.WriteFile(s.summary(indexName), text, 0o600))
		got, problems := list(t, again(s))
		require.Empty(t, problems)
		require.Equal(t, want, got, "%s %d", what, i)
		ix := again(s).index()
		require.True(t, ix.Whole && ix.Mark == s.closedMark() && ix.Len() == len(want), "%s %d is put right", what, i)
	}
	for i := range whole {
		spoilt := bytes.Clone(whole)
		spoilt[i] ^= 1 << (i % 8)
		check(spoilt, "flip", i)
		if i%7 == 0 {
			check(whole[:i], "cut", i)
		}
	}
}

func TestSummaryNoticesOtherHands(t *testing.T) {
	s := filled(t)
	recs := few(t)
	first := s.path(closedFolder, "20260301-0900-aaaa")
	for _, c := range []struct {
		name   string
		change func() error
	}{
		{"a log that was taken away", func() error { return os.Remove(first) }},
		{"a log that was put there", func() error { lay(t, s.dir, recs[0]); return nil }},
		{"a log that is longer now", func() error {
			lay(t, s.dir, renamed(t, recs[0], "20260301-0900-aaaa", "Somebody Else", "Ines", 0))
			return nil
		}},
		{"a log that is damaged", func() error { return os.WriteFile(first, []byte("short"), 0o600) }},
		{"a file that is no log", func() error { return os.WriteFile(filepath.Join(s.dir, closedFolder, "notes.txt"), nil, 0o600) }},
		{"a live service in its place", func() error {
			lay(t, s.dir, renamed(t, recs[0][:5], "20260301-0900-live", "June L.", "Ines", 0))
			return nil
		}},
	} {
		require.NoError(t, c.change())
		assert.Equal(t, fresh(t, s), tell(t, again(s)), c.name)
	}
}

// A deck is a store to which things are done at random.
type deck struct {
	t       *testing.T
	s       *Store
	clock   int // minutes
	records [][]journal.Record
}

func (d *deck) closedIDs() (ids []string) {
	names, err := os.ReadDir(filepath.Join(d.s.dir, closedFolder))
	require.NoError(d.t, err)
	for _, e := range names {
		ids = append(ids, strings.TrimSuffix(e.Name(), suffix))
	}
	return ids
}

// do does one thing, to the service that pick says where there is one.
func (d *deck) do(what string, pick int) {
	d.clock += 10
	ids := d.closedIDs()
	if len(ids) > 0 {
		pick %= len(ids)
	} else if what != "close" && what != "import" {
		return
	}
	switch what {
	case "close":
		l, err := d.s.Create(at(d.clock), "station 1", opening("Tove A."))
		require.NoError(d.t, err)
		_, err = l.Do(at(d.clock+1), session.Do(session.ServiceClosed{}))
		require.NoError(d.t, err)
		require.NoError(d.t, l.Close())
	case "import":
		id := fmt.Sprintf("20260401-%04d-aaaa", d.clock)
		_, err := d.s.Import(renamed(d.t, d.records[pick%len(d.records)], id, "June L.", "Sam", time.Duration(d.clock)*time.Hour))
		require.NoError(d.t, err)
	case "look in", "take back", "close anew":
		l, err := d.s.Reopen(at(24*60*9+d.clock), ids[pick], "station 1")
		require.NoError(d.t, err)
		undo, _, ok := l.Log.Undo()
		require.True(d.t, ok)
		if what != "look in" {
			_, err = l.Do(at(24*60*9+d.clock), undo)
			require.NoError(d.t, err)
		}
		if what == "close anew" {
			_, err = l.Do(at(24*60*9+d.clock+1), session.Do(session.ServiceClosed{Outcome: "again"}))
			require.NoError(d.t, err)
		}
		require.NoError(d.t, l.Close())
	case "delete":
		require.NoError(d.t, os.Remove(d.s.path(closedFolder, ids[pick])))
	case "copy":
		lay(d.t, d.s.dir, renamed(d.t, d.records[0], fmt.Sprintf("20260501-%04d-aaaa", d.clock), "June L.", "Ines", time.Duration(d.clock)*time.Hour))
	case "forget":
		removeSummary(d.t, d.s.dir)
	case "forget index":
		if err := os.Remove(d.s.summary(indexName)); !errors.Is(err, fs.ErrNotExist) {
			require.NoError(d.t, err)
		}
	case "restart":
		d.s = openStore(d.t, d.s.dir)
	case "list":
		list(d.t, d.s)
	}
}

// TestSummaryAfterAnything does things in any order: the summary then tells
// what one made anew tells.
func TestSummaryAfterAnything(t *testing.T) {
	few := few(t)
	checks := flag.Lookup("rapid.checks")
	was := checks.Value.String()
	if was == checks.DefValue {
		require.NoError(t, checks.Value.Set("15"))
		defer checks.Value.Set(was)
	}
	rapid.Check(t, func(r *rapid.T) {
		d := &deck{t: t, s: newStore(t), records: few}
		for range rapid.IntRange(1, 10).Draw(r, "steps") {
			what := rapid.SampledFrom([]string{
				"close", "close", "import", "look in", "take back", "close anew", "delete", "copy", "forget", "forget index", "restart", "list",
			}).Draw(r, "what")
			d.do(what, rapid.IntRange(0, 20).Draw(r, "which"))
		}
		want := fresh(t, d.s)
		require.Equal(r, want, tell(r, d.s))
		require.Equal(r, want, tell(r, again(d.s)))
		ix := again(d.s).index()
		n := 0
		for _, e := range want.Entries {
			if !e.Live {
				n++
			}
		}
		require.Equal(r, n, ix.Len())
	})
}

// TestWorker is what each process of TestTwoProcesses does.
func TestWorker(t *testing.T) {
	dir := os.Getenv("RINSEBY_TEST_STORE")
	if dir == "" {
		t.Skip("this is for TestTwoProcesses")
	}
	s := openStore(t, dir)
	for i := range 8 {
		l, err := s.Create(at(i), "station", opening("Tove A."))
		require.NoError(t, err)
		_, err = l.Do(at(i+1), session.Do(session.ServiceClosed{}))
		require.NoError(t, err)
		require.NoError(t, l.Close())
		_, problems := list(t, s)
		require.Empty(t, problems)
		_, err = s.Usuals("Ines")
		require.NoError(t, err)
		if i%3 == 2 {
			_ = os.RemoveAll(filepath.Join(dir, summaryFolder)) // the other one may be writing there
		}
	}
}

func TestTwoProcesses(t *testing.T) {
	s := filled(t)
	var both []*exec.Cmd
	var said [2]bytes.Buffer
	for i := range said {
		c := exec.Command(os.Args[0], "-test.run=^TestWorker$", "-test.v")
		c.Env = append(os.Environ(), "RINSEBY_TEST_STORE="+s.dir)
		c.Stdout, c.Stderr = &said[i], &said[i]
		require.NoError(t, c.Start())
		both = append(both, c)
	}
	for i, c := range both {
		require.NoError(t, c.Wait(), said[i].String())
		require.Contains(t, said[i].String(), "--- PASS: TestWorker")
	}
	want := fresh(t, s)
	require.Len(t, want.Entries, 4+16)
	assert.Equal(t, want, tell(t, s), "one that was open all the time")
	assert.Equal(t, want, tell(t, again(s)))
}

// TestMarkKeepsUp has the index stay complete through what rinseby does itself.
func TestMarkKeepsUp(t *testing.T) {
	s := filled(t)
	settled := func(why string) {
		t.Helper()
		ok, _ := s.marked()
		assert.True(t, ok, why)
	}
	settled("after a listing")
	l, err := s.Reopen(at(60), "20260302-0900-aaaa", "station 1")
	require.NoError(t, err)
	settled("taken out")
	require.NoError(t, l.Close())
	settled("put away")
	_, err = s.Import(renamed(t, few(t)[0], "20260401-0900-aaaa", "June L.", "Ines", 0))
	require.NoError(t, err)
	settled("imported")
	require.NoError(t, os.Remove(s.path(closedFolder, "20260401-0900-aaaa")))
	ok, _ := s.marked()
	assert.False(t, ok, "other hands")
}

// TestIndexIsWrittenAnew has it not grow for ever.
func TestIndexIsWrittenAnew(t *testing.T) {
	s := filled(t)
	text, err := os.ReadFile(s.summary(indexName))
	require.NoError(t, err)
	for range spent + 10 {
		text = history.AppendMark(text, 1)
	}
	require.NoError(t, os.WriteFile(s.summary(indexName), text, 0o600))
	list(t, again(s))
	assert.Less(t, sizeOf(s.summary(indexName)), int64(2000))
	assert.Zero(t, again(s).index().Spent-1, "the mark alone")
}
