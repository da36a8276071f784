package session

import (
	"slices"
	"strings"

	"rinseby/timing/floor"
	"rinseby/timing/rinse"
)

// planned adds the round under way as it is planned; false if there is no plan
// for it as it stands. Later says that another round follows.
func (c *chainer) planned(plan *TripPlan, later bool) bool {
	if plan == nil || c.s.Ended() || c.now.Before(plan.At) {
		return false
	}
	q, ok := c.s.AskTrips(c.now, c.s.Pace())
	if !ok || !slices.Equal(q.ids, plan.ids) {
		return false
	}
	p := planChainer{chainer: c, basin: q.problem.Basin, passed: seconds(c.now.Sub(plan.At))}
	for i, id := range q.ids {
		p.shares = append(p.shares, share{z: c.s.Zone(id), Zone: q.problem.Zones[i], known: true, place: -1})
	}
	for _, a := range plan.Actions {
		p.take(a)
	}
	if later {
		p.end += seconds(TripReseat) // until hands go on with the next round
	}
	p.endTrip(p.end)
	return true
}

// A planChainer goes through the actions of a plan, whose moments count from
// when it was made.
type planChainer struct {
	*chainer
	shares []share
	basin  bool // the actions so far have not left the basin, where hands were
	passed int  // seconds since the plan was made
	end    int  // of the last action
	trip   planTrip
}

// A planTrip is a trip whose actions are being taken.
type planTrip struct {
	under bool
	start int
	zones []int // indices of shares
	off   []int // ends of their rinses
}

func (p *planChainer) take(a rinse.Action) {
	if p.basin && !p.trip.under && a.Kind != rinse.Apply {
		p.trip = planTrip{under: true, start: a.Start}
	}
	switch a.Kind {
	case rinse.Apply:
		p.endTrip(p.end)
		sh := &p.shares[a.Zones[0]]
		sh.Apply = a.End - a.Start
		if gone := min(p.passed-a.Start, sh.Apply/max(sh.Pieces, 1)); gone > 0 { // of the piece in hand
			sh.Apply = max(sh.Apply-gone, 1)
		}
		p.mixing(sh, a.Start)
		p.put(sh)
	case rinse.Walk:
		p.endTrip(p.end)
		p.trip = planTrip{under: true, start: a.Start}
	case rinse.Rinse:
		p.trip.zones, p.trip.off = append(p.trip.zones, a.Zones[0]), append(p.trip.off, a.End)
	case rinse.Reseat:
		p.endTrip(a.End)
	}
	p.end = a.End
}

// endTrip adds the trip under way, which ends at the moment end of the plan.
func (p *planChainer) endTrip(end int) {
	t := p.trip
	if p.trip = (planTrip{}); !t.under {
		return
	}
	begun, gone := p.basin, 0
	if begun {
		gone = p.passed
		if len(t.zones) > 0 {
			first := &p.shares[t.zones[0]]
			if rinsing := p.rinsing(first); rinsing > 0 && t.off[0]-t.start == first.Rinse { // which the plan begins anew
				gone = rinsing
			}
		}
	}
	p.basin = false
	var shares []*share
	var off []int
	for k, i := range t.zones {
		shares, off = append(shares, &p.shares[i]), append(off, max(t.off[k]-t.start-gone, 1))
	}
	p.trips(shares, off, end-t.start-gone, begun)
}

// rinsing is how many seconds of a share's rinse are over.
func (c *chainer) rinsing(sh *share) int {
	trip := c.s.OpenTrip()
	if trip == nil {
		return 0
	}
	id, since := trip.running()
	if id != sh.z.ID || c.s.Paused() {
		return 0
	}
	return min(max(seconds(c.a.since(since)), 0), sh.Rinse-1)
}

// freeWait is from how long a wait in a trip hands are free in it.
const freeWait = 60

// A visit is a part of a trip without a wait in which hands are free.
type visit struct {
	shares []*share
	off    []int // ends of the rinses, from its start
	takes  int
	first  bool // it begins when the trip does
}

// visits cuts a trip of so many seconds, which has shares off so long after its
// start, at its waits. The way to the basin belongs to the first rinse.
func visits(shares []*share, off []int, takes int, begun bool) []visit {
	end, start := seconds(TripWalk), 0 // of the last rinse; of the visit
	if begun {
		end = 0
	}
	all := []visit{{first: true}}
	for k, sh := range shares {
		v := &all[len(all)-1]
		switch wait := off[k] - sh.Rinse - end; {
		case wait < freeWait:
		case k == 0:
			start, v.first = wait, false
		default:
			v.takes = end - start
			start = off[k] - sh.Rinse
			all = append(all, visit{})
			v = &all[len(all)-1]
		}
		v.shares, v.off = append(v.shares, sh), append(v.off, off[k]-start)
		end = off[k]
	}
	all[len(all)-1].takes = takes - start
	return all
}

// trips adds a trip that takes so many seconds and has shares off so long after
// its start, and before it what is coated later in their zones.
func (c *chainer) trips(shares []*share, off []int, takes int, begun bool) {
	coats := map[string]int{} // tasks, by zone
	for _, sh := range shares {
		if bands := sh.z.uncoated(); len(bands) > 0 && !begun && !c.s.Ended() {
			takes := len(bands) * left(c.a.time(StintCoat, string(sh.z.action)), 0)
			coats[sh.z.ID] = c.add(handTask{Task: floor.Task{Name: "coat " + sh.z.Name, Takes: takes}})
		}
	}
	for _, v := range visits(shares, off, takes, begun) {
		c.visit(v, coats, begun && v.first)
	}
}

func (c *chainer) visit(v visit, coats map[string]int, begun bool) {
	var names []string
	for _, sh := range v.shares {
		if !slices.Contains(names, sh.z.Name) {
			names = append(names, sh.z.Name)
		}
	}
	name := "rinse " + strings.Join(names, ", ")
	if len(names) == 0 {
		name = "back from the basin"
	}
	at := c.add(handTask{Task: floor.Task{Name: name, Takes: max(v.takes, 1), Begun: begun && !c.s.Paused() && len(c.tasks) == 0}, rinse: true})
	for k, sh := range v.shares {
		c.hold(sh, at, v.off[k])
		coat, coated := coats[sh.z.ID]
		if !coated {
			continue
		}
		if w, ok := c.s.windowOf(sh.z, sh.z.uncoated(), c.s.Windows, c.now); ok {
			opens, limit := min(seconds(w.Opens)+sh.Rinse, seconds(w.Limit)), seconds(w.Limit)
			c.link(floor.Link{From: coat, To: at, Least: c.tasks[coat].Takes + opens - v.off[k], Most: limit - v.off[k], Chemistry: true, Name: "limit of " + sh.z.Name})
		}
	}
}

// rounds adds rounds that go on together, without a plan: all is placed, then
// all rinsed; if that does not go, one zone after another, if that does. Later
// says that another round follows.
func (c *chainer) rounds(rounds []*Round, first, later bool) {
	var shares []*share
	var at int
	for _, r := range rounds {
		for _, z := range c.s.RoundZones(r) {
			if z.Over() || c.s.Ended() && !z.Holding() {
				continue
			}
			sh := c.shareOf(z, first)
			c.mixing(&sh, at)
			at += sh.lead + sh.Apply
			shares = append(shares, &sh)
		}
	}
	tasks, links := len(c.tasks), len(c.links)
	for _, shape := range [][][]*share{{shares}, staged(shares), {shares}} {
		c.tasks, c.links = c.tasks[:tasks], c.links[:links]
		c.shape(shape, later)
		if c.settle() {
			return
		}
	}
}

// staged are what is on, if nothing more of it is to come, then each share by
// itself.
func staged(shares []*share) (groups [][]*share) {
	var on []*share
	for _, sh := range shares {
		if sh.Apply == 0 {
			on = append(on, sh)
		} else {
			groups = append(groups, []*share{sh})
		}
	}
	if len(on) > 0 {
		groups = slices.Insert(groups, 0, on)
	}
	return groups
}

// shape adds groups of shares, each of which is placed and then rinsed in one
// trip. What is being rinsed comes first.
func (c *chainer) shape(groups [][]*share, later bool) {
	trip := c.s.OpenTrip()
	under := func(sh *share) bool { return trip != nil && sh.z.Trip == trip.ID }
	var begun []*share
	for _, g := range groups {
		for _, sh := range g {
			if under(sh) {
				begun = append(begun, sh)
			}
		}
	}
	if len(begun) > 0 {
		more := len(begun) < len(slices.Concat(groups...))
		c.rinse(begun, true, more || later)
	}
	for i, g := range groups {
		g = slices.DeleteFunc(slices.Clone(g), under)
		for _, sh := range g {
			if sh.place = -1; sh.Apply > 0 {
				c.put(sh)
			}
		}
		if len(g) > 0 {
			c.rinse(g, false, later || i < len(groups)-1)
		}
	}
}

// rinse adds a trip with shares, with the way back if hands then go on.
func (c *chainer) rinse(shares []*share, begun, goesOn bool) {
	takes, off := seconds(TripWalk), make([]int, len(shares))
	if begun {
		takes = 0
	}
	for k, sh := range shares {
		takes += sh.Rinse
		if begun {
			takes -= c.rinsing(sh)
		}
		off[k] = takes
	}
	if goesOn {
		takes += seconds(TripReseat)
	}
	c.trips(shares, off, takes, begun)
}
