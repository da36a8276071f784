//go:build unix

package steady_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/cmd/internal/screentest"
	"rinseby/session/journal"
)

const testprog = "rinseby/cmd/internal/steady/testprog"

func TestMain(m *testing.M) {
	code := m.Run()
	screentest.Clean()
	os.Exit(code)
}

// A trial is the test program with one live service on the screen.
type trial struct {
	*screentest.Terminal
	dir string
}

func begin(t *testing.T, args ...string) *trial {
	dir := filepath.Join(t.TempDir(), "data")
	x := screentest.Start(t, screentest.Build(t, testprog), screentest.Options{Args: append(args, dir)})
	x.WaitFor("Tove A.")
	x.WaitFor("all keys")
	x.Keys("p")
	x.WaitFor("Logged: pause begun")
	return &trial{x, dir}
}

// dropped is said of a service that others see as one whose chair is gone.
const dropped = "the service was not let go of"

// disorder waits for the program to end, and lists what it left in disorder:
// of the terminal, the log, the lock, and the crash file if there is to be one.
func (x *trial) disorder(t *testing.T, code int, crash bool) (wrong []string) {
	got, err := x.Wait()
	if got != code {
		wrong = append(wrong, fmt.Sprintf("exit code %d (%v), not %d", got, err, code))
	}
	for _, left := range x.NotGiven() {
		wrong = append(wrong, left+" is not given back")
	}
	logs, err := filepath.Glob(filepath.Join(x.dir, "live", "*.jsonl"))
	require.NoError(t, err)
	require.Len(t, logs, 1)
	if held, err := os.ReadFile(logs[0] + journal.LockSuffix); err == nil && len(held) > 0 {
		wrong = append(wrong, dropped)
	}
	j, recs, err := journal.Open(logs[0])
	if err != nil {
		return append(wrong, "the log: "+err.Error())
	}
	defer j.Close()
	if last := recs[len(recs)-1].Kind; last != "pause.began" && last != "pain.reported" {
		wrong = append(wrong, "the log ends with "+last)
	}
	if strings.Contains(x.Parting(), "Tove") {
		wrong = append(wrong, "the client is told on the terminal")
	}
	if x.Parting() == "" {
		wrong = append(wrong, "nothing is said")
	}
	files, err := filepath.Glob(filepath.Join(x.dir, "crash-*.txt"))
	require.NoError(t, err)
	switch {
	case !crash && len(files) > 0:
		return append(wrong, "there is a crash file")
	case !crash:
		return wrong
	case len(files) != 1:
		return append(wrong, fmt.Sprintf("%d crash files", len(files)))
	}
	text, err := os.ReadFile(files[0])
	require.NoError(t, err)
	info, err := os.Stat(files[0])
	require.NoError(t, err)
	if info.Mode().Perm() != 0o600 {
		wrong = append(wrong, "the crash file is open to others")
	}
	if !strings.Contains(string(text), "testprog/main.go") {
		wrong = append(wrong, "the crash file does not say where: "+string(text))
	}
	if strings.Contains(string(text), "Tove") {
		wrong = append(wrong, "the crash file names the client")
	}
	return wrong
}

// breaks are the places where a panic is tried, and the keys that bring it
// about.
var breaks = map[string][]string{
	"update": {"f5"}, "view": {"f5"}, "command": {"f5"}, "batch": {"f5"},
	"watcher": {"f5"}, "reader": {"f5"}, "alert": {"x"},
}

// TestAPanicAnywhereLeavesOrder breaks the program in every kind of goroutine.
func TestAPanicAnywhereLeavesOrder(t *testing.T) {
	t.Parallel()
	for where, press := range breaks {
		t.Run(where, func(t *testing.T) {
			t.Parallel()
			x := begin(t, "-breaks", where)
			x.Keys(press...)
			assert.Empty(t, x.disorder(t, 1, true))
			assert.Contains(t, x.Parting(), "it stopped on a mistake of its own")
		})
	}
}

// TestTheTrialsFindWhatIsNotGuarded takes the guard away. A goroutine of our
// own that panics then leaves the terminal raw.
func TestTheTrialsFindWhatIsNotGuarded(t *testing.T) {
	t.Parallel()
	for where, press := range breaks {
		t.Run(where, func(t *testing.T) {
			t.Parallel()
			x := begin(t, "-breaks", where, "-guarded=false")
			x.Keys(press...)
			wrong := x.disorder(t, 1, true)
			assert.Contains(t, wrong, "0 crash files")
			assert.Contains(t, wrong, dropped)
			if where == "watcher" || where == "reader" {
				assert.Contains(t, wrong, "the modes of the terminal is not given back")
				assert.Contains(t, wrong, "the other screen is not given back")
			}
		})
	}
}

// TestASignalLeavesOrder ends the program by each signal, at the chair and with
// a form open.
func TestASignalLeavesOrder(t *testing.T) {
	t.Parallel()
	for s, code := range map[syscall.Signal]int{syscall.SIGHUP: 129, syscall.SIGINT: 130, syscall.SIGQUIT: 131, syscall.SIGTERM: 143} {
		for name, press := range map[string][]string{"chair": nil, "form": {"n", "h", "i"}} {
			t.Run(fmt.Sprint(name, " ", s), func(t *testing.T) {
				t.Parallel()
				x := begin(t)
				x.Keys(press...)
				x.Signal(s)
				assert.Empty(t, x.disorder(t, code, false))
				assert.Regexp(t, `^ended by SIG[A-Z]+$`, x.Parting())
			})
		}
	}
	t.Run("without a guard", func(t *testing.T) {
		t.Parallel()
		x := begin(t, "-guarded=false")
		x.Signal(syscall.SIGHUP)
		assert.Contains(t, x.disorder(t, 129, false), "the modes of the terminal is not given back")
	})
}

// TestAProgramThatHangsIsEnded stops the loop of the program for good.
func TestAProgramThatHangsIsEnded(t *testing.T) {
	t.Parallel()
	x := begin(t, "-breaks", "hang", "-patience", "200ms")
	x.Keys("f5")
	x.Signal(syscall.SIGTERM)
	assert.Equal(t, []string{dropped}, x.disorder(t, 143, false), "nobody can tell what the loop was at")
	assert.Contains(t, x.Parting(), "it hung, and was ended")
}

// TestTheClockIsSetWhileTheProgramRuns puts the wall clock on by an hour: that is
// logged by itself and said, and what is on the screen goes on from what it was.
func TestTheClockIsSetWhileTheProgramRuns(t *testing.T) {
	t.Parallel()
	x := begin(t)
	x.Keys("f6")
	x.WaitFor("the computer's clock was moved by 1h0m0s")
	x.Keys("q")
	_, err := x.Wait()
	require.NoError(t, err)
	logs, err := filepath.Glob(filepath.Join(x.dir, "live", "*.jsonl"))
	require.NoError(t, err)
	text, err := os.ReadFile(logs[0])
	require.NoError(t, err)
	assert.Contains(t, string(text), `"what":"stepped"`)
}
