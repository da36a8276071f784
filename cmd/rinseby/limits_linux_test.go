package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
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
	"rinseby/timing"
)

var longLog = flag.Int("longlog", 10000, "how many events the long log has of which memory is measured")

// measureEnv makes this test binary a process that runs a command and says how
// much memory it took. It is a small one: a program that is started begins with
// the measure of the one that started it.
const measureEnv = "RINSEBY_TEST_MEASURE"

// A measured is what a command took.
type measured struct {
	Code     int
	Out, Err string
	RSS      int64 // most resident memory, in bytes
}

// measure runs the program and measures its memory.
func (s *salon) measure(stdin string, args ...string) measured {
	s.t.Helper()
	what, err := json.Marshal(append([]string{s.bin, stdin}, s.args(args...)...))
	require.NoError(s.t, err)
	c := exec.Command(os.Args[0], "-test.run=^TestMeasureAsAProcessOfItsOwn$")
	c.Env = append(os.Environ(), measureEnv+"="+string(what), "HOME="+s.t.TempDir(), "TZ=UTC")
	out, err := c.Output()
	require.NoError(s.t, err)
	line, _, _ := bytes.Cut(out, []byte("\n"))
	var m measured
	require.NoError(s.t, json.Unmarshal(line, &m), string(out))
	return m
}

func TestMeasureAsAProcessOfItsOwn(t *testing.T) {
	if os.Getenv(measureEnv) == "" {
		t.Skip("other tests use it")
	}
	var args []string
	require.NoError(t, json.Unmarshal([]byte(os.Getenv(measureEnv)), &args))
	var out, errs bytes.Buffer
	c := exec.Command(args[0], args[2:]...)
	c.Stdin, c.Stdout, c.Stderr = strings.NewReader(args[1]), &out, &errs
	if err := c.Run(); err != nil {
		var ended *exec.ExitError
		require.True(t, errors.As(err, &ended), err)
	}
	used := c.ProcessState.SysUsage().(*syscall.Rusage)
	require.NoError(t, json.NewEncoder(os.Stdout).Encode(measured{c.ProcessState.ExitCode(), out.String(), errs.String(), used.Maxrss << 10}))
}

// written writes a journal of a live service with so many zones and events.
func written(t *testing.T, w io.Writer, id string, zones, events int) {
	t.Helper()
	at := time.Now().UTC().Add(-3 * time.Hour)
	var recs []journal.Record
	add := func(kind, data string, args ...any) {
		at = at.Add(10 * time.Millisecond)
		recs = append(recs, journal.Normalise(journal.Record{Seq: len(recs) + 1, Kind: kind, When: at, Recorded: timing.Reading{Wall: at}, Data: fmt.Appendf(nil, data, args...)}))
	}
	add("service.opened", `{"service":%q,"client":"June L.","invented":true}`, id)
	all := make([]string, zones)
	for i := range all {
		all[i] = fmt.Sprintf(`{"id":"z%d","name":"Zone %d","pieces":3}`, i, i)
	}
	add("plan.set", `{"name":"Lightening","action":"lighten","zones":[%s]}`, strings.Join(all, ","))
	for len(recs) < events {
		add("note.added", `{"text":"note %d"}`, len(recs))
	}
	text, err := journal.Encode(recs)
	require.NoError(t, err)
	_, err = w.Write(text)
	require.NoError(t, err)
}

// TestMemoryOfWhatIsTooMuch gives the program files that are far beyond what a
// service writes. Each is told in words, in a few megabytes.
func TestMemoryOfWhatIsTooMuch(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	live := filepath.Join(s.data, "live")
	require.NoError(t, os.MkdirAll(live, 0o700))
	make := func(id string, size int64, write func(f *os.File)) {
		f, err := os.OpenFile(filepath.Join(live, id+".jsonl"), os.O_CREATE|os.O_WRONLY, 0o600)
		require.NoError(t, err)
		write(f)
		if size > 0 {
			require.NoError(t, f.Truncate(size))
		}
		require.NoError(t, f.Close())
	}
	small := func(f *os.File) { written(t, f, "large", 3, 10) }
	letters := func(megabytes int) func(*os.File) {
		return func(f *os.File) {
			written(t, f, "line", 3, 10)
			for range megabytes {
				_, err := f.Write(bytes.Repeat([]byte("x"), 1<<20))
				require.NoError(t, err)
			}
		}
	}
	make("large", 1<<30, small)
	make("line", 0, letters(100))
	make("shorter", 0, letters(40))
	make("zones", 0, func(f *os.File) { written(t, f, "zones", 10000, 2) })
	says := map[string]string{
		"large": "more than the 64 MiB that a log may have", "line": "more than the 64 MiB that a log may have",
		"shorter": "longer than 1 MiB", "zones": "more than 4000 zones, which no head has",
	}
	const most = 96 << 20 // of which some 30 are the program itself
	for id, words := range says {
		for _, cmd := range []string{"verify", "card", "replay"} {
			args := []string{cmd, filepath.Join(live, id+".jsonl")}
			if cmd == "replay" {
				args = append(args, "--plain")
			}
			m := s.measure("q\n", args...)
			assert.Equal(t, 1, m.Code, "%s %s", cmd, id)
			assert.Contains(t, m.Err, words, "%s %s", cmd, id)
			assert.Less(t, m.RSS, int64(most), "%s %s", cmd, id)
		}
	}
	for _, args := range [][]string{{"list"}, {"floor", "--plain"}, {"--plain"}} {
		m := s.measure("q\n", args...)
		assert.Zero(t, m.Code, "%s: %s", args, m.Err)
		assert.Less(t, m.RSS, int64(most), args)
		t.Logf("%s: %d MiB", args, m.RSS>>20)
	}
}

// TestMemoryOfALongLog works a service of very many events. By -longlog 100000
// it is longer than any that hands could log.
func TestMemoryOfALongLog(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	live := filepath.Join(s.data, "live")
	require.NoError(t, os.MkdirAll(live, 0o700))
	f, err := os.OpenFile(filepath.Join(live, "many.jsonl"), os.O_CREATE|os.O_WRONLY, 0o600)
	require.NoError(t, err)
	written(t, f, "many", 60, *longLog)
	require.NoError(t, f.Close())
	most := int64(64<<20 + *longLog*3<<10) // 3 KiB an event beside the program
	for _, args := range [][]string{{"verify", f.Name()}, {"card", "many"}, {"list"}, {"floor", "--plain"}, {"replay", "many", "--plain"}, {"--plain"}} {
		began := time.Now()
		m := s.measure("q\n", args...)
		require.Zero(t, m.Code, "%s: %s", args, m.Err)
		assert.Less(t, m.RSS, most, args)
		t.Logf("%d events, %s: %d MiB, %v", *longLog, args[0], m.RSS>>20, time.Since(began).Round(10*time.Millisecond))
	}
}
