package session

import (
	"cmp"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/timing"
)

func checkOpened(d ServiceOpened, now timing.Reading) error {
	if p := d.Promised; p != nil && now.Wall.Sub(*p).Abs() > promisedWithin {
		return errors.New("the time that the client was promised is not today's: correct it")
	}
	if err := cmp.Or(ident("service", d.Service), named("client", d.Client),
		short(d.Stylist), short(d.Station), short(d.ZoneList)); err != nil {
		return err
	}
	if _, err := safety.ParseRegion(string(d.Region)); err != nil {
		return err
	}
	for _, h := range d.Had {
		if err := checkHad(h, now.Wall); err != nil {
			return err
		}
	}
	if h, n := d.SkinTestHours, d.SkinTestDays; h < 0 || h > safety.MostTestHours || n < 0 || n > safety.MostTestDays {
		return fmt.Errorf("skin test: give 0 to %d hours and 0 to %d days", safety.MostTestHours, safety.MostTestDays)
	}
	seen := map[string]bool{}
	for _, p := range d.Steps {
		if err := named("step", p.Name); err != nil {
			return err
		}
		if seen[p.Name] {
			return fmt.Errorf("step %q is listed twice: give each its own name", p.Name)
		}
		seen[p.Name] = true
		if !inRange(p.Minutes, 0, 600) {
			return fmt.Errorf("step %q: give 0 to 600 minutes", p.Name)
		}
	}
	return nil
}

func (s *State) checkClosed() error {
	if s.OpenPain() != nil {
		return errors.New("pain was reported: note what was found and decided before the service is closed")
	}
	if s.OpenLook() != nil {
		return errors.New("itching was reported: look at it again before the service is closed")
	}
	for _, z := range s.Zones {
		if z.Holding() {
			return fmt.Errorf("%s still holds product: rinse it before the service is closed", z.Name)
		}
	}
	for _, st := range s.Steps {
		if st.Running() {
			return fmt.Errorf("%s is still under way: end it before the service is closed", st.Name)
		}
	}
	return nil
}

func checkConsultation(d ConsultationNoted) (Data, error) {
	if d.Scale == 0 {
		d.Scale = DepthScale
	}
	if d.Scale < 2 || d.Scale > 20 {
		return nil, fmt.Errorf("a scale of depth has 10, 12 or 20 steps, not %d", d.Scale)
	}
	for _, f := range []struct {
		name  string
		value float64
		top   float64
	}{
		{"natural depth", d.NaturalDepth, float64(d.Scale)}, {"target depth", d.TargetDepth, float64(d.Scale)},
		{"grey share", d.GreyPercent, 100}, {"regrowth in mm", d.RegrowthMM, 1000}, {"length in mm", d.LengthMM, formula.MaxLength},
	} {
		if !inRange(f.value, 0, f.top) {
			return nil, fmt.Errorf("%s: give a number from 0 to %g", f.name, f.top)
		}
	}
	for b, c := range d.Conditions {
		if err := cmp.Or(band(b), (formula.Hair{Contact: formula.OffScalp, Condition: c}).Validate()); err != nil {
			return nil, err
		}
	}
	return d, cmp.Or(short(d.Undertone), text(d.Scalp), text(d.History), short(d.TargetTone), text(d.Note))
}

func (s *State) checkWindow(d WindowConfirmed) error {
	w := d.Row.Window
	switch {
	case d.Basis != BasisStarter && d.Basis != BasisInstructions:
		return fmt.Errorf("say what the window rests on: %q or %q", BasisStarter, BasisInstructions)
	case d.Row.Product == "" && d.Row.Kind == "":
		return errors.New("say for which product, or kind of product, the window is")
	case d.Row.Kind != "" && d.Row.Kind.Action() == "":
		return fmt.Errorf("%q is no kind of product: choose one that rinseby knows", d.Row.Kind)
	case !oneOf(d.Row.Contact, formula.AnyContact, formula.OffScalp, formula.OnScalp):
		return fmt.Errorf("contact %q: say %s or %s, or leave it open", d.Row.Contact, formula.OffScalp, formula.OnScalp)
	case d.Row.Condition != formula.AnyCondition && !slices.Contains(formula.Conditions(), d.Row.Condition):
		return fmt.Errorf("condition %q: choose one that rinseby knows, or leave it open", d.Row.Condition)
	case !oneOf(d.Row.Heat, formula.AnyHeat, formula.WithHeat, formula.NoHeat):
		return fmt.Errorf("heat %q: say %s or %s, or leave it open", d.Row.Heat, formula.WithHeat, formula.NoHeat)
	case !w.Known():
		return errors.New("a window needs a limit above 0, and must open no later than that")
	case w.Limit > 6*time.Hour:
		return errors.New("a limit of more than 6 hours is a slip of a key: type minutes")
	case d.ScalpAllowed && (d.Basis != BasisInstructions || d.Row.Contact != formula.OnScalp):
		return errors.New("only a window for the scalp, from the product's instructions, can say that it is allowed there")
	case !inRange(float64(d.Row.Strength), 0, 100):
		return errors.New("say for which strength of developer the window is")
	}
	if err := checkNotForScalp(cmp.Or(d.Row.Product, "this"), d.Row.Kind, d.Row.Contact); err != nil {
		return err
	}
	from, longer := s.longer(d)
	if !longer {
		return cmp.Or(short(d.Row.Product), text(d.Row.Origin))
	}
	what := cmp.Or(d.Row.Product, string(d.Row.Kind))
	return s.needsReason("longer-limit:"+strings.ToLower(what)+":"+formula.Label(d.Row.Strength),
		"this would make the limit of %s longer in the middle of the service, %v instead of %v", what, w.Limit, from)
}

// longer reports whether a window would make a limit longer than it was: that
// of the row that it replaces, or that of a coat which is on. It returns the
// limit as it was.
func (s *State) longer(d WindowConfirmed) (time.Duration, bool) {
	for _, r := range s.Windows {
		if sameRow(r, d.Row) && d.Row.Window.Limit > r.Window.Limit {
			return r.Window.Limit, true
		}
	}
	after := *s
	after.Windows, after.WindowBasis, after.WindowScalp = slices.Clone(s.Windows), slices.Clone(s.WindowBasis), slices.Clone(s.WindowScalp)
	after.confirm(d)
	for _, z := range s.Zones {
		for _, c := range z.Coats {
			was := s.CoatWindow(c)
			if c.Off.IsZero() && was.Known() && after.CoatWindow(c).Limit > was.Limit {
				return was.Limit, true
			}
		}
	}
	return 0, false
}

func (s *State) checkBowl(d BowlMixed, at time.Time) (Data, error) {
	if d.Bowl == "" {
		d.Bowl = nextID("b", func(id string) bool { return s.Bowl(id) != nil })
	}
	if d.LifeS < 0 || d.LifeS > 24*3600 {
		return nil, errors.New("working life: give 0 (not known) to 24 hours")
	}
	if d.Family.Action() == "" {
		return nil, fmt.Errorf("%s: say what kind of product it is", d.Product)
	}
	if err := cmp.Or(ident("bowl", d.Bowl), named("product", d.Product), d.Mix.Validate()); err != nil {
		return nil, err
	}
	if err := s.checkBowlKind(d); err != nil {
		return nil, err
	}
	d, err := checkRatio(d)
	if err != nil {
		return nil, err
	}
	if err := s.Rules().Law().Check(d.Mix); err != nil {
		return nil, fmt.Errorf("bowl %s: %w; no reason passes this", d.Bowl, err)
	}
	return d, s.checkCaps(formula.Query{Product: d.Product, Strength: d.Mix.Developer(), Hair: formula.Hair{Contact: formula.OffScalp}}, at, nil, "")
}

func checkEmptied(d BowlEmptied) error {
	if g := d.LeftGrams; g != nil && !inRange(*g, 0, 100_000) {
		return errors.New("grams left: give a number from 0 up, or leave it out")
	}
	return nil
}

func (s *State) checkFinished(d ZoneFinished) error {
	z, err := s.zone(d.Zone)
	switch {
	case err != nil:
		return err
	case !z.Started():
		return fmt.Errorf("nothing is on %s yet: drop the zone if it is not to be done", z.Name)
	case z.Full():
		return fmt.Errorf("%s is finished already", z.Name)
	}
	return nil
}

func (s *State) checkHeat(d HeatOn, at time.Time) error {
	if err := s.zonesNamed(d.Zones); err != nil {
		return err
	}
	for _, id := range d.Zones {
		z, err := s.zone(id)
		if err != nil {
			return err
		}
		if of, c := s.mushy(z); c != nil && !at.Before(c.At) {
			return fmt.Errorf("the hair of %s stays stretched, it can take no more: rinse it, and use no heat on it", of.Name)
		}
		if err := s.checkHeated(z); err != nil {
			return err
		}
		for _, c := range z.Coats {
			if !c.Off.IsZero() {
				continue
			}
			w, missing := s.tightest(underHeat(c.judged()))
			if missing != nil {
				return &ErrNoWindow{Query: *missing, Zone: z.Name, Band: c.Band}
			}
			t := s.CoatTiming(c)
			t.Window = w
			if over := t.Over(at); over > 0 {
				if err := s.needsReason("heat-over:"+z.ID, "under heat %s would be %s over its limit at once", z.Name, over.Round(time.Second)); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

func (s *State) checkChecked(d ZoneChecked) (Data, error) {
	z, err := s.zone(d.Zone)
	if err != nil {
		return nil, err
	}
	if !z.Started() {
		return nil, fmt.Errorf("nothing is on %s yet, so there is nothing to check", z.Name)
	}
	if d.Scale == 0 {
		d.Scale = DepthScale
	}
	if d.Scale < 2 || d.Scale > 20 {
		return nil, fmt.Errorf("a scale of depth has 10, 12 or 20 steps, not %d", d.Scale)
	}
	if d.Depth != 0 && !inRange(d.Depth, 1, float64(d.Scale)) {
		return nil, fmt.Errorf("depth: give a number from 1 (black) to %d (lightest)", d.Scale)
	}
	if d.Band != "" {
		if err := band(d.Band); err != nil {
			return nil, err
		}
	}
	return d, cmp.Or(short(d.Undertone), short(d.Feel))
}

// checkRinse refuses a second trip, except with zones that can't wait until
// the first one is over: they are taken under water beside its zones.
func (s *State) checkRinse(d RinseBegan, at time.Time) (Data, error) {
	if d.Trip == "" {
		d.Trip = nextID("t", func(id string) bool { return s.Trip(id) != nil })
	}
	if t := s.OpenTrip(); t != nil && s.OpenPain() == nil && !s.cantWait(d.Zones, at) {
		return nil, fmt.Errorf("trip %s to the basin is still under way: end it first", t.ID)
	}
	return d, cmp.Or(ident("trip", d.Trip), s.zonesNamed(d.Zones))
}

func (s *State) checkRinseEnd(d RinseEnded) (Data, error) {
	t := s.OpenTrip()
	if d.Trip != "" {
		t = s.Trip(d.Trip)
	}
	if t == nil {
		return nil, errors.New("nothing is being rinsed: begin a rinse first")
	}
	d.Trip = t.ID
	if !t.Ended.IsZero() {
		return nil, fmt.Errorf("trip %s to the basin has ended already: take its end back to change it", t.ID)
	}
	if len(d.Zones) == 0 {
		for _, id := range t.Zones {
			if _, done := t.Done[id]; !done {
				d.Zones = append(d.Zones, id)
			}
		}
	}
	return d, s.zonesNamed(d.Zones)
}

func (s *State) checkStep(d StepBegan) error {
	for _, st := range s.Steps {
		if st.Running() && st.Name != d.Step {
			return fmt.Errorf("%s is still under way: end it first", st.Name)
		}
	}
	return named("step", d.Step)
}

func (s *State) checkHelper(d HelperJoined) error {
	for _, h := range s.Helping() {
		if h.Name == d.Name {
			return fmt.Errorf("%s is helping already", h.Name)
		}
	}
	return named("helper", d.Name)
}

func (s *State) checkNote(d NoteAdded) error {
	if d.Text == "" {
		return errors.New("the note is empty: type something")
	}
	if d.Zone != "" {
		if _, err := s.zone(d.Zone); err != nil {
			return err
		}
	}
	return text(d.Text)
}

// checkClock fills in which gap a confirmation is about: the last one that
// nobody confirmed, else the one that lies right before now.
func (s *State) checkClock(d ClockNoted, now timing.Reading) (Data, error) {
	switch d.What {
	case ClockStepped, ClockRestarted:
		return d, nil
	case ClockConfirmed:
	default:
		return nil, fmt.Errorf("the clock %q: say %s, %s or %s", d.What, ClockStepped, ClockRestarted, ClockConfirmed)
	}
	if !inRange(d.ShiftS, -30*24*3600, 30*24*3600) {
		return nil, errors.New("say how long the machine was off, at most 30 days")
	}
	for i := len(s.Gaps) - 1; i >= 0; i-- {
		if g := s.Gaps[i]; g.Unsure() && (g.Seq == d.Gap || (d.Gap == 0 && !g.Confirmed)) {
			d.Gap = g.Seq
			return d, nil
		}
	}
	if _, gap := s.Line.Peek(now); gap != nil && gap.Unsure() && (d.Gap == 0 || d.Gap == s.Seq+1) {
		d.Gap = s.Seq + 1
		return d, nil
	}
	return nil, errors.New("the clocks agree there, so there is no gap to confirm")
}

func (l *Log) checkVoided(d EventVoided) error {
	e := l.event(d.Seq)
	edits, err := gather(l.events)
	switch {
	case err != nil:
		return err
	case e == nil:
		return fmt.Errorf("there is no event %d to take back", d.Seq)
	case d.Seq == 1:
		return errors.New("the opening of a service can't be taken back: close the service instead")
	case edits[d.Seq].voided:
		return fmt.Errorf("event %d was taken back already", d.Seq)
	}
	trial, err := Fold(append(l.events[:len(l.events):len(l.events)], Event{
		Seq: len(l.events) + 1, When: e.When, Recorded: l.events[len(l.events)-1].Recorded, Data: d,
	}))
	if err != nil {
		return fmt.Errorf("%s can't be taken back, as later entries rest on it (%w): take those back first", e.Data.Kind(), err)
	}
	s := trial.State()
	if none := s.noWindow(); none != nil && l.State().noWindow() == nil {
		return fmt.Errorf("the %s of %s would be left without a time limit while product is on it: rinse it first", none.Band, none.Zone)
	}
	if s.coated() && len(s.Verdict(s.last()).Open) > len(l.State().Verdict(l.State().last()).Open) {
		return errors.New("product was put on after that answer: answer the question again instead of taking the answer back")
	}
	if a, ok := e.Data.(SafetyAnswered); ok && a.Final && !IsReason(d.Reason) {
		if last, _, ok := l.Undo(); !ok || last.Data.(EventVoided).Seq != d.Seq {
			return fmt.Errorf("%s (%s) can't be taken back after other entries: answer it again, and say why that was a mistake", a.Question, a.Answer)
		}
	}
	if c, ok := e.Data.(ZoneChecked); ok && c.Feel == FeelMushy && !IsReason(d.Reason) {
		if last, _, ok := l.Undo(); !ok || last.Data.(EventVoided).Seq != d.Seq {
			return fmt.Errorf("that the hair stays stretched is not taken back after other entries without why it was a mistake, in %d words or more", ReasonWords)
		}
	}
	if s.Closed.IsZero() {
		return text(d.Reason)
	}
	return cmp.Or(s.checkClosed(), text(d.Reason))
}

func (l *Log) checkMoved(d EventMoved, now timing.Reading, place *time.Location) error {
	e := l.event(d.Seq)
	switch {
	case e == nil:
		return fmt.Errorf("there is no event %d to move", d.Seq)
	case d.Seq == 1:
		return errors.New("the opening of a service can't be moved")
	case rewrites(e.Data):
		return fmt.Errorf("event %d corrects others and can't be moved: take it back instead", d.Seq)
	case l.Voided(d.Seq):
		return fmt.Errorf("event %d was taken back: bring it back before it is moved", d.Seq)
	case d.To.After(now.Wall.Add(clockSlack)):
		return fmt.Errorf("%s is in the future: give a time that has passed", d.To.In(place).Format("15:04:05"))
	case l.State().Line.Now(now).Add(d.To.Sub(now.Wall)).Before(l.State().Opened):
		return fmt.Errorf("%s is before the service was opened; give a later time", d.To.In(place).Format("15:04:05"))
	}
	return nil
}

func (s *State) zonesNamed(ids []string) error {
	if len(ids) == 0 {
		return errors.New("name at least one zone")
	}
	seen := map[string]bool{}
	for _, id := range ids {
		if seen[id] {
			return fmt.Errorf("zone %q is named twice", id)
		}
		seen[id] = true
		if _, err := s.zone(id); err != nil {
			return err
		}
	}
	return nil
}

// needsReason is an error unless the warning with the key was acknowledged
// with a reason.
func (s *State) needsReason(key, format string, args ...any) error {
	if s.reasoned(key) {
		return nil
	}
	return &ErrNeedsReason{Key: key, Why: fmt.Sprintf(format, args...)}
}

var identPattern = regexp.MustCompile(`^[a-z0-9][a-z0-9_-]{0,63}$`)

func ident(what, id string) error {
	if !identPattern.MatchString(id) {
		return fmt.Errorf("%s %q: an id has 1 to 64 small letters, digits, - or _", what, id)
	}
	return nil
}

func nextID(prefix string, taken func(string) bool) string {
	for i := 1; ; i++ {
		if id := fmt.Sprintf("%s%d", prefix, i); !taken(id) {
			return id
		}
	}
}

func named(what, name string) error {
	if strings.TrimSpace(name) == "" {
		return fmt.Errorf("the %s has no name: type one", what)
	}
	return short(name)
}

func short(text string) error {
	if len(text) > MaxName {
		return fmt.Errorf("%.20q… is too long: at most %d bytes", text, MaxName)
	}
	return nil
}

func text(t string) error {
	if len(t) > MaxText {
		return fmt.Errorf("%.20q… is too long: at most %d bytes", t, MaxText)
	}
	return nil
}

func band(b Band) error {
	if !b.Valid() {
		return fmt.Errorf("%q is no band: say root, mid or end", b)
	}
	return nil
}

func oneOf[T comparable](x T, of ...T) bool { return slices.Contains(of, x) }

// inRange is false for NaN.
func inRange(f, low, high float64) bool { return f >= low && f <= high }
