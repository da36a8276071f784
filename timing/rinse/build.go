package rinse

import "rinseby/timing/dbm"

// plan writes down the best plan.
func (r *solver) plan() *Plan {
	p := &Plan{
		Proved: r.proved && r.evened,
		Over:   int(r.over), Trips: int(r.cost.trips), Finish: r.p.Now + int(r.cost.finish), Uneven: int(r.even),
		LowerBound: Bound{r.least.Over, r.least.Trips, r.p.Now + r.least.Finish},
		Strengths:  make([]int, r.n),
		Off:        make([]int, r.n),
		Why:        Why{Zone: -1, Late: -1, Behind: -1},
	}
	c := r.course(r.best)
	c.fix(r.over, r.even, r.cost.finish)
	ends, _ := c.system.Earliest()
	at := r.p.Now
	trip := -1 // the walk of the trip under way
	for k, st := range r.best {
		end := r.p.Now + ends[c.ends[k]]
		if st.kind == Walk { // rather wait at the chair
			end = r.p.Now + ends[c.ends[k+1]] - c.takes(r.best[k+1])
		}
		start := end - c.takes(st)
		if start > at {
			p.Actions = append(p.Actions, Action{Kind: Wait, Start: at, End: start})
		}
		a := Action{Kind: st.kind, Start: start, End: end}
		switch st.kind {
		case Apply:
			a.Zones = []int{st.zone}
			p.Order = append(p.Order, st.zone)
		case Rinse:
			a.Zones = []int{st.zone}
			p.Off[st.zone] = end
			if trip >= 0 {
				p.Actions[trip].Zones = append(p.Actions[trip].Zones, st.zone)
			}
		case Walk:
			trip = len(p.Actions)
		case Reseat:
			trip = -1
		}
		p.Actions = append(p.Actions, a)
		at = end
	}
	for i := range r.n {
		p.Strengths[i] = r.variants[i][c.used[i]].strength
	}
	r.explain(p, c, ends)
	return p
}

// explain fills in why the plan is as it is, and its slack.
func (r *solver) explain(p *Plan, c *course, ends []int) {
	limit := make([]int, r.n) // moments
	for i := range r.n {
		v := &r.variants[i][c.used[i]]
		limit[i] = r.p.Now + int(v.abs)
		if v.abs == dbm.Inf {
			limit[i] = r.p.Now + int(v.limit)
			if !r.on.has(i) {
				limit[i] += ends[c.anchor[i]] + c.shift[i]
			}
		}
		slack := limit[i] - p.Off[i]
		if i == 0 || slack < p.MinSlack {
			p.MinSlack = slack
		}
		if p.Over > 0 && p.Why.Late < 0 && slack == -p.Over {
			p.Why.Late, p.Why.By = i, p.Over
			p.Why.Behind = c.behind(i, ends)
		}
	}
	for _, a := range p.Actions {
		if a.Kind != Walk {
			continue
		}
		before := int(r.walk)
		for k, i := range a.Zones {
			before += int(r.rinse[i])
			if leave := limit[i] - before; k == 0 || leave < p.Why.Leave {
				p.Why.Zone, p.Why.Leave = i, leave
			}
		}
		return
	}
}

// behind is the zone that keeps the hands from having a zone off any sooner:
// the nearest other one on the way back from what holds its rinse.
func (c *course) behind(zone int, ends []int) int {
	owner := make(map[int]int, len(c.steps))
	for k, st := range c.steps {
		owner[c.ends[k]] = st.zone
	}
	v := c.off[zone]
	for range c.steps { // there may be rings of equal bounds
		if v = c.system.Holder(ends, v); v == 0 || v == c.anchor[zone] {
			break
		}
		if o := owner[v]; o >= 0 && o != zone {
			return o
		}
	}
	return zone
}
