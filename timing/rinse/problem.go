package rinse

import (
	"errors"
	"fmt"
)

// MaxZones is the most zones that a problem may have.
const MaxZones = 64

// maxTime bounds every duration, and every distance of a moment from Now, in
// seconds: three days.
const maxTime = 1 << 18

// A Strength is one choice of product strength for a zone, with its window.
type Strength struct {
	// Level orders strengths from weak to strong; only the order counts.
	Level int
	// Opens is how long the newest piece must be on, Limit how long the oldest
	// may be, in seconds; 0 <= Opens, 1 <= Limit.
	Opens, Limit int
	// Target is the wanted exposure of the middle piece, in seconds. Zero
	// stands for halfway between Opens and Limit.
	Target int
}

func (s Strength) target() int {
	if s.Target == 0 {
		return (s.Opens + s.Limit) / 2
	}
	return s.Target
}

// A Zone is one zone that is not yet rinsed.
type Zone struct {
	Name string
	// Pieces are still to be placed; they take Apply seconds together at the
	// ordinary pace. Both are zero for a zone that is on as a whole. Pieces may
	// be left at zero for one piece.
	Pieces, Apply int
	// Rinse is how long its rinse takes, in seconds; at least 1.
	Rinse int
	// Allowed are the strengths to choose from. A zone that has product on has
	// one only, and so have all if the strengths are given.
	Allowed []Strength
	// Strongest is the highest level that the hair's condition allows, if
	// Capped. Stronger ones among Allowed are not used.
	Capped    bool
	Strongest int
	// On says that some pieces are on: First and Last are the moments of first
	// contact of the oldest and of the newest.
	On          bool
	First, Last int
	// Carried is the exposure that the same hair had earlier in the visit, in
	// seconds.
	Carried int
}

// partly reports whether the zone is on, and more is to come.
func (z *Zone) partly() bool { return z.On && z.Apply > 0 }

// An Order says in which order zones are applied.
type Order int

const (
	Fixed Order = iota // as they are listed
	Open               // any
)

// A Choice says how strengths are chosen.
type Choice int

const (
	Given  Choice = iota // one for each zone
	Free                 // any of a zone's own
	Rising               // never weaker than that of the zone applied before
)

// A Rate is a stretch of time [From, To) with another pace: an application
// that takes 100 seconds at the ordinary pace takes 10000/Percent then.
type Rate struct {
	From, To int
	// Percent is 1 to 1000; 100 is the ordinary pace, 200 twice as fast.
	Percent int
}

// A Problem is the state of a service as far as it matters for rinsing.
type Problem struct {
	// Now is the moment from which the hands are free.
	Now int
	// Basin says that the client is at the basin now. Waiting there counts from
	// now; leaving without a rinse is allowed, and the trip is not counted.
	Basin bool
	// Zones are listed in the order of application.
	Zones []Zone
	// Walk is the way to the basin, Reseat the way back with all that it takes
	// until hands can apply again, IdleCap the most waiting in one trip; in
	// seconds.
	Walk, Reseat, IdleCap int
	Order                 Order
	Strengths             Choice
	// Rates are in order of time and do not overlap.
	Rates []Rate
}

// ErrProblem is what every error of [Solve] about its problem wraps.
var ErrProblem = errors.New("the plan can't be made")

func refuse(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrProblem, fmt.Sprintf(format, args...))
}

// Check reports the first thing that is wrong with the problem.
func (p *Problem) Check() error {
	if len(p.Zones) > MaxZones {
		return refuse("%d zones: plan for at most %d", len(p.Zones), MaxZones)
	}
	for _, t := range []struct {
		name  string
		value int
	}{{"walk", p.Walk}, {"reseat", p.Reseat}, {"idle cap", p.IdleCap}} {
		if t.value < 0 || t.value > maxTime {
			return refuse("%s: %d seconds: give 0 to %d", t.name, t.value, maxTime)
		}
	}
	if p.Order < Fixed || p.Order > Open || p.Strengths < Given || p.Strengths > Rising {
		return refuse("unknown order %d or choice of strengths %d", p.Order, p.Strengths)
	}
	end := p.Now - maxTime
	for i, r := range p.Rates {
		switch {
		case r.From < end || r.To <= r.From || r.To > p.Now+maxTime:
			return refuse("rate %d, from %d to %d: give rates in order of time, without overlap, near %d", i+1, r.From, r.To, p.Now)
		case r.Percent < 1 || r.Percent > 1000:
			return refuse("rate %d: %d percent: give 1 to 1000", i+1, r.Percent)
		}
		end = r.To
	}
	parts := 0
	for i := range p.Zones {
		z := &p.Zones[i]
		if err := z.check(p); err != nil {
			return refuse("zone %d (%s): %v", i+1, z.Name, err)
		}
		if z.partly() {
			parts++
		}
	}
	if parts > 1 {
		return refuse("%d zones are partly on: split all but one into what is on and what is to come", parts)
	}
	return nil
}

func (z *Zone) check(p *Problem) error {
	near := func(t int) bool { return t <= p.Now && t >= p.Now-maxTime }
	switch {
	case z.Rinse < 1 || z.Rinse > maxTime:
		return fmt.Errorf("a rinse takes %d seconds: give 1 to %d", z.Rinse, maxTime)
	case z.Apply < 0 || z.Apply > maxTime || z.Pieces < 0 || z.Pieces > 1000:
		return fmt.Errorf("%d pieces in %d seconds: give up to 1000 pieces and %d seconds", z.Pieces, z.Apply, maxTime)
	case z.Apply == 0 && (z.Pieces > 0 || !z.On):
		return errors.New("applying takes no time: give at least a second")
	case z.Carried < 0 || z.Carried > maxTime:
		return fmt.Errorf("%d seconds carried: give 0 to %d", z.Carried, maxTime)
	case z.On && (!near(z.First) || !near(z.Last) || z.Last < z.First):
		return fmt.Errorf("on from %d to %d: give contacts in order of time, at most %d, not older than %d", z.First, z.Last, p.Now, p.Now-maxTime)
	case len(z.Allowed) == 0:
		return errors.New("no strength is allowed: give at least one")
	case len(z.Allowed) > 100:
		return errors.New("more than 100 strengths")
	case len(z.Allowed) > 1 && (z.On || p.Strengths == Given):
		return fmt.Errorf("%d strengths where there can be one only: name it", len(z.Allowed))
	}
	weak := false
	for _, s := range z.Allowed {
		if s.Opens < 0 || s.Limit < 1 || s.Opens > maxTime || s.Limit > maxTime || s.Target < 0 || s.Target > maxTime {
			return fmt.Errorf("window %d to %d, target %d: give 0 to %d seconds, and a limit above 0", s.Opens, s.Limit, s.Target, maxTime)
		}
		if s.Opens > s.Limit {
			return fmt.Errorf("it opens after %d seconds, past its limit of %d: correct one of them", s.Opens, s.Limit)
		}
		weak = weak || z.On || !z.Capped || s.Level <= z.Strongest
	}
	if !weak {
		return errors.New("all its strengths are above the strongest that its condition allows: allow a weaker one")
	}
	return nil
}
