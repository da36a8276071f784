package session

import (
	"math"
	"slices"
	"strings"
	"time"

	"rinseby/session/formula"
	"rinseby/timing"
	"rinseby/timing/lift"
)

// A LiftLook is what the checks of a zone tell of its lift at one moment: of
// the band that is least likely to be light enough by the limit. It is fitted
// to the user's own checks; it is not chemistry, and has no say in the limit.
//
// Depths are on the scale of the wanted depth. A check on another scale is
// converted in proportion, the darkest step to the darkest and the lightest to
// the lightest; that is an assumption of ours, since no table between scales
// was found, and Rescaled says where it was needed.
type LiftLook struct {
	Band    Band
	Several bool // more than one band of the zone is being lightened
	Guess   bool // nothing was seen yet: it is what the prior says, and no more
	Verdict lift.Verdict
	Chance  float64 // that the target is met by the limit, 0 to 1
	// Median is the moment by which the target is met with an even chance; Low
	// and High bound it with 80 %. Zero is never, as far as can be told.
	Low, Median, High time.Time
	// Depth is what a check would show now, and its standard deviation.
	Depth, DepthSD float64
	Target         float64
	Scale          int
	Rescaled       bool
	Undertone      string    // at the last check; empty if none was noted
	Checked        time.Time // moment of the last check of depth; zero for a guess
	Checks         int       // of depth, since the product was first put on
	// Again is when to look again before anything rests on the only check that
	// there is: before the limit, and no later than the median. Zero if there
	// are more checks or none, once the target is met, and when the limit is so
	// near that the zone is to be rinsed.
	Again   time.Time
	LimitAt time.Time // of the zone, as it stands without this
	Now     time.Time
}

// Lift tells what is known of the lift of a zone at the moment now. It answers
// false unless the zone holds lightener with a known limit, and a depth is
// wanted; when there is nothing to go by, that is no check and no known start;
// and whenever the minutes don't matter any more, because of pain, hair that
// can take no more, or a rinse that has begun.
//
// The start is what was last seen on that hair before the product, else, on
// natural hair, the depth noted at the consultation. On other hair it is taken
// for somewhere between natural and wanted depth, and needs a check.
//
// A check is taken for one of the oldest piece, and the target counts as met
// when the newest piece meets it. Where the check was of a newer piece, that
// errs to telling the target too late. Fresh product begins a curve of its own
// from the depth to be expected at that moment. Heat and contact with the
// scalp are not in the prior: checks tell them.
func (s *State) Lift(z *Zone, now time.Time) (LiftLook, bool) {
	return s.lift(z, s.ZoneTiming(z, now), now)
}

func (s *State) lift(z *Zone, t ZoneTiming, now time.Time) (LiftLook, bool) {
	d := s.Consultation
	if d == nil || d.TargetDepth == 0 || t.LimitAt.IsZero() || t.Unknown || z.Trip != "" || s.OpenPain() != nil {
		return LiftLook{}, false
	}
	if _, mushy := s.mushy(z); mushy != nil {
		return LiftLook{}, false
	}
	var worst *lifting
	var chance float64
	bands := 0
	for _, b := range Bands {
		coat, newest := z.lightening(b, now)
		if coat == nil {
			continue
		}
		bands++
		l := s.lifting(z, coat, newest, t.LimitAt, now)
		if l == nil {
			continue
		}
		switch c := l.chance(); {
		case worst == nil, worst.last.IsZero() && !l.last.IsZero(), // what was seen goes before a guess
			c < chance && worst.last.IsZero() == l.last.IsZero():
			worst, chance = l, c
		}
	}
	if worst == nil {
		return LiftLook{}, false
	}
	look, ok := worst.look(d, t.LimitAt, now)
	look.Several = bands > 1
	if t.Phase != timing.Closing {
		look.Again = look.again()
	}
	return look, ok
}

// A lifting is the curve of one band of a zone, in minutes since its product
// was last put on, and on the scale of ten.
type lifting struct {
	band      Band
	curve     *lift.Curve
	target    float64
	limit     float64       // of the newest piece
	since     time.Time     // when the product was put on, or refreshed
	lag       time.Duration // how much later the newest piece went on than the oldest
	last      time.Time     // of the last check of depth; zero if there is none
	checks    int
	undertone string
	rescaled  bool
}

// lifting fits the curve of the band of a coat, whose newest piece went on at
// the moment newest, or is nil if it can't be told.
func (s *State) lifting(z *Zone, c *Coat, newest, limit, now time.Time) *lifting {
	prior, err := lift.For(liftProducts[c.Family], float64(c.Strength))
	if err != nil {
		return nil
	}
	d := s.Consultation
	b := c.Band
	l := &lifting{band: b, target: tenth(d.TargetDepth, d.Scale), lag: max(newest.Sub(c.First()), 0)}
	checks := depthChecks(z, b, c.First(), now)
	l.checks = len(checks)
	start, known := s.liftStart(z, c, l.target)
	if !known && (len(checks) == 0 || start.SD == 0) {
		return nil
	}
	begins := append([]time.Time{c.First()}, c.Refreshed...)
	slices.SortFunc(begins, time.Time.Compare)
	begins = slices.DeleteFunc(begins, func(at time.Time) bool { return at.After(now) })
	for i, at := range begins {
		l.since = at
		end := now
		if i+1 < len(begins) {
			end = begins[i+1]
		}
		var seen []lift.Check
		for len(checks) > 0 && (i+1 == len(begins) || checks[0].At.Before(end)) {
			k := checks[0]
			seen = append(seen, lift.Check{Minute: k.At.Sub(at).Minutes(), Depth: tenth(k.Depth, k.Scale)})
			l.last, l.rescaled = k.At, l.rescaled || scaleSteps(k.Scale) != scaleSteps(d.Scale)
			checks = checks[1:]
		}
		if l.curve, err = lift.New(prior, start, seen); err != nil {
			return nil
		}
		depth, sd := l.curve.DepthAt(end.Sub(at).Minutes())
		start = lift.Start{Depth: min(max(depth, lift.Darkest), lift.Lightest), SD: sd}
	}
	l.limit = min(max((limit.Sub(l.since)-l.lag).Minutes(), 0), lift.MaxMinutes)
	if k := lastCheck(z, b, c.First(), now); k != nil {
		l.undertone = k.Undertone
	}
	return l
}

// liftProducts are the kinds that the curve has a prior for.
var liftProducts = map[formula.Kind]lift.Product{
	formula.PowderLightener: lift.Powder, formula.ClayLightener: lift.Clay,
	formula.CreamLightener: lift.Cream, formula.HighLift: lift.HighLift,
}

// lightening is the coat on a band that has been lightening for longest, and
// when the newest piece of the band went on; nil if there is none.
func (z *Zone) lightening(b Band, now time.Time) (oldest *Coat, newest time.Time) {
	for _, c := range z.Coats {
		if c.Band != b || c.Action != formula.Lighten || c.First().After(now) || (!c.Off.IsZero() && !now.Before(c.Off)) {
			continue
		}
		if oldest == nil || c.First().Before(oldest.First()) {
			oldest = c
		}
		if c.Last().After(newest) {
			newest = c.Last()
		}
	}
	return oldest, newest
}

// about reports whether a check says something of a band: one that names no
// band is of all.
func (k Check) about(b Band) bool { return k.Band == b || k.Band == "" }

// depthChecks are the depths that were seen on a band from the one moment to
// the other, in the order in which they were seen.
func depthChecks(z *Zone, b Band, from, to time.Time) []Check {
	var ks []Check
	for _, k := range z.Checks {
		if k.Depth > 0 && k.about(b) && !k.At.Before(from) && !k.At.After(to) {
			ks = append(ks, k)
		}
	}
	slices.SortStableFunc(ks, func(x, y Check) int { return x.At.Compare(y.At) })
	return ks
}

// lastCheck is the last look at a band between two moments, or nil.
func lastCheck(z *Zone, b Band, from, to time.Time) (last *Check) {
	for i := range z.Checks {
		k := &z.Checks[i]
		if k.about(b) && !k.At.Before(from) && !k.At.After(to) && (last == nil || !k.At.Before(last.At)) {
			last = k
		}
	}
	return last
}

// liftStart is the depth of the hair before the coat; known says that it needs
// no check to go by. A start without a spread is none at all.
func (s *State) liftStart(z *Zone, c *Coat, target float64) (start lift.Start, known bool) {
	var seen *Check
	for _, o := range s.Zones {
		if len(o.Checks) == 0 || (o != z && !s.shareHair(o, z)) {
			continue
		}
		if ks := depthChecks(o, c.Band, time.Time{}, c.First()); len(ks) > 0 {
			if k := &ks[len(ks)-1]; k.At.Before(c.First()) && (seen == nil || k.At.After(seen.At)) {
				seen = k
			}
		}
	}
	if seen != nil {
		return lift.Start{Depth: tenth(seen.Depth, seen.Scale), SD: lift.Eye}, true
	}
	d := s.Consultation
	if d.NaturalDepth == 0 {
		return lift.Start{}, false
	}
	natural := tenth(d.NaturalDepth, d.Scale)
	if c.Condition == formula.Natural && s.carried(c) == 0 {
		return lift.Start{Depth: natural, SD: lift.Eye}, true
	}
	// House rule: the middle, give or take as far as either end.
	return lift.Start{Depth: (natural + target) / 2, SD: max(math.Abs(target-natural)/2, lift.Eye)}, false
}

// tenth converts a depth to the scale of ten steps.
func tenth(depth float64, scale int) float64 { return rescale(depth, scale, DepthScale) }

// rescale converts a depth from one scale to another in proportion.
func rescale(depth float64, from, to int) float64 {
	return 1 + (depth-1)*float64(scaleSteps(to)-1)/float64(scaleSteps(from)-1)
}

// scaleSteps is the number of steps of a scale; one that was not noted, as in a log
// that was put together by hand, is [DepthScale].
func scaleSteps(scale int) int {
	if scale < 2 {
		return DepthScale
	}
	return scale
}

// chance is the probability that the target is met by the limit.
func (l *lifting) chance() float64 {
	if l.curve.Met(l.target) {
		return 1
	}
	return l.curve.By(l.target, l.limit)
}

func (l *lifting) look(d *ConsultationNoted, limit, now time.Time) (LiftLook, bool) {
	o, err := l.curve.Judge(l.target, l.limit)
	if err != nil {
		return LiftLook{}, false
	}
	depth, sd := l.curve.DepthAt(now.Sub(l.since).Minutes())
	look := LiftLook{
		Band: l.band, Guess: l.last.IsZero(), Verdict: o.Verdict, Chance: o.Chance,
		Depth:   rescale(min(depth, lift.Lightest), DepthScale, d.Scale),
		DepthSD: sd * float64(scaleSteps(d.Scale)-1) / (DepthScale - 1),
		Target:  d.TargetDepth, Scale: scaleSteps(d.Scale), Rescaled: l.rescaled,
		Undertone: l.undertone, Checked: l.last, Checks: l.checks, LimitAt: limit, Now: now,
	}
	if o.Verdict == lift.Met {
		look.Low, look.Median, look.High = l.last, l.last, l.last
		return look, true
	}
	at := func(m float64) time.Time {
		if math.IsInf(m, 1) {
			return time.Time{}
		}
		return l.since.Add(l.lag + minutes(m))
	}
	look.Low, look.Median, look.High = at(o.Low), at(o.Median), at(o.High)
	return look, true
}

// lookEvery is how long after a look the next one is due: powder lightener is
// looked at every 5 to 10 minutes (secondary pages); the shorter of these.
const lookEvery = 5 * time.Minute

// again is when the zone is to be looked at after its only check; zero if that
// is not the only one. Near the limit it is halfway there.
func (l LiftLook) again() time.Time {
	if l.Checks != 1 || l.Verdict == lift.Met || !l.Now.Before(l.LimitAt) {
		return time.Time{}
	}
	at := l.Checked.Add(min(lookEvery, l.LimitAt.Sub(l.Checked)/2))
	if l.Median.After(l.Checked) && l.Median.Before(at) {
		return l.Median
	}
	return at
}

// Basis says what the look rests on, for a screen.
func (l LiftLook) Basis() string {
	switch {
	case l.Guess:
		return "a guess before any check, not chemistry"
	case l.Checks == 1 && l.Rescaled:
		return "from one check only, on another scale, not chemistry"
	case l.Checks == 1:
		return "from one check only, not chemistry"
	case l.Rescaled:
		return "fitted to your checks on two scales, not chemistry"
	}
	return "fitted to your checks, not chemistry"
}

// Short is Basis where there is little room.
func (l LiftLook) Short() string {
	if l.Guess {
		return "guess"
	}
	if l.Checks == 1 {
		return "one check only"
	}
	return "by checks"
}

// Of names what the look is of: the zone, and the band if others lighten too.
func (l LiftLook) Of(zone string) string {
	if l.Several {
		return zone + " " + string(l.Band)
	}
	return zone
}

// Text says the look in words, for a screen; what matters comes first. It
// never says to go on past the limit. What it rests on is told by Basis, which
// is to stand before it, or Short.
func (l LiftLook) Text(clock Clockface) string {
	text := l.words(clock)
	switch {
	case l.Again.IsZero():
	case l.Again.After(l.Now):
		text = "look again at " + clock(l.Again) + " before you rely on it; so far it " + text
	default:
		text = "look again now before you rely on it; so far it " + text
	}
	if l.Warm() {
		text += "; " + l.Undertone + " at last check: for the toner"
	}
	return text
}

func (l LiftLook) words(clock Clockface) string {
	limit := clock(l.LimitAt)
	switch {
	case !l.Now.Before(l.LimitAt) && l.Verdict == lift.Met:
		return "light enough at the last check; at its limit since " + limit + ": rinse it now"
	case !l.Now.Before(l.LimitAt):
		return "at its limit since " + limit + ": rinse it now, and plan a second visit if it is not light enough"
	case l.Verdict == lift.Met:
		return "light enough at the last check, " + clock(l.Checked) + "; limit " + limit
	case l.Verdict == lift.Will && !l.Median.After(l.Now):
		if !l.Again.IsZero() {
			return "will make it, about now; limit " + limit
		}
		return "will make it, about now: check it; limit " + limit
	case l.Verdict == lift.Will:
		return "will make it, about " + clock(l.Median) + "; limit " + limit
	case l.Verdict == lift.MayNot:
		return "may not make it by " + limit + ", the limit"
	}
	return "will not: stop at the limit, " + limit + ", and plan a second visit"
}

// warmWords are undertones that a toner is to answer: the warm stages of
// lightening (secondary pages), and words that are common practice, no source.
var warmWords = []string{"red", "orange", "copper", "gold", "brass", "yellow", "warm"}

// Warm reports whether the undertone at the last check was a warm one.
func (l LiftLook) Warm() bool {
	tone := strings.ToLower(l.Undertone)
	return slices.ContainsFunc(warmWords, func(w string) bool { return strings.Contains(tone, w) })
}
