//go:build unix

package main

import (
	"bufio"
	"errors"
	"flag"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session/journal"
)

var killsAtRandom = flag.Int("kills", 10, "how often the program is killed at a random moment of its work")

// A teller is the program in words, fed through a pipe. Lines that it said are
// kept.
type teller struct {
	t    *testing.T
	cmd  *exec.Cmd
	in   io.WriteCloser
	ends chan struct{} // closed when it says no more

	mu    sync.Mutex
	lines []string
	more  chan struct{} // closed and replaced when there is another line
}

// tells starts the program in words.
func (s *salon) tells(args ...string) *teller {
	s.t.Helper()
	p := &teller{t: s.t, ends: make(chan struct{}), more: make(chan struct{})}
	p.cmd = exec.Command(s.bin, s.args(append([]string{"--plain"}, args...)...)...)
	p.cmd.Env = append(os.Environ(), "HOME="+s.t.TempDir(), "TZ=UTC")
	var err error
	p.in, err = p.cmd.StdinPipe()
	require.NoError(s.t, err)
	out, err := p.cmd.StdoutPipe()
	require.NoError(s.t, err)
	p.cmd.Stderr = p.cmd.Stdout
	require.NoError(s.t, p.cmd.Start())
	go p.listen(out)
	s.t.Cleanup(p.kill)
	return p
}

func (p *teller) listen(out io.Reader) {
	defer close(p.ends)
	for in := bufio.NewReader(out); ; {
		line, err := in.ReadString('\n')
		if err != nil {
			return // what has no line feed was not said to the end
		}
		p.mu.Lock()
		p.lines = append(p.lines, strings.TrimSuffix(line, "\n"))
		close(p.more)
		p.more = make(chan struct{})
		p.mu.Unlock()
	}
}

// types sends lines. The program may be gone already.
func (p *teller) types(lines ...string) {
	_, _ = io.WriteString(p.in, strings.Join(lines, "\n")+"\n")
}

// said counts the lines that hold the text.
func (p *teller) said(text string) (n int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, l := range p.lines {
		if strings.Contains(l, text) {
			n++
		}
	}
	return n
}

func (p *teller) all() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return strings.Join(p.lines, "\n")
}

// waitFor waits until a line holds one of the texts, and returns which. It is
// empty if the program ended before.
func (p *teller) waitFor(texts ...string) (found string) {
	p.t.Helper()
	p.waitUntil(strings.Join(texts, ", or "), func() bool {
		i := slices.IndexFunc(texts, func(text string) bool { return p.said(text) > 0 })
		if i >= 0 {
			found = texts[i]
		}
		return i >= 0
	})
	return found
}

// waitUntil looks at each line whether ok holds, until the program has ended.
func (p *teller) waitUntil(desc string, ok func() bool) {
	p.t.Helper()
	late := time.After(20 * time.Second) // generous, as a test machine may be busy
	for ended := false; ; {
		p.mu.Lock()
		more := p.more
		p.mu.Unlock()
		if ok() || ended {
			return
		}
		select {
		case <-more:
		case <-p.ends:
			ended = true
		case <-late:
			p.t.Fatalf("waited for %s, but all that was said is:\n%s", desc, p.all())
		}
	}
}

// kill ends it at once, and waits for the last of what it said. It may be gone
// already.
func (p *teller) kill() {
	_ = p.cmd.Process.Kill()
	<-p.ends
	_ = p.cmd.Wait()
}

// opens starts a service in words, and returns its log.
func (s *salon) opens() string {
	s.t.Helper()
	r := s.runWith("new\nTove A.\nInes\n\n\nThree\nq\n", "--plain") // invented
	require.Zero(s.t, r.code, r.err)
	logs := s.logs()
	require.Len(s.t, logs, 1, r.out)
	return logs[0]
}

// TestKilledAtAnyMoment kills the program at random moments: while it starts,
// takes the service up, or logs. What was answered with "Logged" is there, at
// most one entry more, and nothing else; the service goes on each time.
func TestKilledAtAnyMoment(t *testing.T) {
	t.Parallel()
	const perService = 50 // kills, so that the log stays short
	rng := rand.New(rand.NewPCG(4, 9))
	began := time.Now()
	logged, more, torn, early := 0, 0, 0, 0
	for done := 0; done < *killsAtRandom; {
		s := newSalon(t)
		s.owns("zones/three.toml", threeZones)
		k := &killed{salon: s, rng: rng, path: s.opens()}
		k.log = kinds(t, k.path)
		for range min(perService, *killsAtRandom-done) {
			k.live()
			done++
		}
		k.goesOn()
		logged, more, torn, early = logged+k.logged, more+k.more, torn+k.torn, early+k.early
	}
	t.Logf("%d kills in %v: %d entries answered, %d more on the disk, %d torn tails; %d kills before the first answer",
		*killsAtRandom, time.Since(began).Round(time.Second), logged, more, torn, early)
	assert.Greater(t, logged, *killsAtRandom/4)
}

// killed is a service whose program is killed again and again.
type killed struct {
	*salon
	rng  *rand.Rand
	path string
	log  []string // kinds of what was in it when it was last looked at
	took time.Duration

	logged, more, torn, early int
}

// live starts the program, has it log as fast as it answers, and kills it at a
// random moment.
func (k *killed) live() {
	k.t.Helper()
	started := time.Now()
	p := k.tells()
	p.types(append([]string{"1"}, strings.Split(strings.Repeat("p ", 400), " ")...)...)
	if k.took > 0 && k.rng.IntN(4) == 0 { // while it starts
		time.AfterFunc(time.Duration(k.rng.Int64N(int64(k.took))), func() { _ = p.cmd.Process.Kill() })
	} else if p.waitFor("Logged") != "" {
		if k.took == 0 {
			k.took = time.Since(started)
		}
		_, _, err := journal.Open(k.path)
		assert.ErrorIs(k.t, err, journal.ErrBusy, "a second writer")
		time.AfterFunc(time.Duration(k.rng.Int64N(int64(30*time.Millisecond))), func() { _ = p.cmd.Process.Kill() })
	}
	<-p.ends
	p.kill()
	k.look(p)
}

// look compares the log with what was said.
func (k *killed) look(p *teller) {
	k.t.Helper()
	answered := p.said("Logged: pause")
	recs, tail, err := journal.ReadFile(k.path)
	require.NoError(k.t, err)
	if tail != nil {
		k.torn++
	}
	more := len(recs) - len(k.log) - answered
	require.True(k.t, more == 0 || more == 1, "%d entries were answered with \"Logged\", %d are in the log:\n%s", answered, len(recs)-len(k.log), p.all())
	for i, r := range recs {
		if i < len(k.log) {
			require.Equal(k.t, k.log[i], r.Kind)
			continue
		}
		want := "pause.began"
		if k.log[i-1] == "pause.began" {
			want = "pause.ended"
		}
		require.Equal(k.t, want, r.Kind, "entry %d", i+1)
		k.log = append(k.log, r.Kind)
	}
	k.logged, k.more = k.logged+answered, k.more+more
	if answered == 0 {
		k.early++
	}
}

// goesOn leaves the service as one does, and finds nothing beside the log but
// its lock and what was set aside.
func (k *killed) goesOn() {
	k.t.Helper()
	r := k.runWith("1\np\nq\n", "--plain")
	require.Zero(k.t, r.code, r.err)
	require.Contains(k.t, r.out, "Logged: pause")
	require.Contains(k.t, k.must("verify", k.path), "whole")
	require.NoError(k.t, filepath.WalkDir(k.data, func(path string, d fs.DirEntry, err error) error {
		name := strings.TrimPrefix(path, k.path)
		ours := name == "" || name == journal.LockSuffix || strings.HasPrefix(name, ".torn-") || filepath.Dir(path) == k.data && d.Name() == ".lock"
		if err == nil && !d.IsDir() && !ours {
			err = errors.New(path + " should not be there")
		}
		return err
	}))
}
