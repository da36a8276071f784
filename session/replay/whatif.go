package replay

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/timing"
)

// Computed marks an [Alternative] wherever it is shown.
const Computed = "computed by the rules, not what happened"

// A Change is the one thing that [WhatIf] does otherwise: [RinseNow], [Weaker]
// or [Helper].
type Change interface {
	// Say says it in words. Names are those of the state.
	Say(s *session.State) string
	make(c *carrier) error
}

// RinseNow takes zones to the basin at the moment, in this order. What of a
// zone is still to be placed stays in the plan as a zone of its own, as it does
// at the chair.
type RinseNow struct {
	Zones []string // ids
}

// Weaker takes a weaker developer for what of a zone is not on yet. It is
// refused where a window for it was not confirmed in the service, and where
// nothing gets weaker by it.
type Weaker struct {
	Zone     string // id
	Strength formula.Percent
}

// Helper has a helper come at the moment and stay for so many minutes, from 0
// to 600.
type Helper struct {
	Minutes float64
}

// Say says what is done otherwise.
func (r RinseNow) Say(s *session.State) string { return "rinse " + names(s, r.Zones) + " now" }

// Say says what is done otherwise.
func (w Weaker) Say(s *session.State) string {
	return fmt.Sprintf("%s with %s from now on", names(s, []string{w.Zone}), formula.Label(w.Strength))
}

// Say says what is done otherwise.
func (h Helper) Say(*session.State) string {
	return fmt.Sprintf("a helper for %g min from now", h.Minutes)
}

// An Alternative is a service with one change, carried on. It is computed; see
// [Computed].
type Alternative struct {
	At     time.Time // of the change
	Change string    // in words
	// Log is the service as it would have been recorded. It folds, and its
	// entries obey [session.Decide]. New makes a tape of it.
	Log *session.Log
	// Zones are those on which product was, in either of the two.
	Zones []Outcome
	// RealTrips and Trips are those to the basin, as they were and as computed.
	// They are those of the logs, and must not be changed.
	RealTrips, Trips []*session.Trip
	RealEnd, End     Ending
	// Notes are what the figures rest on and what had to be left out.
	Notes []string
}

// An Outcome is what a zone had, really and in an alternative.
type Outcome struct {
	Zone, Name        string
	Real, Alternative Exposure
}

// An Exposure is how long the zone's hair had product: that of the coat which
// came closest to its limit, or went furthest over it. It is zero where nothing
// was on.
type Exposure struct {
	Band   session.Band
	For    time.Duration // of the oldest piece, with what the same hair had before
	Window timing.Window // that ruled; of later products on the same hair, too
	Over   time.Duration // past the limit
	Short  time.Duration // the newest piece of any coat was rinsed so long before it was open
	Off    time.Time     // zero while on
}

// An Ending is when a service ends.
type Ending struct {
	At       time.Time // zero if it can't be told
	Forecast bool      // the even chance by a forecast, as the log does not hold the end
}

// WhatIf carries a service on from a moment, with one change.
//
// All that was recorded by the moment stays as it was known then. What came
// later is decided anew, in the order in which it really came, by
// [session.Decide]'s rules, each entry at a moment that follows from this:
//
//   - Hands are one sequence. Between two entries they take as long as they
//     really took.
//   - A trip to the basin takes the way, a rinse for each zone, and the way
//     back if pieces are still to come: each at the day's own median, else at
//     the house figure. If a helper is there, and trips of the day went on
//     beside the pieces while a helper was there, so does this one, and hands
//     are not held up.
//   - What was really done at a later trip, but is off already, is left out
//     with the time that it took.
//   - A wait for what develops gives way to what hands do longer, and what hands
//     do sooner does not shorten it: a zone goes to the basin as long after its
//     last contact as it really did, or as soon after that as hands are free.
//     Without a wait, it goes when hands are free, but not before it is open,
//     unless it really did. The basin takes one trip at a time.
//   - With a helper more, pieces go faster by the pace model's median effect of
//     one, by the stylist's usual times, while the helper is there.
//   - Weaker product is mixed in bowls like those that were really used. A bowl
//     that was later mixed for that alone is mixed weaker; any other is mixed
//     beside it, at the day's median for a bowl, else at the house figure.
//
// What was entered and taken back later does not come again, and what was put at
// another moment comes at that. What the rules
// refuse in the alternative is left out, and noted. Acknowledgements of what
// does not show there fall away, and so do checks of what is off by then; other
// checks say what was really seen.
//
// It computes what was done and what follows from it, and suggests nothing; how
// much a zone is over is in its outcome. The error says why the change can't be
// made then.
func WhatIf(t *Tape, at time.Time, change Change, u session.Usuals) (*Alternative, error) {
	if at.Before(t.From()) {
		return nil, session.ErrNotYet
	}
	if at.After(t.To()) {
		at = t.To()
	}
	at = at.Truncate(session.Precision)
	c, err := newCarrier(t, at, u)
	if err != nil {
		return nil, err
	}
	a := &Alternative{At: at, Change: change.Say(t.Whole().State())}
	if err := change.make(c); err != nil {
		return nil, err
	}
	if err := c.carryOn(); err != nil {
		return nil, err
	}
	a.Log, a.Notes = c.log, c.notes
	was, is := t.Whole().State(), c.log.State()
	a.RealTrips, a.Trips = was.Trips, is.Trips
	a.RealEnd, a.End = ending(t.Whole(), u), ending(c.log, u)
	a.Zones = outcomes(t.Whole(), c.log)
	return a, nil
}

// outcomes puts side by side what each zone had.
func outcomes(was, is *session.Log) (all []Outcome) {
	add := func(z *session.Zone) {
		if z == nil || slices.ContainsFunc(all, func(o Outcome) bool { return o.Zone == z.ID }) {
			return
		}
		o := Outcome{Zone: z.ID, Name: z.Name, Real: exposure(was, z.ID), Alternative: exposure(is, z.ID)}
		if o.Real.Window.Known() || o.Alternative.Window.Known() {
			all = append(all, o)
		}
	}
	for _, l := range []*session.Log{is, was} {
		for _, r := range l.State().Rounds {
			for _, id := range r.Order {
				add(l.State().Zone(id))
			}
		}
	}
	return all
}

// exposure is that of a zone at the end of a log.
func exposure(l *session.Log, zone string) (worst Exposure) {
	s := l.State()
	z := s.Zone(zone)
	if z == nil {
		return Exposure{}
	}
	now, soon := lastMoment(l), time.Duration(0)
	for _, c := range z.Coats {
		t := s.CoatTiming(c)
		e := Exposure{Band: c.Band, For: t.Oldest(now), Window: t.Window, Over: t.Over(now), Off: c.Off}
		if !c.Off.IsZero() {
			soon = max(soon, t.Window.Opens-t.Newest(now))
		}
		if !worst.Window.Known() || e.For-e.Window.Limit > worst.For-worst.Window.Limit {
			worst = e
		}
	}
	worst.Short = soon
	return worst
}

// lastMoment is the moment of the last entry.
func lastMoment(l *session.Log) time.Time {
	events := l.Events()
	return l.State().Line.Now(events[len(events)-1].Recorded)
}

// ending is when the service of a log ends.
func ending(l *session.Log, u session.Usuals) Ending {
	s := l.State()
	if !s.Closed.IsZero() {
		return Ending{At: s.Closed}
	}
	q, ok := s.AskForecast(lastMoment(l), u)
	if !ok {
		return Ending{}
	}
	f, err := q.Answer()
	if err != nil {
		return Ending{}
	}
	return Ending{At: f.End.P50, Forecast: true}
}

// Over is how much all zones together went, and would go, over their limits.
func (a *Alternative) Over() (really, alternative time.Duration) {
	for _, o := range a.Zones {
		really += o.Real.Over
		alternative += o.Alternative.Over
	}
	return really, alternative
}

// Outcome is that of a zone; zero if nothing was on it.
func (a *Alternative) Outcome(zone string) Outcome {
	for _, o := range a.Zones {
		if o.Zone == zone {
			return o
		}
	}
	return Outcome{Zone: zone}
}

// Lines say what differs, for a screen, with moments by the clock. Text from
// people in them is as it was typed.
func (a *Alternative) Lines(clock session.Clockface) []string {
	lines := []string{fmt.Sprintf("At %s: %s (%s).", clock(a.At), a.Change, Computed)}
	for _, o := range a.Zones {
		if is, was := o.Alternative.String(), o.Real.String(); is != was {
			lines = append(lines, fmt.Sprintf("%s: %s instead of %s", o.Name, is, was))
		}
	}
	if n, m := len(a.Trips), len(a.RealTrips); n != m {
		lines = append(lines, fmt.Sprintf("Trips to the basin: %d instead of %d", n, m))
	}
	if !a.End.At.IsZero() && !a.RealEnd.At.IsZero() && a.End.At.Sub(a.RealEnd.At).Abs() >= time.Second {
		way, d := "later", a.End.At.Sub(a.RealEnd.At)
		if d < 0 {
			way, d = "earlier", -d
		}
		lines = append(lines, fmt.Sprintf("Ends at %s, %s %s", clock(a.End.At), short(d), way))
	}
	if len(lines) == 1 {
		lines = append(lines, "Nothing differs.")
	}
	return append(lines, a.Notes...)
}

// String says an exposure: how long, and what of that was over or short.
func (e Exposure) String() string {
	if !e.Window.Known() {
		return "nothing on"
	}
	text := fmt.Sprintf("%s of %s", short(e.For), short(e.Window.Limit))
	if e.Over > 0 {
		text += ", " + short(e.Over) + " OVER"
	}
	if e.Short > 0 {
		text += ", " + short(e.Short) + " before it was open"
	}
	return text
}

// short says a duration in minutes and seconds.
func short(d time.Duration) string {
	s := int(d.Round(time.Second) / time.Second)
	switch {
	case s < 60:
		return fmt.Sprintf("%d s", s)
	case s%60 == 0:
		return fmt.Sprintf("%d min", s/60)
	}
	return fmt.Sprintf("%d min %d s", s/60, s%60)
}

// names are those of zones, in a sentence.
func names(s *session.State, ids []string) string {
	all := make([]string, len(ids))
	for i, id := range ids {
		all[i] = id
		if z := s.Zone(id); z != nil {
			all[i] = z.Name
		}
	}
	return strings.Join(all, ", ")
}

var errClosed = errors.New("the service was closed by then: choose an earlier moment")
