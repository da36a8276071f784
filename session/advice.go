package session

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"rinseby/session/formula"
	"rinseby/timing/rinse"
)

// steps are the strengths of developer of the trade, from strong to weak; see
// [formula.Label].
var steps = []formula.Percent{12, 9, 6, 3}

// adviceNodes bounds the search for each of the questions of an advice.
const adviceNodes = 10_000

// A TripAdvice is the plan of the trips as it can be read, and what would make
// a head possible that is not.
type TripAdvice struct {
	Question TripQuestion
	slow     TripQuestion // the same at the pace that 80 % of the pieces keep to
	zones    []adviceZone
}

// adviceZone is a zone with the strengths that could be taken instead.
type adviceZone struct {
	name    string
	weaker  [][]formula.Percent // for each choice the strengths of its bands
	allowed []rinse.Strength
}

// AskAdvice makes the question of [State.AskTrips] with, for zones that nothing
// is on yet, the weaker strengths that there is a window for. Rows are those
// of the catalogue, to be used beside those that were confirmed: before the
// start none is.
func (s *State) AskAdvice(now time.Time, pace time.Duration, rows []formula.Row) (TripAdvice, bool) {
	rows = append(rows[:len(rows):len(rows)], s.Windows...)
	q, ok := s.askTrips(now, pace, rows)
	if !ok {
		return TripAdvice{}, false
	}
	slow, ok := s.askTrips(now, max(s.paceAt(0.8), pace), rows)
	if !ok {
		return TripAdvice{}, false
	}
	a := TripAdvice{Question: q, slow: slow, zones: make([]adviceZone, len(q.ids))}
	for i, id := range q.ids {
		z, pz := s.Zone(id), q.problem.Zones[i]
		az := adviceZone{name: z.Name, allowed: pz.Allowed, weaker: [][]formula.Percent{strengths(z.Bands)}}
		az.allowed[0].Level = len(steps)
		if !pz.On {
			for level := len(steps) - 1; level > 0; level-- {
				bands, can := weakened(z.Bands, len(steps)-level)
				w, known := s.windowOf(z, bands, rows, now)
				if !can || !known {
					continue
				}
				az.allowed = append(az.allowed, rinse.Strength{Level: level, Opens: seconds(w.Opens), Limit: seconds(w.Limit)})
				az.weaker = append(az.weaker, strengths(bands))
			}
		}
		a.zones[i] = az
	}
	return a, true
}

// weakened are the bands with developers so many of the trade's steps weaker;
// false if one would have none.
func weakened(bands []PlanBand, by int) ([]PlanBand, bool) {
	out := make([]PlanBand, len(bands))
	for i, b := range bands {
		out[i] = b
		at := 0
		for at < len(steps) && !notAbove(steps[at], b.Strength) {
			at++
		}
		if at+by >= len(steps) {
			return nil, false
		}
		out[i].Strength = steps[at+by]
	}
	return out, true
}

func strengths(bands []PlanBand) []formula.Percent {
	out := make([]formula.Percent, len(bands))
	for i, b := range bands {
		out[i] = b.Strength
	}
	return out
}

// Lines answers in plain lines: the plan step by step, whether one pair of
// hands can do it, and if not, what would help. It is pure, and takes a moment.
func (a TripAdvice) Lines(clock Clockface) ([]string, error) {
	plan, err := a.Question.Answer(nil)
	if err != nil {
		return nil, err
	}
	var lines []string
	how := "the best of all plans"
	if !plan.Proved {
		how = "the best plan found in time; there may be a better one"
	}
	if plan.Over == 0 {
		lines = append(lines, fmt.Sprintf("One pair of hands gets every zone off inside its limit: trips to the basin: %d, all off at %s (%s).",
			plan.Trips, clock(plan.moment(plan.Finish)), how))
	} else {
		lines = append(lines, fmt.Sprintf("One pair of hands can't get every zone off inside its limit. At the least harm %s is %s over (%s).",
			a.zones[plan.Why.Late].name, mins(time.Duration(plan.Over)*time.Second), how))
		more, err := a.help()
		if err != nil {
			return nil, err
		}
		lines = append(lines, more...)
	}
	more, err := a.slack()
	if err != nil {
		return nil, err
	}
	lines = append(lines, more, "")
	for _, act := range plan.Actions {
		lines = append(lines, fmt.Sprintf("%s to %s  %s", clock(plan.moment(act.Start)), clock(plan.moment(act.End)), a.action(act)))
	}
	return lines, nil
}

// slack tells what is left to the limits at a slower pace.
func (a TripAdvice) slack() (string, error) {
	plan, err := a.slow.Answer(nil)
	switch {
	case err != nil:
		return "", err
	case plan.Over > 0:
		return fmt.Sprintf("At the pace that 8 of 10 pieces keep to, a zone would be %s over.", mins(time.Duration(plan.Over)*time.Second)), nil
	}
	return fmt.Sprintf("At the pace that 8 of 10 pieces keep to, every zone is in time, with %s to spare.", mins(a.slow.spare(plan))), nil
}

// help tells what would make the head possible.
func (a TripAdvice) help() ([]string, error) {
	// As little weaker as it takes: one step of strength at first, then more.
	var adv *rinse.Advice
	for depth := 1; depth < len(steps) && (adv == nil || adv.Weaker == nil); depth++ {
		p := a.Question.problem
		p.Zones = slices.Clone(p.Zones)
		p.Strengths = rinse.Free
		for i := range p.Zones {
			p.Zones[i].Allowed = a.zones[i].allowed[:min(depth+1, len(a.zones[i].allowed))]
		}
		var err error
		if adv, err = rinse.Advise(&p, rinse.Wish{}, rinse.Budget{Nodes: adviceNodes}); err != nil {
			return nil, err
		}
	}
	var lines []string
	add := func(format string, args ...any) { lines = append(lines, "  "+fmt.Sprintf(format, args...)) }
	if adv.Faster > 0 {
		add("It fits at %d %% of the pace, as with a helper who applies too.", adv.Faster)
	}
	if adv.Weaker != nil {
		var changed []string
		for i, choice := range adv.Weaker {
			if choice > 0 {
				changed = append(changed, a.zones[i].name+" "+labels(a.zones[i].weaker[choice]))
			}
		}
		add("It fits with weaker developer, by the catalogue's windows: %s.", strings.Join(changed, "; "))
	}
	if n := len(a.zones); adv.Zones < n && adv.Zones > 0 {
		add("The first %d of the %d zones fit.", adv.Zones, n)
	}
	if adv.Split > 0 {
		add("Two visits fit: %d zones at the first.", adv.Split)
	}
	if len(lines) == 0 {
		add("Nothing that was tried helps: a faster pace, weaker developer, fewer zones, two visits.")
	}
	if !adv.Sure {
		add("Not all of this could be settled in time.")
	}
	return lines, nil
}

func (a TripAdvice) action(act rinse.Action) string {
	names := make([]string, len(act.Zones))
	for i, z := range act.Zones {
		names[i] = a.zones[z].name
	}
	switch list := strings.Join(names, ", "); act.Kind {
	case rinse.Apply:
		return "place " + list
	case rinse.Walk:
		return "to the basin with " + list
	case rinse.Rinse:
		return "rinse " + list
	case rinse.Reseat:
		return "back to the chair"
	}
	return "wait"
}

func labels(ps []formula.Percent) string {
	var out []string
	for _, p := range ps {
		if l := label(p); len(out) == 0 || out[len(out)-1] != l {
			out = append(out, l)
		}
	}
	return strings.Join(out, " and ")
}
