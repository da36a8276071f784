package forecast

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"rinseby/timing/pace"
)

// A world is a way in which services really go. All its figures are invented
// for the judge; nothing in the code that is judged knows them.
type world struct {
	name             string
	slope, slopeSD   float64 // of the log pace, per hour of work
	slow             bool    // one zone takes longer, by a factor of 1.4 to 2.2
	gaps             float64 // interruptions per piece: 2 minutes and more, by a Pareto tail of 1.5
	batch            int     // most pieces logged at once
	helper           bool    // joins half-way, 1.5 to 2.1 times as fast
	earliest, middle float64 // most that the error may be of the best possible: early; at half
	late             float64 // at 90 %
	low, high        float64 // coverage of the 80 % range before it is scaled
}

var (
	base   = world{name: "base", batch: 1, earliest: 1.05, middle: 1.05, late: 1.05, low: 0.78, high: 0.82}
	worlds = []world{
		base,
		{name: "fatigue", batch: 1, slope: 0.2, slopeSD: 0.1, earliest: 1.45, middle: 1.45, late: 1.10, low: 0.76, high: 0.92},
		{name: "interruptions", batch: 1, gaps: 0.03, earliest: 1.05, middle: 1.05, late: 1.05, low: 0.76, high: 0.92},
		{name: "slow zone", batch: 1, slow: true, earliest: 1.45, middle: 1.45, late: 1.10, low: 0.76, high: 0.92},
		{name: "batches", batch: 7, earliest: 1.05, middle: 1.05, late: 1.05, low: 0.78, high: 0.82},
		{name: "helper", batch: 1, helper: true, earliest: math.Inf(1), middle: 1.30, late: 1.30, low: 0.76, high: 0.92},
	}
)

// A stylist has usual times of their own.
type stylist struct {
	usual        map[string]float64 // minutes per piece
	level, noise float64
	dry, cut     pace.LogNormal
}

func newStylist(r *rand.Rand) stylist {
	return stylist{
		usual: map[string]float64{"foil": 1 + 1.2*r.Float64(), "open": 0.5 + 0.8*r.Float64()},
		level: 0.10 + 0.10*r.Float64(), noise: 0.25 + 0.15*r.Float64(),
		dry: pace.Around(20+10*r.Float64(), 0.15), cut: pace.Around(25+15*r.Float64(), 0.2),
	}
}

// stated is what the stylist would say when first asked.
func (s *stylist) stated(r *rand.Rand) pace.Prior {
	p := pace.Default()
	for _, step := range []string{"foil", "open"} {
		p = p.With(step, s.usual[step]*math.Exp(0.25*r.NormFloat64()))
	}
	return p
}

// A lot is one piece: where it is and how long it took, and how much of that
// was an interruption.
type lot struct {
	zone    int
	took    float64
	gap     float64
	hours   float64 // of work before it
	helpers float64
}

// A visit is one service with all that is hidden in it.
type visit struct {
	w        *world
	s        *stylist
	zones    []Zone
	lots     []lot
	logged   []int // ends of batches: how many pieces are done
	helpFrom int   // the piece with which the helper begins; none if past the end
	help     float64
	level    float64
	rinses   []float64
	steps    []float64
	expected []float64
	played   policy // as it went
	end      float64
}

var trip = struct{ walk, reseat float64 }{1.5, 3}

func (w *world) visit(s *stylist, r *rand.Rand) *visit {
	v := &visit{w: w, s: s, level: s.level * r.NormFloat64()}
	slope := w.slope + w.slopeSD*r.NormFloat64()
	n := 5 + r.IntN(4)
	slow, by := r.IntN(n), math.Log(1.4+0.8*r.Float64())
	v.help = math.Log(1.5 + 0.6*r.Float64())
	steps := []string{"foil", "open"}
	for z := range n {
		zone := Zone{
			Name: fmt.Sprint("zone ", z+1), Step: steps[r.IntN(2)], Units: 5 + r.IntN(9),
			Opens: time.Duration(15+r.IntN(10)) * time.Minute, Limit: time.Duration(42+r.IntN(14)) * time.Minute,
			Rinse: around(4, 0.2),
		}
		v.zones = append(v.zones, zone)
		v.rinses = append(v.rinses, 4*math.Exp(0.2*r.NormFloat64()))
		v.expected = append(v.expected, 0)
		for range zone.Units {
			v.lots = append(v.lots, lot{zone: z})
		}
	}
	v.helpFrom = len(v.lots) + 1
	if w.helper {
		v.helpFrom = len(v.lots) / 2
	}
	hours := 0.0
	for i := range v.lots {
		l := &v.lots[i]
		l.hours = hours
		log := v.level + tired(slope, hours) + s.noise*r.NormFloat64()
		if w.slow && l.zone == slow {
			log += by
		}
		if i >= v.helpFrom {
			log -= v.help
			l.helpers = 1
		}
		l.took = s.usual[v.zones[l.zone].Step] * math.Exp(log)
		v.expected[l.zone] += s.usual[v.zones[l.zone].Step] * math.Exp(v.level+tired(slope, hours)-l.helpers*v.help)
		hours += l.took / 60
		if r.Float64() < w.gaps {
			l.gap = min(2*math.Pow(1-r.Float64(), -1/1.5), 60)
			l.took += l.gap
		}
	}
	v.log(r)
	for _, d := range []pace.LogNormal{s.dry, s.cut} {
		v.steps = append(v.steps, math.Exp(d.Mu+d.Sigma*r.NormFloat64()))
	}
	v.play()
	return v
}

// tired is the log pace after so many hours of work. It does not rise without
// end: a stylist who slows down for ever would never be done.
func tired(slope, hours float64) float64 { return min(slope*hours, 0.9) }

// log cuts the pieces into batches, none over two zones.
func (v *visit) log(r *rand.Rand) {
	for done := 0; done < len(v.lots); {
		size := 1 + r.IntN(v.w.batch)
		if v.w.batch > 1 {
			size = max(size, 3)
		}
		z := v.lots[done].zone
		for k := 0; k < size && done < len(v.lots) && v.lots[done].zone == z; k++ {
			done++
		}
		v.logged = append(v.logged, done)
	}
}

func (v *visit) apply(z int) float64 {
	sum := 0.0
	for _, l := range v.lots {
		if l.zone == z {
			sum += l.took
		}
	}
	return sum
}

func (v *visit) expect(z int) float64 { return v.expected[z] }

func (v *visit) mix(int) float64     { return 0 }
func (v *visit) coat(int) float64    { return 0 }
func (v *visit) develop(int) float64 { return 0 }

func (v *visit) rinse(z int) float64 { return v.rinses[z] }

// play lets the visit go by, by the policy and with the true times.
func (v *visit) play() {
	v.played = policy{walk: trip.walk, reseat: trip.reseat}
	for _, z := range v.zones {
		v.played.sites = append(v.played.sites, site{
			apply: true, opens: z.Opens.Minutes(), limit: z.Limit.Minutes(), rinse: 4,
		})
	}
	v.end = v.played.run(0, 0, len(v.zones), v)
	for _, s := range v.steps {
		v.end += s
	}
}

// A cut is what is known at a moment of a visit: just after a log entry.
type cut struct {
	done int     // pieces
	now  float64 // minutes from the start
	in   Input
	seen []pace.Observation
	open []int // the visit's zones that in.Zones stands for
}

// at cuts the visit after the first entry with so much of the pieces done.
func (v *visit) at(share float64) cut {
	c := cut{}
	from := 0
	for k, done := range v.logged {
		if share < 1 && k == len(v.logged)-1 && k > 0 {
			break // something is always left to forecast
		}
		o := pace.Observation{Step: v.zones[v.lots[from].zone].Step, Zone: v.zones[v.lots[from].zone].Name, Units: done - from}
		took := 0.0
		for _, l := range v.lots[from:done] {
			took += l.took
			o.Helpers += l.helpers / float64(done-from)
		}
		o.Took = minutes(took)
		c.seen = append(c.seen, o)
		c.done, from = done, done
		if float64(done) >= share*float64(len(v.lots)) {
			break
		}
	}
	last := v.lots[c.done-1].zone
	c.now = v.played.sites[last].first
	left := make([]int, len(v.zones))
	for i, l := range v.lots {
		if i >= c.done {
			left[l.zone]++
		} else if l.zone == last {
			c.now += l.took
		}
	}
	c.in = Input{Rounds: make([][]Zone, 1), Walk: pace.Around(trip.walk, 0), Reseat: pace.Around(trip.reseat, 0), Steps: []Step{{Name: "dry", Usual: v.s.dry}, {Name: "cut", Usual: v.s.cut}}}
	if c.done >= v.helpFrom {
		c.in.Helpers = 1
	}
	for i, z := range v.zones {
		s := v.played.sites[i]
		if s.off <= c.now {
			continue
		}
		z.Units = left[i]
		if i <= last {
			z.On, z.First = true, minutes(c.now-s.first)
			if z.Units == 0 {
				z.Last = minutes(c.now - s.last)
			}
		}
		c.in.Rounds[0] = append(c.in.Rounds[0], z)
		c.open = append(c.open, i)
	}
	return c
}

// lastPiece is when, from the cut on, the last piece is in, trips included.
func (v *visit) lastPiece(c cut) float64 {
	return v.played.sites[len(v.zones)-1].done - c.now
}
