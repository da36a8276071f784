// Package quietstart keeps the terminal from being asked for its background
// colour while the imports of the program initialise. A library below the
// screens does so, and waits five seconds where nothing answers: on a serial
// line, under a screen recorder, in a test.
//
// It works because Go initialises packages in the order of their import paths
// as soon as their imports are ready. This one imports only syscall and its
// path comes before "time", which every package that could ask needs. Until
// [Restore] the terminal counts as one that can't answer. It must therefore
// import nothing but syscall.
package quietstart

import "syscall"

var term, had = syscall.Getenv("TERM")

func init() { _ = syscall.Setenv("TERM", "dumb") }

// Restore gives the environment back its TERM. It is to be the first thing
// that main does.
func Restore() {
	if had {
		_ = syscall.Setenv("TERM", term)
	} else {
		_ = syscall.Unsetenv("TERM")
	}
}
