// Package timing is the pure arithmetic of coats on hair: readings of clocks
// and the one time line they are folded into, windows, exposure and phase.
//
// It knows nothing of files, screens or salons. Time is always an argument; no
// function here reads a clock. All functions are deterministic, so that a log
// folded twice, on any machine, gives the same figures.
package timing
