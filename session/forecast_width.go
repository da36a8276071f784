package session

import (
	"slices"
	"time"

	"rinseby/timing/forecast"
)

// judgedAt are the shares of the pieces at which a closed service is forecast
// once more, to learn from: one in each part that has a width of its own.
var judgedAt = [...]float64{0.1, 0.3, 0.5, 0.7, 0.9}

// LearnWidth is the width of ranges after a closed service: it is forecast as
// it was, from the usual times as they were known before it, when a tenth of
// the pieces was in, three tenths, and on; each range learns from whether it
// held. A service that is not closed, and a moment that can't be forecast,
// teach nothing.
func (l *Log) LearnWidth(u Usuals) forecast.Conformal {
	w := u.Width
	closed := l.State().Closed
	if closed.IsZero() {
		return w
	}
	for _, at := range l.piecesIn(judgedAt[:]) {
		then, err := l.Until(at)
		if err != nil {
			continue
		}
		q, ok := then.State().AskForecast(at, u)
		if !ok {
			continue
		}
		f, err := q.Answer()
		if err != nil {
			continue
		}
		r := forecast.Range{P10: f.End.P10.Sub(at), P50: f.End.P50.Sub(at), P80: f.End.P80.Sub(at), P90: f.End.P90.Sub(at), P95: f.End.P95.Sub(at)}
		w = w.Learn(q.share, r, closed.Sub(at))
	}
	return w
}

// piecesIn are the moments at which such shares of the pieces were in.
func (l *Log) piecesIn(shares []float64) []time.Time {
	var in []Batch
	all := 0
	for _, z := range l.State().Zones {
		in = append(in, z.Placed...)
		all += z.Done()
	}
	slices.SortStableFunc(in, func(a, b Batch) int { return a.At.Compare(b.At) })
	var at []time.Time
	n := 0
	for _, b := range in {
		for n += b.Count; len(at) < len(shares) && float64(n) >= shares[len(at)]*float64(all); {
			at = append(at, b.At)
		}
	}
	return at
}
