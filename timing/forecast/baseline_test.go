package forecast

import (
	"math"
	"math/rand/v2"
	"slices"
)

// fixedRest plays the rest of a visit with the same minutes per piece of each
// step everywhere.
type fixedRest struct {
	c     *cut
	pace  float64
	usual map[string]float64
}

func (f *fixedRest) apply(i int) float64 {
	z := f.c.in.Rounds[0][i]
	return f.usual[z.Step] * f.pace * float64(z.Units)
}

func (f *fixedRest) expect(i int) float64 { return f.apply(i) }

func (f *fixedRest) mix(int) float64     { return 0 }
func (f *fixedRest) coat(int) float64    { return 0 }
func (f *fixedRest) develop(int) float64 { return 0 }

func (f *fixedRest) rinse(int) float64 { return 4 }

// extrapolate is the rule of three: minutes per usual minute so far, held for
// the rest. It has no spread.
func extrapolate(v *visit, c *cut) [2][]Sample {
	took, usual := 0.0, 0.0
	for _, o := range c.seen {
		took += o.Took.Minutes()
		usual += v.s.usual[o.Step] * float64(o.Units)
	}
	o := oracle{v: v}
	p := policy{walk: trip.walk, reseat: trip.reseat, sites: o.sites(c)}
	end := p.run(0, 0, len(p.sites), &fixedRest{c, took / usual, v.s.usual})
	for _, s := range c.in.Steps {
		end += s.Usual.Median()
	}
	return [2][]Sample{{{p.sites[len(p.sites)-1].done, 1}}, {{end, 1}}}
}

// plainConjugate is the textbook's normal with unknown mean and variance, on
// the log of minutes per usual minute, each log entry one observation, with a
// weak prior at the usual (one observation, noise 0.3).
func plainConjugate(v *visit, c *cut, n int, r *rand.Rand) [2][]Sample {
	k, mean, a, b := 1.0, 0.0, 1.0, 0.09
	for _, o := range c.seen {
		y := math.Log(o.Took.Minutes() / float64(o.Units) / v.s.usual[o.Step])
		b += k * (y - mean) * (y - mean) / (2 * (k + 1))
		mean = (k*mean + y) / (k + 1)
		k++
		a += 0.5
	}
	var out [2][]Sample
	o := oracle{v: v}
	for range n {
		variance := b / gamma(a, r)
		level := mean + math.Sqrt(variance/k)*r.NormFloat64()
		p := policy{walk: trip.walk, reseat: trip.reseat, sites: o.sites(c)}
		end := p.run(0, 0, len(p.sites), &fixedRest{c, math.Exp(level), v.s.usual})
		for _, s := range c.in.Steps {
			end += s.Usual.Median()
		}
		out[0] = append(out[0], Sample{p.sites[len(p.sites)-1].done, 1 / float64(n)})
		out[1] = append(out[1], Sample{end, 1 / float64(n)})
	}
	for i := range out {
		slices.SortFunc(out[i], func(a, b Sample) int {
			if a.Minutes < b.Minutes {
				return -1
			}
			return 1
		})
	}
	return out
}

// gamma draws from a gamma distribution of shape a, a >= 1 (Marsaglia and
// Tsang 2000).
func gamma(a float64, r *rand.Rand) float64 {
	d := a - 1.0/3
	for {
		x := r.NormFloat64()
		w := math.Pow(1+x/math.Sqrt(9*d), 3)
		if w > 0 && math.Log(1-r.Float64()) < x*x/2+d-d*w+d*math.Log(w) {
			return d * w
		}
	}
}
