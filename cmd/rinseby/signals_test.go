//go:build unix

package main

import (
	"bufio"
	"encoding/json"
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

	"rinseby/cmd/internal/screentest"
	"rinseby/session/journal"
)

// left checks that the one service is live, and was let go of: others may take
// it, and are not told that its chair is gone.
func (c *chair) left() {
	c.t.Helper()
	var list []listed
	require.NoError(c.t, json.Unmarshal([]byte(c.must("list", "--json")), &list))
	require.Len(c.t, list, 1)
	assert.Nil(c.t, list[0].Closed, "the service stays live")
	assert.Empty(c.t, list[0].RunBy)
	held, err := os.ReadFile(c.logs()[0] + journal.LockSuffix)
	if err == nil {
		assert.Empty(c.t, string(held), "the service was dropped, and not let go of")
	}
}

// TestSignals ends the program by signals, at the chair and with a form open,
// right after an entry.
func TestSignals(t *testing.T) {
	t.Parallel()
	for s, code := range map[syscall.Signal]int{syscall.SIGHUP: 129, syscall.SIGTERM: 143, syscall.SIGINT: 130} {
		t.Run(s.String(), func(t *testing.T) {
			t.Parallel()
			salon := newSalon(t)
			salon.owns("zones/three.toml", threeZones)
			c := &chair{salon: salon, client: "June L."} // invented
			c.sit("Three", 0, "service.opened", "plan.set", "plan.set")
			c.log("pause.began", 0, "p", "pause begun")
			c.x.Keys("n", "x") // with a form open
			c.x.Signal(s)
			got, err := c.x.Wait()
			require.NoError(t, err)
			assert.Equal(t, code, got)
			assert.Empty(t, c.x.NotGiven())
			assert.Regexp(t, `^rinseby: ended by SIG[A-Z]+; live services stay live: start it again and go on$`, c.x.Parting())
			c.whole()
			c.left()
		})
	}
}

// TestASignalWaitsForTheDisk ends the program as soon as it has read a key: the
// entry is whole or not there, and the service was let go of all the same.
func TestASignalWaitsForTheDisk(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.owns("zones/three.toml", threeZones)
	c := &chair{salon: s, client: "Tove A."} // invented
	c.sit("Three", 0, "service.opened", "plan.set", "plan.set")
	for i := range 5 {
		c.x.Keys("p")
		c.x.Signal(syscall.SIGTERM)
		_, err := c.x.Wait()
		require.NoError(t, err)
		ks := kinds(t, c.logs()[0])
		require.Equal(t, c.logged, ks[:len(c.logged)], "time %d", i)
		require.LessOrEqual(t, len(ks), len(c.logged)+1)
		c.logged = ks
		c.left()
		c.resume()
	}
}

// TestSignalsInWords ends the program that says lines: by signals, and by
// nobody reading any more.
func TestSignalsInWords(t *testing.T) {
	t.Parallel()
	bin := newSalon(t).bin
	for name, end := range map[string]func(*os.Process, *os.File) int{
		"SIGHUP":  func(p *os.Process, _ *os.File) int { _ = p.Signal(syscall.SIGHUP); return 129 },
		"SIGTERM": func(p *os.Process, _ *os.File) int { _ = p.Signal(syscall.SIGTERM); return 143 },
		"SIGINT":  func(p *os.Process, _ *os.File) int { _ = p.Signal(os.Interrupt); return 130 },
		"nobody":  func(_ *os.Process, out *os.File) int { _ = out.Close(); return 1 },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			tmp := t.TempDir()
			out, w, err := os.Pipe()
			require.NoError(t, err)
			defer out.Close()
			in, stdin, err := os.Pipe()
			require.NoError(t, err)
			defer stdin.Close()
			var errs strings.Builder
			p := exec.Command(bin, "--data", tmp+"/data", "--config", tmp, "practice", "--plain", "--speed", "3600")
			p.Env = append(os.Environ(), "HOME="+tmp, "TMPDIR="+tmp)
			p.Stdin, p.Stdout, p.Stderr = in, w, &errs
			require.NoError(t, p.Start())
			require.NoError(t, w.Close())
			lines := bufio.NewScanner(out)
			for lines.Scan() && !strings.Contains(lines.Text(), "Logged: ") {
			}
			code := end(p.Process, out)
			if name != "nobody" {
				for lines.Scan() {
				}
			}
			_ = p.Wait()
			assert.Equal(t, code, p.ProcessState.ExitCode(), errs.String())
			assert.NotEmpty(t, errs.String())
			left, err := filepath.Glob(filepath.Join(tmp, lentFolder+"*"))
			require.NoError(t, err)
			assert.Empty(t, left, "nothing of practice is kept")
		})
	}
}

// TestPracticeLeavesNothing ends practice in all ways. What a process that was
// killed has left is swept away by the next.
func TestPracticeLeavesNothing(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	tmp := t.TempDir()
	lent := func() []string {
		left, err := filepath.Glob(filepath.Join(tmp, "*"))
		require.NoError(t, err)
		return left
	}
	start := func(args ...string) *screentest.Terminal {
		x := screentest.Start(t, s.bin, screentest.Options{Args: s.args(append([]string{"practice"}, args...)...), Env: []string{"TMPDIR=" + tmp}})
		x.WaitForFunc("practice", func(screen string) bool {
			return strings.Contains(screen, "(invented)") || strings.Contains(screen, "New service")
		})
		return x
	}
	for _, args := range [][]string{nil, {"--by-hand"}} {
		for _, sig := range []syscall.Signal{syscall.SIGHUP, syscall.SIGTERM, syscall.SIGINT, syscall.SIGQUIT} {
			x := start(args...)
			require.Len(t, lent(), 1)
			x.Signal(sig)
			code, err := x.Wait()
			require.NoError(t, err)
			assert.Equal(t, 128+int(sig), code)
			assert.Empty(t, x.NotGiven())
			assert.Contains(t, x.Parting(), "nothing of practice is kept")
			require.Empty(t, lent(), fmt.Sprint(sig, args))
		}
	}
	killed, other := start(), start()
	require.Len(t, lent(), 2)
	killed.Kill()
	require.Len(t, lent(), 2, "nobody is there to take it away")
	third := start()
	require.Len(t, lent(), 2, "of the one that runs, and its own")
	other.WaitFor("(invented)")
	for _, x := range []*screentest.Terminal{third, other} {
		x.Signal(syscall.SIGTERM)
		_, err := x.Wait()
		require.NoError(t, err)
	}
	require.Empty(t, lent())
}

// TestTheShellEndsWhileAside ends the shell behind a program that was put aside
// by ctrl+z, as a window does that is closed: the service is let go of.
func TestTheShellEndsWhileAside(t *testing.T) {
	t.Parallel()
	sh, err := exec.LookPath("bash")
	if err != nil {
		t.Skip("no shell with jobs")
	}
	s := newSalon(t)
	s.owns("zones/three.toml", threeZones)
	c := &chair{salon: s, client: "Tove A."} // invented
	c.sit("Three", 0, "service.opened", "plan.set", "plan.set")
	c.x.Keys("q")
	_, err = c.x.Wait()
	require.NoError(t, err)

	x := screentest.Start(t, sh, screentest.Options{Args: []string{"--norc", "--noprofile", "-i"}, Env: []string{"PS1=ready> "}})
	x.WaitFor("ready>")
	x.Type(strings.Join(append([]string{s.bin}, s.args()...), " ") + "\n")
	x.WaitFor("Go on with Tove A.")
	x.Keys("enter")
	x.WaitFor("all keys")
	x.Keys("p")
	x.WaitFor("Logged: pause begun")
	c.logged = append(c.logged, "pause.began")
	x.Keys("ctrl+z")
	x.WaitFor("Stopped")
	lock := c.logs()[0] + journal.LockSuffix
	held, err := os.ReadFile(lock)
	require.NoError(t, err)
	require.NotEmpty(t, held, "it is run while it is aside")
	x.Signal(syscall.SIGKILL)
	require.Eventually(t, func() bool {
		held, err := os.ReadFile(lock)
		return err != nil || len(held) == 0
	}, 20*time.Second, 10*time.Millisecond)
	c.whole()
	c.left()
}
