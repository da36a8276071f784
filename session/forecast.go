package session

import (
	"hash/fnv"
	"slices"
	"time"

	"rinseby/timing/forecast"
	"rinseby/timing/pace"
)

// A ForecastQuestion is the state of a service as far as its end depends on
// it, apart from it, so that it can be answered elsewhere while the service
// goes on.
type ForecastQuestion struct {
	// Why says, of a question that can't be answered, what to do so that it
	// can. Empty once the service is over.
	Why string

	at, promised, told time.Time
	seed               uint64
	prior              pace.Prior
	seen               []pace.Observation
	helpers            float64
	share              float64 // of the pieces that are in
	in                 forecast.Input
	zones              []ZoneForecast // those of the input, one after another
	paces              []askedPace
	notes              []string

	events []Event // the log, to look back at; nil without one
	usuals Usuals
}

// An askedPace is a technique with the step of the model that it goes by.
type askedPace struct {
	technique, step string
	guessed         bool // nobody stated its minutes
}

// Moments are when something ends: by P50 with even chance, by P95 in 95 of
// 100 services. From P10 to P90 is the 80 % range. All are on the service's
// time line.
type Moments struct{ P10, P50, P80, P90, P95 time.Time }

// A ZoneForecast is when a zone is applied and when it is off.
type ZoneForecast struct {
	ID, Name, Round string
	Applied         Moments // zero if all of it is in
	Off             Moments
	NoLimit         bool // no limit is known, so none is kept to

	// LimitAt is by when what is on must be off, and OnOff when that is; zero if
	// nothing is on, or no limit is known. GoBy is when hands must set out for
	// the basin to keep the limit; zero: now.
	LimitAt, GoBy time.Time
	OnOff         Moments
	Past          bool // the limit has passed
}

// A StepForecast is when a step ends.
type StepForecast struct {
	Name string
	End  Moments
}

// A PaceForecast is what one piece of a technique takes.
type PaceForecast struct {
	Technique string
	Usual     float64 // minutes, as the stylist's own or as stated; 0 if neither is known
	Now       float64 // minutes, by what was seen today
	Ratio     float64 // Now by Usual; above 1 is slower, 0 if that is not known
}

// A Forecast is how the rest of a service will go, as far as can be told.
type Forecast struct {
	At      time.Time
	End     Moments // of the service
	Applied Moments // last piece of the round under way; zero if none is to come
	// Promised is when the client was told to be out of the chair, and Late
	// the chance, 0 to 1, that it will be later. Zero if nothing was promised.
	Promised time.Time
	Late     float64
	// Lasting says that at even chance it is late by [LateFrom] or more, and has
	// been for some entries or minutes.
	Lasting bool
	Told    time.Time      // when somebody was told that it will be later; zero if nobody was
	Zones   []ZoneForecast // not rinsed yet, in the order of application
	Steps   []StepForecast // not over, in their order
	Paces   []PaceForecast
	Notes   []string // what it had to guess
}

// AskForecast makes the question of when the service ends, from what is known
// of the stylist's times. Of what is known nothing, the plan's figures are
// taken as stated; then house figures. It is false once the service is over,
// and when something must be said first: Why says what.
func (s *State) AskForecast(now time.Time, u Usuals) (ForecastQuestion, bool) {
	if u.Pace.Steps == nil { // nothing is known of the stylist
		u.Pace = pace.Default()
	}
	a := asker{s: s, now: now, u: u, c: s.cut(), q: ForecastQuestion{at: now, promised: s.Promised, told: s.toldLate(), prior: u.Pace}}
	switch {
	case !s.Live():
		return a.q, false
	case s.OpenPain() != nil:
		a.q.Why = "pain was reported: see to it first; then the end can be told"
		return a.q, false
	case len(s.Rounds) == 0:
		a.q.Why = "plan the zones to see when it ends"
		return a.q, false
	}
	id := fnv.New64a()
	id.Write([]byte(s.Service))
	a.q.seed = id.Sum64()
	a.q.helpers = float64(len(s.Helping()))
	if u.Services == 0 {
		a.q.notes = append(a.q.notes, "no closed service tells of this stylist's times yet: reckoned by the plan and house figures")
	}
	a.paces()
	a.ask()
	return a.q, true
}

// forecastDraws is in how many ways the rest of a service is played.
const forecastDraws = 400

// Answer forecasts. It is pure and takes some milliseconds; equal questions
// have equal answers.
func (q ForecastQuestion) Answer() (*Forecast, error) {
	m, err := pace.New(q.prior)
	if err != nil {
		return nil, err
	}
	for _, o := range q.seen {
		if err := m.Observe(o); err != nil {
			return nil, err
		}
	}
	r, err := forecast.Run(q.in, m, forecastDraws, q.seed)
	if err != nil {
		return nil, err
	}
	f := &Forecast{At: q.at, End: q.moments(r.End.Range), Promised: q.promised, Told: q.told, Notes: q.notes}
	if r.Applied.Samples != nil {
		f.Applied = q.moments(r.Applied.Range)
	}
	if !q.promised.IsZero() {
		for _, sample := range r.End.Samples {
			if sample.Minutes > q.promised.Sub(q.at).Minutes() {
				f.Late += sample.Weight
			}
		}
		f.Late = min(f.Late, 1)
		f.Lasting = lateBy(f.End.P50, q.promised) >= LateFrom && q.events != nil && q.lasting()
	}
	f.Zones = q.zoneForecasts(r.Zones)
	for _, p := range slices.Concat(r.Before, r.Steps) {
		if p.Name != "" { // what is no step of the plan
			f.Steps = append(f.Steps, StepForecast{Name: p.Name, End: q.moments(p.Done)})
		}
	}
	f.Paces, err = q.paceForecasts(m)
	return f, err
}

func (q ForecastQuestion) moments(r forecast.Range) Moments {
	return Moments{q.at.Add(r.P10), q.at.Add(r.P50), q.at.Add(r.P80), q.at.Add(r.P90), q.at.Add(r.P95)}
}

// zoneForecasts are those of the zones. Of one that is partly on while another
// is, too, the engine has two parts: that which is to come counts.
func (q ForecastQuestion) zoneForecasts(parts []forecast.Part) (all []ZoneForecast) {
	for i, p := range parts {
		z := q.zones[i]
		z.Off = q.moments(p.Off)
		if !z.LimitAt.IsZero() {
			z.OnOff = z.Off
		}
		if p.Done != (forecast.Range{}) {
			z.Applied = q.moments(p.Done)
		}
		if k := slices.IndexFunc(all, func(o ZoneForecast) bool { return o.ID == z.ID }); k >= 0 {
			z.NoLimit = z.NoLimit || all[k].NoLimit
			if o := all[k]; !o.LimitAt.IsZero() { // the limit is that of the part that is on
				z.LimitAt, z.GoBy, z.OnOff, z.Past = o.LimitAt, o.GoBy, o.OnOff, o.Past
			}
			all[k] = z
			continue
		}
		all = append(all, z)
	}
	return all
}

func (q ForecastQuestion) paceForecasts(m *pace.Model) (all []PaceForecast, err error) {
	usual, err := pace.New(q.prior)
	if err != nil {
		return nil, err
	}
	for _, p := range q.paces {
		was, err := usual.Predict(p.step, "", 1, 0)
		if err != nil {
			return nil, err
		}
		is, err := m.Predict(p.step, "", 1, q.helpers)
		if err != nil {
			return nil, err
		}
		ratio := is.Median() / was.Median()
		minutes := q.prior.Steps[p.step].Minutes
		f := PaceForecast{Technique: p.technique, Usual: minutes, Now: minutes * ratio, Ratio: ratio}
		if p.guessed {
			f.Usual, f.Ratio = 0, 0
		}
		all = append(all, f)
	}
	return all, nil
}
