package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"rinseby/session/formula"
	"rinseby/timing/rinse"
	"rinseby/tui/clean"
)

// A plan as plan --json prints it. Everything is in minutes; moments count from
// now.
type (
	plannedBound struct {
		Over   float64 `json:"over_minutes"`
		Trips  int     `json:"trips"`
		Finish float64 `json:"finish_minutes"`
	}
	plannedZone struct {
		Name     string  `json:"name"`
		Strength string  `json:"strength"`
		Off      float64 `json:"off"`
	}
	plannedAction struct {
		Kind  rinse.Kind `json:"kind"`
		Zones []string   `json:"zones"`
		Start float64    `json:"start"`
		End   float64    `json:"end"`
	}
	plannedWhy struct {
		Zone   string  `json:"zone"`
		Leave  float64 `json:"leave_by"`
		Late   string  `json:"late"`
		Behind string  `json:"behind"`
		By     float64 `json:"by_minutes"`
	}
	planned struct {
		Proved     bool            `json:"proved"`
		Over       float64         `json:"over_minutes"`
		Trips      int             `json:"trips"`
		Finish     float64         `json:"finish_minutes"`
		Uneven     float64         `json:"uneven_minutes"`
		LowerBound plannedBound    `json:"lower_bound"`
		MinSlack   float64         `json:"min_slack"`
		Actions    []plannedAction `json:"actions"`
		Zones      []plannedZone   `json:"zones"`
		Why        plannedWhy      `json:"why"`
	}
)

func (e *edge) planCommand() *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "plan FILE.toml",
		Short: "Plan when to apply, when to walk to the basin and what to rinse there",
		Long: `Plan reads zones, their windows and the cost of a trip to the basin, and prints what one pair of hands should
do when: with the least time past any limit, then the fewest trips, then the earliest finish, then the most even
exposure. It says whether no plan can be better, or how far from it the plan may be. It keeps nothing.
session/FORMATS.md lists every field. - reads standard input.`,
		Args: oneArg,
		RunE: func(_ *cobra.Command, args []string) error { return e.plan(args[0], asJSON) },
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print as JSON")
	return c
}

func (e *edge) plan(name string, asJSON bool) error {
	in, err := e.open(name)
	if err != nil {
		return err
	}
	defer in.Close()
	text, err := io.ReadAll(io.LimitReader(in, maxPlanFile+1))
	if err != nil {
		return fmt.Errorf("%s can't be read (%w): check its permissions", name, cause(err))
	}
	f, err := readPlan(name, text)
	if err != nil {
		return err
	}
	best, err := rinse.Solve(&f.Problem, rinse.Budget{Nodes: f.nodes, Stop: stopAfter(f.seconds)})
	if errors.Is(err, rinse.ErrProblem) {
		return &formula.FieldError{File: name, Line: 1, Say: err.Error()}
	}
	if err != nil {
		return err
	}
	out := f.planned(best)
	if asJSON {
		return e.encode(out)
	}
	_, err = io.WriteString(e.out, out.text())
	return err
}

// planned puts a plan into the words and minutes of its file.
func (f *planFile) planned(p *rinse.Plan) planned {
	minutes := func(seconds int) float64 { return math.Round(float64(seconds)/60*1000) / 1000 }
	name := func(zone int) string {
		if zone < 0 {
			return ""
		}
		return f.Problem.Zones[zone].Name
	}
	out := planned{
		Proved: p.Proved, Over: minutes(p.Over), Trips: p.Trips, Finish: minutes(p.Finish), Uneven: minutes(p.Uneven),
		LowerBound: plannedBound{minutes(p.LowerBound.Over), p.LowerBound.Trips, minutes(p.LowerBound.Finish)},
		MinSlack:   minutes(p.MinSlack), Actions: []plannedAction{},
		Why: plannedWhy{name(p.Why.Zone), minutes(p.Why.Leave), name(p.Why.Late), name(p.Why.Behind), minutes(p.Why.By)},
	}
	for _, a := range p.Actions {
		zones := []string{}
		for _, z := range a.Zones {
			zones = append(zones, name(z))
		}
		out.Actions = append(out.Actions, plannedAction{a.Kind, zones, minutes(a.Start), minutes(a.End)})
	}
	for i := range f.Problem.Zones {
		out.Zones = append(out.Zones, plannedZone{name(i), f.labels[i][p.Strengths[i]], minutes(p.Off[i])})
	}
	return out
}

// clock writes minutes from now as hours and minutes, with seconds if there
// are any: "1:05", "0:09:30".
func clock(minutes float64) string {
	sign, s := "", int(math.Round(minutes*60))
	if s < 0 {
		sign, s = "-", -s
	}
	text := fmt.Sprintf("%s%d:%02d", sign, s/3600, s/60%60)
	if s%60 != 0 {
		text += fmt.Sprintf(":%02d", s%60)
	}
	return text
}

// text is the plan for people to read.
func (p *planned) text() string {
	var b strings.Builder
	strengths := map[string]string{}
	for _, z := range p.Zones {
		strengths[z.Name] = z.Strength
	}
	for _, a := range p.Actions {
		fmt.Fprintf(&b, "%8s  %8s  %s", clock(a.Start), clock(a.End), a.Kind)
		names := clean.Text(strings.Join(a.Zones, ", "))
		switch {
		case a.Kind == rinse.Apply:
			fmt.Fprintf(&b, " %s, %s", names, clean.Text(strengths[a.Zones[0]]))
		case a.Kind == rinse.Walk:
			fmt.Fprintf(&b, " to the basin with %s", names)
		case names != "":
			b.WriteString(" " + names)
		}
		b.WriteByte('\n')
	}
	fmt.Fprintf(&b, "\ntrips: %d. finish: %s. least time left to a limit: %g min. unevenness: %g min.\n", p.Trips, clock(p.Finish), p.MinSlack, p.Uneven)
	if p.Why.Zone != "" {
		fmt.Fprintf(&b, "%s sets the next trip: set out by %s.\n", clean.Text(p.Why.Zone), clock(p.Why.Leave))
	}
	switch late, behind := clean.Text(p.Why.Late), clean.Text(p.Why.Behind); {
	case late == "":
	case late == behind:
		fmt.Fprintf(&b, "%s goes over its limit by %g min, whatever else is done.\n", late, p.Why.By)
	default:
		fmt.Fprintf(&b, "%s and %s collide: %[1]s goes over its limit by %[3]g min.\n", late, behind, p.Why.By)
	}
	if p.Proved {
		b.WriteString("Proved: no plan is better.\n")
		return b.String()
	}
	fmt.Fprintf(&b, "Best found, not proved. No plan has less than %g min over a limit; if that is met, fewer than %d trips; if that too,\nno plan ends before %s.\n",
		p.LowerBound.Over, p.LowerBound.Trips, clock(p.LowerBound.Finish))
	return b.String()
}
