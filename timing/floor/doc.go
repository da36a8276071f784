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
// # How it is found
//
// By depth-first search over the orders of pairs of tasks. What is decided is
// kept as a difference-bound matrix (package dbm), whose earliest moments are a
// schedule once no two tasks of it overlap. Where one order of a pair has become
// impossible, the other is taken at once.
package floor
