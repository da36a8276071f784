//go:build unix

package screentest

import (
	"fmt"
	"strings"
	"time"
)

// WaitFor waits until the text is on the screen, within one line.
func (x *Terminal) WaitFor(text string) {
	x.t.Helper()
	x.WaitForFunc(fmt.Sprintf("%q", text), func(screen string) bool {
		return strings.Contains(screen, text)
	})
}

// WaitGone waits until the text is not on the screen.
func (x *Terminal) WaitGone(text string) {
	x.t.Helper()
	x.WaitForFunc(fmt.Sprintf("%q to go", text), func(screen string) bool {
		return !strings.Contains(screen, text)
	})
}

// WaitForFunc waits until ok holds for the text on the screen, as
// [Terminal.Screen] returns it. What is waited for is said by desc, should the
// test fail.
func (x *Terminal) WaitForFunc(desc string, ok func(screen string) bool) {
	x.t.Helper()
	late := time.After(x.limit)
	for {
		ended := false
		select {
		case <-x.drained:
			ended = true // so that this look at the screen is the last
		default:
		}
		screen, changed := x.look()
		switch {
		case ok(screen):
			return
		case ended:
			<-x.exited
			x.t.Fatalf("waited for %s, but %s has ended (%v).\n%s", desc, x.cmd.Path, x.cmd.ProcessState, x.frame())
		}
		select {
		case <-changed:
		case <-x.drained:
		case <-late:
			x.t.Fatalf("waited for %s for %v.\n%s", desc, x.limit, x.frame())
		}
	}
}

// look returns the text on the screen, and a channel that is closed when the
// program writes again.
func (x *Terminal) look() (screen string, changed <-chan struct{}) {
	x.mu.Lock()
	defer x.mu.Unlock()
	return strings.Join(x.lines(), "\n"), x.changed
}

// frame returns the screen as it is printed when a test fails.
func (x *Terminal) frame() string {
	var b strings.Builder
	b.WriteString("The screen:\n")
	for _, line := range x.Lines() {
		b.WriteString("  |" + line + "\n")
	}
	return b.String()
}
