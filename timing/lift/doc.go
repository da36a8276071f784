// Package lift tells from what was seen in a zone when hair will be light
// enough, and whether that is before its limit.
//
// # The model
//
// Depth is on the trade's scale of ten steps: 1 is black, 10 the lightest
// blond. Its course under one coat of product is taken for
//
//	depth(t) = start + gain × (1 − exp(−t / tau))
//
// where t is minutes of exposure since the product was put on. That is what
// comes of a lift that goes at a rate in proportion to what is left of a
// product that loses its strength by a fixed share per minute. Lightener does
// lose strength, but not cleanly so (J. Soc. Cosmet. Chem. 12(3), 1961, Table
// I), and no published table of lightness against minutes was found. So this
// is a curve fitted to the user's own checks. It is not chemistry, it has no
// check from outside, and whoever shows it says so.
//
// Start, gain and tau are not known; a [Prior] by product and strength says
// what they may be. Checks scatter around the curve by the colourist's eye.
// [New] weighs the prior by the checks: on a grid of tau, and for each tau on
// a grid of gain that is laid where the checks put it; given both, the start is
// Gaussian and is integrated in closed form. Gain is never below zero, so that
// more exposure never means less lift. Equal input gives equal output.
//
// # What it is not for
//
// The curve says when hair may be light enough. It never moves a limit, and no
// answer of it ever means that product may stay on past one: where the target
// is not met by the limit, the hair comes off at the limit and a second visit
// is planned. Heat, and hair that was treated before, change the curve; it
// learns that only from checks.
package lift
