package forecast

import (
	"math"
	"time"
)

// stages is how many parts of a service, by units done, have a width of their
// own.
const stages = 5

// A Conformal keeps the factor by which ranges are widened, so that the 80 %
// range holds in 80 of 100 services whatever the model gets wrong (adaptive
// conformal inference, Gibbs and Candès 2021, with steps that grow shorter).
// Each fifth of a service, by the units done, has a factor of its own. The zero value is ready
// and has the width 1.
type Conformal struct {
	// Log is the logarithm of the width, Seen how many services it rests on.
	Log  [stages]float64
	Seen [stages]int
}

func stage(share float64) int { return min(max(int(share*stages), 0), stages-1) }

// At is the width for a forecast made when so much of the units, 0 to 1, was
// done.
func (c Conformal) At(share float64) float64 { return math.Exp(c.Log[stage(share)]) }

// Learn is c after a closed service, of which r was forecast at that share,
// with the width that c had, and which ended so long after the forecast.
func (c Conformal) Learn(share float64, r Range, end time.Duration) Conformal {
	k := stage(share)
	miss := 0.0
	if end < r.P10 || end > r.P90 {
		miss = 1
	}
	step := max(firstStep/math.Sqrt(1+float64(c.Seen[k])/5), lastStep)
	c.Log[k] = min(max(c.Log[k]+step*(miss-0.2), -widest), widest)
	c.Seen[k]++
	return c
}

// Steps of the log width at one miss. The longer, the sooner a wrong width is
// put right, and the more it wanders when it is right. Widths stay within a
// factor of e² either way.
const (
	firstStep = 0.2
	lastStep  = 0.03
	widest    = 2.0
)
