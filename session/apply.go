package session

import (
	"fmt"
	"slices"
	"time"

	"rinseby/session/formula"
)

// apply folds one event into the state. An error means that the event does
// not fit the events before it; the state is then not to be used any more.
// The event's moment on the time line is at.
func (s *State) apply(e Event, at time.Time) error {
	switch d := e.Data.(type) {
	case ServiceOpened:
		return s.open(d, e, at)
	case ServiceClosed:
		s.Closed, s.Outcome = at, d.Outcome
	case ConsultationNoted:
		s.Consultation = &d
		for _, z := range s.Zones {
			s.temper(z)
		}
	case SafetyAnswered:
		s.Safety = append(s.Safety, Answered{At: at, SafetyAnswered: d})
	case PainReported:
		s.react(d, e.Seq, at)
	case PainCleared:
		return s.clearPain(d, at)
	case ReactionNoted:
		return s.noteReaction(d, at)
	case PlanSet:
		return s.setPlan(d)
	case PlanChanged:
		return s.changePlan(d)
	case WindowConfirmed:
		s.confirm(d)
	case BowlMixed:
		return s.mix(d, at)
	case BowlEmptied:
		return s.empty(d, at)
	case PiecePlaced, CoatApplied, CoatRefreshed, ZoneFinished, ZoneChecked, HeatOn, HeatOff:
		return s.applyToZone(e, at)
	case RinseBegan:
		return s.beginRinse(d, at)
	case RinseEnded:
		return s.endRinse(d, at)
	case StepBegan, StepEnded, PauseBegan, PauseEnded, HelperJoined, HelperLeft:
		return s.applyHands(e.Data, at)
	case WarningAcknowledged:
		s.Acks = append(s.Acks, Ack{At: at, Warning: d.Warning, Reason: d.Reason})
	case NoteAdded:
		s.Notes = append(s.Notes, Note{At: at, Zone: d.Zone, Text: d.Text})
	case CutNoted:
		s.noteCut(d, at)
	case PromiseChanged:
		s.changePromise(d, e, at)
	case ClockNoted:
		// the time line finds steps and restarts by itself; Log puts a
		// confirmed gap right
	default:
		return fmt.Errorf("unknown kind of event %q", e.Data.Kind())
	}
	return nil
}

func (s *State) open(d ServiceOpened, e Event, at time.Time) error {
	if s.Seq != 0 {
		return fmt.Errorf("the service is open already")
	}
	s.Service, s.Client, s.Stylist, s.Station = d.Service, d.Client, d.Stylist, d.Station
	s.ZoneList, s.Invented, s.Region, s.Opened = d.ZoneList, d.Invented, d.Region, at
	s.Earlier = slices.Clone(d.Had)
	s.SkinTestHours, s.SkinTestDays = d.SkinTestHours, d.SkinTestDays
	if d.Promised != nil {
		s.promise(Promise{At: at, By: s.byWall(*d.Promised, e.Recorded), Seq: e.Seq})
	}
	for _, p := range d.Steps {
		s.Steps = append(s.Steps, &Step{Name: p.Name, Usual: minutes(p.Minutes), Before: p.Before})
	}
	return nil
}

func (s *State) confirm(d WindowConfirmed) {
	for i, r := range s.Windows {
		if sameRow(r, d.Row) {
			s.Windows[i], s.WindowBasis[i], s.WindowScalp[i] = d.Row, d.Basis, d.ScalpAllowed
			return
		}
	}
	s.Windows, s.WindowBasis, s.WindowScalp = append(s.Windows, d.Row), append(s.WindowBasis, d.Basis), append(s.WindowScalp, d.ScalpAllowed)
}

func (s *State) mix(d BowlMixed, at time.Time) error {
	if s.Bowl(d.Bowl) != nil {
		return fmt.Errorf("there is a bowl %q already; give the new one another name", d.Bowl)
	}
	s.Bowls = append(s.Bowls, &Bowl{
		ID: d.Bowl, Product: d.Product, Family: d.Family, Mix: d.Mix, Strength: d.Mix.Developer(),
		Mixed: at, Life: time.Duration(d.LifeS) * time.Second, RatioRange: d.RatioRange, OffScalp: d.OffScalp,
	})
	return nil
}

func (s *State) empty(d BowlEmptied, at time.Time) error {
	b := s.Bowl(d.Bowl)
	switch {
	case b == nil:
		return fmt.Errorf("there is no bowl %q", d.Bowl)
	case !b.Emptied.IsZero():
		return fmt.Errorf("bowl %s is empty already", d.Bowl)
	}
	b.Emptied, b.LeftGrams = at, d.LeftGrams
	return nil
}

func (s *State) applyToZone(e Event, at time.Time) error {
	switch d := e.Data.(type) {
	case PiecePlaced:
		z, err := s.zone(d.Zone)
		if err != nil {
			return err
		}
		if d.Count < 1 || d.Count > MaxZonePieces {
			return fmt.Errorf("%d pieces at once can't be", d.Count)
		}
		b := Batch{At: at, Count: d.Count, Seq: e.Seq}
		z.Placed = insert(z.Placed, b)
		z.Pieces = max(z.Pieces, z.Done())
		return s.coat(z, d.Coats, b)
	case CoatApplied:
		z, err := s.zone(d.Zone)
		if err != nil {
			return err
		}
		return s.coat(z, d.Coats, Batch{At: at, Count: max(z.Done(), 1), Seq: e.Seq})
	case CoatRefreshed:
		return s.refresh(d, at)
	case ZoneFinished:
		z, err := s.zone(d.Zone)
		if err != nil {
			return err
		}
		z.Finished = true
	case ZoneChecked:
		z, err := s.zone(d.Zone)
		if err != nil {
			return err
		}
		z.Checks = append(z.Checks, Check{At: at, ZoneChecked: d})
	case HeatOn:
		return s.eachZone(d.Zones, func(z *Zone) error {
			if z.Heated() {
				return fmt.Errorf("heat is on %s already", z.Name)
			}
			z.Heat = append(z.Heat, Span{From: at})
			return nil
		})
	case HeatOff:
		return s.eachZone(d.Zones, func(z *Zone) error {
			if !z.Heated() {
				return fmt.Errorf("there is no heat on %s", z.Name)
			}
			z.Heat[len(z.Heat)-1].To = at
			return nil
		})
	}
	return nil
}

// coat puts a batch onto the coats that the bowls make.
func (s *State) coat(z *Zone, ons []CoatOn, batch Batch) error {
	if len(ons) == 0 {
		return fmt.Errorf("nothing says which bowl goes on %s", z.Name)
	}
	for i, on := range ons {
		plan, b := z.Band(on.Band), s.Bowl(on.Bowl)
		switch {
		case plan == nil:
			return fmt.Errorf("the plan of %s has no band %q", z.Name, on.Band)
		case b == nil:
			return fmt.Errorf("there is no bowl %q", on.Bowl)
		}
		c := find(z.Coats, func(c *Coat) bool {
			return c.Band == on.Band && c.Product == b.Product && same(c.Strength, b.Strength) &&
				c.Contact == plan.Contact && c.Condition == plan.Condition &&
				(c.Off.IsZero() || !batch.At.After(c.Off))
		})
		if c == nil {
			c = &Coat{
				Zone: z.ID, Round: z.Round, Band: on.Band, Product: b.Product, Family: b.Family,
				Action: b.Family.Action(), Strength: b.Strength,
				Contact: plan.Contact, Condition: plan.Condition,
			}
			if !z.Rinsed.IsZero() && !batch.At.After(z.Rinsed) {
				c.Off = z.Rinsed // logged after the rinse that took it off
			}
			z.Coats = append(z.Coats, c)
		}
		c.Batches = insert(c.Batches, batch)
		if !slices.ContainsFunc(ons[:i], func(o CoatOn) bool { return o.Bowl == on.Bowl }) {
			b.Pieces += batch.Count * s.pieceScale(z)
		}
		if !slices.Contains(b.Bands, on.Band) {
			b.Bands = append(b.Bands, on.Band)
		}
		if !slices.Contains(c.Bowls, b.ID) {
			c.Bowls = append(c.Bowls, b.ID)
		}
	}
	return nil
}

// refresh puts fresh product on all coats of a band that were on.
func (s *State) refresh(d CoatRefreshed, at time.Time) error {
	z, err := s.zone(d.Zone)
	if err != nil {
		return err
	}
	for _, on := range d.Coats {
		b := s.Bowl(on.Bowl)
		if b == nil {
			return fmt.Errorf("there is no bowl %q", on.Bowl)
		}
		found := false
		for _, c := range z.Coats {
			if c.Band != on.Band || !c.onAt(at) {
				continue
			}
			found = true
			c.Refreshed = append(c.Refreshed, at)
			if !slices.Contains(c.Bowls, b.ID) {
				c.Bowls = append(c.Bowls, b.ID)
			}
			if b.Product != c.Product || !same(b.Strength, c.Strength) {
				c.With = append(c.With, c.query(b))
			}
		}
		if !found {
			return fmt.Errorf("there is nothing on the %s of %s to refresh", on.Band, z.Name)
		}
	}
	z.rejudge()
	return nil
}

func (s *State) beginRinse(d RinseBegan, at time.Time) error {
	if s.Trip(d.Trip) != nil {
		return fmt.Errorf("there is a trip %q already", d.Trip)
	}
	t := &Trip{ID: d.Trip, Zones: slices.Clone(d.Zones), Began: at, Done: map[string]time.Time{}}
	s.Trips = append(s.Trips, t)
	return s.eachZone(d.Zones, func(z *Zone) error {
		switch {
		case z.Trip != "":
			return fmt.Errorf("%s is being rinsed already", z.Name)
		case !z.Holding():
			return fmt.Errorf("%s holds nothing to rinse", z.Name)
		}
		z.Trip, z.RinseBegan, z.Finished = t.ID, at, true
		return nil
	})
}

func (s *State) endRinse(d RinseEnded, at time.Time) error {
	t := s.Trip(d.Trip)
	if t == nil {
		return fmt.Errorf("there is no trip %q", d.Trip)
	}
	err := s.eachZone(d.Zones, func(z *Zone) error {
		if z.Trip != t.ID {
			return fmt.Errorf("%s is not being rinsed in trip %s", z.Name, t.ID)
		}
		z.Trip, z.Rinsed = "", at
		if z.Heated() {
			z.Heat[len(z.Heat)-1].To = at
		}
		for _, c := range z.Coats {
			if c.Off.IsZero() {
				c.Off = at
			}
		}
		t.Done[z.ID] = at
		return nil
	})
	if len(t.Done) == len(t.Zones) {
		for _, done := range t.Done {
			if done.After(t.Ended) {
				t.Ended = done
			}
		}
	}
	return err
}

func (s *State) applyHands(data Data, at time.Time) error {
	switch d := data.(type) {
	case StepBegan:
		st := s.Step(d.Step)
		if st == nil {
			st = &Step{Name: d.Step}
			s.Steps = append(s.Steps, st)
		}
		if st.Running() {
			return fmt.Errorf("%s is under way already", d.Step)
		}
		st.Spans = append(st.Spans, Span{From: at})
	case StepEnded:
		st := s.Step(d.Step)
		if st == nil || !st.Running() {
			return fmt.Errorf("%s is not under way", d.Step)
		}
		st.Spans[len(st.Spans)-1].To = at
	case PauseBegan:
		if s.Paused() {
			return fmt.Errorf("there is a pause already")
		}
		s.Pauses = append(s.Pauses, Span{From: at, Reason: d.Reason})
	case PauseEnded:
		if !s.Paused() {
			return fmt.Errorf("there is no pause to end")
		}
		s.Pauses[len(s.Pauses)-1].To = at
	case HelperJoined:
		s.Helpers = append(s.Helpers, Helper{Name: d.Name, Span: Span{From: at}})
	case HelperLeft:
		i := slices.IndexFunc(s.Helpers, func(h Helper) bool { return h.Name == d.Name && h.Open() })
		if i < 0 {
			return fmt.Errorf("no helper called %q is here", d.Name)
		}
		s.Helpers[i].To = at
	}
	return nil
}

func (s *State) zone(id string) (*Zone, error) {
	z := s.Zone(id)
	switch {
	case z == nil:
		return nil, fmt.Errorf("there is no zone %q", id)
	case z.Dropped:
		return nil, fmt.Errorf("%s was dropped from the plan", z.Name)
	}
	return z, nil
}

func (s *State) eachZone(ids []string, do func(*Zone) error) error {
	for _, id := range ids {
		z, err := s.zone(id)
		if err != nil {
			return err
		}
		if err := do(z); err != nil {
			return err
		}
	}
	return nil
}

// minutes turns minutes into a duration.
func minutes(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }

// same reports whether two strengths are the same one in the trade.
func same(a, b formula.Percent) bool { return notAbove(a, b) && notAbove(b, a) }

// notAbove reports whether a is no stronger than b in the trade's terms, so
// that a bottle of 9.1 % is no stronger than one that says 9 %.
func notAbove(a, b formula.Percent) bool { return a <= b || a.Nominal().AtMost(b.Nominal()) }

// sameRow reports whether two rows are about the same thing.
func sameRow(a, b formula.Row) bool {
	return a.Product == b.Product && a.Kind == b.Kind && same(a.Strength, b.Strength) &&
		a.Contact == b.Contact && a.Condition == b.Condition && a.Heat == b.Heat
}

// query asks for the window of a bowl on the hair that the coat is on.
func (c *Coat) query(b *Bowl) formula.Query {
	return formula.Query{
		Product: b.Product, Kind: b.Family, Strength: b.Strength,
		Hair: formula.Hair{Contact: c.Contact, Condition: c.Condition},
	}
}
