// Package safety holds what is asked before product touches hair, and what
// follows from each answer: go on, go on with a cap, stop, or refer.
//
// It replaces neither the product's instructions nor a professional's
// judgement: most stops may be passed over, but only with a reason that goes on
// the record. Three may not: under 16, a reaction to the skin test, and a scalp
// that is broken, sore or has a rash. Every consequence says why, and where that comes from; where it
// is a house rule, it says so.
//
// The package is pure: it reads no clock and no file.
package safety
