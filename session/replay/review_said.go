package replay

import (
	"cmp"
	"slices"
	"time"

	"rinseby/session"
)

// A TripFinding is a trip to the basin, and what the plan before it said.
type TripFinding struct {
	ID     string   `json:"id"`
	Zones  []string `json:"zones"` // names
	BeganS float64  `json:"began_s"`
	EndedS *float64 `json:"ended_s"` // nil while it lasts
	// Said is what the plan said at the last entry before it; nil if there was
	// none, and Why says why.
	Said *TripSaid `json:"planned"`
	Why  string    `json:"why"`
}

// TripSaid is the next trip as it was planned.
type TripSaid struct {
	AtS    float64  `json:"at_s"`    // when it was said
	LeaveS float64  `json:"leave_s"` // when hands were to set out
	Zones  []string `json:"zones"`   // names, in the order of rinsing
	For    string   `json:"for"`     // name of the zone whose limit set the time
	OverS  float64  `json:"over_s"`  // by how much the plan went over a limit at worst
	Proved bool     `json:"proved"`  // that no plan was better
	// LaterS is how much later than planned hands set out; negative if earlier.
	LaterS float64 `json:"later_s"`
	Same   bool    `json:"same_zones"`
}

// A ForecastFinding is what was said of the end when a share of the pieces was
// in, and what came.
type ForecastFinding struct {
	Share  float64  `json:"share"` // of the pieces
	AtS    float64  `json:"at_s"`
	Why    string   `json:"why"` // nothing could be said
	P10S   *float64 `json:"p10_s"`
	P50S   *float64 `json:"p50_s"`
	P80S   *float64 `json:"p80_s"`
	P90S   *float64 `json:"p90_s"`
	P95S   *float64 `json:"p95_s"`
	LaterS *float64 `json:"later_s"`   // by how much the end came after p50; nil of a live service
	Within *bool    `json:"within_80"` // the end came between p10 and p90
}

// shares are those at which forecasts are looked at again.
var shares = []float64{0.10, 0.25, 0.50, 0.75, 0.90}

// trips are those of the service.
func (r *reviewer) trips() []TripFinding {
	all := []TripFinding{}
	for _, t := range r.s.Trips {
		all = append(all, TripFinding{ID: t.ID, Zones: r.zoneNames(t.Zones), BeganS: r.since(t.Began), EndedS: r.sinceOrNil(t.Ended)})
	}
	return all
}

// Planned is the plan of the trips as the chair would have had it at the moment
// at, from the last entry by then. It is nil if there was none: no pace or limit
// was known, or nothing was to be rinsed. It takes up to a second.
func (t *Tape) Planned(at time.Time) (*session.TripPlan, error) {
	n := t.Position(at)
	s, asked := t.Events(n).State(), t.Moment(n)
	q, ok := s.AskTrips(asked, s.Pace())
	if !ok {
		return nil, nil
	}
	return q.Answer(nil)
}

// said is what the plan said before a trip: as it was known before the moment
// at which the trip was logged.
func (r *reviewer) said(trip *session.Trip) (said *TripSaid, why string) {
	events := r.t.whole.Events()
	i := slices.IndexFunc(events, func(e session.Event) bool {
		d, ok := e.Data.(session.RinseBegan)
		_, counts := r.when[e.Seq]
		return ok && counts && d.Trip == trip.ID
	})
	before := r.t.Moment(events[i].Seq).Add(-session.Precision)
	plan, err := r.t.Planned(before)
	switch {
	case err != nil:
		return nil, err.Error()
	case plan == nil:
		return nil, "no pace, or no limit, was known"
	}
	next, ok := plan.Next()
	if !ok {
		return nil, "nothing was on"
	}
	same := func(ids []string) []string { return slices.Sorted(slices.Values(ids)) }
	then := r.t.At(before).State()
	f := &TripSaid{
		AtS: r.since(plan.At), LeaveS: r.since(next.Leave), Zones: []string{}, OverS: float64(plan.Over), Proved: plan.Proved,
		LaterS: inSeconds(trip.Began.Sub(next.Leave)), Same: slices.Equal(same(next.Zones), same(trip.Zones)),
	}
	for _, id := range next.Zones { // as they were called
		f.Zones = append(f.Zones, then.Zone(id).Name)
	}
	if z := then.Zone(next.For); z != nil {
		f.For = z.Name
	}
	return f, ""
}

// shareIn is when such a share of the pieces had been logged; false if no piece
// was placed.
func (r *reviewer) shareIn(share float64) (time.Time, bool) {
	var in []session.Batch
	all := 0
	for _, z := range r.s.Zones {
		in = append(in, z.Placed...)
		all += z.Done()
	}
	slices.SortStableFunc(in, func(a, b session.Batch) int { return cmp.Compare(a.Seq, b.Seq) })
	n := 0
	for _, b := range in {
		if n += b.Count; float64(n) >= share*float64(all) {
			return r.t.Moment(b.Seq), true
		}
	}
	return time.Time{}, false
}

func (r *reviewer) forecasts(u session.Usuals) []ForecastFinding {
	all := []ForecastFinding{}
	for _, share := range shares {
		at, ok := r.shareIn(share)
		if !ok {
			break
		}
		f := ForecastFinding{Share: share, AtS: r.since(at)}
		q, ok := r.t.At(at).State().AskForecast(at, u)
		if !ok {
			f.Why = cmp.Or(q.Why, "the service was closed by then")
			all = append(all, f)
			continue
		}
		answer, err := q.Answer()
		if err != nil {
			f.Why = err.Error()
			all = append(all, f)
			continue
		}
		m := answer.End
		f.P10S, f.P50S, f.P80S, f.P90S, f.P95S = ptr(r.since(m.P10)), ptr(r.since(m.P50)), ptr(r.since(m.P80)), ptr(r.since(m.P90)), ptr(r.since(m.P95))
		if end := r.s.Closed; !end.IsZero() {
			f.LaterS, f.Within = ptr(inSeconds(end.Sub(m.P50))), ptr(!end.Before(m.P10) && !end.After(m.P90))
		}
		all = append(all, f)
	}
	return all
}
