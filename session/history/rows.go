package history

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"rinseby/session"
	"rinseby/timing/pace"
)

// A Row is a usual time for people to read. Minutes are of one unit: a piece,
// a step, the rinse of a zone.
type Row struct {
	Kind session.StintKind
	Name string // technique, step or action; empty for kinds that have none
	// Usual is the median, and 8 of 10 are from Low to High: of pieces, the
	// average over a service; of all else, single times.
	Usual, Low, High float64
	Seen             Count
}

// kinds are in the order of a service.
var kinds = []session.StintKind{
	session.StintPlace, session.StintPrepare, session.StintMix, session.StintCoat, session.StintDevelop, session.StintWalk,
	session.StintRinse, session.StintReseat, session.StintStep, session.StintClose,
}

// Rows lists all usual times, in the order of a service and by name.
func (k Known) Rows() []Row {
	var rows []Row
	for name, u := range k.Pace.Steps {
		l := pace.LogNormal{Mu: math.Log(u.Minutes), Sigma: math.Hypot(k.Pace.Level, u.Unsure)}
		rows = append(rows, k.row(session.StintPlace, name, l))
	}
	for key, l := range k.Others {
		kind, name, _ := strings.Cut(key, " ")
		rows = append(rows, k.row(session.StintKind(kind), name, l))
	}
	slices.SortFunc(rows, func(a, b Row) int {
		return cmp.Or(cmp.Compare(slices.Index(kinds, a.Kind), slices.Index(kinds, b.Kind)), cmp.Compare(a.Name, b.Name))
	})
	return rows
}

func (k Known) row(kind session.StintKind, name string, l pace.LogNormal) Row {
	return Row{Kind: kind, Name: name, Usual: l.Median(), Low: l.Quantile(0.1), High: l.Quantile(0.9), Seen: k.Seen[Key(kind, name)]}
}
