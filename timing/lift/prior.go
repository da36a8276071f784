package lift

import (
	"errors"
	"fmt"
	"math"
)

// ErrLift is what every error of this package wraps.
var ErrLift = errors.New("the lift can't be told")

func refuse(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrLift, fmt.Sprintf(format, args...))
}

// A Product is a kind of lightening product.
type Product string

// The products that a prior is known for.
const (
	Powder   Product = "powder"    // powder lightener
	Clay     Product = "clay"      // clay lightener, for open work
	Cream    Product = "cream"     // cream lightener
	HighLift Product = "high lift" // colour that lightens
)

// A Prior is what is thought of a lift before anything was seen.
type Prior struct {
	// Gain and GainSD are the mean and standard deviation, in steps of the
	// scale of ten, of what one coat lifts if it is left on for ever. It is
	// normal, cut off at zero. Both are above 0.
	Gain, GainSD float64
	// Tau is the median, in minutes, of the time in which all but 37 % of the
	// gain is reached; TauSpread is the standard deviation of its logarithm.
	// Tau is above 0; a spread of 0 means that it is known.
	Tau, TauSpread float64
	// Eye is the standard deviation, in steps, of what a colourist sees around
	// what is there; above 0.
	Eye float64
}

// All figures of the priors are guesses of ours, without source. They are kept
// wide, so that two or three checks outweigh them.
const (
	// Eye is the standard deviation, in steps of the scale of ten, of a depth
	// that was told by eye: half a step, since depths are told in whole or half
	// steps and on wet hair under product. Guess, no source.
	Eye = 0.5
	// guessTauSpread makes four of five taus lie between about half and
	// double the median.
	guessTauSpread = 0.5
	// guessShare is the standard deviation of the gain as a share of it.
	guessShare = 0.4
	// guessFrom is the strength, in percent (20 vol), that the guesses are for.
	guessFrom = 6
	// MostStrength is the strongest developer, in percent, that [For] takes.
	// Nothing stronger is sold (from memory, no source).
	MostStrength = 18
)

// guesses are gain in steps and tau in minutes with a developer of 6 %.
var guesses = map[Product]struct{ gain, tau float64 }{
	Powder:   {4.5, 18},
	Clay:     {4, 24},
	Cream:    {4, 22},
	HighLift: {3, 20},
}

// For is the prior of a product with a developer of so many percent hydrogen
// peroxide (g per 100 mL, above 0 and at most [MostStrength]).
//
// A stronger developer is taken to get there faster, with the square root of
// the strength, and not to get further. Both are guesses of ours; what is
// published says only that a higher strength did not give more at equal damage
// (an abstract; see the facts on damage and lift in the design).
func For(p Product, strength float64) (Prior, error) {
	g, known := guesses[p]
	switch {
	case !known:
		return Prior{}, refuse("no lift is known of the product %q: name a powder, clay or cream lightener or a high-lift colour", p)
	case !(strength > 0 && strength <= MostStrength):
		return Prior{}, refuse("a developer of %g %% can't be: give its strength, above 0 and at most %d %%", strength, MostStrength)
	}
	return Prior{
		Gain: g.gain, GainSD: guessShare * g.gain,
		Tau: g.tau * math.Sqrt(guessFrom/strength), TauSpread: guessTauSpread,
		Eye: Eye,
	}, nil
}

// Bounds of what a prior may hold, wide of anything that was ever met.
const (
	mostSteps  = 20
	mostTau    = 600 // minutes
	mostSpread = 2
)

// Validate refuses a prior that can't be.
func (p Prior) Validate() error {
	within := func(v, most float64) bool { return v > 0 && v <= most }
	switch {
	case !within(p.Gain, mostSteps), !within(p.GainSD, mostSteps):
		return refuse("a gain of %g ± %g steps can't be: give both above 0 and at most %d", p.Gain, p.GainSD, mostSteps)
	case !within(p.Tau, mostTau):
		return refuse("a tau of %g minutes can't be: give one above 0 and at most %d", p.Tau, mostTau)
	case !(p.TauSpread >= 0 && p.TauSpread <= mostSpread):
		return refuse("a spread of tau of %g can't be: give one from 0 to %d", p.TauSpread, mostSpread)
	case !within(p.Eye, mostSteps):
		return refuse("an eye of ± %g steps can't be: give one above 0 and at most %d", p.Eye, mostSteps)
	}
	return nil
}
