package tui

import (
	"fmt"
	"runtime"
	"runtime/debug"

	tea "github.com/charmbracelet/bubbletea"
)

// A Guard keeps a mistake of the program's own from leaving the terminal in
// disorder: a panic, in the loop or in any command's goroutine, ends the
// program in the ordinary way. Crash then holds what is needed to mend it.
type Guard struct {
	model tea.Model
	crash string
}

// NewGuard guards a model.
func NewGuard(m tea.Model) *Guard { return &Guard{model: m} }

// Crash is empty, or says what went wrong and where. It holds the places in
// the code, and no text from a service.
func (g *Guard) Crash() string { return g.crash }

// crashMsg brings the crash of a command to the loop.
type crashMsg struct{ text string }

// Init implements [tea.Model].
func (g *Guard) Init() (cmd tea.Cmd) {
	defer g.catch(&cmd)
	return guarded(g.model.Init())
}

// Update implements [tea.Model].
func (g *Guard) Update(msg tea.Msg) (m tea.Model, cmd tea.Cmd) {
	m = g // after a panic too: it is drawn once more
	defer g.catch(&cmd)
	if c, ok := msg.(crashMsg); ok && g.crash == "" {
		g.crash = c.text
	}
	if g.crash != "" { // what is in disorder does nothing more
		return g, tea.Quit
	}
	_, cmd = g.model.Update(msg)
	return g, guarded(cmd)
}

// View implements [tea.Model].
func (g *Guard) View() (view string) {
	defer func() {
		if r := recover(); r != nil {
			g.crash, view = crashed(r), "rinseby stopped: press any key"
		}
	}()
	if g.crash != "" {
		return ""
	}
	return g.model.View()
}

// catch turns a panic in the loop into the end of the program.
func (g *Guard) catch(cmd *tea.Cmd) {
	if r := recover(); r != nil {
		g.crash, *cmd = crashed(r), tea.Quit
	}
}

// Catch runs f. If it panics, the message makes the guard of the program that
// it is sent to end that; else it is nil. Every goroutine that is no command's
// is to run so.
func Catch(f func()) (msg tea.Msg) {
	defer func() {
		if r := recover(); r != nil {
			msg = crashMsg{crashed(r)}
		}
	}()
	f()
	return nil
}

// Crash is what went wrong and where, of a message of [Catch]; else empty.
func Crash(msg tea.Msg) string {
	c, _ := msg.(crashMsg)
	return c.text
}

// guarded turns a panic in a command, which runs in a goroutine of its own,
// into a message.
func guarded(cmd tea.Cmd) tea.Cmd {
	if cmd == nil {
		return nil
	}
	return func() tea.Msg {
		var msg tea.Msg
		if crash := Catch(func() { msg = cmd() }); crash != nil {
			return crash
		}
		if batch, ok := msg.(tea.BatchMsg); ok {
			safe := make(tea.BatchMsg, len(batch))
			for i, c := range batch {
				safe[i] = guarded(c)
			}
			return safe
		}
		return msg
	}
}

// crashed says where a panic came from. Only what the runtime itself says is
// repeated: other values may hold text from a service.
func crashed(r any) string {
	what := fmt.Sprintf("%T", r)
	if err, ok := r.(runtime.Error); ok {
		what = err.Error()
	}
	what += "\n\n"
	if inner, ok := r.(interface{ Stack() string }); ok { // of the goroutine that it was in first
		what += inner.Stack() + "\n"
	}
	return what + string(debug.Stack())
}
