// Package floor puts several services on one pair of hands: it says whether
// all that hands still have to do fits, in which order; if it does not, what
// collides, by how much, and what single promise would have to give way; and
// where one more task of so many minutes fits.
//
// # What a schedule keeps to
//
// All times are whole seconds from now.
//
//   - A worker does one task at a time and breaks none off. Tasks of different
//     workers never get in each other's way.
//   - The tasks of a chain are done in their order. Between them hands are free
//     for other chains.
//   - A link bounds the time from the start of one task, or from now, to the
//     start of a later task of the same chain.
//   - A task that has begun starts at 0.
//
// # What is proved
//
// [Fits] comes with a schedule. [Cannot] is said only if the search has ruled
// out every order of the tasks. Where the budget ends before either,
// the answer is [Unproven]. Of schedules that fit, an early one is given: in its
// order no task can start earlier, and no two tasks that follow one another
// could change places so that the sum of all starts gets less (unless the
// budget ends while that is tried). That it is the earliest of all is not
// claimed.
//
// The same holds for what is missing: a [Collision] that is Proved names the
// least; otherwise what it names is enough, and less may be.
//
// # How it is found
//
// By depth-first search: hands take up one task after another, and every choice
// of the next is tried. The moments are not fixed but kept as a difference-bound
// matrix (package dbm), so waiting is covered without being tried; its earliest
// moments are a schedule as soon as no two tasks overlap in them. An order of
// two tasks that has become impossible forces the other; so does a task for
// which there is no room among all that must end by some moment. What failed
// is remembered: with the same tasks done, nothing is tried that leaves no more
// choice of moments. The search begins anew, with another idea of what to try
// first, after every doubling of its budget.
//
// How much is missing is found by adding to the bounds, and asking again
// whether all fits: what is enough comes with a schedule, and less is ruled
// out by a search.
package floor
