package rinse_test

import (
	"fmt"
	"math/rand/v2"

	"rinseby/timing/rinse"
)

// A recipe says what kind of random problem to draw. Durations are whole units
// of its grain.
type recipe struct {
	seed      uint64
	zones     int
	order     rinse.Order
	strengths rinse.Choice
	midway    bool // some zones are on already
	helper    bool
	grain     int // seconds
}

// draw makes a random problem, always the same for the same recipe. Figures
// are of the size that ordinary services have, in minutes: 100 minutes of
// applying a head, windows up to 50.
func draw(r recipe) *rinse.Problem {
	rng := rand.New(rand.NewPCG(r.seed, uint64(r.zones)<<8|uint64(r.order)<<4|uint64(r.strengths)))
	span := func(lo, hi int) int { return (lo + rng.IntN(hi-lo+1)) * r.grain }
	p := &rinse.Problem{Order: r.order, Strengths: r.strengths, Walk: span(1, 3), Reseat: span(1, 4), IdleCap: span(0, 6)}
	sameRinse := rng.IntN(2) == 0
	rinseTime := span(1, 4)
	for i := range r.zones {
		z := rinse.Zone{Name: fmt.Sprintf("zone %d", i+1), Apply: span(4, 12), Rinse: rinseTime}
		z.Pieces = z.Apply / r.grain
		if !sameRinse {
			z.Rinse = span(1, 4)
		}
		ways := 1
		if r.strengths != rinse.Given {
			ways = 2 + rng.IntN(2)
		}
		for k := range ways {
			opens := span(8, 20)
			z.Allowed = append(z.Allowed, rinse.Strength{Level: 10 * (k + 1), Opens: opens, Limit: opens + span(15, 25) - k*r.grain, Target: opens + span(0, 15)})
		}
		if rng.IntN(8) == 0 && !r.midway {
			z.Carried = span(0, 5)
		}
		p.Zones = append(p.Zones, z)
	}
	if r.midway {
		midway(p, rng.IntN, span, r.grain)
	}
	if r.helper {
		from := p.Now + span(0, 30)
		p.Rates = []rinse.Rate{{From: from, To: from + span(10, 40), Percent: []int{50, 150, 200}[rng.IntN(3)]}}
	}
	return p
}

// midway puts some of the first zones on, perhaps one of them partly.
func midway(p *rinse.Problem, intn func(int) int, span func(int, int) int, grain int) {
	p.Now = 100 * grain
	p.Basin = intn(3) == 0
	on := 1 + intn(min(4, len(p.Zones)))
	at := p.Now
	for i := on - 1; i >= 0; i-- {
		z := &p.Zones[i]
		z.Allowed = z.Allowed[:1]
		z.On, z.Last = true, at-span(0, 6)
		z.First = z.Last - z.Apply
		if i == on-1 && intn(3) == 0 {
			z.Pieces = 1 + intn(z.Pieces)
			z.Apply = z.Pieces * grain
			z.First = z.Last - span(0, 5)
		} else {
			z.Apply, z.Pieces = 0, 0
		}
		at = z.First
	}
}

// name says what kind of problem it is.
func (r recipe) name() string {
	return fmt.Sprintf("zones=%d/order=%s/strengths=%s/midway=%v/helper=%v", r.zones,
		[]string{"fixed", "open"}[r.order], []string{"given", "free", "rising"}[r.strengths], r.midway, r.helper)
}

// id tells it from all others.
func (r recipe) id() string { return fmt.Sprintf("%s/seed=%d", r.name(), r.seed) }
