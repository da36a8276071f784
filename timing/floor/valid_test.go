package floor_test

import (
	"fmt"

	"rinseby/timing/floor"
)

// keeps says what is wrong with a schedule if every Most is later by late. It
// takes nothing from the planner but the starts.
func keeps(p *floor.Problem, starts [][]int, late int) error {
	type block struct{ chain, task, from, to int }
	lists := map[string][]block{}
	if len(starts) != len(p.Chains) {
		return fmt.Errorf("%d chains of %d", len(starts), len(p.Chains))
	}
	for i, c := range p.Chains {
		if len(starts[i]) != len(c.Tasks) {
			return fmt.Errorf("chain %d: %d tasks of %d", i, len(starts[i]), len(c.Tasks))
		}
		free := 0
		for k, t := range c.Tasks {
			at := starts[i][k]
			if at < free || t.Begun && at != 0 {
				return fmt.Errorf("chain %d, task %d starts at %d, free from %d, begun %v", i, k, at, free, t.Begun)
			}
			free = at + t.Takes
			lists[c.Worker] = append(lists[c.Worker], block{i, k, at, free})
		}
		for k, l := range c.Links {
			wait := starts[i][l.To]
			if l.From != floor.Now {
				wait -= starts[i][l.From]
			}
			if l.Least != floor.None && wait < l.Least || l.Most != floor.None && wait > l.Most+late {
				return fmt.Errorf("chain %d, link %d waits %d, not %d to %d", i, k, wait, l.Least, l.Most+late)
			}
		}
	}
	for _, list := range lists {
		for i, a := range list {
			for _, b := range list[:i] {
				if a.from < b.to && b.from < a.to {
					return fmt.Errorf("%v overlaps %v", a, b)
				}
			}
		}
	}
	return nil
}
