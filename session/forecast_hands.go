package session

import (
	"math"
	"slices"
	"time"

	"rinseby/timing/forecast"
)

func keyOf(p PlanBand) bowlKey { return bowlKey{p.Product, p.Strength.Nominal()} }

// supplies gathers what there is of each mix.
func (a *asker) supplies() {
	a.bowls = map[bowlKey]*bowlSupply{}
	for _, b := range a.s.Bowls { // the newest counts
		sup := a.supply(bowlKey{b.Product, b.Strength.Nominal()})
		sup.size, sup.life = b.Mix.Total(), b.Life
		if !b.inUse(a.now) {
			continue
		}
		stale, known := b.Stale()
		sup.have, sup.stale = true, time.Time{}
		if known {
			sup.stale = stale
		}
	}
	for _, o := range a.s.openBowls(a.now, a.s.UsedBowls()) {
		a.supply(bowlKey{o.Product, o.Strength.Nominal()}).left += o.Grams
	}
}

func (a *asker) supply(k bowlKey) *bowlSupply {
	if a.bowls[k] == nil {
		a.bowls[k] = &bowlSupply{}
	}
	return a.bowls[k]
}

// mixes is how many bowls are to be mixed before, or while, so many pieces of
// the zone go on from about the moment at: of what there is none, or no fresh
// one, and what is used up, as far as the grams of a piece are known.
func (a *asker) mixes(z *Zone, left int, at time.Time) (n int) {
	if left == 0 {
		return 0
	}
	bands := map[bowlKey][]Band{}
	var order []bowlKey
	for _, p := range z.Bands {
		if k := keyOf(p); !p.Later {
			if bands[k] == nil {
				order = append(order, k)
			}
			bands[k] = append(bands[k], p.Band)
		}
	}
	for _, k := range order {
		sup := a.supply(k)
		if !sup.have || (!sup.stale.IsZero() && at.After(sup.stale)) {
			n++
			sup.have, sup.left, sup.stale = true, sup.size, time.Time{}
			if sup.life > 0 {
				sup.stale = at.Add(sup.life)
			}
		}
		use, err := a.s.Use(k.product, bands[k], a.s.UsedBowls())
		if scale := a.s.pieceScale(z); err == nil && scale > 0 && sup.size > 0 {
			sup.left -= use.Mean * float64(left*scale)
			if sup.left < 0 {
				more := int(math.Ceil(-sup.left / sup.size))
				n, sup.left = n+more, sup.left+float64(more)*sup.size
			}
		}
	}
	return n
}

// laterMixes adds to the first band that is coated later the fresh bowls that
// such bands take.
func (a *asker) laterMixes(in []forecast.Zone, zones []*Zone) {
	fresh := map[bowlKey]bool{}
	for _, z := range zones {
		for _, p := range z.uncoated() {
			b, err := a.s.BowlFor(z, p, a.now)
			mixed := err == nil && a.left(z) == 0 && !b.Mixed.Before(a.s.lastPlaced(z.Round))
			fresh[keyOf(p)] = fresh[keyOf(p)] || !mixed
		}
	}
	n := 0
	for _, missing := range fresh {
		if missing {
			n++
		}
	}
	if i := slices.IndexFunc(in, func(z forecast.Zone) bool { return z.Later }); i >= 0 && n > 0 {
		in[i].Coat.LogNormal = in[i].Coat.Plus(a.time(StintMix, "").Times(n))
	}
}

// step is a step that is not over.
func (a *asker) step(st *Step, since time.Duration) forecast.Step {
	l, known := a.u.Others[OtherKey(StintStep, st.Name)]
	switch {
	case known:
	case st.Usual > 0:
		l = StatedTime(st.Usual.Minutes())
	default:
		l = HouseTime(StintStep)
		a.q.notes = append(a.q.notes, "no minutes are known for "+st.Name+": reckoned at the house figure")
	}
	return forecast.Step{Name: st.Name, Usual: l, Since: since}
}

// stepsAhead fills in the steps: what runs, and what is planned before the
// first round, if any round is to come; all else, and the closing, after it.
func (a *asker) stepsAhead() {
	in := &a.q.in
	for _, st := range a.s.Steps {
		switch {
		case st.Running() && len(in.Rounds) > 0:
			in.Before = append([]forecast.Step{a.step(st, a.stepSince(st))}, in.Before...)
		case st.Running():
			in.Steps = append([]forecast.Step{a.step(st, a.stepSince(st))}, in.Steps...)
		case st.Done():
		case st.Before && len(in.Rounds) > 0:
			in.Before = append(in.Before, a.step(st, 0))
		default:
			in.Steps = append(in.Steps, a.step(st, 0))
		}
	}
	in.Steps = append(in.Steps, forecast.Step{Usual: a.time(StintClose, "")})
}

// stepSince is how long a running step has run, by what a stint counts.
func (a *asker) stepSince(st *Step) time.Duration {
	c, from := a.c, a.c.cursor
	if began := st.Spans[len(st.Spans)-1].From; began.After(from) {
		waits := a.s.holding() && len(a.q.in.Rounds) > 0 && !a.work()
		if waits || (!c.mixed && began.Sub(from) > stepWay) {
			from = began
		}
	}
	return a.since(from)
}

// work reports whether pieces or bands are still to come in the round under
// way.
func (a *asker) work() bool {
	return len(a.q.in.Rounds) > 0 && slices.ContainsFunc(a.q.in.Rounds[0], func(z forecast.Zone) bool { return z.Units > 0 || z.Later })
}

// hands fills in since when hands have been at what they do now.
func (a *asker) hands() {
	in, since := &a.q.in, a.since(a.c.cursor)
	running := slices.ContainsFunc(a.s.Steps, (*Step).Running)
	next := -1 // the zone that is to be placed next
	if len(in.Rounds) > 0 {
		next = slices.IndexFunc(in.Rounds[0], func(z forecast.Zone) bool { return z.Units > 0 })
	}
	first := func(kind StintKind) { // of what comes before the first round
		st := forecast.Step{Usual: a.time(kind, "")}
		if running {
			in.Before = slices.Insert(in.Before, 1, st)
			return
		}
		st.Since = since
		in.Before = slices.Insert(in.Before, 0, st)
	}
	switch {
	case a.s.OpenTrip() != nil:
	case next >= 0 && !a.c.mixed:
		first(StintPrepare)
		in.Rounds[0][next].Mixes = max(in.Rounds[0][next].Mixes-1, 0) // its end is the first bowl
	case next >= 0 && in.Rounds[0][next].Mixes > 0:
		in.Rounds[0][next].Mixes--
		first(StintMix)
	case next >= 0 && a.c.last == StintRinse:
		first(StintReseat)
	case running:
	case next >= 0 && len(in.Before) == 0:
		in.Since = since
	case len(in.Rounds) == 0:
		in.Steps[0].Since = since
	}
}
