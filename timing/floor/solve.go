package floor

// Solve says whether all chains fit, and how. It is the same for the same
// problem and budget, unless Stop differs. Errors wrap [ErrProblem] and say what
// to correct.
func Solve(p *Problem, b Budget) (*Plan, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	m := newMeter(b)
	plan := &Plan{Verdict: Fits, Starts: make([][]int, len(p.Chains))}
	for i, c := range p.Chains {
		plan.Starts[i] = make([]int, len(c.Tasks))
	}
	for _, chains := range p.workers() {
		h := gather(p, chains)
		starts, a := h.decide(asAsked, m)
		switch a {
		case found:
			h.enter(plan, starts)
		case none:
			plan.Verdict = Cannot
		case spent:
			if plan.Verdict == Fits {
				plan.Verdict = Unproven
			}
		}
	}
	if plan.Verdict != Fits {
		plan.Starts = nil
	}
	return plan, nil
}

// enter writes the starts of the jobs into the plan.
func (h *hands) enter(plan *Plan, starts []int32) {
	for k, j := range h.jobs {
		plan.Starts[j.chain][j.task] = int(starts[k])
	}
}
