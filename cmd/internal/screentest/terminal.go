//go:build unix

package screentest

import (
	"bytes"
	"errors"
	"image/color"
	"io"
	"os"
	"os/exec"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	uv "github.com/charmbracelet/ultraviolet"
	"github.com/charmbracelet/x/term"
	"github.com/charmbracelet/x/vt"
	"github.com/creack/pty"
)

// limit is how long anything is waited for before the test fails. It is
// generous because a test machine may be busy.
const limit = 20 * time.Second

// Options say how a program is started.
type Options struct {
	// Args are the arguments after the program's name.
	Args []string
	// Env adds to the environment, or replaces in it, as "NAME=value". Without
	// it the program sees PATH, TMPDIR and GOCOVERDIR of the test, an empty
	// HOME of its own, TERM=xterm-256color, LANG=C.UTF-8 and TZ=UTC, and
	// nothing else.
	Env []string
	// Dir is the working folder; the empty HOME if "".
	Dir string
	// Width and Height are the size in cells; 80 and 24 if zero.
	Width, Height int
	// Silent makes a terminal that never answers a question.
	Silent bool
}

// A Terminal is a program that runs, and the screen it draws on. Its methods
// are for the goroutine of the test.
type Terminal struct {
	t      testing.TB
	cmd    *exec.Cmd
	master *os.File
	limit  time.Duration
	modes  *term.State // of the terminal, before the program was started

	exited  chan struct{} // closed when the process is gone
	exitErr error         // what waiting for it returned; valid once exited is closed
	left    *term.State   // the modes that it left; valid once exited is closed
	drained chan struct{} // closed when all that it wrote is on the screen

	mu      sync.Mutex
	slave   *os.File // the program's end, held to see whether it has read its input; nil once it has ended
	vt      *vt.Emulator
	raw     []byte
	changed chan struct{} // closed and replaced when the program has written
}

// Start runs the program bin in a new terminal, and kills it when the test
// ends. It does not wait for the first frame.
func Start(t testing.TB, bin string, o Options) *Terminal {
	t.Helper()
	if o.Width == 0 {
		o.Width = 80
	}
	if o.Height == 0 {
		o.Height = 24
	}
	home := t.TempDir()
	if o.Dir == "" {
		o.Dir = home
	}
	master, slave, err := pty.Open()
	if err != nil {
		t.Fatalf("open a pseudo-terminal: %v", err)
	}
	x := &Terminal{
		t: t, master: master, slave: slave, limit: limit,
		vt:      vt.NewEmulator(o.Width, o.Height),
		exited:  make(chan struct{}),
		drained: make(chan struct{}),
		changed: make(chan struct{}),
	}
	x.cmd = exec.Command(bin, o.Args...)
	x.cmd.Env = environment(home, o.Env)
	x.cmd.Dir = o.Dir
	x.cmd.Stdin, x.cmd.Stdout, x.cmd.Stderr = slave, slave, slave
	x.cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	err = pty.Setsize(master, size(o.Width, o.Height))
	if err == nil {
		x.modes, err = term.GetState(slave.Fd())
	}
	if err == nil {
		err = x.cmd.Start()
	}
	if err != nil {
		_ = master.Close()
		_ = slave.Close()
		t.Fatalf("start %s in a pseudo-terminal: %v", bin, err)
	}
	go x.show()
	go x.answer(o.Silent)
	go x.reap()
	t.Cleanup(x.close)
	return x
}

// environment returns the surroundings of a program, alike on every machine.
func environment(home string, more []string) []string {
	env := []string{"HOME=" + home, "TERM=xterm-256color", "LANG=C.UTF-8", "TZ=UTC"}
	for _, name := range []string{"PATH", "TMPDIR", "GOCOVERDIR"} {
		if value, ok := os.LookupEnv(name); ok {
			env = append(env, name+"="+value)
		}
	}
	return append(env, more...)
}

func size(w, h int) *pty.Winsize { return &pty.Winsize{Cols: uint16(w), Rows: uint16(h)} }

// show puts what the program writes on the screen, until it has ended.
func (x *Terminal) show() {
	defer close(x.drained)
	buf := make([]byte, 32<<10)
	for {
		n, err := x.master.Read(buf)
		if n > 0 {
			x.mu.Lock()
			x.raw = append(x.raw, buf[:n]...)
			_, _ = x.vt.Write(buf[:n])
			close(x.changed)
			x.changed = make(chan struct{})
			x.mu.Unlock()
		}
		if err != nil {
			return
		}
	}
}

// answer carries the virtual terminal's replies to the program. The replies
// come through a pipe that holds nothing, so that they must be taken off it
// even when they are thrown away: the write that caused them waits.
func (x *Terminal) answer(silent bool) {
	buf := make([]byte, 1024)
	for {
		n, err := x.vt.Read(buf)
		if err != nil {
			return
		}
		if !silent {
			_, _ = x.master.Write(buf[:n])
		}
	}
}

// reap waits for the process, then lets go of its end of the terminal, so that
// show comes to the end of the output.
func (x *Terminal) reap() {
	x.exitErr = x.cmd.Wait()
	x.mu.Lock()
	x.left, _ = term.GetState(x.slave.Fd())
	_ = x.slave.Close()
	x.slave = nil
	x.mu.Unlock()
	close(x.exited)
}

func (x *Terminal) close() {
	_ = x.cmd.Process.Kill()
	<-x.exited
	// Not vt.Close, which writes a field that answer reads.
	_ = x.vt.InputPipe().(io.Closer).Close()
	select {
	case <-x.drained:
	case <-time.After(x.limit):
		x.t.Errorf("a process that %s started still holds the terminal", x.cmd.Path)
	}
	_ = x.master.Close()
}

// Resize gives the terminal a new size in cells. The program is told, as by a
// window that is dragged.
func (x *Terminal) Resize(w, h int) {
	x.t.Helper()
	x.mu.Lock()
	defer x.mu.Unlock()
	x.vt.Resize(w, h)
	if err := pty.Setsize(x.master, size(w, h)); err != nil {
		x.t.Fatalf("set the size of the terminal to %d by %d: %v", w, h, err)
	}
}

// Signal sends the program a signal.
func (x *Terminal) Signal(s os.Signal) {
	x.t.Helper()
	if err := x.cmd.Process.Signal(s); err != nil {
		x.t.Fatalf("send %v to %s: %v", s, x.cmd.Path, err)
	}
}

// Kill ends the program at once, with SIGKILL, and waits until it is gone. It
// may be gone already.
func (x *Terminal) Kill() {
	x.t.Helper()
	if err := x.cmd.Process.Kill(); err != nil && !errors.Is(err, os.ErrProcessDone) {
		x.t.Fatalf("kill %s: %v", x.cmd.Path, err)
	}
	_, _ = x.Wait()
}

// Wait waits for the program to end, with the last of its output on the
// screen, and returns its exit code. The error is nil when the program ended
// by itself, whatever the code; when a signal ended it, the code is -1 and the
// error names the signal.
func (x *Terminal) Wait() (int, error) {
	x.t.Helper()
	late := time.After(x.limit)
	for _, done := range []chan struct{}{x.exited, x.drained} {
		select {
		case <-done:
		case <-late:
			x.t.Fatalf("%s has not ended after %v.\n%s", x.cmd.Path, x.limit, x.frame())
		}
	}
	if x.cmd.ProcessState.Exited() {
		return x.cmd.ProcessState.ExitCode(), nil
	}
	return -1, x.exitErr
}

// Raw returns all the bytes that the program has written so far.
func (x *Terminal) Raw() []byte {
	x.mu.Lock()
	defer x.mu.Unlock()
	return bytes.Clone(x.raw)
}

// Screen returns the text on the screen now: [Terminal.Lines], joined by line
// feeds.
func (x *Terminal) Screen() string { return strings.Join(x.Lines(), "\n") }

// Lines returns the text on the screen now, without styles and without spaces
// at the end of a line. There are as many lines as the terminal is high.
func (x *Terminal) Lines() []string {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.lines()
}

func (x *Terminal) lines() []string {
	lines := make([]string, x.vt.Height())
	for row := range lines {
		var b strings.Builder
		for col := 0; col < x.vt.Width(); {
			cell := x.vt.CellAt(col, row)
			if cell == nil || cell.Content == "" {
				b.WriteByte(' ')
				col++
				continue
			}
			b.WriteString(cell.Content)
			col += max(cell.Width, 1)
		}
		lines[row] = strings.TrimRight(b.String(), " ")
	}
	return lines
}

// A Cell is one place on the screen.
type Cell struct {
	// Text is the character; a space if nothing was written there, "" in the
	// right half of a wide one.
	Text string
	// Foreground and Background are nil for the terminal's own colours. Of the
	// 256 indexed colours they are an ansi.BasicColor or ansi.IndexedColor.
	Foreground, Background              color.Color
	Bold, Faint, Italic, Reverse, Blink bool
	Underline                           bool
}

// Cell returns what is at column col and row row, both counted from 0. Outside
// the screen it is the zero Cell.
func (x *Terminal) Cell(col, row int) Cell {
	x.mu.Lock()
	defer x.mu.Unlock()
	cell := x.vt.CellAt(col, row)
	if cell == nil {
		return Cell{}
	}
	s := cell.Style
	return Cell{
		Text:       cell.Content,
		Foreground: s.Fg,
		Background: s.Bg,
		Bold:       s.Attrs&uv.AttrBold != 0,
		Faint:      s.Attrs&uv.AttrFaint != 0,
		Italic:     s.Attrs&uv.AttrItalic != 0,
		Reverse:    s.Attrs&uv.AttrReverse != 0,
		Blink:      s.Attrs&(uv.AttrBlink|uv.AttrRapidBlink) != 0,
		Underline:  s.Underline != uv.UnderlineNone,
	}
}
