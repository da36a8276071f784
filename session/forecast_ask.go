package session

import (
	"fmt"
	"math"
	"slices"
	"time"

	"rinseby/session/formula"
	"rinseby/timing/forecast"
	"rinseby/timing/pace"
)

// houseTimes are medians in minutes, and how wide their logarithms scatter.
// House rules; common practice, no source. Walk, rinse and reseat are those of
// the trips.
var houseTimes = map[StintKind]pace.LogNormal{
	StintPrepare: pace.Around(5, 0.6),
	StintMix:     pace.Around(3, 0.5),
	StintCoat:    pace.Around(4, 0.5),
	StintWalk:    pace.Around(TripWalk.Minutes(), 0.5),
	StintReseat:  pace.Around(TripReseat.Minutes(), 0.5),
	StintDevelop: pace.Around(25, 0.5),
	StintRinse:   pace.Around(TripRinse.Minutes(), 0.5),
	StintStep:    pace.Around(20, 0.6), // for which the plan states nothing
	StintClose:   pace.Around(5, 0.6),
}

// HouseTime is what a stint beside pieces is reckoned at for a stylist of whom
// nothing is known: a house figure, without source.
func HouseTime(kind StintKind) pace.LogNormal { return houseTimes[kind] }

// StatedTime is what a step is reckoned at of which the plan states minutes.
func StatedTime(minutes float64) pace.LogNormal { return pace.Around(minutes, statedSpread) }

const (
	// statedSpread is how far a step may be off the minutes that the plan
	// states. A guess of ours, no source.
	statedSpread = 0.35
	// houseDevelop is how far from its opening to its limit product is left on,
	// and developSpread how far it may be off. House rules; no source.
	houseDevelop  = 2.0 / 3
	developSpread = 0.35
)

// developNote is said where house figures tell how long product is left on.
const developNote = "how long it is left to develop is reckoned by a house rule, no source"

// An asker puts a question together.
type asker struct {
	s     *State
	now   time.Time
	u     Usuals
	c     *cutter // that went through the log
	q     ForecastQuestion
	bowls map[bowlKey]*bowlSupply
	steps map[string]string // step of the model, by zone
}

// time is what a stint is reckoned at: the stylist's own time or else the house
// figure, and what was seen of it today.
func (a *asker) time(kind StintKind, name string) pace.LogNormal {
	return a.chore(kind, name).LogNormal
}

// chore is the same for what comes more than once.
func (a *asker) chore(kind StintKind, name string) forecast.Chore {
	l, known := a.u.Others[OtherKey(kind, name)]
	if !known {
		l = HouseTime(kind)
	}
	return a.seenToday(l, kind, name)
}

// singleSpread is how far one such time is off the stylist's middle. What a time
// is unsure by beyond that is for want of knowing the middle, and is learned
// from today's. A guess of ours, no source.
const singleSpread = 0.35

// seenToday is a time after today's, of which the logarithms are taken for
// normal around a middle that is normal itself (conjugate update).
func (a *asker) seenToday(l pace.LogNormal, kind StintKind, name string) forecast.Chore {
	unsure := l.Sigma*l.Sigma - singleSpread*singleSpread
	if unsure <= 0 {
		return forecast.Chore{LogNormal: l}
	}
	weight := 1 / unsure // of the middle
	sum := weight * l.Mu
	for _, st := range a.c.stints {
		if st.Kind != kind || st.Units < 1 || st.Took < catchUp*time.Duration(st.Units) || OtherKey(kind, st.Name) != OtherKey(kind, name) {
			continue
		}
		each := 1 / (singleSpread * singleSpread / float64(st.Units))
		sum += each * pace.Around(st.Took.Minutes()/float64(st.Units), 0).Mu
		weight += each
	}
	variance := singleSpread*singleSpread + 1/weight
	return forecast.Chore{
		LogNormal: pace.LogNormal{Mu: sum / weight, Sigma: math.Sqrt(variance)}, Common: 1 / (weight * variance),
	}
}

// since is how long hands have been at what they do now, without pauses.
func (a *asker) since(from time.Time) time.Duration {
	if !a.now.After(from) {
		return 0
	}
	return a.now.Sub(from) - a.s.paused(from, a.now)
}

// paces finds the step of the model that each zone goes by, states what the
// plan states where the model knows none, and gathers what was seen today.
func (a *asker) paces() {
	a.steps = map[string]string{}
	stated := map[string][]float64{}
	for _, z := range a.s.Zones {
		if m := z.MinutesPerPiece; m > 0 && !slices.Contains(stated[z.Technique()], m) {
			stated[z.Technique()] = append(stated[z.Technique()], m)
		}
	}
	var guesses, names []string // techniques, zones
	for _, z := range a.s.Zones {
		if a.pace(z, stated[z.Technique()]) {
			continue
		}
		guesses = append(guesses, z.Technique())
		if !z.Dropped && a.left(z) > 0 {
			names = append(names, z.Name)
		}
	}
	if len(names) > 0 {
		a.q.notes = append(a.q.notes, "no minutes per piece are known of "+joined(names)+": reckoned at a house figure; change the plan to say them")
	}
	for _, st := range a.c.stints {
		if step := a.steps[st.Zone]; st.Tells() && step != "" {
			a.q.seen = append(a.q.seen, pace.Observation{Step: step, Zone: st.Zone, Units: st.Units, Took: st.Took, Helpers: st.Helpers})
		}
	}
	for _, z := range a.s.Zones {
		p := askedPace{z.Technique(), a.steps[z.ID], slices.Contains(guesses, z.Technique())}
		known := slices.ContainsFunc(a.q.paces, func(o askedPace) bool { return o.technique == p.technique })
		if p.step != "" && !known && !z.Dropped {
			a.q.paces = append(a.q.paces, p)
		}
	}
}

// housePiece is what a piece is reckoned at of which nobody stated the minutes.
// House rules; common practice, no source.
var housePiece = map[formula.Action]float64{formula.Lighten: 1.5, formula.Colour: 3}

// pace finds the step that a zone goes by: its technique. Where the stylist's
// own is not known, and the plan states other minutes for zones of one
// technique, each of these is a step. It is false if a house figure is all that
// there is.
func (a *asker) pace(z *Zone, stated []float64) bool {
	step, minutes := z.Technique(), z.MinutesPerPiece
	switch _, known := a.u.Pace.Steps[step]; {
	case known:
		a.steps[z.ID] = step
		return true
	case minutes > 0 && len(stated) > 1:
		step = fmt.Sprintf("%s, %g min", step, minutes)
	case len(stated) > 0:
		minutes = stated[0]
	}
	a.steps[z.ID] = step
	if minutes <= 0 {
		a.q.prior = a.q.prior.Guessing(step, housePiece[z.action])
		return false
	}
	a.q.prior = a.q.prior.With(step, minutes)
	return true
}

// ask fills in the input.
func (a *asker) ask() {
	in := &a.q.in
	in.Walk, in.Reseat = a.time(StintWalk, ""), a.time(StintReseat, "")
	in.Helpers = a.q.helpers
	a.supplies()
	a.rounds()
	in.Basin = a.s.OpenTrip() != nil || (a.c.last == StintRinse && !a.work())
	a.stepsAhead()
	a.hands()
	a.goBy()
	a.q.share = a.done()
	in.Width = a.u.Width.At(a.q.share)
	a.noteLimits()
}

// done is the share of the pieces that are in.
func (a *asker) done() float64 {
	in, all := 0, 0
	for _, z := range a.s.Zones {
		in += z.Done()
		if all += z.Done(); !z.Dropped && !z.Full() {
			all += z.Pieces - z.Done()
		}
	}
	return float64(in) / float64(max(all, 1))
}

// rounds fills in those that are not over.
func (a *asker) rounds() {
	at := a.now
	for k, rounds := range a.s.openRounds() {
		var zones []*Zone
		for _, r := range rounds {
			zones = append(zones, a.s.RoundZones(r)...)
		}
		zones = slices.DeleteFunc(zones, func(z *Zone) bool { return z.Over() || (a.s.Ended() && !z.Holding()) })
		at = a.round(k, zones, at)
	}
}

// round fills in a round that begins at about the moment at; it returns when
// all is applied, about.
func (a *asker) round(k int, zones []*Zone, at time.Time) time.Time {
	work := slices.ContainsFunc(zones, func(z *Zone) bool { return a.left(z) > 0 })
	var on, partly, rest []forecast.Zone
	var onLook, partlyLook, restLook []ZoneForecast
	for _, z := range zones {
		look := ZoneForecast{ID: z.ID, Name: z.Name, Round: z.Round}
		fz := a.zone(z, &look, work)
		fz.Mixes = a.mixes(z, fz.Units, at)
		if fz.Units > 0 {
			at = at.Add(minutes(a.q.prior.Steps[fz.Step].Minutes * float64(fz.Units)))
		}
		switch {
		case fz.Units == 0:
			on, onLook = append(on, fz), append(onLook, look)
		case !fz.On:
			rest, restLook = append(rest, fz), append(restLook, look)
		case len(partly) == 0:
			partly, partlyLook = append(partly, fz), append(partlyLook, look)
		default: // only one may be partly on: what is to come is another
			parts := a.parted(fz)
			on, onLook = append(on, parts[0]), append(onLook, look)
			look.LimitAt = time.Time{} // it is that of what is on
			rest, restLook = append(rest, parts[1]), append(restLook, look)
		}
	}
	all := slices.Concat(on, partly, rest)
	if k > 0 && all[0].Mixes == 0 { // from the rinse before it until hands go on
		all[0].Mixes, all[0].Mix = 1, a.chore(StintReseat, "")
	}
	a.q.in.Rounds = append(a.q.in.Rounds, all)
	a.q.zones = slices.Concat(a.q.zones, onLook, partlyLook, restLook)
	a.laterMixes(a.q.in.Rounds[k], zones)
	return at
}

// parted are what is on of a zone, and what is to come.
func (a *asker) parted(z forecast.Zone) [2]forecast.Zone {
	on, rest := z, z
	on.Units, on.Mixes, on.Later = 0, 0, false
	rest.On, rest.First, rest.Last, rest.Rinsing = false, 0, 0, 0
	return [2]forecast.Zone{on, rest}
}

// left is how many pieces are still to come.
func (a *asker) left(z *Zone) int {
	if z.Full() || a.s.Ended() {
		return 0
	}
	return z.Pieces - z.Done()
}

// zone is a zone as the engine sees it. Work says that pieces are still to
// come in its round.
func (a *asker) zone(z *Zone, look *ZoneForecast, work bool) forecast.Zone {
	fz := forecast.Zone{
		Name: z.ID, Step: a.steps[z.ID], Units: a.left(z),
		Mix: a.chore(StintMix, ""), Rinse: a.chore(StintRinse, ""),
	}
	ahead, known := a.s.windowOf(z, z.Bands, a.s.Windows, a.now)
	if fz.Units > 0 || !z.Holding() {
		fz.Opens, fz.Limit = ahead.Opens, ahead.Limit
		look.NoLimit = !known
	}
	if z.Holding() {
		a.holding(z, &fz, look)
	}
	if !a.s.Ended() {
		if n := len(z.uncoated()); n > 0 {
			fz.Later, fz.Coat = true, a.chore(StintCoat, string(z.action))
			fz.Coat.LogNormal = fz.Coat.Times(n)
		}
	}
	fz.Develop = a.develop(z, &fz, !work && !fz.Later)
	if fz.Limit > 0 { // rinsed with the plan's minutes to spare, where the limit leaves them
		fz.Limit = max(fz.Limit-TripMargin, fz.Opens, time.Second)
	}
	return fz
}

// holding fills in what is on.
func (a *asker) holding(z *Zone, fz *forecast.Zone, look *ZoneForecast) {
	t := a.s.ZoneTiming(z, a.now)
	fz.On, fz.First, fz.Last = true, max(a.now.Sub(t.First), 0), max(a.now.Sub(t.LastAt), 0)
	if t.Unknown || t.LimitAt.IsZero() {
		look.NoLimit = true
		fz.Opens, fz.Limit = 0, 0
	} else {
		limit := max(t.LimitAt.Sub(t.First), time.Second)
		if fz.Units > 0 && !look.NoLimit {
			limit = min(limit, fz.Limit)
		}
		fz.Opens, fz.Limit = max(fz.Opens, t.OpensAt.Sub(t.LastAt), 0), limit
		look.LimitAt = t.LimitAt
		if tighter := t.First.Add(limit); tighter.Before(t.LimitAt) {
			look.LimitAt = tighter
		}
	}
	trip := a.s.OpenTrip()
	if trip == nil || z.Trip != trip.ID {
		return
	}
	fz.Opens = 0 // it was taken along: it is rinsed now
	if id, from := trip.running(); id == z.ID {
		fz.Rinsing = max(a.now.Sub(from), time.Second)
	}
}

// goBy finds when hands must set out for the basin so that each zone is off by
// its limit, with the plan's minutes to spare, and after all whose limits come
// before it.
func (a *asker) goBy() {
	walk := TripWalk
	if a.s.OpenTrip() != nil {
		walk = 0
	}
	for i := range a.q.zones {
		z := &a.q.zones[i]
		if z.LimitAt.IsZero() {
			continue
		}
		n := 0
		for _, o := range a.q.zones {
			if !o.LimitAt.IsZero() && !o.LimitAt.After(z.LimitAt) {
				n++
			}
		}
		z.Past = a.now.After(z.LimitAt)
		if by := z.LimitAt.Add(-TripMargin - walk - time.Duration(n)*a.s.rinseTime()); by.After(a.now) {
			z.GoBy = by
		}
	}
}

// running is the zone that is being rinsed, and since when.
func (t *Trip) running() (zone string, since time.Time) {
	since = t.Began
	for _, id := range t.Zones {
		at, done := t.Done[id]
		switch {
		case !done && zone == "":
			zone = id
		case done && at.After(since):
			since = at
		}
	}
	return zone, since
}

// develop is how long a zone is left from its last contact. If hands already
// wait for it, it is longer than what has passed.
func (a *asker) develop(z *Zone, fz *forecast.Zone, waiting bool) pace.LogNormal {
	l, known := a.u.Others[OtherKey(StintDevelop, string(z.action))]
	switch {
	case z.Trip != "":
		return pace.LogNormal{}
	case !known && !slices.Contains(a.q.notes, developNote):
		a.q.notes = append(a.q.notes, developNote)
	}
	switch {
	case known:
	case fz.Limit > 0:
		l = pace.Around((fz.Opens.Minutes() + houseDevelop*max((fz.Limit-fz.Opens).Minutes(), 0) + 0.1), developSpread)
	default:
		l = HouseTime(StintDevelop)
	}
	if waiting && fz.On {
		l = longerThan(l, fz.Last.Minutes())
	}
	return l
}

// longerThan is what is left of a log-normal when it was found longer than so
// many minutes: the log-normal with the same median and the same upper sixth.
func longerThan(l pace.LogNormal, minutes float64) pace.LogNormal {
	const upper = 0.8413447 // a standard deviation above the median
	s := l.Survival(minutes)
	if minutes <= 0 || l.Sigma <= 0 || s > 0.999 {
		return l
	}
	if s < 1e-6 {
		return pace.Around(minutes+0.5, 0.05)
	}
	middle, high := l.Quantile(1-s/2), l.Quantile(1-s*(1-upper))
	return pace.Around(middle, pace.Around(high, 1).Mu-pace.Around(middle, 1).Mu)
}

// noteLimits says of which zones no limit is known.
func (a *asker) noteLimits() {
	var names []string
	for _, z := range a.q.zones {
		if z.NoLimit && !slices.Contains(names, z.Name) {
			names = append(names, z.Name)
		}
	}
	if len(names) > 0 {
		a.q.notes = append(a.q.notes, "limit not set yet: "+joined(names))
	}
}

// joined are some names, and how many more there are.
func joined(names []string) string {
	const most = 3
	text := ""
	for i, n := range names {
		if i == most {
			return fmt.Sprintf("%s and %d more", text, len(names)-most)
		}
		if i > 0 {
			text += ", "
		}
		text += n
	}
	return text
}

// A bowlKey names a mix.
type bowlKey struct {
	product  string
	strength formula.Percent // in the trade's terms
}

// A bowlSupply is what there is of a mix.
type bowlSupply struct {
	have  bool
	left  float64 // grams; counts if size is known
	size  float64 // grams of a bowl; 0 not known
	stale time.Time
	life  time.Duration
}
