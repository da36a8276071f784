//go:build linux

package light_test

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/require"
)

// A screen is a program that runs in a terminal which never answers.
type screen struct {
	t      *testing.T
	cmd    *exec.Cmd
	master *os.File

	mu   sync.Mutex
	out  []byte
	last time.Time // when it wrote last
}

// start starts a program in a terminal of 120 by 40.
func start(t *testing.T, home, bin string, args ...string) *screen {
	cmd := exec.Command(bin, args...)
	cmd.Env = []string{"HOME=" + home, "TERM=xterm-256color", "LANG=C.UTF-8", "TZ=UTC", "PATH=" + os.Getenv("PATH")}
	master, err := pty.StartWithSize(cmd, &pty.Winsize{Cols: 120, Rows: 40})
	require.NoError(t, err)
	s := &screen{t: t, cmd: cmd, master: master}
	go func() {
		buf := make([]byte, 64<<10)
		for {
			n, err := master.Read(buf)
			s.mu.Lock()
			s.out, s.last = append(s.out, buf[:n]...), time.Now()
			s.mu.Unlock()
			if err != nil {
				return
			}
		}
	}()
	return s
}

func (s *screen) written() (n int, last time.Time) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.out), s.last
}

func (s *screen) has(text string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return bytes.Contains(s.out, []byte(text))
}

// waitFor waits until the program has written the text.
func (s *screen) waitFor(text string) {
	s.t.Helper()
	for begun := time.Now(); !s.has(text); time.Sleep(500 * time.Microsecond) {
		if time.Since(begun) > 30*time.Second {
			s.t.Fatalf("waited for %q: %q", text, s.out)
		}
	}
}

func (s *screen) keys(text string) {
	_, err := s.master.WriteString(text)
	require.NoError(s.t, err)
}

// end kills it.
func (s *screen) end() {
	_ = s.cmd.Process.Kill()
	_ = s.cmd.Wait()
	_ = s.master.Close()
}

// cpu is the time that the process has had.
func (s *screen) cpu() time.Duration {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", s.cmd.Process.Pid))
	require.NoError(s.t, err)
	f := strings.Fields(string(text[bytes.LastIndexByte(text, ')')+1:]))
	user, err := strconv.Atoi(f[11])
	require.NoError(s.t, err)
	sys, err := strconv.Atoi(f[12])
	require.NoError(s.t, err)
	return time.Duration(user+sys) * 10 * time.Millisecond // of the kernel's 100 Hz
}

// resident is the most memory that the process has had at once, in bytes.
func (s *screen) resident() float64 {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", s.cmd.Process.Pid))
	require.NoError(s.t, err)
	for line := range strings.SplitSeq(string(text), "\n") {
		if v, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			kb, err := strconv.ParseFloat(strings.Fields(v)[0], 64)
			require.NoError(s.t, err)
			return kb * 1024
		}
	}
	return 0
}

// frames measures how long the first frame takes, one program after the other.
func frames(t *testing.T, b binaries) []row {
	var ours, bare []float64
	for range 21 {
		for _, p := range []struct {
			bin, text string
			all       *[]float64
		}{{b.rinseby, "New service", &ours}, {b.empty, "ready", &bare}} {
			begun := time.Now()
			s := start(t, t.TempDir(), p.bin)
			s.waitFor(p.text)
			*p.all = append(*p.all, float64(time.Since(begun)))
			s.end()
		}
	}
	return []row{{"first frame on a terminal that never answers; the least: an empty program", micro(median(ours)), micro(median(bare)), ratio(median(ours), median(bare)), "1.5"}}
}

// idle measures what a live chair costs while nobody presses anything, and how
// long a key takes to the screen.
func idle(t *testing.T, b binaries) []row {
	const long = 40 * time.Second
	home, dir := t.TempDir(), t.TempDir()
	live(t, dir)
	chair := start(t, home, b.rinseby, "--data", dir)
	chair.waitFor("Go on with")
	chair.keys("\r")
	chair.waitFor("Zone 12")
	empty := start(t, home, b.empty)
	empty.waitFor("ready")
	time.Sleep(3 * time.Second) // until plan and forecast are there
	ours, bare := chair.cpu(), empty.cpu()
	time.Sleep(long)
	ours, bare = chair.cpu()-ours, empty.cpu()-bare
	rows := []row{{"idle at a chair, once a second; the least: an empty program", percent(ours, long), percent(bare, long), ratio(float64(ours), float64(bare)), "1.5"}}

	var keys []float64
	for i := range 40 {
		time.Sleep(130 * time.Millisecond)
		n, _ := chair.written()
		begun := time.Now()
		chair.keys([]string{"\x1b[B", "\x1b[A"}[i%2])
		for now := n; now == n; now, _ = chair.written() {
			time.Sleep(200 * time.Microsecond)
		}
		keys = append(keys, float64(time.Since(begun)))
	}
	rows = append(rows, row{"key to screen", micro(median(keys)), "", "", "50 ms"})
	chair.end()
	empty.end()
	return rows
}

func percent(d, of time.Duration) string {
	return fmt.Sprintf("%.2f %% of a core", 100*float64(d)/float64(of))
}

// stores measures what a start costs with many closed services.
func stores(t *testing.T, b binaries) (rows []row) {
	for size := range strings.SplitSeq(*services, ",") {
		n, err := strconv.Atoi(size)
		require.NoError(t, err)
		dir := t.TempDir()
		crowd(t, dir, n)
		run := func(args ...string) (took, most float64) {
			var all []float64
			for range 7 {
				cmd := exec.Command(b.rinseby, append([]string{"--data", dir}, args...)...)
				begun := time.Now()
				text, err := cmd.CombinedOutput()
				require.NoError(t, err, "%s", text)
				all = append(all, float64(time.Since(begun)))
				most = max(most, float64(cmd.ProcessState.SysUsage().(*syscall.Rusage).Maxrss)*1024)
			}
			return median(all), most
		}
		run("list") // makes the summary
		reach := ""
		if n <= 40000 {
			reach = "150 ms, 40 MB"
		}
		for _, c := range []struct {
			what string
			args []string
		}{{"list", []string{"list"}}, {"a client's last card", []string{"card", "Client 7"}}, {"history", []string{"history"}}} {
			took, most := run(c.args...)
			rows = append(rows, row{fmt.Sprintf("%s with %d closed services", c.what, n), fmt.Sprintf("%s, %.0f MB", micro(took), most/1e6), "", "", reach})
		}
		var all []float64
		var most float64
		for range 5 {
			begun := time.Now()
			s := start(t, t.TempDir(), b.rinseby, "--data", dir)
			s.waitFor("Repeat")
			all = append(all, float64(time.Since(begun)))
			time.Sleep(time.Second) // the rest is read
			most = max(most, s.resident())
			s.end()
		}
		rows = append(rows, row{fmt.Sprintf("first screen listed, with %d", n), fmt.Sprintf("%s, %.0f MB", micro(median(all)), most/1e6), "", "", reach})
		_ = os.RemoveAll(filepath.Join(dir, "closed"))
	}
	return rows
}
