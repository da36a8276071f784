// Package rinse plans one pair of hands over several zones: what to apply,
// when to walk to the basin, which zones to rinse there and in which order,
// and when to come back, so that every zone comes off inside its window.
//
// # What a plan keeps to
//
// All times are whole seconds on an axis of the caller's choice.
//
//   - A zone's application is not broken off; zones are applied one at a time.
//     Its first contact is the start of its application, its last contact the
//     end of it. A zone that is partly on when the planning starts keeps its
//     first contact; what is left of it is applied in one go.
//   - A zone is off when its own rinse ends. That moment is no earlier than
//     its last contact + opens, and no later than its first contact + limit -
//     carried (what the same hair had earlier in the visit).
//   - The client is in one place. A trip is: walk to the basin, one rinse
//     after another, and, if anything is left to do at the chair, the seating
//     again, at once after the last rinse. Nothing is applied meanwhile, and
//     the hands walk along.
//   - Waiting is allowed anywhere. At the basin no more than IdleCap seconds
//     of a trip, from the arrival to the end of its last rinse, are not rinsing.
//   - A helper changes the pace: a piece takes the time that its pace gives at
//     the moment when it is begun.
//
// # What is best
//
// First of all the fewest seconds over the limit: the least r for which there
// is a plan once every limit is r later; that is, the most that any zone is
// past its limit. Then the fewest walks to the basin. Then the earliest finish:
// the end of the last rinse. Then the least unevenness: the most that the
// exposure of any zone differs from its target. A zone's exposure is that of
// its middle piece: off - last contact + half (rounded down) of the time from
// first to last contact, seconds in which the hands did something else left
// out, + carried.
//
// # How it is found
//
// By best-first search over partial plans. The moments of a partial plan are
// not fixed but kept as a difference-bound matrix (package dbm), so waiting is
// covered without being tried. A partial plan is dropped if another with the
// same zones on, the same place and no more trips leaves at least the same
// choice of moments, if a zone that is on can't be in time any more, or if it
// can't beat what is known. What is left when the queue is empty is proved.
package rinse
