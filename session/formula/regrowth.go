package formula

import "fmt"

// DaysPerMonth is a twelfth of the mean year of the calendar, 365.2425 days.
const DaysPerMonth = 365.2425 / 12

// GrowthSource is where the rates of [GrowthGroups] come from.
const GrowthSource = "Loussouarn et al. 2005"

// A Growth is how fast hair grows, in millimetres a day: the middle, and a low
// and a high end. Basis says in words what it rests on.
type Growth struct {
	Low, Middle, High float64
	Basis             string
}

// GrowthGroups are the rates of the three groups of the paper, under the
// paper's names for them, with one standard deviation to either side: 280 ±
// 50, 367 ± 56 and 411 ± 53 µm a day (Loussouarn et al. 2005). Nobody need be
// asked for a group: [AnyGrowth] does without, and a rate that was measured on
// the client ([OwnGrowth]) says more.
func GrowthGroups() []Growth {
	group := func(name string, mean, sd float64) Growth {
		return Growth{(mean - sd) / 1000, mean / 1000, (mean + sd) / 1000,
			"mean ± one sd of the group the paper calls " + name + " (" + GrowthSource + ")"}
	}
	return []Growth{group("African", 280, 50), group("Caucasian", 367, 56), group("Asian", 411, 53)}
}

// AnyGrowth is for when nothing is known or asked: from the lowest end to the
// highest end of all groups. Its middle is halfway between, and no mean of
// anybody.
func AnyGrowth() Growth {
	all := GrowthGroups()
	g := all[0]
	for _, o := range all[1:] {
		g.Low, g.High = min(g.Low, o.Low), max(g.High, o.High)
	}
	g.Middle = (g.Low + g.High) / 2
	g.Basis = "whole span of the three groups measured, no one of them chosen (" + GrowthSource + ")"
	return g
}

const (
	// rulerError is how far a length read off a ruler at the parting may be
	// out, in millimetres. House figure; common practice, no source.
	rulerError = 1
	// slowest and fastest bound an own rate, in millimetres a day: far
	// outside all groups' ends. House bounds against slips.
	slowest, fastest = 0.03, 1.0
	// fewestDays is the shortest time that tells a rate: in less, the ruler's
	// error outweighs the growth. House rule.
	fewestDays = 14
	mostDays   = 3 * 365 // House bound against slips.
)

// OwnGrowth is the client's own rate, from a regrowth of some millimetres that
// was measured some days after the root was last coloured. The ends are the
// ruler's error of 1 mm. Days are 14 to 1095.
func OwnGrowth(mm, days float64) (Growth, error) {
	switch rate := mm / days; {
	case !(days >= fewestDays && days <= mostDays):
		return Growth{}, fmt.Errorf("regrowth over %v days: a rate needs %d to %d days: measure again later", days, fewestDays, mostDays)
	case !(rate >= slowest && rate <= fastest):
		return Growth{}, fmt.Errorf("regrowth of %v mm in %v days is not what hair does: measure again", mm, days)
	default:
		return Growth{max((mm-rulerError)/days, slowest), rate, (mm + rulerError) / days,
			fmt.Sprintf("own rate: %v mm measured after %v days, read to 1 mm", mm, days)}, nil
	}
}

// A Spread is a figure with a low and a high end.
type Spread struct{ Low, Middle, High float64 }

// After is the regrowth in millimetres after some days, 0 to 1095. For months,
// multiply by [DaysPerMonth].
func (g Growth) After(days float64) (Spread, error) {
	if !(days >= 0 && days <= mostDays) {
		return Spread{}, fmt.Errorf("%v days: must be from 0 to %d: correct it", days, mostDays)
	}
	return Spread{g.Low * days, g.Middle * days, g.High * days}, nil
}

// Days is how many days ago the root was at the scalp, for a regrowth in
// millimetres, above 0 and at most [MaxLength]; and so, the other way about,
// in how many days to book for a regrowth that is wanted. The fast end gives
// the low figure.
func (g Growth) Days(mm float64) (Spread, error) {
	if !(mm > 0 && mm <= MaxLength) {
		return Spread{}, fmt.Errorf("%v mm: must be above 0 and at most %d: correct it", mm, MaxLength)
	}
	return Spread{mm / g.High, mm / g.Middle, mm / g.Low}, nil
}
