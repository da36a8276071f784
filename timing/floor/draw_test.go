package floor_test

import (
	"fmt"
	"math/rand/v2"

	"rinseby/timing/floor"
)

// A recipe says what kind of random problem to draw, in whole units of time.
type recipe struct {
	seed          uint64
	chains, tasks int
	chemistry     bool // product works between tasks; else only waits and ends are bounded
	grain         int  // seconds to a unit
}

func (r recipe) id() string {
	return fmt.Sprintf("chains=%d/tasks=%d/chemistry=%v/seed=%d", r.chains, r.tasks, r.chemistry, r.seed)
}

// draw makes a random problem, always the same for the same recipe, since
// testdata/outside.json goes by recipes. The figures
// are of the size that ordinary services have, in minutes: blocks of 3 to 12,
// product that works for some 20 between them, ends promised for when all might
// be done. Whether it fits is left to chance.
func draw(r recipe) *floor.Problem {
	rng := rand.New(rand.NewPCG(r.seed, uint64(r.chains)<<16|uint64(r.tasks)<<8))
	span := func(lo, hi int) int { return (lo + rng.IntN(hi-lo+1)) * r.grain }
	p := &floor.Problem{}
	all := 0
	for i := range r.chains {
		c := floor.Chain{Name: fmt.Sprintf("chain %d", i+1), Worker: "Ines"}
		for k := range r.tasks {
			c.Tasks = append(c.Tasks, floor.Task{Name: fmt.Sprintf("task %d", k+1), Takes: span(3, 12)})
			all += c.Tasks[k].Takes
		}
		c.Tasks[0].Begun = i == 0 && rng.IntN(2) == 0
		if !c.Tasks[0].Begun && rng.IntN(2) == 0 {
			c.Links = append(c.Links, floor.Link{From: floor.Now, To: 0, Least: span(0, 20), Most: floor.None, Name: "comes"})
		}
		if r.chemistry {
			c.Links = append(c.Links, works(&c, rng.IntN, span)...)
		} else {
			c.Links = append(c.Links, waits(&c, rng.IntN, span)...)
		}
		p.Chains = append(p.Chains, c)
	}
	for i := range p.Chains {
		c := &p.Chains[i]
		if i == 0 || rng.IntN(3) > 0 {
			end := all*(60+rng.IntN(50))/100 + span(0, 20) - c.Tasks[r.tasks-1].Takes
			c.Links = append(c.Links, floor.Link{From: floor.Now, To: r.tasks - 1, Least: floor.None, Most: end, Name: "promised"})
		}
	}
	return p
}

// works has product work from one task to one of the next three.
func works(c *floor.Chain, intn func(int) int, span func(int, int) int) (links []floor.Link) {
	for k := 0; k+1 < len(c.Tasks); k++ {
		if intn(3) == 0 {
			continue
		}
		to, busy := k, 0
		for range 1 + intn(3) {
			if to+1 < len(c.Tasks) {
				busy += c.Tasks[to].Takes
				to++
			}
		}
		least := busy + span(0, 15)
		links = append(links, floor.Link{From: k, To: to, Least: least, Most: least + span(4, 20), Chemistry: true, Name: "works"})
	}
	return links
}

// waits bounds some waits between tasks that follow one another.
func waits(c *floor.Chain, intn func(int) int, span func(int, int) int) (links []floor.Link) {
	for k := 0; k+1 < len(c.Tasks); k++ {
		if intn(3) == 0 {
			links = append(links, floor.Link{From: k, To: k + 1, Least: 0, Most: c.Tasks[k].Takes + span(10, 40), Name: "waits"})
		}
	}
	return links
}

// later is the problem with every Most later by d.
func later(p *floor.Problem, d int) *floor.Problem {
	q := &floor.Problem{}
	for _, c := range p.Chains {
		c.Links = append([]floor.Link(nil), c.Links...)
		for k := range c.Links {
			if c.Links[k].Most != floor.None {
				c.Links[k].Most += d
			}
		}
		q.Chains = append(q.Chains, c)
	}
	return q
}

// withWalkIn is the problem with one more chain of one task.
func withWalkIn(p *floor.Problem, worker string, takes, from, to int) *floor.Problem {
	walkIn := floor.Chain{Name: "walk-in", Worker: worker, Tasks: []floor.Task{{Name: "cut", Takes: takes}}}
	walkIn.Links = []floor.Link{{From: floor.Now, To: 0, Least: from, Most: to}}
	return &floor.Problem{Chains: append(append([]floor.Chain(nil), p.Chains...), walkIn)}
}
