// Package forecast carries what is known of the pace through the rest of a
// service, to an end time with its spread.
//
// [Run] plays the rest of the service some hundreds of times. Each time, a
// draw of [rinseby/timing/pace] says how long each zone takes to apply, each
// rinse and each step; a policy does what a colourist would do:
//
//   - Zones are applied in the order given.
//   - Before a zone is begun: if at the pace of the draw its end would be too
//     late to walk to the basin and rinse what is on, one zone after another,
//     by the limits, the client is walked there first. All that is open by its
//     turn is rinsed then, and all that can't wait; then the client is seated
//     again. A zone in progress is not broken off.
//   - When all is applied, the last trip rinses in the order in which zones
//     open, waiting for each.
//   - The steps follow, one after another.
//
// That is simpler than the plan of [rinseby/timing/rinse], which takes too long
// to be made anew in each draw; both keep the same windows.
//
// Equal seeds use the same random numbers, so from one event to the next a
// figure moves by what was learned, not by luck.
//
// A range is widened or narrowed by a factor that [Conformal] keeps from past
// services, so that of 100 such 80 % ranges 80 hold even where the model is
// wrong. The package's tests judge that, and what it costs in sharpness.
package forecast
