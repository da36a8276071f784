// Package screentest runs a built program in a pseudo-terminal, as a person
// would, and shows what is on its screen.
//
// The program's output goes to a virtual terminal, which keeps the screen and
// answers what programs ask of a terminal (its colours, the cursor's place,
// what it can do). With [Options].Silent it answers nothing, as some terminals
// and links do.
//
// Nothing here sleeps for a fixed time: [Terminal.WaitFor] and its like look
// at the screen each time the program has written. They give up after 20
// seconds, or as soon as the program has ended, and then print the screen.
//
// The screen may be looked at between two frames, or in the middle of one.
// Where several things must hold at once, ask for them in one
// [Terminal.WaitForFunc] rather than one after the other.
//
// The package is empty on Windows: tests that use it carry the build
// constraint unix.
package screentest
