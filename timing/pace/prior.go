package pace

import (
	"errors"
	"fmt"
	"maps"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// A Usual is what one unit of a step usually takes.
type Usual struct {
	// Minutes is the median of one unit; above 0.
	Minutes float64
	// Unsure is the standard deviation of the logarithm of Minutes, as far as
	// it is not known: wide for a guess, narrow after many services.
	Unsure float64
	// Noise is the standard deviation of the logarithm of single units around
	// the pace of their service; above 0.
	Noise float64
}

// An Effect is something that may or may not be there in a service.
type Effect struct {
	// Share is the probability that it is there, 0 to 1.
	Share float64
	// Mean and SD are those of its size, on the scale of log minutes.
	Mean, SD float64
}

// Gaps are interruptions.
type Gaps struct {
	// Rate is the probability that a unit is interrupted; Weight is on how
	// many units that rests, when it is weighed against what is seen today.
	Rate, Weight float64
	// Length is how long an interruption takes.
	Length LogNormal
}

// Joins is how a helper comes who is not there yet: in which share of the
// services, and after which share of the units, by mean and standard deviation.
type Joins struct{ Share, Mean, SD float64 }

// after draws, from u between 0 and 1, after which share of the units a helper
// joins of whom nothing was seen until so much was done; 1 if none does.
func (j Joins) after(done, u float64) float64 {
	at := distuv.Normal{Mu: j.Mean, Sigma: j.SD}
	left := j.Share * at.Survival(done)
	if u *= left + 1 - j.Share; u >= left || left <= 0 {
		return 1
	}
	return min(max(at.Quantile(at.CDF(done)+u/j.Share), done), 1)
}

// slowShare is how probable it is that a new zone is slow, after so many.
func (p *Prior) slowShare(found int) float64 {
	if found > 0 {
		return p.SlowAgain
	}
	return p.Slow.Share
}

// A Prior is what is known of a stylist's pace before a service begins.
type Prior struct {
	// Steps are the usual times of one unit by step: a technique, or any other
	// work with an own usual.
	Steps map[string]Usual
	// Level is the standard deviation, between services, of the log pace.
	Level float64
	// Drift is the change of the log pace per hour of work.
	Drift Effect
	// Slow is the effect of a zone that goes otherwise than the others: Share
	// is how probable it is of a zone while none was found in the service, and
	// SlowAgain of a further one.
	Slow      Effect
	SlowAgain float64
	// Gaps are the interruptions.
	Gaps Gaps
	// Helper is the logarithm of how much faster the work goes with one helper.
	Helper LogNormal
	Joins  Joins
	// Services is how many closed services it rests on.
	Services int
}

// ErrPace is what every error of this package wraps.
var ErrPace = errors.New("the pace can't be told")

func refuse(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrPace, fmt.Sprintf(format, args...))
}

// Widths of what is not known before any service was closed. All figures are
// guesses of ours, no source; Fit replaces them by the stylist's own.
const (
	guessUnsure = 0.35 // of a usual time that the stylist merely stated
	guessWild   = 0.70 // of one that nobody stated
	guessNoise  = 0.30 // of single units
)

// Default is the prior of a stylist of whom no service is known. All figures
// are guesses of ours, no source. It knows no step: see [Prior.With].
func Default() Prior {
	return Prior{
		Steps: map[string]Usual{},
		Level: 0.15,
		Drift: Effect{Share: 0.15, Mean: 0.05, SD: 0.18},
		Slow:  Effect{Share: 0.08, Mean: 0.2, SD: 0.3}, SlowAgain: 0.08,
		Gaps:   Gaps{Rate: 0.015, Weight: 300, Length: Around(4, 0.8)},
		Helper: LogNormal{Mu: math.Log(1.7), Sigma: 0.2},
		Joins:  Joins{Share: 0.02, Mean: 0.5, SD: 0.2},
	}
}

// With is the prior with the usual minutes of one unit of a step as the
// stylist states them. A step that is known already stays as it is.
func (p Prior) With(step string, minutes float64) Prior { return p.with(step, minutes, guessUnsure) }

// Guessing is With for minutes that nobody stated.
func (p Prior) Guessing(step string, minutes float64) Prior { return p.with(step, minutes, guessWild) }

func (p Prior) with(step string, minutes, unsure float64) Prior {
	if _, known := p.Steps[step]; known {
		return p
	}
	p.Steps = maps.Clone(p.Steps)
	if p.Steps == nil {
		p.Steps = map[string]Usual{}
	}
	p.Steps[step] = Usual{Minutes: minutes, Unsure: unsure, Noise: guessNoise}
	return p
}

// Check reports the first thing that is wrong with the prior.
func (p *Prior) Check() error {
	for name, u := range p.Steps {
		if !(u.Minutes > 0 && u.Minutes < 1e4) || !(u.Unsure >= 0) || !(u.Noise > 0 && u.Noise < 3) {
			return refuse("step %q: give minutes above 0, an uncertainty of at least 0 and a noise between 0 and 3", name)
		}
	}
	for _, x := range []struct {
		name     string
		value    float64
		from, to float64
	}{
		{"spread of the level", p.Level, 1e-6, 3},
		{"share of drift", p.Drift.Share, 0, 1}, {"spread of drift", p.Drift.SD, 0, 3},
		{"share of slow zones", p.Slow.Share, 0, 1}, {"spread of slow zones", p.Slow.SD, 0, 3},
		{"share of further slow zones", p.SlowAgain, 0, 1},
		{"rate of gaps", p.Gaps.Rate, 0, 0.9}, {"weight of the rate of gaps", p.Gaps.Weight, 1, 1e6},
		{"spread of gaps", p.Gaps.Length.Sigma, 1e-6, 3},
		{"spread of the helper", p.Helper.Sigma, 0, 3},
		{"share of services with a helper", p.Joins.Share, 0, 1}, {"when a helper joins", p.Joins.Mean, 0, 1},
		{"spread of when a helper joins", p.Joins.SD, 1e-6, 1},
	} {
		if !(x.value >= x.from && x.value <= x.to) {
			return refuse("%s is %g: give %g to %g", x.name, x.value, x.from, x.to)
		}
	}
	return nil
}
