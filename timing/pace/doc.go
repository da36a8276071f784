// Package pace learns how long a pair of hands takes: minutes per unit (a
// piece, a section) and per step, from the stylist's own closed services and
// from what is seen today.
//
// # The model
//
// Minutes per unit are log-normal. In one service the logarithm of an
// observation, relative to the stylist's usual for that step, is
//
//	level + slope × hours worked − helper × log2(1 + helpers) + zone + noise
//
// where level is today's pace, slope its drift (tiring, warming up), and zone
// the effect of a zone that goes slower than the others. Level, slope, helper
// and zone effects are Gaussian and kept by a Kalman filter ([Gaussian]).
//
// Whether there is a drift today, which zones are slow, and whether times
// scatter more or less than usual is not known. Each combination is an expert
// with a filter of its own. Experts are averaged by how well they predicted
// so far; those that fell far behind are dropped.
//
// Any observation may hold an interruption: a gap that is no work. An expert
// takes an observation for interrupted by so much as it explains the time
// better than the pace does, and learns from the rest.
//
// Several units logged at once are not as many independent observations: only
// their sum is known. The sum of n log-normal times is taken for log-normal
// with the same mean and variance (Fenton 1960, Wilkinson), so its logarithm
// scatters with variance log(1 + (exp(σ²) − 1) / n).
//
// # Priors
//
// [Fit] estimates the priors from closed services by expectation maximisation
// with weak priors of its own, [Default]'s figures, which stand where there
// are no services yet. They are guesses of ours, without source, kept wide.
//
// Times are minutes as float64 inside, [time.Duration] outside. Nothing here
// reads a clock, and equal input gives equal output.
package pace
