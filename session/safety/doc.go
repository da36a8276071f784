// Package safety holds what is asked before product touches hair, and what
// follows from each answer: go on, go on with a cap, stop, or refer.
//
// It replaces neither the product's instructions nor a professional's
// judgement. What words never pass is final: under 16, a wounded scalp, a
// reaction to dye, to black henna or to the skin test, known metal salts, and a
// strand that failed. Each has what lifts it, or nothing does; none is answered
// away. All else is passed with a reason that goes on the record: one of a list,
// or a sentence. Every consequence says why, and where that comes from; where
// it is a house rule, it says so.
//
// The package is pure: it reads no clock and no file.
package safety
