package store

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/journal"
	"rinseby/timing/forecast"
)

// naming lists the files below a folder that hold the bytes of a name, in any
// case, or whose own names do.
func naming(t testing.TB, dir, name string) (paths []string) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		require.NoError(t, err)
		in := strings.Contains(strings.ToLower(d.Name()), strings.ToLower(name))
		if d.Type().IsRegular() {
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			in = in || bytes.Contains(bytes.ToLower(text), []byte(strings.ToLower(name)))
		}
		if in {
			paths = append(paths, path)
		}
		return nil
	}))
	return paths
}

// salon is a store of many closed services, of which one client has some, with
// all that stands beside them, and some live ones.
func salon(t *testing.T) (s *Store, live string) {
	t.Helper()
	s = newStore(t)
	for i := range 9 {
		d := day{id: fmt.Sprintf("2026030%d-0900-aaaa", i+1), stylist: []string{"Ines", "Sam"}[i%2], opened: at(24 * 60 * i).Wall.Truncate(time.Millisecond),
			piece: time.Duration(70+9*i) * time.Second, zones: 1, real: true}
		client := []string{"Mr. Okpara", " okja lind ", "OKJA LIND"}[i%3] // invented
		_, err := s.Import(renamed(t, visit(t, d), d.id, client, d.stylist, 0))
		require.NoError(t, err)
		if i == 4 {
			tell(t, s)
			require.NoError(t, s.KeepWidth("Ines", forecast.Conformal{Log: [5]float64{0.2}, Seen: [5]int{7}}))
		}
	}
	tell(t, s)
	require.NoError(t, os.Mkdir(filepath.Join(s.dir, marksFolder), 0o700))
	for _, name := range []string{"marks/20260302-0900-aaaa.marks.jsonl", "marks/20260302-0900-aaaa.marks.jsonl.new-123", "closed/20260302-0900-aaaa.jsonl.torn-20260302T100000",
		"summary/index.new", "summary/pace-0000.new"} {
		require.NoError(t, os.WriteFile(filepath.Join(s.dir, name), []byte("Okja Lind said"), 0o600))
	}
	require.NoError(t, os.WriteFile(s.MarksPath("20260301-0900-aaaa"), []byte("another client's"), 0o600))
	return s, create(t, s, 60*24*20, "Okja Lind")
}

func TestForget(t *testing.T) {
	s, live := salon(t)
	before := tell(t, s)
	all, err := s.Of("  oKJA lIND")
	require.NoError(t, err)
	require.Len(t, all, 7)
	assert.Equal(t, live, all[0].ID, "the newest first")

	require.NotEmpty(t, naming(t, s.dir, "okja"))
	require.NoError(t, s.Forget(all...))
	assert.Empty(t, naming(t, s.dir, "okja"), "no byte of the name")
	assert.Empty(t, naming(t, filepath.Join(s.dir, liveFolder), live))
	assert.FileExists(t, s.MarksPath("20260301-0900-aaaa"))
	rest, err := s.Of("Okja Lind")
	require.NoError(t, err)
	assert.Empty(t, rest)
	_, ok, err := s.LastOf("Okja Lind")
	require.NoError(t, err)
	assert.False(t, ok)

	for name, s := range map[string]*Store{"": s, "the next process": again(s)} {
		got := tell(t, s)
		assert.Equal(t, before.Known, got.Known, "%s: usual times are as before, and so is their width", name)
		assert.Equal(t, before.Stylists, got.Stylists)
		assert.Len(t, got.Entries, 3)
		assert.Empty(t, got.Problems)
	}
	removeSummary(t, s.dir)
	got := tell(t, again(s))
	for name, k := range before.Known {
		k.Width = forecast.Conformal{} // no log tells it
		assert.Equal(t, k, got.Known[name], "without the summary, too: %q", name)
	}
	require.NoError(t, s.Forget(all...), "again: there is nothing to do")
}

func TestForgetWaitsForNobodyAndTakesNothingFromWhoRunsIt(t *testing.T) {
	s, live := salon(t)
	l, err := s.Resume(at(60*24*21), live, "station 2")
	require.NoError(t, err)
	all, err := s.Of("Okja Lind")
	require.NoError(t, err)
	files := naming(t, s.dir, "okja")
	err = s.Forget(all...)
	var busy *journal.Busy
	require.ErrorAs(t, err, &busy)
	assert.Equal(t, "station 2", busy.Holder.Station)
	assert.Equal(t, files, naming(t, s.dir, "okja"), "nothing was removed")
	require.NoError(t, l.Close())
	require.NoError(t, s.Forget(all...))
	assert.Empty(t, naming(t, s.dir, "okja"))
}

func TestForgetWhatIsDamagedOrOpenedInTheWrongFolder(t *testing.T) {
	s, live := salon(t)
	for _, path := range []string{s.path(closedFolder, "20260305-0900-aaaa"), s.path(liveFolder, live)} {
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_APPEND, 0)
		require.NoError(t, err)
		_, err = f.WriteString("nonsense\n")
		require.NoError(t, errors.Join(err, f.Close()))
	}
	odd := closed(t, s, 60*24*22, "Okja Lind") // closed, and still in the live folder
	all, err := again(s).Of("okja lind")
	require.NoError(t, err)
	require.Len(t, all, 8)
	require.NoError(t, s.Forget(all...))
	assert.Empty(t, naming(t, s.dir, "okja"))
	assert.NoFileExists(t, s.path(liveFolder, odd))
}

// A client whose name somebody gave to a technique, a step and a zone.
func TestForgetNamesWithinTimes(t *testing.T) {
	s := newStore(t)
	d := day{id: "20260301-0900-aaaa", stylist: "Ines", opened: at(0).Wall.Truncate(time.Millisecond), piece: time.Minute, zones: 2, real: true}
	recs := renamed(t, visit(t, d), d.id, "Okja Lind", "Ines", 0)
	for i := range recs {
		for _, word := range []string{"weave", "drying", "z1"} {
			recs[i].Data = bytes.ReplaceAll(recs[i].Data, []byte(`"`+word+`"`), []byte(`"as okja lind `+word+`"`))
		}
		recs[i].Data = bytes.ReplaceAll(recs[i].Data, []byte(`{"name":"Zone 1"`), []byte(`{"id":"as okja lind z1","name":"Zone 1"`))
	}
	lay(t, s.dir, recs)
	known := tell(t, s).Known["Ines"]
	require.Contains(t, known.Pace.Steps, "as okja lind weave")
	all, err := s.Of("Okja Lind")
	require.NoError(t, err)
	require.Len(t, all, 1)
	require.NoError(t, s.Forget(all...))
	tell(t, s)
	assert.Empty(t, naming(t, s.dir, "okja"))
	assert.NotEmpty(t, tell(t, s).Known["Ines"].Others, "mixing and rinsing")
}

// A forgetting that was broken off, here by what it would have left, is done by
// whoever tries again.
func TestForgetIsDoneAgain(t *testing.T) {
	s, _ := salon(t)
	before := tell(t, s)
	all, err := s.Of("Okja Lind")
	require.NoError(t, err)
	for _, e := range all { // as far as it comes before the first log goes
		require.NoError(t, s.keepTimes(e))
	}
	require.NoError(t, s.clearSummary(all))
	require.Equal(t, before.Known, tell(t, again(s)).Known, "logs that are still there count once")
	require.NoError(t, s.removeAll(all[1].ID))
	rest, err := again(s).Of("Okja Lind")
	require.NoError(t, err)
	require.Len(t, rest, len(all)-1)
	require.NoError(t, again(s).Forget(rest...))
	assert.Empty(t, naming(t, s.dir, "okja"))
	assert.Equal(t, before.Known, tell(t, again(s)).Known)
}

func TestAForgottenServiceCanBeBroughtBack(t *testing.T) {
	s := filled(t)
	before := tell(t, s)
	e, err := s.Find("20260302-0900-aaaa")
	require.NoError(t, err)
	require.NoError(t, s.Forget(e))
	require.Len(t, tell(t, s).Entries, 3)
	_, err = s.Import(few(t)[1])
	require.NoError(t, err)
	assert.Equal(t, before, tell(t, s), "it counts once")
}

func TestMentions(t *testing.T) {
	s := newStore(t)
	write := func(name, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(s.dir, name), []byte(text), 0o600))
	}
	note := func(text string) string {
		recs, err := session.Records([]session.Event{{Seq: 1, When: at(0).Wall, Recorded: at(0), Data: session.NoteAdded{Text: text}}})
		require.NoError(t, err)
		return string(recs[0].Data)
	}
	found := map[string]string{
		"plain": "x Al \"B\" Öz y", "other case": "aL \"b\" öZ", "json": note("sister of Al \"B\" Öz"), "behind an escape": note("x\nAl \"B\" Öz"), "and another": note("x\u0007Al \"B\" Öz"),
		"at the end": "Al \"B\" Öz", "far on": strings.Repeat("x", 3*chunk-4) + " Al \"B\" Öz", "over the edge": strings.Repeat("x", chunk-1) + " Al \"B\" Öz",
	}
	for name, text := range found {
		write(name, text)
	}
	write("part of a word", `Val "B" Öz`)
	write("longer", `Al "B" Özil`)
	write("empty", "")
	got, problems, err := s.Mentions(`  AL "B" ÖZ `)
	require.NoError(t, err)
	assert.Empty(t, problems)
	var names []string
	for _, p := range got {
		names = append(names, filepath.Base(p))
	}
	want := []string{}
	for name := range found {
		want = append(want, name)
	}
	assert.ElementsMatch(t, want, names)
	got, _, err = s.Mentions(" ")
	require.NoError(t, err)
	assert.Empty(t, got)
}
