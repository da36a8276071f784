package forecast

import (
	"cmp"
	"math"
	"slices"
)

// A site is a zone as the policy sees it: minutes from now.
type site struct {
	apply       bool    // something is left to apply
	on          bool    // something is on
	later       bool    // a band is coated when all is applied
	rinsing     bool    // water runs on it now
	first, last float64 // contact
	opens       float64 // after the last contact: water may come
	limit       float64 // after the first: the rinse must be over; infinite if there is none
	rinse       float64 // expected
	ready       float64 // when water comes if nothing is left to place
	done, off   float64 // end of its application, end of its rinse
}

// worker says how long things really take, in minutes.
type worker interface {
	// expect is what is left of a zone's application at today's pace, as hands
	// that are at it feel it, with what is to be mixed for it.
	expect(zone int) float64
	mix(zone int) float64
	apply(zone int) float64
	coat(zone int) float64
	develop(zone int) float64
	rinse(zone int) float64
}

// policy plays a service's rounds.
type policy struct {
	sites        []site
	walk, reseat float64
	basin        bool
	on           []int // zones on and wholly applied, not rinsed
}

// run plays the round of the sites from lo to hi, from the moment t on, and
// returns when its last rinse is over. Until then the client is at the basin.
func (p *policy) run(t float64, lo, hi int, w worker) float64 {
	work := false // something is to be applied
	p.on = p.on[:0]
	for i := lo; i < hi; i++ {
		s := &p.sites[i]
		work = work || s.apply
		if s.on && !s.apply {
			p.on = append(p.on, i)
		}
	}
	if p.basin && work && len(p.on) > 0 {
		t = p.trip(t, 0, true, w) + p.reseat
		p.basin = false
	}
	t = p.applyAll(t, lo, hi, w)
	for _, i := range p.on {
		if s := &p.sites[i]; s.later {
			t += w.coat(i)
			s.last = t
		}
	}
	if len(p.on) == 0 {
		return t
	}
	if !p.basin {
		t += p.walk
		p.basin = true
	}
	for _, i := range p.on {
		s := &p.sites[i]
		latest := s.first + s.limit - s.rinse
		s.ready = max(min(s.last+w.develop(i), latest), s.last+s.opens)
		if s.rinsing {
			s.ready = math.Inf(-1)
		}
	}
	slices.SortStableFunc(p.on, func(a, b int) int { return cmp.Compare(p.sites[a].ready, p.sites[b].ready) })
	for _, i := range p.on {
		t = p.off(max(t, p.sites[i].ready), i, w)
	}
	return t
}

// applyAll applies what is to be applied, with the trips that can't wait.
func (p *policy) applyAll(t float64, lo, hi int, w worker) float64 {
	for i := lo; i < hi; i++ {
		s := &p.sites[i]
		if !s.apply {
			continue
		}
		if !s.on && len(p.on) > 0 {
			if expected := w.expect(i); t+expected > p.departBy() {
				t = p.trip(t+p.walk, p.reseat+expected+p.walk, false, w) + p.reseat
			}
		}
		t += w.mix(i)
		if !s.on {
			s.first, s.on = t, true
		}
		t += w.apply(i)
		s.last, s.done = t, t
		p.on = append(p.on, i)
	}
	return t
}

// off rinses a zone and returns when that is over.
func (p *policy) off(t float64, i int, w worker) float64 {
	p.sites[i].off = t + w.rinse(i)
	return p.sites[i].off
}

// byLimit sorts what is on by when it must be off.
func (p *policy) byLimit() {
	slices.SortStableFunc(p.on, func(a, b int) int {
		return cmp.Compare(p.sites[a].first+p.sites[a].limit, p.sites[b].first+p.sites[b].limit)
	})
}

// departBy is when the client must be walked to the basin at the latest, for
// all that is on to be rinsed by the limits.
func (p *policy) departBy() float64 {
	p.byLimit()
	latest, rinsing := math.Inf(1), 0.0
	for _, i := range p.on {
		s := &p.sites[i]
		rinsing += s.rinse
		latest = min(latest, s.first+s.limit-rinsing)
	}
	return latest - p.walk
}

// trip rinses from the moment t on what is open by its turn, and what could
// not wait until the next trip, which begins to rinse so long after the end of
// this one; only what is open, if so told. It returns when the last rinse is
// over.
func (p *policy) trip(t, next float64, openOnly bool, w worker) float64 {
	p.byLimit()
	left := p.on[:0]
	waiting := 0.0 // rinses that are left for the next trip
	for _, i := range p.on {
		s := &p.sites[i]
		open := s.rinsing || t >= s.last+s.opens
		if open || (!openOnly && t+next+waiting+s.rinse > s.first+s.limit) {
			if !s.rinsing {
				t = max(t, s.last+s.opens)
			}
			t = p.off(t, i, w)
		} else {
			left = append(left, i)
			waiting += s.rinse
		}
	}
	p.on = left
	return t
}
