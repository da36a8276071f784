package journal_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
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

	"rinseby/session/journal"
)

// create makes a log of n records on the machine's disk, and closes it.
func create(t *testing.T, n int) (string, []journal.Record) {
	path := filepath.Join(t.TempDir(), "tove.log")
	j, err := journal.Create(path)
	require.NoError(t, err)
	recs := records(1, n, 3)
	require.NoError(t, j.Append(recs...))
	require.NoError(t, j.Close())
	return path, recs
}

func mode(t *testing.T, path string) fs.FileMode {
	info, err := os.Stat(path)
	require.NoError(t, err)
	return info.Mode().Perm()
}

func TestCreateAppendOpen(t *testing.T) {
	path, recs := create(t, 3)
	assert.Equal(t, fs.FileMode(0o600), mode(t, path))
	assert.Equal(t, fs.FileMode(0o600), mode(t, path+journal.LockSuffix))
	j, got, err := journal.Open(path)
	require.NoError(t, err)
	assert.Equal(t, recs, got)
	assert.Nil(t, j.Repaired())
	assert.Equal(t, path, j.Path())
	assert.Equal(t, 3, j.Seq())
	more := records(4, 2, 50)
	require.NoError(t, j.Append(more...))
	require.NoError(t, j.Append())
	assert.Equal(t, 5, j.Seq())

	all := append(recs, more...)
	got, tail, err := journal.ReadFile(path) // while it is open for writing
	require.NoError(t, err)
	assert.Nil(t, tail)
	assert.Equal(t, all, got)
	want, err := journal.Encode(all)
	require.NoError(t, err)
	file, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), string(file))

	require.NoError(t, j.Close())
	require.NoError(t, j.Close())
	assert.ErrorIs(t, j.Append(records(6, 1, 3)...), journal.ErrClosed)
	_, err = journal.Create(path)
	assert.ErrorIs(t, err, fs.ErrExist)
}

func TestAppendRefuses(t *testing.T) {
	tests := []struct {
		name   string
		change func(*journal.Record)
		says   string
	}{
		{"number left out", func(r *journal.Record) { r.Seq = 0 }, "where record 2 belongs"},
		{"number skipped", func(r *journal.Record) { r.Seq = 3 }, "where record 2 belongs"},
		{"no kind", func(r *journal.Record) { r.Kind = "" }, "kind"},
		{"quote in kind", func(r *journal.Record) { r.Kind = `a"b` }, "kind"},
		{"line end in kind", func(r *journal.Record) { r.Kind = "a\nb" }, "kind"},
		{"long kind", func(r *journal.Record) { r.Kind = strings.Repeat("k", 65) }, "kind"},
		{"boot id", func(r *journal.Record) { r.Recorded.BootID = "ä" }, "boot id"},
		{"no time", func(r *journal.Record) { r.When = time.Time{} }, "both its times"},
		{"far future", func(r *journal.Record) { r.Recorded.Wall = nine.AddDate(9000, 0, 0) }, "both its times"},
		{"microseconds", func(r *journal.Record) { r.When = r.When.Add(time.Microsecond) }, "Normalise"},
		{"a zone", func(r *journal.Record) { r.When = r.When.In(time.FixedZone("", 3600)) }, "Normalise"},
		{"boot in microseconds", func(r *journal.Record) { r.Recorded.Boot = 5 * time.Microsecond }, "Normalise"},
		{"boot below zero", func(r *journal.Record) { r.Recorded.Boot = -time.Second }, "since boot"},
		{"no data", func(r *journal.Record) { r.Data = nil }, "not JSON"},
		{"half of JSON", func(r *journal.Record) { r.Data = json.RawMessage(`{"a":`) }, "not JSON"},
		{"two values", func(r *journal.Record) { r.Data = json.RawMessage(`{},"b":{}`) }, "not JSON"},
		{"spaces", func(r *journal.Record) { r.Data = json.RawMessage(`{"a": 1}`) }, "Normalise"},
		{"no UTF-8", func(r *journal.Record) { r.Data = json.RawMessage("\"\xff\"") }, "Normalise"},
		{"too long", func(r *journal.Record) { r.Data = json.RawMessage(`"` + strings.Repeat("x", journal.MaxLine) + `"`) }, "1 MiB"},
	}
	d := newDisk()
	j, err := journal.Create(logPath, journal.WithFS(d))
	require.NoError(t, err)
	require.NoError(t, j.Append(records(1, 1, 3)...))
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			batch := records(1, 2, 3)
			tt.change(&batch[1])
			before := d.ops
			err := j.Append(batch[1])
			require.ErrorIs(t, err, journal.ErrInvalid)
			assert.Contains(t, err.Error(), tt.says)
			assert.Equal(t, before, d.ops, "nothing was written")
		})
	}
	bad := records(2, 3, 3)
	bad[2].Kind = ""
	require.ErrorIs(t, j.Append(bad...), journal.ErrInvalid)
	require.NoError(t, j.Append(records(2, 1, 3)...), "the handle lives on")
}

func TestAppendKeepsToMaxSize(t *testing.T) {
	j, err := journal.Create(logPath, journal.WithFS(newDisk()))
	require.NoError(t, err)
	big := records(1, journal.MaxSize/journal.MaxLine+1, 0)
	for i := range big {
		big[i].Data = json.RawMessage(`"` + strings.Repeat("x", journal.MaxLine-300) + `"`)
	}
	assert.ErrorIs(t, j.Append(big...), journal.ErrTooLarge)
	assert.NoError(t, j.Append(records(1, 1, 3)...))
}

func TestOneWriteAndOneFsyncPerAppend(t *testing.T) {
	d := newDisk()
	j, err := journal.Create(logPath, journal.WithFS(d))
	require.NoError(t, err)
	before := d.ops
	require.NoError(t, j.Append(records(1, 20, 100)...))
	assert.Equal(t, before+2, d.ops)
	assert.Empty(t, d.names[logPath].pending)
}

func TestFailingDiskKillsTheHandle(t *testing.T) {
	tests := []struct {
		name  string
		at    int
		kind  faultKind
		cause error
	}{
		{"disk full", 1, noSpace, syscall.ENOSPC},
		{"short write", 1, short, nil},
		{"write error", 1, ioError, syscall.EIO},
		{"fsync error", 2, ioError, syscall.EIO},
		{"nothing works", 1, outOfWork, syscall.EIO},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d := newDisk()
			j, err := journal.Create(logPath, journal.WithFS(d))
			require.NoError(t, err)
			require.NoError(t, j.Append(records(1, 2, 3)...))
			d.arm(tt.at, tt.kind)
			err = j.Append(records(3, 2, 3)...)
			require.ErrorIs(t, err, journal.ErrDead)
			if tt.cause != nil {
				assert.ErrorIs(t, err, tt.cause)
			}
			before := d.ops
			assert.Equal(t, err, j.Append(records(3, 2, 3)...))
			assert.Equal(t, before, d.ops, "no second try")
			assert.Equal(t, 2, j.Seq())
			if tt.kind != outOfWork {
				require.NoError(t, j.Close())
			} else {
				require.Error(t, j.Close())
			}

			d.fault = fault{}
			j, recs, err := journal.Open(logPath, journal.WithFS(d))
			require.NoError(t, err)
			if tt.kind == outOfWork { // what was begun could not be taken back
				assert.Len(t, recs, 4)
				return
			}
			assert.Equal(t, records(1, 2, 3), recs)
			assert.Nil(t, j.Repaired())
			require.NoError(t, j.Append(records(3, 2, 3)...))
		})
	}
}

// An fsync that failed makes the next one succeed without the data. So what
// Open finds must be written anew before it counts as safe.
func TestOpenWritesAnewWhatFailedToSync(t *testing.T) {
	d := newDisk()
	j, err := journal.Create(logPath, journal.WithFS(d))
	require.NoError(t, err)
	require.NoError(t, j.Append(records(1, 2, 3)...))
	require.NoError(t, j.Close())
	log := d.names[logPath]
	more, err := journal.Encode(records(1, 3, 3))
	require.NoError(t, err)
	log.now = more // the third is nowhere but in memory, and forgotten there
	require.NotEqual(t, string(more), string(log.safe))
	_, recs, err := journal.Open(logPath, journal.WithFS(d))
	require.NoError(t, err)
	assert.Len(t, recs, 3)
	assert.Equal(t, string(more), string(log.safe))
}

func TestTornTailIsSetAside(t *testing.T) {
	path, recs := create(t, 3)
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	for n, torn := range []string{string(b[len(b)-100 : len(b)-1]), "{\x00\x00", strings.Repeat("\x00", 5000)} {
		require.NoError(t, os.WriteFile(path, append(b[:len(b):len(b)], torn...), 0o600))
		got, tail, err := journal.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, recs, got)
		require.NotNil(t, tail)
		assert.Contains(t, tail.Error(), "line 4 of the log")

		j, got, err := journal.Open(path)
		require.NoError(t, err)
		assert.Equal(t, recs, got)
		r := j.Repaired()
		require.NotNil(t, r)
		assert.Equal(t, int64(len(torn)), r.Tail.Size)
		assert.Equal(t, int64(len(b)), r.Tail.Offset)
		assert.Equal(t, path+".torn-"+string(rune('1'+n)), r.Saved)
		assert.Contains(t, r.String(), r.Saved)
		assert.Equal(t, fs.FileMode(0o600), mode(t, r.Saved))
		saved, err := os.ReadFile(r.Saved)
		require.NoError(t, err)
		assert.Equal(t, torn, string(saved))
		require.NoError(t, j.Append(records(4, 1, 3)...))
		require.NoError(t, j.Close())
		got, tail, err = journal.ReadFile(path)
		require.NoError(t, err)
		assert.Nil(t, tail)
		assert.Len(t, got, 4)
	}
}

func TestTornTailStaysIfItCannotBeSaved(t *testing.T) {
	for n := 1; ; n++ {
		d := newDisk()
		j, err := journal.Create(logPath, journal.WithFS(d))
		require.NoError(t, err)
		require.NoError(t, j.Append(records(1, 2, 3)...))
		require.NoError(t, j.Close())
		d.names[logPath].apply(change{at: len(d.names[logPath].now), bytes: []byte(`{"seq":3,"ki`)})
		before := string(d.names[logPath].now)
		d.arm(n, noSpace)
		j, _, err = journal.Open(logPath, journal.WithFS(d))
		if d.ops < d.fault.at {
			require.NoError(t, err)
			assert.Greater(t, n, 8, "opening was tried with each of its operations failing")
			return
		}
		if err != nil {
			assert.ErrorIs(t, err, syscall.ENOSPC)
			assert.Empty(t, d.locks, "the lock was given up")
		}
		saved := d.names[logPath+".torn-1"]
		if now := string(d.names[logPath].now); now != before {
			require.NotNil(t, saved)
			assert.Same(t, saved, d.kept[logPath+".torn-1"])
			assert.Equal(t, before, now+string(saved.safe), "cut only what is safe elsewhere")
		}
	}
}

func TestOpenChangesNothingThatIsWrong(t *testing.T) {
	_, b := small(t, 3)
	tests := []struct {
		name string
		file []byte
		want error
	}{
		{"damaged in the middle", bytes.Replace(b, []byte(`"zone":2`), []byte(`"zone":3`), 1), journal.ErrCorrupt},
		{"damaged at the end", bytes.Replace(b, []byte(`"zone":3`), []byte(`"zone":2`), 1), journal.ErrCorrupt},
		{"newer", []byte("{\"format\":\"rinseby/2\"}\n"), journal.ErrNewer},
		{"not ours", []byte("[salon]\n"), journal.ErrNotOurs},
		{"empty", nil, journal.ErrEmpty},
		{"torn first line", b[:100], journal.ErrEmpty},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "x.log")
			require.NoError(t, os.WriteFile(path, tt.file, 0o600))
			for range 2 { // the second shows that the first gave up the lock
				_, _, err := journal.Open(path)
				require.ErrorIs(t, err, tt.want)
				assert.Contains(t, err.Error(), path)
			}
			_, _, err := journal.ReadFile(path)
			require.ErrorIs(t, err, tt.want)
			after, err := os.ReadFile(path)
			require.NoError(t, err)
			assert.Equal(t, string(tt.file), string(after))
			names, err := os.ReadDir(filepath.Dir(path))
			require.NoError(t, err)
			assert.Len(t, names, 2, "the log and its lock")
		})
	}
}

func TestFileSystemSaysNo(t *testing.T) {
	dir := t.TempDir()
	_, _, err := journal.Open(filepath.Join(dir, "none.log"))
	assert.ErrorIs(t, err, fs.ErrNotExist)
	assert.ErrorContains(t, err, "check the name")
	_, _, err = journal.ReadFile(filepath.Join(dir, "none.log"))
	assert.ErrorIs(t, err, fs.ErrNotExist)
	_, err = journal.Create(filepath.Join(dir, "none", "x.log"))
	assert.ErrorIs(t, err, fs.ErrNotExist)
	_, _, err = journal.Open(dir)
	assert.ErrorContains(t, err, dir)
	names, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Empty(t, names)

	d := newDisk()
	d.arm(1, denied)
	_, err = journal.Create(logPath, journal.WithFS(d))
	assert.ErrorIs(t, err, fs.ErrPermission)
	assert.ErrorContains(t, err, "change the permissions, or only watch")
	d.arm(6, ioError) // after the lock, its holder (3) and the file: the folder's fsync
	_, err = journal.Create(logPath, journal.WithFS(d))
	assert.ErrorIs(t, err, syscall.EIO)
	assert.NotContains(t, d.names, logPath, "nothing half made is left")
	assert.Empty(t, d.locks)
	_, err = journal.Create(logPath, journal.WithFS(d))
	assert.NoError(t, err)
}

func TestReadOnlyFolder(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Skip("root may write everywhere")
	}
	path, recs := create(t, 2)
	require.NoError(t, os.Remove(path+journal.LockSuffix))
	require.NoError(t, os.Chmod(filepath.Dir(path), 0o500))
	t.Cleanup(func() { _ = os.Chmod(filepath.Dir(path), 0o700) })
	_, _, err := journal.Open(path)
	assert.ErrorIs(t, err, fs.ErrPermission)
	got, _, err := journal.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, recs, got)
}

func TestOnlyOneWriter(t *testing.T) {
	path, recs := create(t, 2)
	since := nine.Add(65 * time.Minute)
	first, _, err := journal.Open(path, journal.WithHolder(journal.Holder{Station: "station 2", PID: 1234, Host: "x", Since: since}))
	require.NoError(t, err)
	_, _, err = journal.Open(path)
	var busy *journal.Busy
	require.ErrorAs(t, err, &busy)
	assert.ErrorIs(t, err, journal.ErrBusy)
	assert.EqualError(t, err, "service is being run by station 2 (process 1234 on host x) since "+since.Local().Format("15:04")+"; you can watch it")
	assert.True(t, since.Equal(busy.Holder.Since))
	_, err = journal.Create(path)
	assert.ErrorIs(t, err, journal.ErrBusy)
	got, _, err := journal.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, recs, got)

	for _, text := range []string{"", `{"station":"sta`, "\x00\xff", `{}`, strings.Repeat("[", 9000)} {
		require.NoError(t, os.WriteFile(path+journal.LockSuffix, []byte(text), 0o600))
		_, _, err = journal.Open(path)
		assert.EqualError(t, err, "service is being run by another process; you can watch it")
	}
	require.NoError(t, first.Close())
	second, _, err := journal.Open(path)
	require.NoError(t, err)
	_, _, err = journal.Open(path)
	require.ErrorAs(t, err, &busy)
	assert.Equal(t, os.Getpid(), busy.Holder.PID)
	assert.NotEmpty(t, busy.Holder.Host)
	require.NoError(t, second.Close())
	left, err := os.ReadFile(path + journal.LockSuffix)
	require.NoError(t, err)
	assert.Empty(t, left)
}

func TestBusyWithoutHost(t *testing.T) {
	assert.Equal(t, "service is being run by station 1 (process 7); you can watch it",
		(&journal.Busy{Holder: journal.Holder{Station: "station 1", PID: 7}}).Error())
}

// holdEnv makes this test binary a process that holds the log it names.
const holdEnv = "RINSEBY_TEST_HOLD"

func TestLockDiesWithItsProcess(t *testing.T) {
	if path := os.Getenv(holdEnv); path != "" {
		_, _, err := journal.Open(path)
		require.NoError(t, err)
		_, _ = os.Stdout.WriteString("held\n")
		select {}
	}
	path, _ := create(t, 1)
	holder := exec.Command(os.Args[0], "-test.run=^TestLockDiesWithItsProcess$")
	holder.Env = append(os.Environ(), holdEnv+"="+path)
	out, err := holder.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, holder.Start())
	line, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	require.Equal(t, "held\n", line)
	_, _, err = journal.Open(path)
	var busy *journal.Busy
	require.ErrorAs(t, err, &busy)
	assert.Equal(t, holder.Process.Pid, busy.Holder.PID)

	require.NoError(t, holder.Process.Kill())
	var exit *exec.ExitError
	require.True(t, errors.As(holder.Wait(), &exit))
	j, _, err := journal.Open(path)
	require.NoError(t, err)
	require.NoError(t, j.Close())
}
