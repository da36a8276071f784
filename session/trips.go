package session

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"rinseby/session/formula"
	"rinseby/timing"
	"rinseby/timing/rinse"
)

// What a trip to the basin is reckoned at until the stylist's own trips of the
// day tell: the way there, the rinse of one zone, the way back until hands can
// go on, and the longest idle wait at the basin. House rules; common practice,
// no source.
const (
	TripWalk    = 2 * time.Minute
	TripRinse   = 4 * time.Minute
	TripReseat  = 2 * time.Minute
	TripIdleCap = 10 * time.Minute
)

// TripTime is what a trip with one zone takes until that is off.
const TripTime = TripWalk + TripRinse

// rinseTime is what the rinse of one zone takes: the median of today's, but no
// less than half the house figure, so that a slip of the key at the basin does
// not make plans too tight; else the house figure. What was taken off where the
// client lay, in an emergency, is no rinse at the basin and teaches nothing.
func (s *State) rinseTime() time.Duration {
	var each []time.Duration
	for _, t := range s.Trips {
		if n := len(t.Zones); !t.Ended.IsZero() && n > 0 && !s.inEmergency(t.Ended) {
			each = append(each, t.Ended.Sub(t.Began)/time.Duration(n))
		}
	}
	if len(each) == 0 {
		return TripRinse
	}
	slices.Sort(each)
	return max(each[len(each)/2], TripRinse/2)
}

// countedOn is for how long a plan counts what is on. No limit is as long, so
// what nobody noted to be off for days is over it either way.
const countedOn = 24 * time.Hour

// A TripQuestion is the state of a service as far as it matters for rinsing,
// apart from it, so that it can be answered elsewhere while the service goes
// on.
type TripQuestion struct {
	at      time.Time
	ids     []string
	problem rinse.Problem
}

// AskTrips makes the question for the round under way. It is false when there
// is nothing to plan: no pace is known, or no limit, or nothing is on or to
// come.
func (s *State) AskTrips(now time.Time, pace time.Duration) (TripQuestion, bool) {
	return s.askTrips(now, pace, s.Windows)
}

func (s *State) askTrips(now time.Time, pace time.Duration, rows []formula.Row) (TripQuestion, bool) {
	q := TripQuestion{at: now, problem: rinse.Problem{
		Basin: s.OpenTrip() != nil, Walk: seconds(TripWalk), Reseat: seconds(TripReseat), IdleCap: seconds(TripIdleCap),
	}}
	for _, r := range s.Rounds {
		if s.roundOver(r) {
			continue
		}
		partly := false
		for _, z := range s.RoundZones(r) {
			if z.Over() || (s.Ended() && !z.Holding()) {
				continue
			}
			zones, ok := s.tripZones(z, now, pace, partly, rows)
			if !ok {
				return TripQuestion{}, false
			}
			for _, pz := range zones {
				partly = partly || pz.On && pz.Apply > 0
				q.ids = append(q.ids, z.ID)
				q.problem.Zones = append(q.problem.Zones, pz)
			}
		}
		break
	}
	return q, len(q.ids) > 0
}

// tripZones is a zone as the planner sees it, at seconds from the moment now.
// One zone at most may be partly on; of others, what is on and what is to come
// are two.
func (s *State) tripZones(z *Zone, now time.Time, pace time.Duration, partly bool, rows []formula.Row) ([]rinse.Zone, bool) {
	pz := rinse.Zone{Name: z.Name, Rinse: seconds(s.rinseTime())}
	left := 0
	if !z.Full() && !s.Ended() {
		left = z.Pieces - z.Done()
		each := z.perPiece(pace)
		if each <= 0 {
			return nil, false
		}
		pz.Pieces, pz.Apply = left, max(seconds(time.Duration(left)*each), 1)
	}
	ahead, known := s.windowOf(z, z.Bands, rows, now)
	// A plan counts a zone as off when its rinse is done; water comes when it
	// is open, not before.
	ahead.Opens = min(ahead.Opens+s.rinseTime(), ahead.Limit)
	if !z.Holding() {
		pz.Allowed = []rinse.Strength{{Opens: seconds(ahead.Opens), Limit: seconds(ahead.Limit)}}
		return []rinse.Zone{pz}, known
	}
	t := s.ZoneTiming(z, now)
	if t.Unknown || (left > 0 && !known) {
		return nil, false
	}
	first, last := max(seconds(t.First.Sub(now)), -seconds(countedOn)), max(seconds(t.LastAt.Sub(now)), -seconds(countedOn))
	limit := max(seconds(t.LimitAt.Sub(t.First)), 1)
	opens := min(max(seconds(t.OpensAt.Sub(t.LastAt)), 0)+pz.Rinse, limit)
	if left > 0 {
		limit, opens = min(limit, seconds(ahead.Limit)), min(max(opens, seconds(ahead.Opens)), limit)
	}
	pz.On, pz.First, pz.Last = true, first, last
	pz.Allowed = []rinse.Strength{{Opens: min(opens, limit), Limit: limit}}
	if left == 0 || !partly {
		return []rinse.Zone{pz}, true
	}
	rest := rinse.Zone{Name: z.Name, Rinse: pz.Rinse, Pieces: pz.Pieces, Apply: pz.Apply,
		Allowed: []rinse.Strength{{Opens: seconds(ahead.Opens), Limit: seconds(ahead.Limit)}}}
	pz.Pieces, pz.Apply = 0, 0
	return []rinse.Zone{pz, rest}, true
}

// windowOf is the tightest window, by the rows, of bands as they are planned
// for a zone, less what its hair has had already.
func (s *State) windowOf(z *Zone, bands []PlanBand, rows []formula.Row, now time.Time) (timing.Window, bool) {
	var w timing.Window
	for _, p := range bands {
		row, ok := formula.Match(rows, formula.Query{
			Product: p.Product, Kind: p.Kind, Strength: p.Strength,
			Hair: formula.Hair{Contact: p.Contact, Condition: p.Condition, Heat: z.Heated()},
		})
		if !ok {
			return w, false
		}
		own := row.Window
		had := s.carried(&Coat{Zone: z.ID, Band: p.Band, Action: p.Kind.Action(), Batches: []Batch{{At: now, Count: 1}}})
		own.Limit = max(own.Limit-had, time.Second)
		own.Opens = min(own.Opens, own.Limit)
		w = w.Tightest(own)
	}
	return w, w.Known()
}

func seconds(d time.Duration) int { return int(d / time.Second) }

// A TripPlan says when to stop applying and what to take to the basin. Its
// seconds count from At.
type TripPlan struct {
	rinse.Plan
	At  time.Time
	ids []string // of the zones of the problem
}

// tripNodes bounds the search, so that it ends within a second also where the
// best can't be proved.
const tripNodes = 30_000

// TripMargin is how long before its limit a zone is planned to be off, as far
// as that can be done: hands are not clocks. House rule; common practice, no
// source.
const TripMargin = 2 * time.Minute

// Answer finds the best plan: with [TripMargin] to spare at every zone, or
// else with as much as the limits leave. It is pure, and takes a moment; stop,
// which may be nil, ends it early.
func (q TripQuestion) Answer(stop func() bool) (*TripPlan, error) {
	careful := q.problem
	careful.Zones = slices.Clone(q.problem.Zones)
	for i := range careful.Zones {
		z := &careful.Zones[i]
		z.Allowed = slices.Clone(z.Allowed)
		for j := range z.Allowed {
			w := &z.Allowed[j]
			w.Limit = max(w.Limit-seconds(TripMargin), w.Opens, 1)
		}
	}
	budget := rinse.Budget{Nodes: tripNodes, Stop: stop}
	plan, err := rinse.Solve(&careful, budget)
	if err == nil && plan.Over > 0 {
		plan, err = rinse.Solve(&q.problem, budget)
	}
	if err != nil {
		return nil, err
	}
	return &TripPlan{Plan: *plan, At: q.at, ids: q.ids}, nil
}

// spare is the least time that is left to a limit when a zone comes off.
func (q TripQuestion) spare(p *TripPlan) time.Duration {
	least := time.Duration(0)
	for i, z := range q.problem.Zones {
		limit := z.Allowed[p.Strengths[i]].Limit - z.Carried
		first := z.First
		if !z.On {
			for _, a := range p.Actions {
				if a.Kind == rinse.Apply && a.Zones[0] == i {
					first = a.Start
					break
				}
			}
		}
		if left := time.Duration(first+limit-p.Off[i]) * time.Second; i == 0 || left < least {
			least = left
		}
	}
	return least
}

// A NextTrip is the next time to go to the basin.
type NextTrip struct {
	Leave time.Time // when hands set out
	Zones []string  // ids, in the order of rinsing
	For   string    // id of the zone whose limit sets the time; may be empty
	Ready bool      // nothing is to be placed before it
}

// Next returns the next trip of the plan, if there is one.
func (p *TripPlan) Next() (NextTrip, bool) {
	ready := true
	for _, a := range p.Actions {
		if a.Kind != rinse.Walk {
			ready = ready && a.Kind != rinse.Apply
			continue
		}
		n := NextTrip{Leave: p.moment(a.Start), Ready: ready}
		for _, i := range a.Zones {
			if !slices.Contains(n.Zones, p.ids[i]) {
				n.Zones = append(n.Zones, p.ids[i])
			}
		}
		if w := p.Why.Zone; w >= 0 {
			n.For = p.ids[w]
		}
		return n, true
	}
	return NextTrip{}, false
}

func (p *TripPlan) moment(s int) time.Time { return p.At.Add(time.Duration(s) * time.Second) }

// Follow makes the board keep to the plan: trips that are still to come are
// marked on the zones, the next thing is the trip when its time has come, and
// before that the board says when that is. What can't wait, and what the plan
// knows nothing of, stays as it is.
func (b *Board) Follow(s *State, p *TripPlan) {
	if p == nil || b.Reaction != nil || b.Harm != nil {
		return // there is no plan, or there is a reaction or another harm, which no plan knows of
	}
	for i := range b.Zones {
		for j, id := range p.ids {
			if id == b.Zones[i].ID && b.Zones[i].RinsedAt.IsZero() {
				b.Zones[i].PlannedOff = p.moment(p.Off[j])
			}
		}
	}
	if p.Over == 0 { // the plan is the answer to what would happen without it
		b.Warnings = slices.DeleteFunc(b.Warnings, func(w Warning) bool { return strings.HasPrefix(w.Key, aheadKey) })
	} else if late := p.Why.Late; late >= 0 && !b.alarmed(p.ids[late]) {
		b.Warnings = append(b.Warnings, s.collision(p))
		slices.SortStableFunc(b.Warnings, pressingFirst)
	}
	trip, ok := p.Next()
	if !ok {
		return
	}
	holding := slices.DeleteFunc(slices.Clone(trip.Zones), func(id string) bool { z := s.Zone(id); return z == nil || !z.Holding() })
	b.Plan = s.why(b, trip)
	if p.Over > 0 {
		b.Plan = "no plan keeps every limit; the least harm: " + strings.TrimPrefix(b.Plan, "plan: ")
	}
	switch b.Next.Verb {
	case DoPlace, DoWait, DoMix, DoCoat:
		if !trip.Ready || len(holding) == 0 || b.Now.Before(trip.Leave) {
			return
		}
	case DoRinse: // what can't wait any more goes with what the plan takes along
		if b.ClockUnsure || !trip.Ready || b.Now.Before(trip.Leave) || slices.ContainsFunc(b.Next.Zones, func(id string) bool { return !slices.Contains(holding, id) }) {
			b.Plan = "" // it is out of date: this comes first, by itself
			return
		}
	default:
		return
	}
	holding = s.inTime(b, holding)
	verb, text := DoRinse, "Rinse "
	if b.Next.Verb != DoRinse && slices.ContainsFunc(b.Zones, func(z ZoneLook) bool { return z.ID == holding[0] && z.Phase == timing.Open }) {
		verb, text = DoReady, "Check, then rinse "
	}
	b.Next = Action{
		Verb: verb, Text: text + s.nameAll(holding), Why: b.Plan, Zones: holding, By: b.Next.By,
		Commands: []Command{Do(RinseBegan{Zones: holding})},
	}
}

// alarmed reports whether there is a warning about the zone that says more than
// a plan can: that it is over.
func (b *Board) alarmed(zone string) bool {
	return slices.ContainsFunc(b.Warnings, func(w Warning) bool { return w.Zone == zone && w.Level == Alarm })
}

// why says the plan's next trip in one sentence.
func (s *State) why(b *Board, t NextTrip) string {
	text := fmt.Sprintf("plan: at %s to the basin: %s", b.clock(t.Leave), s.nameAll(t.Zones))
	if !t.Ready {
		text = fmt.Sprintf("plan: place on; at %s to the basin: %s", b.clock(t.Leave), s.nameAll(t.Zones))
	}
	if z := s.Zone(t.For); z != nil {
		if at := s.ZoneTiming(z, b.Now).LimitAt; !at.IsZero() {
			text += fmt.Sprintf(" (%s: limit %s)", z.Name, b.clock(at))
		}
	}
	return text
}

// collision is the warning that no plan keeps every limit.
func (s *State) collision(p *TripPlan) Warning {
	late, behind := s.Zone(p.ids[p.Why.Late]), s.Zone(p.ids[p.Why.Behind])
	text := fmt.Sprintf("%s will be %s over at best", late.Name, mins(time.Duration(p.Over)*time.Second))
	if behind != late {
		text += ", behind " + behind.Name
	}
	key := CollisionKey + late.ID + ":" + behind.ID
	return Warning{
		Key: key, Level: Alert, Zone: late.ID, At: p.moment(p.Off[p.Why.Late]),
		Text: text + ": rinse early, or get help (l: plan)", Acked: s.Acked(key),
	}
}
