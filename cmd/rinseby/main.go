// Rinseby runs a hair colour service at the chair: what to do next, and by
// when it must be off.
package main

import (
	"errors"
	"fmt"
	"os"
	"runtime/debug"

	"rinseby/cmd/internal/quietstart"
	"rinseby/cmd/internal/steady"
	"rinseby/cmd/internal/sysclock"
	"rinseby/tui/clean"
)

// heapGrowth is how much memory may grow, in percent of what is in use, before
// it is cleared up. Little is in use, and station computers are old.
const heapGrowth = 50

func main() {
	quietstart.Restore()
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(heapGrowth)
	}
	os.Exit(newEdge(sysclock.New(), os.Stdin, output{os.Stdout}, os.Stderr).run(os.Args[1:]))
}

// run carries a command line out and returns the exit code.
func (e *edge) run(args []string) int {
	root := e.root()
	root.SetArgs(args)
	err := steady.Do(root.Execute)
	if err == nil {
		return 0
	}
	var crash *steady.Crash
	if errors.As(err, &crash) {
		err = errors.New(e.crashed(crash))
	}
	if text := clean.Indented(err); text != "" {
		fmt.Fprintln(e.err, "rinseby:", text)
	}
	var code *exitError
	if errors.As(err, &code) {
		return code.code
	}
	return 1
}

// An exitError ends the program with a code of its own.
type exitError struct {
	code int
	text string
}

func (e *exitError) Error() string { return e.text }
