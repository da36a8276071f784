package session

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"rinseby/session/formula"
	"rinseby/timing"
)

// A Verb is what is to be done next.
type Verb string

// The verbs.
const (
	DoClock   Verb = "clock"    // say how long the machine was off
	DoConsult Verb = "consult"  // note the consultation
	DoSafety  Verb = "safety"   // answer the safety questions
	DoPain    Verb = "pain"     // rinse all with cool running water now
	DoCool    Verb = "cool"     // keep cool water running until From
	DoClear   Verb = "clear"    // note what was found after pain
	DoCall    Verb = "call"     // an emergency: call for help
	DoEye     Verb = "eye"      // keep water running over the eye until From
	DoLook    Verb = "look"     // look at an itch again, at From
	DoAsk     Verb = "ask"      // ask how it is before the client leaves
	DoPlan    Verb = "plan"     // plan a round
	DoWindow  Verb = "window"   // say how long a product may work
	DoMix     Verb = "mix"      // mix a bowl
	DoPlace   Verb = "place"    // place a piece
	DoCoat    Verb = "coat"     // coat a band that was left for later
	DoRinse   Verb = "rinse"    // go to the basin now
	DoReady   Verb = "ready"    // may be rinsed as soon as it looks right
	DoOff     Verb = "off"      // say that the rinse is done
	DoWait    Verb = "wait"     // nothing is to be done before From
	DoBegin   Verb = "begin"    // begin a step
	DoEnd     Verb = "end"      // end a step
	DoResume  Verb = "resume"   // end the pause
	DoFinish  Verb = "finish"   // close the service
	DoNothing Verb = "finished" // the service is closed
)

// An Action is the next thing to do. The one key does it.
type Action struct {
	Verb  Verb
	Text  string    // what to do, in a few words
	Why   string    // one sentence, may be empty
	By    time.Time // when what is on must be off; zero if nothing is on
	From  time.Time // wait, cool: until then
	Zones []string  // ids of the zones concerned
	// Commands is what the key does. It is empty where a form asks for more.
	Commands []Command
	Plan     *PlanBand      // mix: what for
	Query    *formula.Query // window: which
}

// next finds the next thing to do. The order of its parts is the order of
// what cannot wait: harm goes before limits, and both before every question.
// What comes next gives way to a limit that would pass before it is done.
func (s *State) next(b *Board) Action {
	for _, rule := range []func(*Board) (Action, bool){s.nextClosed, s.nextPain, s.nextHarm} {
		if a, ok := rule(b); ok {
			return s.offBy(b, a)
		}
	}
	a := s.nextWork(b)
	if urgent, ok := s.nextUrgent(b, a); ok && !s.firstUnder(b, a, urgent) {
		a = urgent
	}
	return s.offBy(b, a)
}

// firstUnder reports whether the action ends a rinse that is under way, of a
// zone whose limit is no later than that of what can't wait.
func (s *State) firstUnder(b *Board, a, urgent Action) bool {
	limit := func(id string) time.Time { return s.ZoneTiming(s.Zone(id), b.Now).LimitAt }
	return a.Verb == DoOff && !limit(a.Zones[0]).After(limit(urgent.Zones[0]))
}

// offBy tells of an action by when what is on must be off. Harm waits for no
// moment.
func (s *State) offBy(b *Board, a Action) Action {
	if a.By.IsZero() && b.OffBy != nil && b.Harm == nil && s.OpenPain() == nil {
		a.By = b.OffBy.LimitAt
	}
	return a
}

// nextWork is the next thing to do as long as no limit is near.
func (s *State) nextWork(b *Board) Action {
	rules := []func(*Board) (Action, bool){s.nextLook, s.nextClock, s.nextOff, s.nextUnknown, s.nextHands}
	if !s.Ended() {
		rules = append(rules, s.nextConsult, s.nextCaps, s.nextPlan, s.nextDoubt, s.nextApply, s.nextLater, s.nextReady)
	}
	for _, rule := range append(rules, s.nextStep) {
		if a, ok := rule(b); ok {
			return s.askFirst(a)
		}
	}
	return s.askFirst(Action{Verb: DoFinish, Text: "Finish the service"})
}

func (s *State) nextClosed(*Board) (Action, bool) {
	return Action{Verb: DoNothing, Text: "The service is closed"}, !s.Closed.IsZero()
}

// unsure is the first gap whose clock has yet to be confirmed, or nil.
func (s *State) unsure() *Gap {
	if i := slices.IndexFunc(s.Gaps, func(g Gap) bool { return g.Unsure() && !g.Confirmed }); i >= 0 {
		return &s.Gaps[i]
	}
	return nil
}

// nextClock asks about the clock, unless what is at the basin can't wait.
func (s *State) nextClock(b *Board) (Action, bool) {
	g := s.unsure()
	if g == nil || slices.ContainsFunc(b.Zones, func(z ZoneLook) bool { return z.Rinsing && z.presses() }) {
		return Action{}, false
	}
	why := "the computer was off, so only its clock tells for how long"
	if !g.Restart {
		why = "the computer's clock went back, and nothing else tells the time here"
	}
	return Action{Verb: DoClock, Text: "Say if the clock is right", Why: why}, true
}

// nextOff ends the rinse of one zone after the other, so that each clock
// stops when its own rinse is done.
func (s *State) nextOff(b *Board) (Action, bool) {
	left := s.underWater()
	if len(left) == 0 {
		return Action{}, false
	}
	a := s.rinseClean(left, "")
	if opens := s.mayWait(b, left); !opens.IsZero() {
		a.Text = fmt.Sprintf("Not before %s, then rinse %s", b.clock(opens), s.name(left[0]))
	}
	return a, true
}

// mayWait is when the first of the zones at the basin opens, if there is time
// to wait for it: zero if it is open, or if waiting would take one of them
// past its limit.
func (s *State) mayWait(b *Board, left []string) time.Time {
	t := s.ZoneTiming(s.Zone(left[0]), b.Now)
	if t.Phase != timing.Working || !t.OpensAt.After(b.Now) || len(s.mustGo(b, Action{})) > 0 {
		return time.Time{}
	}
	done := t.OpensAt
	for _, id := range left {
		done = done.Add(s.rinseTime())
		if limit := s.ZoneTiming(s.Zone(id), b.Now).LimitAt; !limit.IsZero() && done.After(limit) {
			return time.Time{}
		}
	}
	return t.OpensAt
}

func (s *State) nextUnknown(b *Board) (Action, bool) {
	for _, z := range b.Zones {
		if !z.Holding() || !z.Unknown {
			continue
		}
		for _, c := range s.Zone(z.ID).Coats {
			for _, q := range s.queries(c) {
				if _, ok := formula.Match(s.Windows, q); !ok && c.Off.IsZero() {
					return Action{Verb: DoWindow, Text: "Type the limit of " + z.Name, Zones: []string{z.ID}, Query: &q}, true
				}
			}
		}
	}
	return Action{}, false
}

// nextUrgent goes to the basin, or takes more under water there, with what
// can't wait until the next thing is done.
func (s *State) nextUrgent(b *Board, next Action) (Action, bool) {
	ids := s.mustGo(b, next)
	if len(ids) == 0 {
		return Action{}, false
	}
	a := Action{Verb: DoRinse, Why: "its limit is near", Zones: ids, Text: "Rinse " + s.nameAll(ids)}
	for _, z := range b.Zones {
		if z.Phase == timing.Over && slices.Contains(ids, z.ID) {
			a.Why = "it is past its limit"
		}
	}
	if b.ClockUnsure { // the limit does not wait for the answer
		a.Text += ", if it is " + b.clock(b.Now) + " now"
		a.Why += " by the computer's clock; a: say whether it is"
	}
	a.Commands = []Command{Do(RinseBegan{Zones: ids})}
	return a, true
}

func (s *State) nextHands(*Board) (Action, bool) {
	if s.Paused() {
		return Action{Verb: DoResume, Text: "End the pause", Commands: []Command{Do(PauseEnded{})}}, true
	}
	for _, st := range s.Steps {
		if st.Running() {
			return Action{Verb: DoEnd, Text: "End: " + st.Name, Commands: []Command{Do(StepEnded{Step: st.Name})}}, true
		}
	}
	return Action{}, false
}

func (s *State) nextConsult(b *Board) (Action, bool) {
	if s.Consultation == nil {
		return Action{Verb: DoConsult, Text: "Consult and note it"}, true
	}
	return s.nextSafety(b)
}

func (s *State) nextPlan(*Board) (Action, bool) {
	for _, st := range s.Steps {
		if st.Before && !st.Done() {
			return Action{Verb: DoBegin, Text: "Begin: " + st.Name, Commands: []Command{Do(StepBegan{Step: st.Name})}}, true
		}
	}
	if len(s.Rounds) == 0 {
		return Action{Verb: DoPlan, Text: "Plan the zones"}, true
	}
	return Action{}, false
}

// nextApply is the next piece of the round under way, or what it needs first.
func (s *State) nextApply(b *Board) (Action, bool) {
	for _, r := range s.Rounds {
		if s.roundOver(r) {
			continue
		}
		for _, z := range s.RoundZones(r) {
			if z.Full() {
				continue
			}
			if a, ok := s.dropMushy(z); ok {
				return a, true
			}
			return s.place(b, z), true
		}
		break
	}
	return Action{}, false
}

func (s *State) place(b *Board, z *Zone) Action {
	var on []CoatOn
	for _, p := range z.Bands {
		if p.Later {
			continue
		}
		if a, missing := s.needs(b, z, p); missing {
			return a
		}
		bowl, err := s.BowlFor(z, p, b.Now)
		if err != nil {
			continue
		}
		on = append(on, CoatOn{Band: p.Band, Bowl: bowl.ID})
	}
	if len(on) == 0 {
		return Action{Verb: DoPlan, Text: "Plan what goes on " + z.Name, Zones: []string{z.ID}}
	}
	return Action{
		Verb: DoPlace, Text: fmt.Sprintf("Place %s %d of %d", z.Name, z.Done()+1, z.Pieces), Zones: []string{z.ID},
		Commands: []Command{Do(PiecePlaced{Zone: z.ID, Count: 1, Coats: on})},
	}
}

// needs is what a band needs before it can be coated: a bowl, a window.
func (s *State) needs(b *Board, z *Zone, p PlanBand) (Action, bool) {
	bowl, err := s.BowlFor(z, p, b.Now)
	var none *ErrNoBowl
	if errors.As(err, &none) {
		return Action{
			Verb: DoMix, Text: fmt.Sprintf("Mix %s %s", p.Product, label(p.Strength)), Zones: []string{z.ID},
			Why: fmt.Sprintf("for the %s of %s", p.Band, z.Name), Plan: &p,
		}, true
	}
	why := ""
	if at, known := bowl.Stale(); known && b.Now.After(at) && !s.Acked(staleKey(bowl.ID)) {
		why = "bowl " + bowl.ID + " is past its working life"
	} else if p.Later && bowl.Mixed.Before(s.lastPlaced(z.Round)) {
		why = "what is coated later is coated with a fresh mix"
	}
	if why != "" {
		return Action{Verb: DoMix, Text: fmt.Sprintf("Mix fresh %s %s", p.Product, label(p.Strength)), Zones: []string{z.ID}, Why: why, Plan: &p}, true
	}
	q := formula.Query{Product: bowl.Product, Kind: bowl.Family, Strength: bowl.Strength,
		Hair: formula.Hair{Contact: p.Contact, Condition: p.Condition, Heat: z.Heated()}}
	if none := s.lacks(q, z.Name, p.Band); none != nil {
		return Action{
			Verb: DoWindow, Text: fmt.Sprintf("Set the limit of %s %s", p.Product, label(bowl.Strength)), Zones: []string{z.ID},
			Why: fmt.Sprintf("for %s hair at the %s", p.Condition, p.Band), Query: &q,
		}, true
	}
	return Action{}, false
}

// lastPlaced is when the last piece of the round went in.
func (s *State) lastPlaced(round string) (last time.Time) {
	for _, z := range s.Zones {
		if n := len(z.Placed); z.Round == round && n > 0 && z.Placed[n-1].At.After(last) {
			last = z.Placed[n-1].At
		}
	}
	return last
}

// nextLater coats the bands that were left for later, once all pieces are in.
// First-time lightening begins off the scalp and comes back with fresh
// lightener at the scalp (Virginia CTE task list, read in part).
func (s *State) nextLater(b *Board) (Action, bool) {
	for _, r := range s.Rounds {
		if s.roundOver(r) {
			continue
		}
		for _, z := range s.RoundZones(r) {
			if !z.Holding() {
				continue
			}
			for _, p := range z.Bands {
				coated := find(z.Coats, func(c *Coat) bool { return c.Band == p.Band }) != nil
				if !p.Later || coated {
					continue
				}
				if a, missing := s.needs(b, z, p); missing {
					return a, true
				}
				return Action{
					Verb: DoCoat, Text: fmt.Sprintf("Coat the %s of %s", p.Band, z.Name), Zones: []string{z.ID},
					Commands: []Command{Do(CoatApplied{Zone: z.ID, Coats: []CoatOn{{Band: p.Band}}})},
				}, true
			}
		}
		break
	}
	return Action{}, false
}

// nextReady is what may be rinsed, or else what to wait for.
func (s *State) nextReady(b *Board) (Action, bool) {
	ready := Action{Verb: DoReady, Why: "open: rinse as soon as it looks right"}
	wait := Action{Verb: DoWait}
	for _, z := range b.Zones {
		switch {
		case z.Phase == timing.Open:
			ready.Zones = append(ready.Zones, z.ID)
		case z.Holding() && z.OpensAt.After(b.Now) && (wait.From.IsZero() || z.OpensAt.Before(wait.From)):
			wait.From, wait.Zones, wait.Text = z.OpensAt, []string{z.ID}, "Wait for "+z.Name
		}
	}
	if len(ready.Zones) > 0 {
		ready.Zones = s.inTime(b, ready.Zones)
		ready.Text = "Check, then rinse " + s.nameAll(ready.Zones)
		ready.Commands = []Command{Do(RinseBegan{Zones: ready.Zones})}
		return ready, true
	}
	return wait, len(wait.Zones) > 0
}

func (s *State) nextStep(*Board) (Action, bool) {
	for _, st := range s.Steps {
		if !st.Done() {
			return Action{Verb: DoBegin, Text: "Begin: " + st.Name, Commands: []Command{Do(StepBegan{Step: st.Name})}}, true
		}
	}
	return Action{}, false
}

func label(p formula.Percent) string { return formula.Label(p) }
