package floor

import "slices"

// Fit says where one more task fits, a walk-in, that takes so many seconds of
// the worker's hands: the earliest start with from <= start <= to for which all
// chains of the worker still keep what they ask for.
//
// With [Fits], start is the earliest, proved. With [Cannot] it is None: there is
// none in the window, proved; so it is when the worker's chains don't fit even
// without the walk-in. With [Unproven] the budget ended: start is one that fits though
// earlier ones are not ruled out, or None. Errors wrap [ErrProblem].
func Fit(p *Problem, worker string, takes, from, to int, b Budget) (start int, v Verdict, err error) {
	switch {
	case from < 0 || to < from || to > maxTime:
		return None, Unproven, refuse("a window from %d to %d: give 0 to %d seconds from now, the earlier first", from, to, maxTime)
	}
	walkIn := Chain{Name: "walk-in", Worker: worker, Tasks: []Task{{Name: "walk-in", Takes: takes}}}
	walkIn.Links = []Link{{From: Now, To: 0, Least: from, Most: to}}
	with := &Problem{Chains: append(slices.Clone(p.Chains), walkIn)}
	if err := with.Check(); err != nil {
		return None, Unproven, err
	}
	m := newMeter(b)
	var mine []int
	for i, c := range with.Chains {
		if c.Worker == worker {
			mine = append(mine, i)
		}
	}
	start = None
	lo, hi := int32(from), int32(to)+1
	for k := 0; lo < hi; k++ {
		at := try(k, lo, hi)
		with.Chains[len(p.Chains)].Links[0].Most = int(at)
		starts, a := gather(with, mine).decide(asAsked, m)
		switch {
		case a == spent:
			return start, Unproven, nil
		case a == found:
			hi = starts[len(starts)-1]
			start = int(hi)
		case start == None:
			return None, Cannot, nil
		default:
			lo = at + 1
		}
	}
	return start, Fits, nil
}
