package lift

import "math"

// A Verdict says in words whether a target is met before a limit.
type Verdict int

// The verdicts.
const (
	WillNot Verdict = iota // stop at the limit, and plan a second visit
	MayNot                 // it may be met by the limit, and may not
	Will                   // it is met by the limit, as far as can be told
	Met                    // the last check was at the target
)

var verdictWords = [...]string{"will not", "may not", "will make it", "light enough"}

func (v Verdict) String() string {
	if v < 0 || int(v) >= len(verdictWords) {
		return "not known"
	}
	return verdictWords[v]
}

// MarshalText makes a verdict its words in JSON.
func (v Verdict) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

var verdictAdvice = [...]string{
	"stop at the limit and plan a second visit",
	"check again before the limit, and stop at the limit",
	"check again near the time, and stop at the limit",
	"it may come off",
}

// Advice is what to do on a verdict. None ever is to go on past the limit.
func (v Verdict) Advice() string {
	if v < 0 || int(v) >= len(verdictAdvice) {
		return ""
	}
	return verdictAdvice[v]
}

// Where the words change. House rule: the program's ranges are those of 80 %,
// so it says a thing flatly when it holds four times in five at least: "will
// make it" and "will not" from four in five, "may not" between. Neither, when
// wrong, harms hair, since the limit stands whatever is said: the one costs a
// second visit that was not announced, the other announces one for nothing.
const (
	WillFrom  = 0.8
	WillNotTo = 0.2
)

// The 80 % range of the time to the target, and its middle.
const (
	rangeLow   = 0.1
	evenChance = 0.5
	rangeHigh  = 0.9
)

// An Outlook is what a curve says of a target and a limit. Times are minutes
// of exposure, and infinite for never.
type Outlook struct {
	Verdict Verdict
	// Chance is the probability that the target is met by the limit; Never is
	// that it is not met however long the product stays on.
	Chance, Never float64
	// Low and High bound the time to the target with 80 %; Median is the even
	// chance. After a check at the target all are the minute of that check.
	Low, Median, High float64
}

// Met reports whether the last check was at the target or lighter.
func (c *Curve) Met(target float64) bool { return c.last != nil && c.last.Depth >= target }

// Judge tells whether a target depth is met by a limit, in minutes of exposure.
// What the colourist saw goes before the curve: a last check at the target or
// lighter means that it is met.
func (c *Curve) Judge(target, limit float64) (Outlook, error) {
	switch {
	case !onScale(target):
		return Outlook{}, refuse("a target of %g can't be: give a depth from 1 to 10", target)
	case !(limit >= 0 && limit <= MaxMinutes):
		return Outlook{}, refuse("a limit of %g minutes can't be: give minutes from 0 to %d", limit, MaxMinutes)
	}
	if c.Met(target) {
		at := c.last.Minute
		return Outlook{Verdict: Met, Chance: 1, Low: at, Median: at, High: at}, nil
	}
	o := Outlook{
		Chance: c.By(target, limit), Never: 1 - c.By(target, math.Inf(1)),
		Low: c.Minutes(target, rangeLow), Median: c.Minutes(target, evenChance), High: c.Minutes(target, rangeHigh),
	}
	switch {
	case o.Chance >= WillFrom:
		o.Verdict = Will
	case o.Chance > WillNotTo:
		o.Verdict = MayNot
	}
	return o, nil
}
