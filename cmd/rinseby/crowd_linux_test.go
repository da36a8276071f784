package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/hostile"
	"rinseby/session/journal"
	"rinseby/timing"
)

var (
	crowd     = flag.Int("services", 300, "closed services of the crowded folder; 40000 are ten years of ten chairs")
	strangers = flag.Int("strangers", 70, "files that are no services, of all kinds, in the crowded folder")
)

// crowded fills the salon with closed services, a live one, and files that are
// none: pipes, links to devices, links to nowhere, folders, sparse files.
func (s *salon) crowded() {
	t := s.t
	for _, folder := range []string{"live", "closed"} {
		require.NoError(t, os.MkdirAll(filepath.Join(s.data, folder), 0o700))
	}
	lay := func(folder, id, client string, at time.Time, closed bool) {
		l := &session.Log{}
		do := func(data session.Data) {
			at = at.Add(time.Minute)
			_, err := l.Commit(timing.Reading{Wall: at, Boot: time.Since(at), BootID: "a"}, session.Do(data))
			require.NoError(t, err)
		}
		do(session.ServiceOpened{Service: id, Client: client, Stylist: "Ines", Invented: true})
		if closed {
			do(session.ServiceClosed{})
		}
		recs, err := session.Records(l.Events())
		require.NoError(t, err)
		text, err := journal.Encode(recs)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(s.data, folder, id+".jsonl"), text, 0o600))
	}
	began := time.Now().Add(-10 * 365 * 24 * time.Hour)
	for i := range *crowd {
		lay("closed", fmt.Sprintf("20160101-0900-%05d", i), fmt.Sprint("client ", i), began.Add(time.Duration(i)*2*time.Hour), true)
	}
	lay("live", "20260302-0900-live", "Tove A.", time.Now().Add(-time.Hour), false)
	for n := range *strangers {
		path := filepath.Join(s.data, []string{"live", "closed"}[n%2], fmt.Sprintf("stranger-%d.jsonl", n))
		var err error
		switch n % 6 {
		case 0:
			err = syscall.Mkfifo(path, 0o600)
		case 1:
			err = os.Symlink("/dev/zero", path)
		case 2:
			err = os.Symlink(path, path)
		case 3:
			err = os.Mkdir(path, 0o700)
		case 4:
			err = os.WriteFile(path, []byte(hostile.Samples()[n%len(hostile.Samples())].Text), 0o600)
		case 5:
			if err = os.WriteFile(path, nil, 0o600); err == nil {
				err = os.Truncate(path, 1<<30)
			}
		}
		require.NoError(t, err)
	}
	for _, pipe := range []string{"catalogue.toml", "settings.toml", "zones/pipe.toml"} {
		path := filepath.Join(s.config, pipe)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
		require.NoError(t, syscall.Mkfifo(path, 0o600))
	}
	require.NoError(t, os.Symlink("/dev/zero", filepath.Join(s.config, "zones", "endless.toml")))
}

// TestACrowdedFolder runs the program where there is far more than usual. It
// waits for nothing, and its memory stays bounded.
func TestACrowdedFolder(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.crowded()
	for _, try := range []struct {
		in   string
		code int
		args []string
		says string
	}{
		{"", 0, []string{"list"}, "live"},
		{"", 0, []string{"list", "--json"}, "20160101-0900-00000"},
		{"", 0, []string{"history"}, "60 services"},
		{"again\nq\n", 0, []string{"floor", "--plain"}, "Tove A."},
		{"again\n1\nagain\nq\n", 0, []string{"--plain"}, "Tove A."},
		{"", 0, []string{"fit", "--minutes", "10"}, ""},
		{"", 0, []string{"card", "20160101-0900-00001"}, "client 1"},
		{"", 2, []string{"forget", "client 1", "--yes"}, "Removed: 1 service."},
	} {
		ctx, done := context.WithTimeout(context.Background(), 5*time.Minute)
		c := exec.CommandContext(ctx, s.bin, s.args(try.args...)...)
		var out, errs bytes.Buffer
		c.Stdin, c.Stdout, c.Stderr = strings.NewReader(try.in), &out, &errs
		c.Env = append(os.Environ(), "HOME="+t.TempDir())
		began := time.Now()
		_ = c.Run() // its exit code is looked at
		require.NoError(t, ctx.Err(), "%v waits for ever", try.args)
		done()
		peak := c.ProcessState.SysUsage().(*syscall.Rusage).Maxrss >> 10
		worked := c.ProcessState.UserTime() + c.ProcessState.SystemTime()
		t.Logf("%v: %v, of the processors %v, %d MiB", try.args, time.Since(began).Round(10*time.Millisecond), worked.Round(10*time.Millisecond), peak)
		assert.Equal(t, try.code, c.ProcessState.ExitCode(), "%v: %s", try.args, errs.String())
		assert.Contains(t, out.String(), try.says, "%v", try.args)
		if !racing { // a child begins with what its parent has, which is much then
			assert.Less(t, peak, int64(400), "%v: MiB", try.args)
		}
		assert.Less(t, strings.Count(errs.String(), "\n"), 60, "%v: few words on many files", try.args)
		require.NoError(t, hostile.Check(errs.String()), "%v", try.args)
	}
}
