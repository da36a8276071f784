package card

import (
	"math"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
)

// Make computes the card of a visit. A closed visit is shown as it was at its
// closing, a live one as it is at the moment at of its time line, or at its
// last entry if that is later. Texts will show moments as local does at the
// opening; nil means UTC. A visit that is not open yet has a card with nothing
// but its format.
func Make(l *session.Log, at time.Time, local *time.Location) Card {
	s := l.State()
	c := Card{Format: Format}
	if s.Seq == 0 {
		return c
	}
	m := maker{s: s, at: asOf(l, at)}
	if local != nil {
		_, c.UTCOffsetS = s.Opened.In(local).Zone()
	}
	c.Service, c.Invented = valid(s.Service), s.Invented
	c.Client, c.Stylist, c.Station = valid(s.Client), valid(s.Stylist), valid(s.Station)
	c.Opened, c.Closed, c.AsOf = utc(s.Opened), moment(s.Closed), utc(m.at)
	c.Promised, c.Outcome = moment(s.Promised), valid(s.Outcome)
	c.Promises = each(s.Promises, promise)
	c.Consultation = consultation(s.Consultation)
	c.Rules, c.Safety = rules(s), answers(s)
	c.Pains = each(s.Pains, m.pain)
	c.Asked = each(s.Asked, func(a session.AskedAgain) Asked {
		return Asked{At: utc(a.At), When: a.When, How: a.How, Reaction: session.Reaction(valid(string(a.Reaction))), Note: valid(a.Note)}
	})
	c.Rounds = each(s.Rounds, m.round)
	c.Zones = []Zone{}
	for _, r := range s.Rounds {
		for _, id := range r.Order {
			if z := s.Zone(id); z != nil {
				c.Zones = append(c.Zones, m.zone(z))
			}
		}
	}
	c.Bowls = each(s.Bowls, m.bowl)
	c.Formulas = m.formulas()
	c.NextVisit = nextVisit(s.Consultation)
	m.hands(&c)
	c.Notes = each(s.Notes, func(n session.Note) Note { return Note{At: utc(n.At), Zone: n.Zone, Text: valid(n.Text)} })
	c.Cuts = each(s.Cuts, cut)
	c.Warnings = each(s.Acks, func(a session.Ack) Warning {
		what := valid(s.Warned(a.Warning))
		first, n := utf8.DecodeRuneInString(what)
		return Warning{At: utc(a.At), Warning: valid(a.Warning), What: string(unicode.ToUpper(first)) + what[n:], Reason: valid(a.Reason)}
	})
	c.Gaps = each(s.Gaps, func(g session.Gap) Gap {
		return Gap{From: utc(g.From), To: utc(g.To), StepS: g.Step.Seconds(), Restart: g.Restart, Backwards: g.Backwards, Confirmed: g.Confirmed}
	})
	c.Windows = []Window{}
	for i, r := range s.Windows {
		c.Windows = append(c.Windows, window(r, s.WindowBasis[i]))
	}
	c.Totals = totals(&c)
	return c
}

func (m maker) pain(p session.Pain) Pain {
	out := Pain{
		At: utc(p.At), Zone: p.Zone, Text: valid(p.Text), Cleared: moment(p.Cleared), Note: valid(p.Note), Early: valid(p.Early),
		Reaction: session.Reaction(valid(string(p.Reaction))), Severe: p.Severe, Mild: p.Look, Again: p.Again,
		Looked: moment(p.Looked), Helped: moment(p.Helped), Off: moment(m.s.OffAfter(p)),
	}
	if p.Needs() > 0 {
		out.WaterS = int(m.s.Cooled(p, m.at) / time.Second)
	}
	out.WaterMin = inMinutes(out.WaterS)
	if out.Cleared != nil {
		out.GoesOn = &p.GoesOn
	}
	return out
}

// nextVisit tells from the regrowth that was noted when it will be as long
// again.
func nextVisit(c *session.ConsultationNoted) *NextVisit {
	if c == nil {
		return nil
	}
	growth := formula.AnyGrowth()
	days, err := growth.Days(c.RegrowthMM)
	if err != nil {
		return nil
	}
	return &NextVisit{
		RegrowthMM: c.RegrowthMM, DaysLow: int(math.Floor(days.Low)), DaysHigh: int(math.Ceil(days.High)), Basis: growth.Basis,
	}
}

// rules are those of the visit.
func rules(s *session.State) Rules {
	r := s.Rules()
	return Rules{
		Region: safety.Region(valid(string(s.Region))), PeroxideMax: r.Peroxide.Value, PeroxideFrom: r.Peroxide.Source,
		SkinTestHours: r.TestHours.Value, HoursFrom: r.TestHours.Source, SkinTestDays: r.TestDays.Value, DaysFrom: r.TestDays.Source,
		Looser: r.Looser, Emergency: r.Emergency.Value,
	}
}

// answers are the answers in the order of asking; those to questions that are
// not asked any more come last.
func answers(s *session.State) []Answer {
	all, out := s.Safety, []Answer{}
	plan := s.Kinds()
	add := func(id, asked string) {
		standing := len(all)
		for i, a := range all {
			if a.Question == id && s.Stood(i) {
				standing = i
			}
		}
		for i, a := range all {
			if a.Question != id {
				continue
			}
			one := Answer{
				At: utc(a.At), Question: valid(a.Question), Asked: asked, Answer: valid(a.Answer), Outcome: safety.Word(valid(string(a.Outcome))),
				MaxStrength: a.MaxStrength, OffScalp: a.OffScalp, Hair: a.Hair, Until: valid(a.Until),
				Why: valid(a.Why), Source: valid(a.Source), Reason: valid(a.Reason), Replaced: i < standing, Beside: i > standing, Final: a.Final,
				Mistake: valid(a.Mistake), Note: valid(a.Note), TestedOn: valid(a.Tested),
				ClearedDye: valid(a.ClearedDye), ClearedBy: valid(a.ClearedBy), ClearedOn: valid(a.ClearedOn),
			}
			if i == standing {
				one.Lifted = valid(a.Given().Lifted(plan))
			}
			out = append(out, one)
		}
	}
	known := map[string]bool{}
	for _, q := range safety.Questions() {
		known[q.ID] = true
		add(q.ID, q.Text)
	}
	for _, a := range all {
		if !known[a.Question] {
			known[a.Question] = true
			add(a.Question, "")
		}
	}
	return out
}

// asOf is the moment that a card is for.
func asOf(l *session.Log, at time.Time) time.Time {
	s, events := l.State(), l.Events()
	if s.Live() {
		if last := s.Line.Now(events[len(events)-1].Recorded); last.After(at) {
			return last
		}
		return at
	}
	end := s.Closed
	for _, z := range s.Zones { // a closing may have been put too early by hand
		if z.Rinsed.After(end) {
			end = z.Rinsed
		}
	}
	return end
}

// A maker makes the parts of a card out of a state, for one moment.
type maker struct {
	s  *session.State
	at time.Time
}

func (m maker) round(r *session.Round) Round {
	out := Round{ID: r.ID, Name: valid(r.Name), Action: r.Action, Zones: each(r.Order, strings.Clone), Bowls: []string{}}
	var first, last time.Time
	on := false
	for _, id := range r.Order {
		z := m.s.Zone(id)
		if z == nil {
			continue
		}
		out.Pieces += z.Done()
		on = on || z.Holding()
		for _, c := range z.Coats {
			if f := c.First(); first.IsZero() || f.Before(first) {
				first = f
			}
			if c.Off.After(last) {
				last = c.Off
			}
			for _, b := range c.Bowls {
				if !slices.Contains(out.Bowls, b) {
					out.Bowls = append(out.Bowls, b)
				}
			}
		}
	}
	out.Began = moment(first)
	if !on {
		out.Ended = moment(last)
	}
	return out
}

func (m maker) bowl(b *session.Bowl) Bowl {
	out := Bowl{
		ID: b.ID, Rounds: []string{}, Product: valid(b.Product), Kind: b.Family,
		Products: each(b.Mix.Products, func(p formula.ProductPart) formula.ProductPart {
			return formula.ProductPart{Product: valid(p.Product), Grams: p.Grams}
		}),
		Developers: append([]formula.DeveloperPart{}, b.Mix.Developers...), WaterG: b.Mix.WaterGrams, Ratio: ratio(b), RatioRange: valid(b.RatioRange),
		Developer: b.Mix.Developer(), Label: formula.Label(b.Mix.Developer()), Ready: b.Mix.Ready(),
		MixedAt: utc(b.Mixed), EmptiedAt: moment(b.Emptied), LeftG: b.LeftGrams,
	}
	if at, ok := b.Stale(); ok {
		out.StaleAt = moment(at)
	}
	for _, z := range m.s.Zones {
		for _, c := range z.Coats {
			if slices.Contains(c.Bowls, b.ID) && !slices.Contains(out.Rounds, z.Round) {
				out.Rounds = append(out.Rounds, z.Round)
			}
		}
	}
	return out
}

// ratio is the ratio of a bowl, empty if it holds no liquid.
func ratio(b *session.Bowl) string {
	r := b.Mix.Ratio()
	if r == (formula.Ratio{}) {
		return ""
	}
	return r.String()
}

// hands fills in what hands did beside the rounds.
func (m maker) hands(c *Card) {
	c.Trips = each(m.s.Trips, func(t *session.Trip) Trip {
		return Trip{ID: t.ID, Zones: slices.Clone(t.Zones), Began: utc(t.Began), Ended: moment(t.Ended)}
	})
	c.Steps = each(m.s.Steps, func(st *session.Step) Step {
		out := Step{Name: valid(st.Name), UsualMin: min1000(st.Usual.Minutes())}
		var sum time.Duration
		for i, sp := range st.Spans {
			sum += m.length(sp)
			if i == 0 {
				out.Began = moment(sp.From)
			}
			out.Ended = moment(sp.To)
		}
		out.Seconds = up(sum)
		out.Minutes = inMinutes(out.Seconds)
		return out
	})
	c.Pauses = each(m.s.Pauses, func(sp session.Span) Pause {
		n := up(m.length(sp))
		return Pause{Reason: valid(sp.Reason), Began: utc(sp.From), Ended: moment(sp.To), Seconds: n, Minutes: inMinutes(n)}
	})
	c.Helpers = each(m.s.Helpers, func(h session.Helper) Helper {
		return Helper{Name: valid(h.Name), Joined: utc(h.From), Left: moment(h.To)}
	})
}

// length is how long a span lasted, so far if it still does.
func (m maker) length(sp session.Span) time.Duration {
	to := sp.To
	if sp.Open() {
		to = m.at
	}
	return max(to.Sub(sp.From), 0)
}

func totals(c *Card) Totals {
	end := c.AsOf
	if c.Closed != nil {
		end = *c.Closed
	}
	t := Totals{OpenS: up(max(end.Sub(c.Opened), 0))}
	t.OpenMin = inMinutes(t.OpenS)
	for _, p := range c.Pauses {
		t.PausedS += p.Seconds
	}
	t.PauseMin = inMinutes(t.PausedS)
	for _, z := range c.Zones {
		t.Pieces += z.Pieces
		if z.OverS != nil && *z.OverS > 0 {
			t.Over++
		}
		if z.ShortS != nil && *z.ShortS > 0 {
			t.Short++
		}
		if len(z.Coats) > 0 && !z.LimitKnown {
			t.Unknown++
		}
	}
	return t
}

func consultation(d *session.ConsultationNoted) *session.ConsultationNoted {
	if d == nil {
		return nil
	}
	out := *d
	for _, text := range []*string{&out.Undertone, &out.Scalp, &out.History, &out.TargetTone, &out.Note} {
		*text = valid(*text)
	}
	return &out
}

// each maps a slice; nothing gives an empty one, so that JSON has [] and not
// null.
func each[A, B any](as []A, f func(A) B) []B {
	bs := make([]B, 0, len(as))
	for _, a := range as {
		bs = append(bs, f(a))
	}
	return bs
}

// valid makes text valid UTF-8, which JSON needs.
func valid(text string) string { return strings.ToValidUTF8(text, "\uFFFD") }

func utc(t time.Time) time.Time { return t.Round(0).UTC() }

// moment is nil for the zero time.
func moment(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	t = utc(t)
	return &t
}

// up and down are whole seconds.
func up(d time.Duration) int   { return down(d + time.Second - 1) }
func down(d time.Duration) int { return int(d / time.Second) }

func inMinutes(seconds int) float64 { return min1000(float64(seconds) / 60) }

// min1000 rounds minutes to a thousandth.
func min1000(m float64) float64 { return math.Round(m*1000) / 1000 }

func ptr[T any](v T) *T { return &v }
