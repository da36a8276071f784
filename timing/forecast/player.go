package forecast

import (
	"math"

	"rinseby/timing/pace"
)

// A job is a zone as it is played: what the policy sees of it, and what is
// drawn for it.
type job struct {
	site                       site
	work                       pace.Work
	bowls                      pace.LogNormal // all that are to be mixed for it
	mixes                      float64        // expected, in minutes
	mix, coat, develop, rinse  pace.Luck
	rinseTime, coatTime, stays pace.LogNormal
	rinsing                    float64
}

// jobs makes the zones ready.
func (in *Input) jobs(zones []Zone, d *pace.Draws) []job {
	out := make([]job, len(zones))
	for i := range zones {
		z, j := &zones[i], &out[i]
		j.site = z.site()
		j.work = d.Work(z.Step, z.Name, z.Units)
		if z.Mixes > 0 {
			j.bowls = z.Mix.Times(z.Mixes)
			j.mixes = j.bowls.Median()
		}
		j.mix, j.coat, j.rinse = d.Luck("mix "+z.Name), d.Luck("coat "+z.Name), d.Luck("rinse "+z.Name)
		j.develop = d.Luck("develop")
		j.rinseTime, j.coatTime, j.stays, j.rinsing = z.Rinse, z.Coat, z.Develop, z.Rinsing.Minutes()
	}
	return out
}

// site is the zone as the policy sees it.
func (z *Zone) site() site {
	s := site{
		on: z.On, apply: z.Units > 0, later: z.Later, rinsing: z.Rinsing > 0,
		first: -z.First.Minutes(), last: -z.Last.Minutes(),
		opens: z.Opens.Minutes(), limit: z.Limit.Minutes(), rinse: z.Rinse.Median(),
	}
	if z.Limit == 0 {
		s.limit = math.Inf(1)
	}
	return s
}

// A player plays one draw.
type player struct {
	in     *Input
	jobs   []job
	draw   pace.Draw
	open   int
	since  float64
	weight float64
	stayed struct { // the last time to develop that was drawn
		of      pace.LogNormal
		minutes float64
	}
}

// begin makes ready for the draw i.
func (w *player) begin(d *pace.Draws, i int) {
	w.draw, w.since, w.weight = d.At(i), w.in.Since.Minutes(), 1
	w.stayed.minutes = 0
}

func (w *player) apply(i int) float64 {
	if w.since > 0 {
		left, p := w.draw.TakeSince(&w.jobs[i].work, w.open, w.since, w.in.Helpers)
		w.since = 0
		w.weight *= p
		return left
	}
	return w.draw.Take(&w.jobs[i].work, w.in.Helpers)
}

func (w *player) expect(i int) float64 {
	return w.draw.Expect(&w.jobs[i].work, w.in.Helpers) + w.jobs[i].mixes
}

func (w *player) mix(i int) float64 {
	j := &w.jobs[i]
	if j.mixes == 0 {
		return 0
	}
	return w.draw.Other(j.mix, j.bowls)
}

func (w *player) coat(i int) float64 { return w.draw.Other(w.jobs[i].coat, w.jobs[i].coatTime) }

func (w *player) develop(i int) float64 {
	j := &w.jobs[i]
	if w.stayed.minutes == 0 || w.stayed.of != j.stays {
		w.stayed.of, w.stayed.minutes = j.stays, w.draw.Other(j.develop, j.stays)
	}
	return w.stayed.minutes
}

func (w *player) rinse(i int) float64 {
	j := &w.jobs[i]
	if j.rinsing > 0 {
		left, p := w.draw.OtherSince(j.rinse, j.rinseTime, j.rinsing)
		w.weight *= p
		return left
	}
	return w.draw.Other(j.rinse, j.rinseTime)
}

// step is how long a step takes from when the hands are free for it.
func (w *player) step(s *Step, luck pace.Luck) float64 {
	if s.Since > 0 {
		left, p := w.draw.OtherSince(luck, s.Usual, s.Since.Minutes())
		w.weight *= p
		return left
	}
	return w.draw.Other(luck, s.Usual)
}
