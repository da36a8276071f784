package forecast

import (
	"math"
	"math/rand/v2"
	"slices"
)

// An oracle knows the world and the stylist exactly, and more than could be
// known at the chair: what each piece of a batch took, how long each
// interruption was. It does not know what the visit drew: its level, its slope,
// which zone is slow, how fast the helper is. For these it has the exact
// posterior, by weighted draws of all but the level and, for each, the closed
// form of a normal level. It shares no code with package pace.
type oracle struct {
	v *visit
	r *rand.Rand
}

// A fate is one draw of what is hidden, with the level's posterior under it.
type fate struct {
	slope, by   float64
	help        float64
	slow        int
	mean, sd, w float64
}

// fates are weighted by how well they explain the pieces done.
func (o *oracle) fates(done int) []fate {
	v, w := o.v, o.v.w
	n := 1
	if w.slope != 0 || w.slow || w.helper {
		n = 1500
	}
	out := make([]fate, n)
	best := math.Inf(-1)
	for i := range out {
		f := &out[i]
		f.slope = w.slope + w.slopeSD*o.r.NormFloat64()
		f.help = math.Log(1.5 + 0.6*o.r.Float64())
		f.slow = -1
		if w.slow {
			f.slow, f.by = o.r.IntN(len(v.zones)), math.Log(1.4+0.8*o.r.Float64())
		}
		sum, square := 0.0, 0.0
		for k := range done {
			y := o.residual(k, f)
			sum += y
			square += y * y
		}
		// y = level + noise: conjugate normal, its evidence up to a constant.
		r, p := v.s.noise*v.s.noise, v.s.level*v.s.level
		post := 1 / (1/p + float64(done)/r)
		f.mean, f.sd = post*sum/r, math.Sqrt(post)
		f.w = -square/(2*r) + f.mean*f.mean/(2*post)
		best = max(best, f.w)
	}
	for i := range out {
		out[i].w = math.Exp(out[i].w - best)
	}
	return out
}

// residual is the log time of a piece without what the fate explains.
func (o *oracle) residual(k int, f *fate) float64 {
	l := &o.v.lots[k]
	y := math.Log(l.took-l.gap) - math.Log(o.v.s.usual[o.v.zones[l.zone].Step]) - tired(f.slope, l.hours)
	if l.zone == f.slow {
		y -= f.by
	}
	return y + l.helpers*f.help
}

// A dream is the rest of the visit under one fate.
type dream struct {
	o     *oracle
	c     *cut
	f     *fate
	level float64
	hours float64
	next  int
}

func (d *dream) apply(i int) float64 {
	v, z := d.o.v, d.c.open[i]
	sum := 0.0
	for ; d.next < len(v.lots) && v.lots[d.next].zone == z; d.next++ {
		log := d.level + tired(d.f.slope, d.hours) + v.s.noise*d.o.r.NormFloat64()
		if z == d.f.slow {
			log += d.f.by
		}
		log -= v.lots[d.next].helpers * d.f.help
		work := v.s.usual[v.zones[z].Step] * math.Exp(log)
		d.hours += work / 60
		sum += work
		if d.o.r.Float64() < v.w.gaps {
			sum += min(2*math.Pow(1-d.o.r.Float64(), -1/1.5), 60)
		}
	}
	return sum
}

func (d *dream) expect(i int) float64 {
	z, helpers := d.c.in.Rounds[0][i], 0.0
	if d.next >= d.o.v.helpFrom {
		helpers = 1
	}
	return d.o.v.s.usual[z.Step] * float64(z.Units) * math.Exp(d.level+tired(d.f.slope, d.hours)-helpers*d.f.help)
}

func (d *dream) mix(int) float64     { return 0 }
func (d *dream) coat(int) float64    { return 0 }
func (d *dream) develop(int) float64 { return 0 }

func (d *dream) rinse(int) float64 { return 4 * math.Exp(0.2*d.o.r.NormFloat64()) }

// forecast is when the last piece is in and when the visit ends, from the cut
// on: sorted samples of each.
func (o *oracle) forecast(c *cut, n int) (last, end []Sample) {
	fates := o.fates(c.done)
	total := 0.0
	for i := range fates {
		total += fates[i].w
	}
	pick, below := 0, fates[0].w
	for i := range n {
		for u := (float64(i) + o.r.Float64()) / float64(n) * total; u > below && pick < len(fates)-1; {
			pick++
			below += fates[pick].w
		}
		f := &fates[pick]
		d := &dream{o: o, c: c, f: f, level: f.mean + f.sd*o.r.NormFloat64(), next: c.done}
		if c.done < len(o.v.lots) {
			d.hours = o.v.lots[c.done].hours
		}
		p := policy{walk: trip.walk, reseat: trip.reseat, sites: o.sites(c)}
		t := p.run(0, 0, len(p.sites), d)
		last = append(last, Sample{p.sites[len(p.sites)-1].done, 1 / float64(n)})
		for _, s := range c.in.Steps {
			t += math.Exp(s.Usual.Mu + s.Usual.Sigma*o.r.NormFloat64())
		}
		end = append(end, Sample{t, 1 / float64(n)})
	}
	byMinutes := func(a, b Sample) int {
		if a.Minutes < b.Minutes {
			return -1
		}
		return 1
	}
	slices.SortFunc(last, byMinutes)
	slices.SortFunc(end, byMinutes)
	return last, end
}

func (o *oracle) sites(c *cut) []site {
	var out []site
	for _, z := range c.in.Rounds[0] {
		out = append(out, site{
			on: z.On, apply: z.Units > 0, first: -z.First.Minutes(), last: -z.Last.Minutes(),
			opens: z.Opens.Minutes(), limit: z.Limit.Minutes(), rinse: 4,
		})
	}
	return out
}
