package replay

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"rinseby/session"
)

// A Question is put at a moment before something was decided. Names in its texts
// are as people typed them.
type Question struct {
	At      time.Time // to stop at: nothing of what was decided is known yet
	Kind    Kind      // Trip, Check, Mix or Strength
	Zone    string    // id, if it is about one
	Text    string
	Options []Answer // 2 to 4, in the order of their amounts, else of their texts
}

// An Answer is one option of a question, and what is said of it afterwards.
type Answer struct {
	Text    string
	Done    bool   // it is what was done, or seen
	Planner bool   // it is what the planner would have done
	Led     string // what it led to, or would have
	Ground  Ground

	amount float64
}

// Done is what was done.
func (q Question) Done() Answer { return q.find(func(a Answer) bool { return a.Done }) }

// Planner is what the planner would have done; zero if it had nothing to say.
func (q Question) Planner() Answer { return q.find(func(a Answer) bool { return a.Planner }) }

func (q Question) find(is func(Answer) bool) Answer {
	if i := slices.IndexFunc(q.Options, is); i >= 0 {
		return q.Options[i]
	}
	return Answer{}
}

// Questions are those that a service can be gone through with, in the order of
// their moments. Equal logs have equal questions. They are put
//
//   - before each trip to the basin, when hands set out, and when a zone that
//     later went over its limit was first to be rinsed at once: what now? The
//     planner is that of the trips.
//   - before each check of a depth: how deep is it by now? And after it, if it
//     is not light enough yet: will it make it? The planner is the curve of the
//     lift.
//   - before each bowl: how much? The planner is that of the amounts.
//   - before the first piece of a zone, for each mix of strengths once, and for
//     zones that went over: which strength? The planner is the strongest that,
//     by [WhatIf], leaves that zone within its limit.
//
// What an option would have led to is computed by [WhatIf] where it can be, and
// else told by the limits of that moment. Computing them all takes a moment for
// a long log: some tens of what-ifs and plans.
func Questions(t *Tape) []Question {
	k := &asking{t: t, was: t.Whole().State(), when: happened(t.Whole())}
	k.trips()
	k.missed()
	for _, e := range t.Whole().Events() {
		if _, counts := k.when[e.Seq]; !counts {
			continue
		}
		switch d := e.Data.(type) {
		case session.ZoneChecked:
			k.check(e, d)
		case session.BowlMixed:
			k.mix(e, d)
		case session.PiecePlaced:
			k.strength(e, d)
		}
	}
	slices.SortStableFunc(k.all, func(a, b Question) int {
		return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Text, b.Text))
	})
	return k.all
}

// An asking puts the questions together.
type asking struct {
	t     *Tape
	was   *session.State // in the end
	when  map[int]time.Time
	asked []string // mixes of strengths
	all   []Question
}

// before is the moment before an entry's happening was known, at which it had
// not happened either.
func (k *asking) before(e session.Event) time.Time {
	return later(k.t.Moment(e.Seq).Add(-max(e.Late(), 0)-session.Precision), k.t.From())
}

// put puts a question, if there is something to choose.
func (k *asking) put(q Question) {
	var options []Answer
	for _, a := range q.Options {
		i := slices.IndexFunc(options, func(o Answer) bool { return o.Text == a.Text })
		if i < 0 {
			options = append(options, a)
			continue
		}
		o := &options[i]
		o.Done, o.Planner, o.Led = o.Done || a.Done, o.Planner || a.Planner, cmp.Or(o.Led, a.Led)
		if o.Ground == Unknown {
			o.Ground = a.Ground
		}
	}
	if len(options) < 2 {
		return
	}
	options = options[:min(len(options), 4)]
	slices.SortStableFunc(options, func(a, b Answer) int {
		return cmp.Or(cmp.Compare(a.amount, b.amount), cmp.Compare(a.Text, b.Text))
	})
	q.Options = options
	k.all = append(k.all, q)
}

// A choice is what can be done with zones at a moment: rinse some, or none.
type choice struct {
	rinse []string // ids
	wait  bool     // else place on, if none is rinsed
}

func (c choice) say(s *session.State) string {
	switch {
	case len(c.rinse) > 0:
		ids := slices.Sorted(slices.Values(c.rinse))
		return "Rinse " + names(s, ids)
	case c.wait:
		return "Wait"
	}
	return "Place on"
}

// trips asks before each trip.
func (k *asking) trips() {
	for i, e := range k.t.Whole().Events() {
		d, ok := e.Data.(session.RinseBegan)
		if _, counts := k.when[e.Seq]; !ok || !counts {
			continue
		}
		at := k.before(e)
		set := at.Add(-session.TripWalk + session.Precision)
		if i > 0 {
			set = later(set, k.t.Moment(i)) // hands were at something else till then
		}
		k.trip(earlier(at, set), choice{rinse: d.Zones})
	}
}

// missed asks when a zone that went over was first to be rinsed at once.
func (k *asking) missed() {
	for _, z := range k.was.Zones {
		for _, c := range z.Coats {
			t := k.was.CoatTiming(c)
			if t.Over(lastMoment(k.t.Whole())) == 0 || z.RinseBegan.IsZero() {
				continue
			}
			at := t.LimitAt().Add(-session.Lead(t.Window))
			s := k.t.At(at).State()
			if !at.Before(z.RinseBegan) || s.OpenTrip() != nil || s.Zone(z.ID) == nil {
				continue
			}
			done := choice{wait: true}
			for _, o := range k.was.Zones {
				done.wait = done.wait && !slices.ContainsFunc(o.Placed, func(b session.Batch) bool { return b.At.After(at) && b.At.Before(z.RinseBegan) })
			}
			k.trip(at, done)
			break
		}
	}
}

// trip asks what is to be done now.
func (k *asking) trip(at time.Time, done choice) {
	if slices.ContainsFunc(k.all, func(q Question) bool { return q.Kind == Trip && q.At.Equal(at) }) {
		return
	}
	s, b := k.t.At(at).State(), k.t.Board(at)
	var on []string
	var first session.ZoneLook // that must be off first
	placing := false
	for _, z := range b.Zones {
		placing = placing || !z.Full
		if !z.Holding() || z.Rinsing {
			continue
		}
		on = append(on, z.ID)
		if first.ID == "" || z.LimitAt.Before(first.LimitAt) {
			first = z
		}
	}
	if len(on) == 0 {
		return
	}
	choices := []choice{done}
	plan := k.planned(at, on)
	if plan != nil {
		choices = append(choices, *plan)
	}
	choices = append(choices, choice{rinse: []string{first.ID}}, choice{wait: !placing}, choice{rinse: on})
	q := Question{At: at, Kind: Trip, Zone: first.ID, Text: "What now?"}
	if !first.LimitAt.IsZero() {
		q.Text = fmt.Sprintf("What now? %s must be off first, by %s.", first.Name, k.t.Clock(at)(first.LimitAt))
	}
	for i, c := range choices {
		text := c.say(s)
		if slices.ContainsFunc(q.Options, func(a Answer) bool { return a.Text == text }) && i != 1 {
			continue
		}
		a := Answer{Text: text, Done: i == 0, Planner: plan != nil && text == plan.say(s)}
		judged := k.judged(b, c)
		switch {
		case i == 0:
			a.Led, a.Ground = k.came("", judged, func(id string) Exposure { return exposure(k.t.Whole(), id) })
		case len(c.rinse) > 0:
			a.Led, a.Ground = k.rinsed(at, judged, c)
		default:
			a.Led, a.Ground = limits(b, first, k.t.Clock(at))
		}
		q.Options = append(q.Options, a)
	}
	k.put(q)
}

// planned is what the planner of the trips would do now; nil if it has nothing
// to say.
func (k *asking) planned(at time.Time, on []string) *choice {
	p, err := k.t.Planned(at)
	if p == nil || err != nil {
		return nil
	}
	next, ok := p.Next()
	switch {
	case !ok:
		return nil
	case next.Leave.After(at.Add(soon)):
		return &choice{wait: next.Ready}
	}
	zones := slices.DeleteFunc(slices.Clone(next.Zones), func(id string) bool { return !slices.Contains(on, id) })
	if len(zones) == 0 {
		return nil
	}
	return &choice{rinse: zones}
}

// soon is within what time a planned trip counts as one for now. House rule, no
// source.
const soon = time.Minute

// judged are the zones by which a choice is judged: those that it rinses, and
// those at their limit before the next trip had really ended. How others fared
// was decided later.
func (k *asking) judged(b session.Board, c choice) []string {
	ids := slices.Clone(c.rinse)
	var until time.Time
	for _, t := range k.was.Trips {
		if !t.Began.Before(b.Now) && (until.IsZero() || t.Ended.Before(until)) {
			until = t.Ended
		}
	}
	for _, z := range b.Zones {
		if z.Holding() && !z.Rinsing && !z.LimitAt.After(until) && !slices.Contains(ids, z.ID) {
			ids = append(ids, z.ID)
		}
	}
	return ids
}

// came says what came of zones.
func (k *asking) came(text string, zones []string, had func(zone string) Exposure) (string, Ground) {
	ground := Good
	for _, id := range zones {
		if e := had(id); e.Over > 0 || e.Short > 0 {
			text += fmt.Sprintf("%s: %s. ", names(k.was, []string{id}), e)
			ground = Bad
		}
	}
	if ground == Good {
		text += "No zone went past its limit by it, and none was rinsed before it was open."
	}
	return strings.TrimSpace(text), ground
}

// rinsed is what another trip would have led to. A zone that it would have put
// further past its limit than it really was counts, too.
func (k *asking) rinsed(at time.Time, zones []string, c choice) (string, Ground) {
	a, err := WhatIf(k.t, at, RinseNow{Zones: c.rinse}, session.Usuals{})
	if err != nil {
		return "It can't be computed: " + err.Error() + ".", Unknown
	}
	for _, o := range a.Zones {
		if o.Alternative.Over > o.Real.Over && !slices.Contains(zones, o.Zone) {
			zones = append(zones, o.Zone)
		}
	}
	return k.came("Computed: ", zones, func(id string) Exposure { return a.Outcome(id).Alternative })
}

// limits is what can be said of one more piece, or of waiting.
func limits(b session.Board, first session.ZoneLook, clock session.Clockface) (string, Ground) {
	if first.LimitAt.IsZero() {
		return "No limit is known.", Unknown
	}
	off := b.Now.Add(max(b.Pace, soon) + session.TripTime)
	text := fmt.Sprintf("By the limits: one piece more, or a minute's wait, and a trip of %s take until %s; %s must be off by %s.",
		short(session.TripTime), clock(off), first.Name, clock(first.LimitAt))
	if off.After(first.LimitAt) {
		return text, Bad
	}
	return text, Good
}
