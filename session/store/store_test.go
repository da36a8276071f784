package store

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/journal"
	"rinseby/session/safety"
	"rinseby/timing"
)

// at is a reading m minutes after nine, not in whole milliseconds.
func at(m int) timing.Reading {
	d := time.Duration(m) * time.Minute
	return timing.Reading{
		Wall: time.Date(2026, 3, 2, 9, 0, 0, 123_456_789, time.UTC).Add(d),
		Boot: time.Hour + 987_654*time.Nanosecond + d, BootID: "boot-a",
	}
}

func opening(client string) session.Command {
	return session.Do(session.ServiceOpened{Client: client, Stylist: "Ines", Station: "station 1", ZoneList: "Half head", Invented: true})
}

func openStore(t testing.TB, dir string) *Store {
	t.Helper()
	s, err := Open(dir)
	require.NoError(t, err)
	return s
}

func newStore(t testing.TB) *Store { return openStore(t, filepath.Join(t.TempDir(), "a", "services")) }

// create opens a service and leaves it.
func create(t testing.TB, s *Store, m int, client string) string {
	t.Helper()
	l, err := s.Create(at(m), "station 1", opening(client))
	require.NoError(t, err)
	require.NoError(t, l.Close())
	return l.ID
}

// closed opens a service and closes it, and the process ends right then: its
// file is still in the live folder.
func closed(t testing.TB, s *Store, m int, client string) string {
	t.Helper()
	l, err := s.Create(at(m), "station 1", opening(client))
	require.NoError(t, err)
	_, err = l.Do(at(m+5), session.Do(session.ServiceClosed{}))
	require.NoError(t, err)
	require.NoError(t, l.journal.Close())
	return l.ID
}

func list(t testing.TB, s *Store) ([]Entry, []Problem) {
	t.Helper()
	l, problems, err := s.List()
	require.NoError(t, err)
	return slices.Collect(l.All), problems
}

// kill lets go of a service as the end of the process does: the lock's file
// still says who had it.
func kill(t testing.TB, l *Live) {
	t.Helper()
	said, err := os.ReadFile(l.Path() + journal.LockSuffix)
	require.NoError(t, err)
	require.NoError(t, l.journal.Close())
	require.NoError(t, os.WriteFile(l.Path()+journal.LockSuffix, said, 0o600))
}

func TestCreateAndResume(t *testing.T) {
	s := newStore(t)
	l, err := s.Create(at(0), "station 1", opening("Tove A."), session.Do(session.NoteAdded{Text: "first"}))
	require.NoError(t, err)
	assert.Regexp(t, `^20260302-0900-[0-9a-z]{4}$`, l.ID)
	assert.Equal(t, filepath.Join(s.Dir(), "live", l.ID+".jsonl"), l.Path())
	assert.NotContains(t, strings.ToLower(l.Path()), "tove")
	_, err = l.Do(at(1), session.Do(session.NoteAdded{Text: "second"}))
	require.NoError(t, err)
	live := l.Log.Events()
	require.NoError(t, l.Close())
	require.NoError(t, l.Close(), "closing twice does nothing")

	l, err = s.Resume(at(2), l.ID, "station 2")
	require.NoError(t, err)
	assert.Equal(t, live, l.Log.Events(), "what was folded live is what is read back")
	assert.Equal(t, "Tove A.", l.Log.State().Client)
	assert.Equal(t, l.ID, l.Log.State().Service)
	assert.Nil(t, l.Repaired())
	require.NoError(t, l.Close())
}

func TestFoldedLiveIsFoldedAgain(t *testing.T) {
	s := newStore(t)
	promised := at(90).Wall.In(time.FixedZone("salon", 3600))
	l, err := s.Create(at(0), "station 1", session.Do(session.ServiceOpened{Client: "June \xff L.", Promised: &promised}))
	require.NoError(t, err)
	band := session.PlanBand{Band: session.Root, Product: "Veil", Kind: formula.Demi, Strength: 2.1, Contact: formula.OnScalp, Condition: formula.Natural}
	_, err = l.Do(at(1), session.Do(session.PlanSet{Name: "Toning", Action: formula.Colour, Zones: []session.PlanZone{{Name: "Nape <left> & right", Pieces: 2, Bands: []session.PlanBand{band}}}}),
		session.Do(session.WindowConfirmed{Basis: session.BasisInstructions, Row: formula.Row{Kind: formula.Demi, Strength: 3, Window: timing.Window{Opens: time.Minute, Limit: 20 * time.Minute}}}),
		session.Do(session.BowlMixed{Product: "Veil", Family: formula.Demi, Mix: formula.Mix{
			Products: []formula.ProductPart{{Product: "Veil", Grams: 30}}, Developers: []formula.DeveloperPart{{Strength: 2.1, Grams: 30}}}}))
	require.NoError(t, err)
	for _, q := range safety.Questions() {
		a := session.SafetyAnswered{Question: q.ID, Answer: q.Answers[0].Word}
		if q.Kind == safety.Day {
			a.Answer = "2026-02-28"
		}
		_, err = l.Do(at(2), session.Do(a))
		require.NoError(t, err)
	}
	_, err = l.Do(at(5), session.DoAt(at(3).Wall, session.PiecePlaced{Zone: "z1"}), session.DoAt(at(4).Wall.Add(time.Nanosecond), session.NoteAdded{Text: "late"}))
	require.NoError(t, err)
	again, err := s.Read(l.ID)
	require.NoError(t, err)
	assert.Equal(t, l.Log.Events(), again.Events())
	assert.Equal(t, l.Log.State(), again.State())
	require.NoError(t, l.Close())
}

func TestAppendOnlyWrites(t *testing.T) {
	s := newStore(t)
	l, err := s.Create(at(0), "station 1", opening("Tove A."))
	require.NoError(t, err)
	defer l.Close()
	events, err := session.Decide(l.Log, at(1), session.Do(session.NoteAdded{Text: "a"}))
	require.NoError(t, err)
	require.NoError(t, l.Append(events))
	assert.Len(t, l.Log.Events(), 1)
	watched, err := s.Read(l.ID)
	require.NoError(t, err)
	assert.Len(t, watched.Events(), 2)
	require.NoError(t, l.Log.Append(events...))

	require.ErrorIs(t, l.Append(events), journal.ErrInvalid, "an event is written once")
	_, err = l.Do(at(2), session.Do(session.NoteAdded{Text: ""}))
	require.Error(t, err)
	_, err = l.Do(at(2), session.Do(session.NoteAdded{Text: "c"}))
	require.NoError(t, err, "a refusal leaves the service as it was")
}

func TestCreateRefused(t *testing.T) {
	s := newStore(t)
	for name, cmds := range map[string][]session.Command{
		"nothing":         nil,
		"no opening":      {session.Do(session.NoteAdded{Text: "x"})},
		"no client":       {session.Do(session.ServiceOpened{})},
		"second refused":  {opening("Tove A."), session.Do(session.NoteAdded{})},
		"too long a text": {opening("Tove A."), session.Do(session.ConsultationNoted{History: strings.Repeat("x", 5000)})},
	} {
		_, err := s.Create(at(0), "station 1", cmds...)
		require.Error(t, err, name)
	}
	var steps []session.PlanStep // too many for a line of the journal, which shows only when it is written
	for i := range 6000 {
		steps = append(steps, session.PlanStep{Name: strconv.Itoa(i) + strings.Repeat("x", session.MaxName-10)})
	}
	_, err := s.Create(at(0), "station 1", session.Do(session.ServiceOpened{Client: "Tove A.", Steps: steps}))
	require.ErrorIs(t, err, journal.ErrInvalid)
	names, err := os.ReadDir(filepath.Join(s.Dir(), "live"))
	require.NoError(t, err)
	assert.Empty(t, names, "a refused service leaves no file")
}

func TestIDs(t *testing.T) {
	zone := time.FixedZone("salon", 2*3600)
	id, err := NewID(time.Date(2026, 3, 2, 0, 30, 0, 0, zone), bytes.NewReader([]byte{0, 31, 32, 255}))
	require.NoError(t, err)
	assert.Equal(t, "20260301-2230-0z0z", id, "in UTC")
	_, err = NewID(at(0).Wall, bytes.NewReader(nil))
	require.Error(t, err)

	s := newStore(t)
	s.random = bytes.NewReader([]byte{1, 1, 1, 1, 1, 1, 1, 1, 2, 2, 2, 2})
	first := closed(t, s, 0, "Tove A.")
	require.NoError(t, s.Retire(first))
	assert.Equal(t, "20260302-0900-2222", create(t, s, 0, "June L."), "an id that a closed service has is not given again")
}

func TestBusyNamesWhoRunsIt(t *testing.T) {
	one := newStore(t)
	two := openStore(t, one.Dir())
	l, err := one.Create(at(0), "station 1", opening("Tove A."))
	require.NoError(t, err)
	_, err = two.Resume(at(1), l.ID, "station 2")
	var busy *journal.Busy
	require.ErrorAs(t, err, &busy)
	assert.Equal(t, "station 1", busy.Holder.Station)
	assert.ErrorContains(t, err, "station 1")
	assert.True(t, busy.Holder.Since.Equal(at(0).Wall))

	entries, problems := list(t, two)
	assert.Empty(t, problems)
	require.Len(t, entries, 1)
	require.NotNil(t, entries[0].Busy)
	assert.Equal(t, "station 1", entries[0].Busy.Station)
	watched, err := two.Read(l.ID)
	require.NoError(t, err)
	assert.Equal(t, "Tove A.", watched.State().Client)

	_, err = l.Do(at(2), session.Do(session.ServiceClosed{}))
	require.NoError(t, err)
	require.ErrorIs(t, two.Retire(l.ID), journal.ErrBusy, "not while somebody runs it")
	openStore(t, one.Dir())
	assert.FileExists(t, l.Path(), "nor does opening the folder")
	kill(t, l)
	entries, _ = list(t, two)
	assert.Nil(t, entries[0].Busy, "the word that a killed process left counts for nothing")
}

func TestCloseRetires(t *testing.T) {
	s := newStore(t)
	l, err := s.Create(at(0), "station 1", opening("Tove A."))
	require.NoError(t, err)
	_, err = l.Do(at(1), session.Do(session.ServiceClosed{Outcome: "even"}))
	require.NoError(t, err)
	require.NoError(t, l.Close())
	names, err := os.ReadDir(filepath.Join(s.Dir(), "live"))
	require.NoError(t, err)
	assert.Empty(t, names, "neither log nor lock stays behind")
	assert.FileExists(t, filepath.Join(s.Dir(), "closed", l.ID+".jsonl"))
	require.NoError(t, s.Retire(l.ID), "a second time does nothing")
	_, err = s.Resume(at(2), l.ID, "station 1")
	require.ErrorIs(t, err, ErrClosed)
	got, err := s.Read(l.ID)
	require.NoError(t, err)
	assert.Equal(t, "even", got.State().Outcome)
}

func TestRetireRefusesLive(t *testing.T) {
	s := newStore(t)
	id := create(t, s, 0, "Tove A.")
	require.ErrorIs(t, s.Retire(id), ErrLive)
	require.ErrorIs(t, s.Retire("20260302-0900-none"), ErrNotFound)
	_, err := s.Resume(at(1), "../live/"+id, "station 1")
	require.ErrorIs(t, err, ErrNotFound, "an id is no path")
	_, err = s.Reopen(at(1), id, "station 1")
	require.ErrorContains(t, err, "resume it")
}

func TestKilledBetweenCloseAndRetire(t *testing.T) {
	s := newStore(t)
	id := closed(t, s, 0, "Tove A.")
	require.FileExists(t, s.path(liveFolder, id))
	entries, problems := list(t, s)
	assert.Empty(t, problems)
	require.Len(t, entries, 1)
	assert.False(t, entries[0].Live, "closed is what the events say")
	assert.True(t, entries[0].Closed.Equal(entries[0].Opened.Add(5*time.Minute)))
	s = openStore(t, s.Dir())
	assert.NoFileExists(t, s.path(liveFolder, id))
	assert.FileExists(t, s.path(closedFolder, id))
	again, _ := list(t, s)
	assert.Equal(t, s.path(closedFolder, id), again[0].Path)
}

func TestReopen(t *testing.T) {
	s := newStore(t)
	id := closed(t, s, 0, "Tove A.")
	require.NoError(t, os.WriteFile(s.path(liveFolder, id)+".torn-1", []byte("x"), 0o600))
	require.NoError(t, s.Retire(id))
	assert.FileExists(t, s.path(closedFolder, id)+".torn-1", "what was set aside goes with it")

	l, err := s.Reopen(at(10), id, "station 3")
	require.NoError(t, err)
	openStore(t, s.Dir())
	require.FileExists(t, s.path(liveFolder, id), "nobody tidies away what is being run")
	require.NoError(t, l.Close())
	require.FileExists(t, s.path(closedFolder, id), "the closing was not taken back")

	l, err = s.Reopen(at(11), id, "station 3")
	require.NoError(t, err)
	undo, _, ok := l.Log.Undo()
	require.True(t, ok)
	_, err = l.Do(at(11), undo)
	require.NoError(t, err)
	assert.True(t, l.Log.State().Live())
	require.NoError(t, l.Close())
	openStore(t, s.Dir())
	assert.FileExists(t, s.path(liveFolder, id))
	assert.FileExists(t, s.path(liveFolder, id)+".torn-1")
	entries, problems := list(t, s)
	assert.Empty(t, problems)
	assert.True(t, entries[0].Live)
	_, err = s.Reopen(at(12), "20260302-0900-none", "station 3")
	require.ErrorIs(t, err, ErrNotFound)
}

func TestReopenLeavesDamagedLogs(t *testing.T) {
	s := newStore(t)
	id := closed(t, s, 0, "Tove A.")
	require.NoError(t, s.Retire(id))
	damage(t, s.path(closedFolder, id))
	_, err := s.Reopen(at(10), id, "station 1")
	require.ErrorIs(t, err, journal.ErrCorrupt)
	assert.FileExists(t, s.path(closedFolder, id))
}

// damage changes one letter of the last line.
func damage(t testing.TB, path string) {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	i := bytes.LastIndex(text, []byte(`"kind"`)) + 1
	text[i] = 'K'
	require.NoError(t, os.WriteFile(path, text, 0o600))
}

func TestTornTailIsRepaired(t *testing.T) {
	s := newStore(t)
	id := create(t, s, 0, "Tove A.")
	f, err := os.OpenFile(s.path(liveFolder, id), os.O_APPEND|os.O_WRONLY, 0)
	require.NoError(t, err)
	_, err = f.WriteString(`{"seq":2,"kind":"note.ad`)
	require.NoError(t, errors.Join(err, f.Close()))
	entries, problems := list(t, s)
	assert.Empty(t, problems, "to those who watch it may be a line that is being written")
	assert.Equal(t, 1, entries[0].Events)
	l, err := s.Resume(at(1), id, "station 1")
	require.NoError(t, err)
	require.NotNil(t, l.Repaired())
	assert.EqualValues(t, 24, l.Repaired().Tail.Size)
	require.NoError(t, l.Close())
	_, problems = list(t, s)
	assert.Empty(t, problems, "the tail that was set aside is no stranger")
}

func TestListNamesWhatItPassesOver(t *testing.T) {
	s := newStore(t)
	whole := create(t, s, 1, "June L.")
	broken := create(t, s, 2, "Mr. Okpara")
	wrong := create(t, s, 3, "Tove A.")
	l, err := s.Resume(at(3), broken, "station 1")
	require.NoError(t, err)
	_, err = l.Do(at(4), session.Do(session.NoteAdded{Text: "x"}))
	require.NoError(t, errors.Join(err, l.Close()))
	damage(t, s.path(liveFolder, broken))
	require.NoError(t, os.Rename(s.path(liveFolder, wrong), s.path(closedFolder, "misnamed")))
	for name, text := range map[string]string{
		"live/notes.txt": "x", "closed/Upper.jsonl": "x", "live/other.jsonl": "not a log\n", "closed/empty.jsonl": "",
		"live/newer.jsonl": `{"format":"rinseby/99","seq":1}` + "\n",
	} {
		require.NoError(t, os.WriteFile(filepath.Join(s.Dir(), name), []byte(text), 0o600))
	}
	require.NoError(t, os.Mkdir(filepath.Join(s.Dir(), "live", "folder.jsonl"), 0o700))
	require.NoError(t, os.Symlink("/etc/passwd", filepath.Join(s.Dir(), "live", "link.jsonl")))

	entries, problems := list(t, s)
	require.Len(t, entries, 1)
	assert.Equal(t, whole, entries[0].ID)
	got := map[string]error{}
	for _, p := range problems {
		rel, err := filepath.Rel(s.Dir(), p.Path)
		require.NoError(t, err)
		got[filepath.ToSlash(rel)] = p
	}
	require.Len(t, got, 9)
	for name, want := range map[string]string{
		"live/notes.txt": "passed over", "closed/Upper.jsonl": "passed over", "live/folder.jsonl": "passed over", "live/link.jsonl": "passed over",
		"closed/misnamed.jsonl": `holds the service "` + wrong + `"`,
	} {
		assert.ErrorContains(t, got[name], want)
		assert.ErrorContains(t, got[name], filepath.Join(s.Dir(), filepath.FromSlash(name)))
	}
	assert.ErrorIs(t, got["live/other.jsonl"], journal.ErrNotOurs)
	assert.ErrorIs(t, got["live/newer.jsonl"], journal.ErrNewer)
	assert.ErrorIs(t, got["closed/empty.jsonl"], journal.ErrEmpty)
	assert.ErrorIs(t, got["live/"+broken+".jsonl"], journal.ErrCorrupt)

	openStore(t, s.Dir())
	_, again := list(t, s)
	assert.Equal(t, problems, again, "opening the folder touches none of them")
	part, err := s.Read(broken)
	require.ErrorIs(t, err, journal.ErrCorrupt)
	assert.Len(t, part.Events(), 1, "what is intact before the damage can be seen")
	_, err = s.Resume(at(5), broken, "station 1")
	require.ErrorIs(t, err, journal.ErrCorrupt)
}

func TestOpenRemovesWhatWasNeverSaved(t *testing.T) {
	s := newStore(t)
	empty := s.path(liveFolder, "20260302-0900-aaaa")
	held := s.path(liveFolder, "20260302-0900-bbbb")
	draft := filepath.Join(s.Dir(), "closed", "20260302-0900-cccc"+newSuffix)
	for _, path := range []string{empty, empty + journal.LockSuffix, held, draft} {
		require.NoError(t, os.WriteFile(path, nil, 0o600))
	}
	release, err := hold(held)
	require.NoError(t, err)
	defer release()
	openStore(t, s.Dir())
	assert.NoFileExists(t, empty)
	assert.NoFileExists(t, empty+journal.LockSuffix)
	assert.NoFileExists(t, draft)
	assert.FileExists(t, held, "somebody is at it")
}

func TestListIsNewestFirst(t *testing.T) {
	s := newStore(t)
	create(t, s, 10, "June L.")
	require.NoError(t, s.Retire(closed(t, s, 20, "Tove A.")))
	create(t, s, 0, "Mr. Okpara")
	entries, _ := list(t, s)
	var clients []string
	for _, e := range entries {
		clients = append(clients, e.Client)
	}
	assert.Equal(t, []string{"Tove A.", "June L.", "Mr. Okpara"}, clients)
	e := entries[0]
	assert.Equal(t, Entry{
		ID: e.ID, Client: "Tove A.", Stylist: "Ines", Station: "station 1", ZoneList: "Half head",
		Opened: at(20).Wall.Truncate(time.Millisecond), Closed: at(25).Wall.Truncate(time.Millisecond),
		Path: s.path(closedFolder, e.ID), Events: 2, Invented: true,
	}, e)
}

func TestFind(t *testing.T) {
	s := newStore(t)
	id := create(t, s, 0, "June L.")
	for _, name := range []string{id, s.path(liveFolder, id)} {
		e, err := s.Find(name)
		require.NoError(t, err)
		assert.Equal(t, id, e.ID)
		assert.Equal(t, s.path(liveFolder, id), e.Path)
	}
	elsewhere := filepath.Join(t.TempDir(), "copy.jsonl")
	text, err := os.ReadFile(s.path(liveFolder, id))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(elsewhere, text, 0o600))
	e, err := s.Find(elsewhere)
	require.NoError(t, err)
	assert.Equal(t, id, e.ID)
	assert.Equal(t, elsewhere, e.Path)
	_, err = s.Find("20260302-0900-none")
	require.ErrorIs(t, err, ErrNotFound)
	_, err = s.Find(filepath.Join(s.Dir(), "none.jsonl"))
	require.ErrorIs(t, err, fs.ErrNotExist)
}

func TestLastOf(t *testing.T) {
	s := newStore(t)
	closed(t, s, 0, "Tove A.")
	last := closed(t, s, 30, " tove a. ")
	create(t, s, 60, "Tove A.")
	closed(t, s, 90, "June L.")
	e, ok, err := s.LastOf("TOVE A. ")
	require.NoError(t, err)
	require.True(t, ok)
	assert.Equal(t, last, e.ID)
	for _, nobody := range []string{"Tove", "", " "} {
		_, ok, err = s.LastOf(nobody)
		require.NoError(t, err)
		assert.False(t, ok)
	}
}

func TestImport(t *testing.T) {
	from, s := newStore(t), newStore(t)
	for _, c := range []struct {
		id, folder string
	}{{create(t, from, 0, "June L."), "live"}, {closed(t, from, 0, "Tove A."), "closed"}} {
		l, err := from.Read(c.id)
		require.NoError(t, err)
		recs, err := session.Records(l.Events())
		require.NoError(t, err)
		e, err := s.Import(recs)
		require.NoError(t, err)
		assert.Equal(t, s.path(c.folder, c.id), e.Path)
		old, err := os.ReadFile(from.path(liveFolder, c.id))
		require.NoError(t, err)
		brought, err := os.ReadFile(e.Path)
		require.NoError(t, err)
		assert.Equal(t, string(old), string(brought))
		_, err = s.Import(recs)
		require.ErrorIs(t, err, fs.ErrExist)
	}
	_, problems := list(t, s)
	assert.Empty(t, problems)

	good := journal.Record{Seq: 1, Kind: "service.opened", When: at(0).Wall, Recorded: at(0)}
	for data, want := range map[string]string{
		`{"service":"../up","client":"June L."}`: "can't be the name of a file",
		`{"service":"a","client":1}`:             "can't be understood",
	} {
		bad := good
		bad.Data = []byte(data)
		_, err := s.Import([]journal.Record{bad})
		require.ErrorContains(t, err, want)
	}
	_, err := s.Import(nil)
	require.ErrorIs(t, err, journal.ErrEmpty)
	good.Kind, good.Data = "note.added", []byte(`{"text":"x"}`)
	_, err = s.Import([]journal.Record{good})
	require.ErrorContains(t, err, "contradicts itself")
}

func TestMoveNeverOverwrites(t *testing.T) {
	s := newStore(t)
	id := closed(t, s, 0, "Tove A.")
	text, err := os.ReadFile(s.path(liveFolder, id))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(s.path(closedFolder, id), text, 0o600))
	require.ErrorContains(t, s.Retire(id), "in both live and closed")
	assert.FileExists(t, s.path(liveFolder, id))
}

func TestTwoStoresAtOnce(t *testing.T) {
	one := newStore(t)
	two := openStore(t, one.Dir())
	done := make(chan error, 2)
	work := func(s *Store, minute int) {
		for i := range 10 {
			l, err := s.Create(at(minute+i), "station", opening("Tove A."))
			if err == nil {
				_, err = l.Do(at(minute+i+1), session.Do(session.ServiceClosed{}))
			}
			if err == nil {
				err = l.Close()
			}
			if _, _, e := s.List(); err == nil {
				err = e
			}
			if err != nil {
				done <- err
				return
			}
		}
		done <- nil
	}
	go work(one, 0)
	go work(two, 0)
	require.NoError(t, <-done)
	require.NoError(t, <-done)
	entries, problems := list(t, one)
	assert.Len(t, entries, 20)
	assert.Empty(t, problems)
}
