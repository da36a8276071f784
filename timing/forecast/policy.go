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
	first, last float64 // contact
	opens       float64 // after the last contact
	limit       float64 // after the first; infinite if there is none
	rinse       float64 // expected
	done, off   float64 // end of its application, end of its rinse
}

// worker says how long things really take, in minutes.
type worker interface {
	// expect is what is left of a zone's application at today's pace, as hands
	// that are at it feel it.
	expect(zone int) float64
	apply(zone int) float64
	rinse(zone int) float64
}

// policy plays a service's rest from its zones on.
type policy struct {
	sites        []site
	walk, reseat float64
	basin        bool
	on           []int // zones on and wholly applied, not rinsed
}

// run returns the minutes until the last rinse is over.
func (p *policy) run(w worker) float64 {
	t := 0.0
	p.on = p.on[:0]
	for i := range p.sites {
		if s := &p.sites[i]; s.on && !s.apply {
			p.on = append(p.on, i)
		}
	}
	if p.basin && p.work(0) {
		t = p.trip(t, t, true, w) + p.reseat
	}
	for i := range p.sites {
		s := &p.sites[i]
		if !s.apply {
			continue
		}
		if !s.on && len(p.on) > 0 {
			if expected := w.expect(i); t+expected > p.departBy() {
				t = p.trip(t+p.walk, t+p.walk+expected, false, w) + p.reseat
			}
		}
		if !s.on {
			s.first, s.on = t, true
		}
		t += w.apply(i)
		s.last, s.done = t, t
		p.on = append(p.on, i)
	}
	if len(p.on) == 0 {
		return t
	}
	if !p.basin || p.work(0) {
		t += p.walk
	}
	slices.SortStableFunc(p.on, func(a, b int) int {
		return cmp.Compare(p.sites[a].last+p.sites[a].opens, p.sites[b].last+p.sites[b].opens)
	})
	for _, i := range p.on {
		t = p.off(t, i, w)
	}
	return t
}

// work reports whether a zone from i on is to be applied.
func (p *policy) work(i int) bool {
	return slices.ContainsFunc(p.sites[i:], func(s site) bool { return s.apply })
}

// off rinses a zone, once it opens, and returns when that is over.
func (p *policy) off(t float64, i int, w worker) float64 {
	s := &p.sites[i]
	d := w.rinse(i)
	s.off = max(t+d, s.last+s.opens)
	return s.off
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
// not wait until a trip that begins to rinse at next; only what is open, if so
// told. It returns when the last rinse is over.
func (p *policy) trip(t, next float64, openOnly bool, w worker) float64 {
	p.byLimit()
	left := p.on[:0]
	wait := next
	for _, i := range p.on {
		s := &p.sites[i]
		wait += s.rinse
		open := t+s.rinse >= s.last+s.opens
		if open || (!openOnly && wait > s.first+s.limit) {
			t = p.off(t, i, w)
		} else {
			left = append(left, i)
		}
	}
	p.on = left
	return t
}
