package rinse_test

import (
	"fmt"

	"rinseby/timing/rinse"
)

// replay walks through a plan second by second of its own account, and says
// what is wrong with it. It takes nothing from the planner but the plan.
func replay(p *rinse.Problem, plan *rinse.Plan) error {
	const chair, basin = 0, 1
	at, place := p.Now, chair
	if p.Basin {
		place = basin
	}
	arrived, rinsing, rinses := at, 0, 1
	first, last, off := map[int]int{}, map[int]int{}, map[int]int{}
	spent := map[int]int{}
	todo := map[int]bool{}
	for i, z := range p.Zones {
		if z.On {
			first[i], last[i], spent[i] = z.First, z.Last, z.Last-z.First
		}
		todo[i] = z.Apply > 0
	}
	trips := 0
	var order []int
	var walked, seen []int
	for k, a := range plan.Actions {
		bad := func(format string, args ...any) error {
			return fmt.Errorf("action %d (%v %v, %d to %d): %s", k+1, a.Kind, a.Zones, a.Start, a.End, fmt.Sprintf(format, args...))
		}
		if a.Start != at || a.End < a.Start {
			return bad("hands are free at %d", at)
		}
		takes := a.End - a.Start
		switch a.Kind {
		case rinse.Wait:
			if takes == 0 {
				return bad("no wait")
			}
		case rinse.Walk:
			if place != chair || takes != p.Walk {
				return bad("from place %d", place)
			}
			place, arrived, rinsing, rinses = basin, a.End, 0, 0
			trips++
			walked, seen = a.Zones, nil
		case rinse.Reseat:
			if place != basin || takes != p.Reseat || rinses == 0 {
				return bad("from place %d after %d rinses", place, rinses)
			}
			if fmt.Sprint(walked) != fmt.Sprint(seen) {
				return bad("the walk said %v, rinsed were %v", walked, seen)
			}
			place, walked, seen = chair, nil, nil
		case rinse.Apply:
			i := a.Zones[0]
			if place != chair || !todo[i] || takes != applyTime(p, i, a.Start) {
				return bad("place %d, to do %v, takes %d", place, todo[i], applyTime(p, i, a.Start))
			}
			todo[i] = false
			if _, on := first[i]; !on {
				first[i] = a.Start
			}
			last[i], spent[i] = a.End, spent[i]+takes
			order = append(order, i)
		case rinse.Rinse:
			i := a.Zones[0]
			_, gone := off[i]
			if _, on := first[i]; place != basin || !on || gone || todo[i] || takes != p.Zones[i].Rinse {
				return bad("place %d, on %v, gone %v", place, on, gone)
			}
			off[i] = a.End
			rinsing += takes
			rinses++
			if trips > 0 {
				seen = append(seen, i)
			}
			if idle := a.End - arrived - rinsing; idle > p.IdleCap {
				return bad("waited %d at the basin", idle)
			}
		}
		at = a.End
	}
	return judge(p, plan, order, first, last, spent, off, trips, at)
}

// judge compares what came of a plan with the windows, and with what it says.
func judge(p *rinse.Problem, plan *rinse.Plan, order []int, first, last, spent, off map[int]int, trips, end int) error {
	level, newest := -1<<62, -1<<62
	for _, z := range p.Zones {
		if z.On && z.Apply == 0 && z.Last >= newest {
			level, newest = z.Allowed[0].Level, z.Last
		}
	}
	for k, i := range order {
		s := p.Zones[i].Allowed[plan.Strengths[i]]
		if p.Order == rinse.Fixed && k > 0 && i < order[k-1] {
			return fmt.Errorf("order %v", order)
		}
		if p.Strengths == rinse.Rising && s.Level < level && !p.Zones[i].On {
			return fmt.Errorf("strength falls to %d at zone %d", s.Level, i)
		}
		level = s.Level
	}
	over, uneven, slack := 0, 0, 1<<62
	for i, z := range p.Zones {
		at, ok := off[i]
		s := z.Allowed[plan.Strengths[i]]
		limit := first[i] + max(s.Limit-z.Carried, 0)
		switch {
		case !ok:
			return fmt.Errorf("zone %d stays on", i)
		case at != plan.Off[i]:
			return fmt.Errorf("zone %d is off at %d, not %d", i, at, plan.Off[i])
		case z.Capped && s.Level > z.Strongest && !z.On:
			return fmt.Errorf("zone %d is too strong", i)
		case at < last[i]+s.Opens:
			return fmt.Errorf("zone %d is off at %d, before it opens at %d", i, at, last[i]+s.Opens)
		}
		target := s.Target
		if target == 0 {
			target = (s.Opens + s.Limit) / 2
		}
		over, slack = max(over, at-limit), min(slack, limit-at)
		uneven = max(uneven, abs(at-last[i]+spent[i]/2+z.Carried-target))
	}
	if len(p.Zones) == 0 {
		slack = 0
	}
	got := [...]int{over, trips, end, uneven, slack}
	if says := [...]int{plan.Over, plan.Trips, plan.Finish, plan.Uneven, plan.MinSlack}; got != says {
		return fmt.Errorf("over, trips, finish, unevenness, slack are %v; the plan says %v", got, says)
	}
	return nil
}

// applyTime is how long applying a zone takes if it is begun at a moment: each
// piece by the pace at its own beginning.
func applyTime(p *rinse.Problem, i, start int) int {
	z := p.Zones[i]
	pieces := max(z.Pieces, 1)
	at := start
	for k := range pieces {
		percent := 100
		for _, r := range p.Rates {
			if at >= r.From && at < r.To {
				percent = r.Percent
			}
		}
		at += (k+1)*z.Apply*100/(pieces*percent) - k*z.Apply*100/(pieces*percent)
	}
	return max(at-start, 1)
}

func abs(x int) int { return max(x, -x) }
