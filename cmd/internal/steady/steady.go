package steady

import (
	"errors"
	"os"
	"os/signal"
	"syscall"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/term"

	"rinseby/tui"
)

// signals end the program as its key does: a window that is closed, ctrl+c
// where the terminal makes a signal of it, the end of the session. With each
// goes its number.
var signals = map[os.Signal]Ended{
	syscall.SIGHUP:  {By: "SIGHUP", Code: 128 + 1},
	os.Interrupt:    {By: "SIGINT", Code: 128 + 2},
	syscall.SIGQUIT: {By: "SIGQUIT", Code: 128 + 3},
	syscall.SIGTERM: {By: "SIGTERM", Code: 128 + 15},
}

// gone is how the program ends whose terminal can't be read or written: as by
// the signal that comes with it.
var gone = Ended{By: "a terminal that is gone", Code: 128 + 1}

// patience is [Runner.Patience] unless another is given. House rule, no source:
// systems that shut down wait longer.
const patience = 3 * time.Second

// A Runner runs one program. It heeds signals from its making on.
type Runner struct {
	// Patience is how long the program may take to leave once it was told to,
	// until it is ended unasked; and how long that may take.
	Patience time.Duration

	signals chan os.Signal
	crashed chan tea.Msg  // by goroutines beside the program
	lost    chan struct{} // the terminal
	program *tea.Program  // once ready
	ready   chan struct{} // closed when there is a program
}

// New makes a runner. [Runner.Close] ends its hold on signals.
func New() *Runner {
	r := &Runner{
		Patience: patience,
		signals:  make(chan os.Signal, 8), crashed: make(chan tea.Msg, 1),
		lost: make(chan struct{}, 1), ready: make(chan struct{}),
	}
	for s := range signals {
		if !signal.Ignored(s) { // as by nohup
			signal.Notify(r.signals, s)
		}
	}
	signal.Notify(r.signals, syscall.SIGPIPE) // so that writing to nobody is an error, and not the end
	return r
}

// Close leaves signals to what they did before.
func (r *Runner) Close() { signal.Stop(r.signals) }

// Go runs f in a goroutine of its own. A panic there ends the program.
func (r *Runner) Go(f func()) {
	go func() {
		if crash := tui.Catch(f); crash != nil {
			select {
			case r.crashed <- crash:
			default: // it ends already
			}
		}
	}()
}

// Lost tells that the terminal can't be written any more, so that the program
// ends.
func (r *Runner) Lost() {
	select {
	case r.lost <- struct{}{}:
	default:
	}
}

// Send sends the program a message, as soon as there is one.
func (r *Runner) Send(msg tea.Msg) {
	<-r.ready
	r.program.Send(msg)
}

// Run runs a model until it ends. The error is nil if that was the user's
// doing; it is a [Crash] after a panic, and an [Ended] after a signal or if the
// terminal is gone. The terminal is then as it was before, and letGo has been
// called, unless the model hangs.
func (r *Runner) Run(m tea.Model, letGo func() error, with ...tea.ProgramOption) error {
	if before, err := term.GetState(os.Stdin.Fd()); err == nil {
		defer func() { _ = term.Restore(os.Stdin.Fd(), before) }() // it may be gone
	}
	guard := tui.NewGuard(m)
	r.program = tea.NewProgram(guard, append(with, tea.WithoutSignalHandler())...)
	close(r.ready)
	over := make(chan error, 1)
	go func() {
		_, err := r.program.Run() // catches its own panics
		over <- err
	}()
	told, err, hangs := r.wait(over)
	if hangs {
		return told
	}
	return errors.Join(why(guard.Crash(), told, err), Do(letGo))
}

// Do does f. Its error is a [Crash] if f panics.
func Do(f func() error) (err error) {
	if text := tui.Crash(tui.Catch(func() { err = f() })); text != "" {
		return &Crash{text}
	}
	return err
}

// wait waits until the program is over, and tells it what ends it. It says
// what that was, if it was not the user; or that the program hangs.
func (r *Runner) wait(over <-chan error) (told, err error, hangs bool) {
	var late <-chan time.Time
	killed := false
	tell := func(why Ended) {
		if told == nil {
			told, late = &why, time.After(r.Patience)
		}
		go r.program.Send(tui.Leave{})
	}
	for {
		select {
		case err := <-over:
			return told, err, false
		case crash := <-r.crashed:
			late = time.After(r.Patience)
			go r.program.Send(crash)
		case s := <-r.signals:
			if why, ok := signals[s]; ok {
				tell(why)
			}
		case <-r.lost:
			tell(gone)
		case <-late:
			if killed {
				r.release()
				return errors.Join(told, errors.New("it hung, and was ended: what was not answered with \"Logged\" may be lost")), nil, true
			}
			killed, late = true, time.After(r.Patience)
			r.program.Kill()
		}
	}
}

// release gives the terminal back while the program hangs.
func (r *Runner) release() {
	done := make(chan struct{})
	go func() {
		_ = r.program.ReleaseTerminal() // there is nobody to tell
		close(done)
	}()
	select {
	case <-done:
	case <-time.After(r.Patience):
	}
}

// why is why a program ended, if that was not the user's doing.
func why(crash string, told, err error) error {
	switch {
	case crash != "":
		return &Crash{crash}
	case errors.Is(err, tea.ErrProgramPanic): // outside of what is guarded
		return &Crash{err.Error()}
	case told != nil:
		return told
	case errors.Is(err, tea.ErrProgramKilled): // by an error of reading
		return &gone
	}
	return err
}
