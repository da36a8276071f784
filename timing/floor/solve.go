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
		gather(p, chains).enter(plan, m)
	}
	return plan, nil
}

// enter solves for one worker and enters the answer into the plan.
func (h *hands) enter(plan *Plan, m *meter) {
	starts, col, a := h.solve(m)
	for k, j := range h.jobs {
		plan.Starts[j.chain][j.task] = int(starts.starts[k])
	}
	plan.Late = max(plan.Late, int(starts.by))
	switch {
	case a == none && plan.Verdict == Cannot:
		plan.Collision = plan.Collision.and(col)
	case a == none:
		plan.Verdict, plan.Collision = Cannot, col
	case a == spent && plan.Verdict == Fits:
		plan.Verdict = Unproven
	}
	if plan.Verdict == Cannot && a == spent { // nothing is known of all
		plan.Collision.Slack = max(plan.Collision.Slack, int(starts.by))
		plan.Collision.Proved, plan.Collision.Gap, plan.Collision.Soft = false, nil, None
	}
}

// and joins the collisions of two workers: the larger is told, and no single
// bound helps both.
func (c *Collision) and(o *Collision) *Collision {
	joined := *c
	if o.By > c.By || o.By == c.By && o.Slack > c.Slack {
		joined = *o
	}
	joined.Slack, joined.Proved, joined.Gap = max(c.Slack, o.Slack), c.Proved && o.Proved, nil
	joined.Soft = max(c.Soft, o.Soft) // None is more than any
	return &joined
}

// solve answers for one worker. Without a schedule that keeps all, it is the
// least bad one.
func (h *hands) solve(m *meter) (remedy, *Collision, answer) {
	best := h.guess(m)
	if best.by == 0 {
		return remedy{starts: h.early(best.starts, m)}, nil, found
	}
	list := h.clashes(m)
	if len(list) == 0 {
		starts, a := h.decide(asAsked, m)
		switch a {
		case found:
			return remedy{starts: h.early(starts, m)}, nil, found
		case spent:
			return best, nil, spent
		}
	}
	col, r := h.explain(list, best, m)
	return r, col, none
}
