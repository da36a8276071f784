// Package dbm keeps systems of difference constraints, x - y <= c over whole
// numbers, as planners need them: moments that may be waited for, as long as
// no bound between two of them is broken.
//
// A [Matrix] is a difference-bound matrix that is kept closed (its tightest
// form, as all-pairs shortest paths give it) as constraints come in one by
// one: it tells at once whether a solution is left, and what is left between
// any two moments. It is for searches, where a system grows by one moment at
// a time and moments that no longer matter are left out. A [System] is a
// sparse list of constraints that is solved once, for its earliest solution, or
// for those of them that contradict one another.
//
// Difference constraints with whole bounds have whole solutions whenever they
// have any, so nothing is lost by counting in seconds.
package dbm
