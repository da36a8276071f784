// Package tui is the program on the terminal: the root model, which owns the
// one tick, the service that is open and the way to its journal, and hands
// everything else to the screens in the packages below it.
//
// Keys become intents (package intent); the root decides an intent's commands
// against the log, has the events written, and folds them in once they are on
// the disk. Screens are shown a board and never compute anything of a service.
package tui
