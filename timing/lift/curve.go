package lift

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Ends of the scale of depth.
const (
	Darkest  = 1.0
	Lightest = 10.0
)

// MaxMinutes bounds exposures and forecasts: a day. What takes longer than
// that counts as never.
const MaxMinutes = 24 * 60

// A Start is the depth before the product was put on, in steps of the scale of
// ten, and how far that is sure: its standard deviation, above 0.
type Start struct{ Depth, SD float64 }

// A Check is the depth that was seen, in steps of the scale of ten, after so
// many minutes of exposure.
type Check struct{ Minute, Depth float64 }

// A Curve is what is known of one lift after some checks. Its zero value is of
// no use; see [New].
type Curve struct {
	nodes []node
	start float64 // standard deviation of the start, given gain and tau
	last  *Check
}

// A node is a pair of gain and tau, with the start to be expected with it.
type node struct{ weight, start, gain, tau float64 }

// Size of the grid. With these, probabilities agree with adaptive integration
// to better than half a percentage point, which the tests hold them to.
const (
	tauNodes  = 13
	tauReach  = 3.0 // standard deviations either side
	gainNodes = 10
	cutNodes  = 16 // where zero cuts the gain off, and with it the ease of summing
	gainReach = 4.0
	// leastShare is the weight, against the heaviest, below which a node is
	// left out.
	leastShare = 1e-5
)

// New weighs a prior by checks. Their order does not matter; there may be
// none. The only errors are figures that can't be, and say which to put right.
func New(p Prior, start Start, checks []Check) (*Curve, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	if !onScale(start.Depth) || !(start.SD > 0 && start.SD <= mostSteps) {
		return nil, refuse("a start of %g ± %g can't be: give a depth from 1 to 10, and how sure it is as steps above 0", start.Depth, start.SD)
	}
	c := &Curve{}
	for i, k := range checks {
		if !onScale(k.Depth) || !(k.Minute >= 0 && k.Minute <= MaxMinutes) {
			return nil, refuse("a depth of %g after %g minutes can't be: give a depth from 1 to 10 and minutes from 0 to %d", k.Depth, k.Minute, MaxMinutes)
		}
		if c.last == nil || k.Minute >= c.last.Minute {
			c.last = &checks[i]
		}
	}
	if c.last != nil {
		last := *c.last // the caller's slice stays the caller's
		c.last = &last
	}
	eye, before := p.Eye*p.Eye, start.SD*start.SD
	pull := before / (eye + float64(len(checks))*before)
	c.start = math.Sqrt(eye * pull)
	c.fill(p, start, checks, pull)
	c.normalise()
	return c, nil
}

func onScale(depth float64) bool { return depth >= Darkest && depth <= Lightest }

// fill lays the grid. Pull is how much one check moves the start.
func (c *Curve) fill(p Prior, start Start, checks []Check, pull float64) {
	c.nodes = make([]node, 0, tauNodes*cutNodes)
	taus := tauNodes
	if p.TauSpread == 0 {
		taus = 1
	}
	for i := range taus {
		z := 0.0
		if taus > 1 {
			z = tauReach * (2*float64(i)/float64(taus-1) - 1)
		}
		c.fillTau(p, start, checks, pull, p.Tau*math.Exp(z*p.TauSpread), -z*z/2)
	}
}

// fillTau adds the nodes of one tau, with the logarithm of its prior weight.
//
// Given tau, the checks less the expected start are gain × f plus noise that
// they share (the start's) and noise that each has (the eye's). The logarithm
// of their density is quadratic in the gain, with the curvature and slope
// below by the Sherman–Morrison formula; so is that of the prior.
func (c *Curve) fillTau(p Prior, start Start, checks []Check, pull, tau, logPrior float64) {
	var sumF, sumR, ff, fr float64
	for _, k := range checks {
		f, r := reached(k.Minute, tau), k.Depth-start.Depth
		sumF, sumR, ff, fr = sumF+f, sumR+r, ff+f*f, fr+f*r
	}
	eye, prior := p.Eye*p.Eye, p.GainSD*p.GainSD
	curvature := (ff-pull*sumF*sumF)/eye + 1/prior
	slope := (fr-pull*sumF*sumR)/eye + p.Gain/prior
	mean, sd := slope/curvature, 1/math.Sqrt(curvature)
	low, high, nodes := mean-gainReach*sd, mean+gainReach*sd, gainNodes
	if low < 0 {
		low, nodes = 0, cutNodes
	}
	if mean < 0 { // where the tail from zero has fallen off as far
		high = mean + math.Hypot(mean, gainReach*sd)
	}
	step := (high - low) / float64(nodes)
	for i := range nodes {
		g := low + (float64(i)+0.5)*step
		c.nodes = append(c.nodes, node{
			weight: logPrior + g*(slope-g*curvature/2) + math.Log(step),
			start:  start.Depth + pull*(sumR-g*sumF), gain: g, tau: tau,
		})
	}
}

// reached is the share of the gain that is reached after so many minutes.
func reached(minute, tau float64) float64 { return -math.Expm1(-minute / tau) }

// normalise turns the logarithms of weights into weights that sum to one, and
// leaves out the nodes that weigh nothing.
func (c *Curve) normalise() {
	most := math.Inf(-1)
	for _, n := range c.nodes {
		most = max(most, n.weight)
	}
	sum := 0.0
	kept := c.nodes[:0]
	for _, n := range c.nodes {
		if n.weight = math.Exp(n.weight - most); n.weight >= leastShare {
			sum += n.weight
			kept = append(kept, n)
		}
	}
	for i := range kept {
		kept[i].weight /= sum
	}
	c.nodes = kept
}

// DepthAt is the depth to be expected after so many minutes of exposure (0 or
// more; infinite is allowed), in steps of the scale of ten, and its standard
// deviation. It is not held to the top of the scale.
func (c *Curve) DepthAt(minute float64) (mean, sd float64) {
	var square float64
	at := newShares(minute)
	for _, n := range c.nodes {
		d := n.start + n.gain*at.of(n.tau)
		mean += n.weight * d
		square += n.weight * d * d
	}
	return mean, math.Sqrt(max(square-mean*mean, 0) + c.start*c.start)
}

// By is the probability that the hair is at the target depth or lighter after
// so many minutes of exposure (0 or more; infinite asks whether ever).
func (c *Curve) By(target, minute float64) float64 {
	sum := 0.0
	at := newShares(minute)
	for _, n := range c.nodes {
		sum += n.weight * distuv.UnitNormal.CDF((n.start+n.gain*at.of(n.tau)-target)/c.start)
	}
	return min(sum, 1)
}

// shares gives the share of the gain that is reached at one minute, and works
// it out anew only when tau changes: nodes of one tau follow one another.
type shares struct{ minute, tau, share float64 }

func newShares(minute float64) shares { return shares{minute: max(minute, 0)} }

func (s *shares) of(tau float64) float64 {
	if tau != s.tau {
		s.tau, s.share = tau, reached(s.minute, tau)
	}
	return s.share
}

// precision is that of times to the target, in minutes: six seconds.
const precision = 0.1

// Minutes is the time of exposure in which the target is met with probability
// p, 0 < p < 1. It is infinite if even [MaxMinutes] do not give that.
func (c *Curve) Minutes(target, p float64) float64 {
	low, high := 0.0, 30.0
	switch {
	case c.By(target, low) >= p:
		return 0
	case c.By(target, MaxMinutes) < p:
		return math.Inf(1)
	}
	for c.By(target, high) < p {
		low, high = high, min(2*high, MaxMinutes)
	}
	for high-low > precision {
		if mid := (low + high) / 2; c.By(target, mid) < p {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}
