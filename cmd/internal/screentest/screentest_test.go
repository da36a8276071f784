//go:build unix

package screentest

import (
	"fmt"
	"os"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const testprog = "rinseby/cmd/internal/screentest/testprog"

func TestMain(m *testing.M) {
	defer Clean()
	m.Run()
}

// startProg starts the test program and waits for its first frame.
func startProg(t *testing.T, o Options) *Terminal {
	t.Helper()
	x := Start(t, Build(t, testprog), o)
	x.WaitFor("keys []")
	return x
}

// shell starts a line of shell script.
func shell(t testing.TB, script string, o Options) *Terminal {
	t.Helper()
	o.Args = []string{"-c", script}
	return Start(t, "/bin/sh", o)
}

// A spy records a failure in place of failing the test.
type spy struct {
	testing.TB
	failure string
}

func (s *spy) Helper()           {}
func (s *spy) Fatal(args ...any) { s.Fatalf("%s", fmt.Sprint(args...)) }

func (s *spy) Fatalf(format string, args ...any) {
	s.failure = fmt.Sprintf(format, args...)
	runtime.Goexit()
}

// failure returns what f fails with when x gives up after the given time.
func failure(x *Terminal, after time.Duration, f func()) string {
	was := &spy{TB: x.t}
	x.t, x.limit = was, after
	done := make(chan struct{})
	go func() {
		defer close(done)
		f()
	}()
	<-done
	x.t, x.limit = was.TB, limit
	return was.failure
}

func TestBuildIsDoneOnce(t *testing.T) {
	first := Build(t, testprog)
	before, err := os.Stat(first)
	require.NoError(t, err)
	second := Build(t, testprog)
	after, err := os.Stat(second)
	require.NoError(t, err)
	assert.Equal(t, first, second)
	assert.True(t, os.SameFile(before, after) && before.ModTime().Equal(after.ModTime()))
}

func TestSizeIsToldAtTheStartAndOnResize(t *testing.T) {
	x := startProg(t, Options{})
	x.WaitFor("size 80x24")
	require.Len(t, x.Lines(), 24)

	x.Resize(61, 20)
	x.WaitFor("size 61x20")
	assert.Len(t, x.Lines(), 20)

	y := startProg(t, Options{Width: 120, Height: 40})
	y.WaitFor("size 120x40")
}

func TestKeysArriveUnderTheirNames(t *testing.T) {
	keys := []string{
		"a", "Å", "+", "space", "enter", "esc", "tab", "shift+tab", "backspace", "delete", "insert", "home",
		"end", "pgup", "pgdown", "up", "down", "left", "right", "shift+up", "alt+left", "ctrl+right", "ctrl+a",
		"ctrl+x", "alt+x", "f1", "f2", "f3", "f4", "f5", "f6", "f7", "f8", "f9", "f10", "f11", "f12", "f13",
		"f14", "f15", "f16", "f17", "f18", "f19", "f20", "esc", "n", "n",
	}
	x := startProg(t, Options{Width: 200})
	for part := range slices.Chunk(keys, 12) { // no more than the program shows
		x.Keys(part...)
		names := strings.Join(part, "|")
		x.WaitFor(strings.Replace(names, "|space|", "| |", 1) + "]")
	}
}

func TestEveryKeyIsReadByItself(t *testing.T) {
	x := startProg(t, Options{Width: 200})
	x.Keys("esc", "a", "n", "n", "space", "esc", "esc", "b")
	x.WaitFor("keys [esc|a|n|n| |esc|esc|b]")
}

func TestTypeIsOneBurst(t *testing.T) {
	x := startProg(t, Options{})
	x.Type("nn")
	x.WaitFor("keys [nn]")
}

func TestCtrlCIsAnInterruptOutsideRawMode(t *testing.T) {
	x := shell(t, `trap 'echo interrupted; exit 4' INT; echo ready; while :; do read -r line; done`, Options{})
	x.WaitFor("ready")
	x.Keys("ctrl+c")
	x.WaitFor("interrupted")
	code, err := x.Wait()
	assert.Equal(t, 4, code)
	assert.NoError(t, err)
}

func TestQuestionsAreAnswered(t *testing.T) {
	x := startProg(t, Options{})
	assert.Contains(t, string(x.Raw()), "\x1b]11;?", "the test program asks for the background colour")

	for _, ask := range []struct{ name, question, answer string }{
		{"foreground", `\033]10;?\033\\`, "]10;rgb:ffff/ffff/ffff"},
		{"background", `\033]11;?\033\\`, "]11;rgb:0000/0000/0000"},
		{"cursor", `\033[6n`, "[1;1R"},
		{"attributes", `\033[c`, "[?62;"},
	} {
		t.Run(ask.name, func(t *testing.T) {
			// Echo is on, and shows the escape character as ^[.
			x := shell(t, "printf '"+ask.question+"'; sleep 60", Options{})
			x.WaitFor("^[" + ask.answer)
		})
	}
}

func TestSilentTerminalAnswersNothing(t *testing.T) {
	const script = `stty raw -echo; printf '\033[6nready'; dd bs=1 count=1 2>/dev/null | od -An -c`
	x := shell(t, script, Options{Silent: true})
	x.WaitFor("ready")
	x.Keys("a")
	_, err := x.Wait()
	require.NoError(t, err)
	assert.Contains(t, x.Screen(), "  a", "the key must be the first that the program reads")

	y := shell(t, script, Options{})
	_, err = y.Wait()
	require.NoError(t, err)
	assert.Contains(t, y.Screen(), " 033")
}

func TestCellsHaveStyles(t *testing.T) {
	x := startProg(t, Options{})
	x.WaitFor("loud red 髪 end")

	loud := x.Cell(0, 2)
	assert.Equal(t, "l", loud.Text)
	assert.True(t, loud.Bold)
	assert.True(t, loud.Reverse)
	assert.Nil(t, loud.Foreground)
	assert.Equal(t, ansi.Red, x.Cell(5, 2).Foreground)
	assert.False(t, x.Cell(5, 2).Bold)
	assert.Equal(t, "髪", x.Cell(9, 2).Text)
	assert.Equal(t, "", x.Cell(10, 2).Text)
	assert.Equal(t, Cell{}, x.Cell(80, 2))
	assert.Equal(t, Cell{}, x.Cell(0, -1))
}

func TestWaitTellsHowTheProgramEnded(t *testing.T) {
	x := startProg(t, Options{})
	x.Keys("q")
	code, err := x.Wait()
	assert.Equal(t, 3, code)
	assert.NoError(t, err)
	assert.Contains(t, x.Screen(), "goodbye", "the last output must be on the screen")

	y := startProg(t, Options{})
	y.Signal(syscall.SIGTERM)
	code, err = y.Wait()
	assert.NoError(t, err, "the test program handles the signal")
	assert.Equal(t, 3, code)

	z := startProg(t, Options{})
	z.Kill()
	code, err = z.Wait()
	assert.Equal(t, -1, code)
	assert.ErrorContains(t, err, "killed")
	z.Kill()
}

func TestTheLastOutputIsNeverLost(t *testing.T) {
	for i := range 50 {
		x := shell(t, fmt.Sprintf(`printf 'first\nsecond\nlast %d'`, i), Options{})
		code, err := x.Wait()
		require.NoError(t, err)
		require.Zero(t, code)
		require.Equal(t, []string{"first", "second", fmt.Sprint("last ", i), ""}, x.Lines()[:4])
	}
}

func TestWaitGone(t *testing.T) {
	x := shell(t, `printf hello; read -r line; printf '\033[2J'; read -r line`, Options{})
	x.WaitFor("hello")
	x.Keys("enter")
	x.WaitGone("hello")
}

func TestEnvironment(t *testing.T) {
	t.Setenv("SCREENTEST_SECRET", "seen")
	x := shell(t, `pwd; echo "$HOME"; echo "$TERM:$TZ:$MORE:$SCREENTEST_SECRET:"`,
		Options{Width: 200, Env: []string{"MORE=yes", "TZ=CET"}})
	_, err := x.Wait()
	require.NoError(t, err)
	lines := x.Lines()
	assert.Equal(t, lines[0], lines[1], "the program starts in its own HOME")
	assert.Equal(t, "xterm-256color:CET:yes::", lines[2])
}

func TestFailuresShowTheScreen(t *testing.T) {
	const soon = 50 * time.Millisecond
	x := shell(t, `stty raw -echo; printf hello; sleep 60`, Options{Height: 5})
	x.WaitFor("hello")
	for name, f := range map[string]func(){
		"not there":     func() { x.WaitFor("goodbye") },
		"not gone":      func() { x.WaitGone("hello") },
		"not ended":     func() { _, _ = x.Wait() },
		"key not read":  func() { x.Keys("a") },
		"text not read": func() { x.Type("abc") },
	} {
		got := failure(x, soon, f)
		assert.Contains(t, got, "|hello\n", name)
		assert.Contains(t, got, "50ms", name)
	}
	assert.Contains(t, failure(x, soon, func() { x.Keys("hyper+a") }), `no key is called "hyper+a"`)

	// A program that has ended is not waited for.
	y := shell(t, `printf hello; exit 6`, Options{Height: 5})
	got := failure(y, limit, func() { y.WaitFor("goodbye") })
	assert.Contains(t, got, "has ended (exit status 6)")
	assert.Contains(t, got, "|hello\n")
	assert.Contains(t, failure(y, limit, func() { y.Keys("a") }), "has ended (exit status 6)")
}
