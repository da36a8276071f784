package forecast

import (
	"math"

	"rinseby/timing/pace"
)

// sites are the zones as the policy sees them.
func sites(zones []Zone) []site {
	out := make([]site, len(zones))
	for i := range zones {
		z, s := &zones[i], &out[i]
		s.on, s.apply, s.later, s.rinsing = z.On, z.Units > 0, z.Later, z.Rinsing > 0
		s.first, s.last = -z.First.Minutes(), -z.Last.Minutes()
		s.opens, s.limit = z.Opens.Minutes(), z.Limit.Minutes()
		if z.Limit == 0 {
			s.limit = math.Inf(1)
		}
		s.rinse = z.Rinse.Median()
	}
	return out
}

// fortunes are what the draws of a zone go by.
type fortunes struct{ rinse, mix, coat string }

func nameAll(zones []Zone) []fortunes {
	out := make([]fortunes, len(zones))
	for i := range zones {
		out[i] = fortunes{"rinse " + zones[i].Name, "mix " + zones[i].Name, "coat " + zones[i].Name}
	}
	return out
}

// A player plays one draw.
type player struct {
	in     *Input
	zones  []Zone
	names  []fortunes
	draw   pace.Draw
	open   int
	since  float64
	weight float64
}

func (w *player) apply(i int) float64 {
	z := &w.zones[i]
	if w.since > 0 {
		left, p := w.draw.TakeSince(z.Step, z.Name, z.Units, w.open, w.since, w.in.Helpers)
		w.since = 0
		w.weight *= p
		return left
	}
	return w.draw.Take(z.Step, z.Name, z.Units, w.in.Helpers)
}

func (w *player) expect(i int) float64 {
	z := &w.zones[i]
	return w.draw.Expect(z.Step, z.Name, z.Units, w.in.Helpers) + float64(z.Mixes)*z.Mix.Median()
}

func (w *player) mix(i int) float64 {
	z := &w.zones[i]
	if z.Mixes == 0 {
		return 0
	}
	return w.draw.Other(w.names[i].mix, z.Mix.Times(z.Mixes))
}

func (w *player) coat(i int) float64 { return w.draw.Other(w.names[i].coat, w.zones[i].Coat) }

func (w *player) develop(i int) float64 { return w.draw.Other("develop", w.zones[i].Develop) }

func (w *player) rinse(i int) float64 {
	z := &w.zones[i]
	if z.Rinsing > 0 {
		left, p := w.draw.OtherSince(w.names[i].rinse, z.Rinse, z.Rinsing.Minutes())
		w.weight *= p
		return left
	}
	return w.draw.Other(w.names[i].rinse, z.Rinse)
}

// step is how long a step takes from when the hands are free for it.
func (w *player) step(s *Step) float64 {
	if s.Since > 0 {
		left, p := w.draw.OtherSince(s.Name, s.Usual, s.Since.Minutes())
		w.weight *= p
		return left
	}
	return w.draw.Other(s.Name, s.Usual)
}
