// Package history learns a stylist's usual times from closed services, and
// says how what it knows is written down. It reads and writes no file itself:
// package store keeps the files.
//
// # What is learned
//
// [Of] takes from the log of a closed service what tells of times: its stints
// and what its plan stated. [Fit] makes a stylist's usual times of the last
// [Most] services. Pieces go through [rinseby/timing/pace.Fit]; all other
// stints become one log-normal for each kind, as the next one may be expected.
//
// Slips of the key and forgotten closings are kept from spoiling that: see
// [Fit].
//
// # What is written down
//
// An [Index] has a line for each closed service, a [Recent] what one stylist's
// usual times rest on. Both only repeat what the logs say. They have a version
// and checksums, so that what is damaged, or was written by another version of
// the program, is noticed; whoever reads them then goes back to the logs.
//
// The one thing that no log tells is the width of ranges
// ([rinseby/timing/forecast.Conformal]), which is learned from forecasts that
// were made: it is carried from one fit to the next, and begins anew where it
// is lost.
package history
