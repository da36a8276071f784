package main

import (
	"io"
	"os"
	"sync"
)

// A terminal is what screens are drawn on. What is written to it at one time
// arrives in one piece, whoever else writes: a bell never falls into a frame.
type terminal struct {
	*os.File // for what a terminal is asked: its size and modes
	one      sync.Mutex
	to       io.Writer // the file, or what stands for it in tests
	lost     func()    // called when it can't be written; may be nil
}

// terminal is the one that the program draws on.
func (e *edge) terminal() *terminal {
	if e.screen == nil {
		e.screen = &terminal{File: os.Stdout, to: os.Stdout}
	}
	return e.screen
}

// Write implements [io.Writer].
func (t *terminal) Write(b []byte) (int, error) {
	t.one.Lock()
	defer t.one.Unlock()
	n, err := t.to.Write(b)
	if err != nil && t.lost != nil {
		t.lost()
	}
	return n, err
}

// WriteString implements [io.StringWriter]; without it the file's own would be
// taken.
func (t *terminal) WriteString(s string) (int, error) { return t.Write([]byte(s)) }

// keepTitle has the terminal remember its title, and returns what brings it
// back. (XTWINOPS 22 and 23, of xterm; other terminals pass them over.)
func (t *terminal) keepTitle() (restore func()) {
	_, _ = t.WriteString("\x1b[22;2t")
	return func() { _, _ = t.WriteString("\x1b[23;2t") }
}
