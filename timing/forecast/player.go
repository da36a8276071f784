package forecast

import (
	"math"

	"rinseby/timing/pace"
)

// A job is a zone as it is played: what the policy sees of it, and what is
// drawn for it.
type job struct {
	site             site
	work             pace.Work
	mix, coat, rinse chore
	develop          pace.Luck
	stays            pace.LogNormal
	rinsing          float64
}

// A chore is one of a zone's, with its own fortune and that of all of its kind.
type chore struct {
	Chore
	own, all pace.Luck
	median   float64 // minutes
}

func newChore(d *pace.Draws, kind, zone string, c Chore) chore {
	return chore{c, d.Luck(kind + " " + zone), d.Luck(kind), c.Median()}
}

func (c *chore) draw(w *pace.Draw) float64 { return w.Alike(c.own, c.all, c.LogNormal, c.Common) }

// jobs makes the zones ready.
func (in *Input) jobs(zones []Zone, d *pace.Draws) []job {
	out := make([]job, len(zones))
	for i := range zones {
		z, j := &zones[i], &out[i]
		j.site = z.site()
		j.work = d.Work(z.Step, z.Name, z.Units)
		if bowls := z.Mix; z.Mixes > 0 {
			bowls.LogNormal = bowls.Times(z.Mixes)
			j.mix = newChore(d, "mix", z.Name, bowls)
		}
		j.coat, j.rinse = newChore(d, "coat", z.Name, z.Coat), newChore(d, "rinse", z.Name, z.Rinse)
		j.develop, j.stays, j.rinsing = d.Luck("develop"), z.Develop, z.Rinsing.Minutes()
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
	return w.draw.Expect(&w.jobs[i].work, w.in.Helpers) + w.jobs[i].mix.median
}

func (w *player) mix(i int) float64 {
	if w.jobs[i].mix.median == 0 {
		return 0
	}
	return w.jobs[i].mix.draw(&w.draw)
}

func (w *player) coat(i int) float64 { return w.jobs[i].coat.draw(&w.draw) }

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
		left, p := w.draw.OtherSince(j.rinse.own, j.rinse.LogNormal, j.rinsing)
		w.weight *= p
		return left
	}
	return j.rinse.draw(&w.draw)
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
