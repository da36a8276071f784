package replay

import (
	"math"
	"slices"
	"strconv"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
)

// Findings are what the log of a service tells afterwards. All moments that end
// in S are seconds from the opening on the time line, all durations seconds;
// both to a thousandth. Of a live service they count until its last entry.
type Findings struct {
	Service  string    `json:"service"`
	Client   string    `json:"client"`
	Stylist  string    `json:"stylist"`
	ZoneList string    `json:"zone_list"`
	Invented bool      `json:"invented"` // demonstration data
	Opened   time.Time `json:"opened"`   // by the wall clock, in the tape's place
	Closed   bool      `json:"closed"`
	LengthS  float64   `json:"length_s"`
	// PromisedS is when the client was to be out of the chair, as it stood last;
	// nil if nothing was promised.
	PromisedS *float64          `json:"promised_s"`
	Promises  []PromiseFinding  `json:"promises"`  // in the order in which they were made
	Reactions []ReactionFinding `json:"reactions"` // pain, too, in the order in which they were reported
	Asked     []AskedFinding    `json:"asked"`     // how the client was some time after one
	Breaches  []Breach          `json:"breaches"`
	Zones     []ZoneFinding     `json:"zones"` // on which something was, by round
	Trips     []TripFinding     `json:"trips"`
	Warnings  []WarningFinding  `json:"warnings"`  // in the order in which they came
	Forecasts []ForecastFinding `json:"forecasts"` // at 10, 25, 50, 75 and 90 % of the pieces
	Bowls     []BowlFinding     `json:"bowls"`
	MixedG    float64           `json:"mixed_grams"`
	LeftG     float64           `json:"left_grams"` // of the bowls of which it was noted
}

// A PromiseFinding is what the client was told of when to be out of the chair.
type PromiseFinding struct {
	AtS       float64  `json:"at_s"`
	PromisedS *float64 `json:"promised_s"` // nil: nothing is promised from then on
	Told      string   `json:"told"`       // who was told, and why
}

// A ReactionFinding is pain or another reaction, and what was done about it.
type ReactionFinding struct {
	AtS      float64          `json:"at_s"`
	Reaction session.Reaction `json:"reaction"` // empty: pain or burning
	Said     string           `json:"said"`     // in words
	Zone     string           `json:"zone"`     // name
	Text     string           `json:"text"`     // where, and what it is like
	OffS     *float64         `json:"off_s"`    // when the last of what was on came off; nil: nothing was on, or some still is
	WaterS   float64          `json:"water_s"`  // how long water ran; 0 where no time is set
	ClearedS *float64         `json:"cleared_s"`
	Found    string           `json:"found"`
	GoesOn   bool             `json:"goes_on"` // the work went on
}

// An AskedFinding is how the client was some time after a reaction.
type AskedFinding struct {
	AtS  float64 `json:"at_s"`
	Said string  `json:"said"` // in words
}

// A Breach is a limit, an opening or a working life that was not kept.
type Breach struct {
	Kind    BreachKind   `json:"kind"`
	AtS     float64      `json:"at_s"` // when it began
	ByS     float64      `json:"by_s"` // how far; 0 where no limit was known
	Zone    string       `json:"zone"` // name; of a bowl, the zone that it went on latest
	Round   string       `json:"round"`
	Band    session.Band `json:"band"`
	Product string       `json:"product"`
	Bowl    string       `json:"bowl"` // id; of a stale bowl only
}

// BreachKind is a kind of breach.
type BreachKind string

// The kinds of breaches.
const (
	Over    BreachKind = "over"     // on for longer than its limit
	Short   BreachKind = "short"    // rinsed before its newest piece was open
	NoLimit BreachKind = "no limit" // on without a limit that is known
	Stale   BreachKind = "stale"    // put on from a bowl past its working life
)

// A ZoneFinding is a zone, with what was on it.
type ZoneFinding struct {
	ID     string `json:"id"`
	Name   string `json:"name"`
	Round  string `json:"round"` // name
	Pieces int    `json:"pieces"`
	// Planned and Actual are minutes per piece; nil where the plan states none,
	// and where the log does not tell.
	Planned *float64      `json:"planned_minutes_per_piece"`
	Actual  *float64      `json:"minutes_per_piece"`
	Coats   []CoatFinding `json:"coats"`
}

// A CoatFinding is one coat against its window.
type CoatFinding struct {
	Band     session.Band    `json:"band"`
	Product  string          `json:"product"`
	Strength formula.Percent `json:"strength_pct"`
	Label    string          `json:"strength"` // as the trade says it
	FirstS   float64         `json:"first_s"`
	LastS    float64         `json:"last_s"`
	OffS     *float64        `json:"off_s"` // nil while it is on
	// OldestS is the exposure of the oldest piece, with CarriedS, which the same
	// hair had before; NewestS is that of the newest piece, without.
	OldestS  float64 `json:"oldest_s"`
	NewestS  float64 `json:"newest_s"`
	CarriedS float64 `json:"carried_s"`
	// OpensS and LimitS are the window in force: the tightest of all that was on
	// the hair, and of heat. PlannedOpensS and PlannedLimitS are that of the plan's
	// product and strength without heat. Nil where none was confirmed.
	OpensS        *float64 `json:"opens_s"`
	LimitS        *float64 `json:"limit_s"`
	Planned       string   `json:"planned"` // product and strength; empty if the plan has no such band
	PlannedOpensS *float64 `json:"planned_opens_s"`
	PlannedLimitS *float64 `json:"planned_limit_s"`
	OverS         float64  `json:"over_s"`
	ShortS        float64  `json:"short_s"` // 0 while it is on
}

// A WarningFinding is a warning, from when it was seen first until it was seen
// last, and when it was acknowledged.
type WarningFinding struct {
	Key    string   `json:"key"`
	Level  string   `json:"level"` // line, alert or alarm
	Zone   string   `json:"zone"`  // name
	Text   string   `json:"text"`  // as it was first
	FromS  float64  `json:"from_s"`
	ToS    float64  `json:"to_s"`
	AckedS *float64 `json:"acknowledged_s"`
	Reason string   `json:"reason"`
}

// A BowlFinding is a bowl, what was used of it, and whether in time.
type BowlFinding struct {
	ID       string          `json:"id"`
	Product  string          `json:"product"`
	Strength formula.Percent `json:"strength_pct"`
	Label    string          `json:"strength"`
	MixedS   float64         `json:"mixed_s"`
	MixedG   float64         `json:"mixed_grams"`
	LeftG    *float64        `json:"left_grams"`
	StaleS   *float64        `json:"stale_s"` // end of its working life; nil if that is not known
	LastUseS *float64        `json:"last_use_s"`
	// StaleUses counts how often it was put on after that.
	StaleUses int `json:"stale_uses"`
}

// Review tells what there is to learn from a service. Forecasts are made from
// the usual times u, as they were known before it; the trips are planned anew
// as the chair would have, which takes up to a second for each. The error is
// that of usual times that can't be.
func Review(t *Tape, u session.Usuals) (*Findings, error) {
	if u.Pace.Steps != nil {
		if err := u.Pace.Check(); err != nil {
			return nil, err
		}
	}
	r := newReviewer(t)
	f := r.findings()
	for i, trip := range r.s.Trips {
		f.Trips[i].Said, f.Trips[i].Why = r.said(trip)
	}
	f.Forecasts = r.forecasts(u)
	return f, nil
}

// A reviewer looks at a whole log.
type reviewer struct {
	t    *Tape
	s    *session.State
	end  time.Time
	when map[int]time.Time // each entry that counts happened
}

func newReviewer(t *Tape) *reviewer {
	r := &reviewer{t: t, s: t.whole.State(), end: t.To(), when: happened(t.whole)}
	for _, z := range r.s.Zones { // a closing, or a rinse, may have been put later by hand
		if z.Rinsed.After(r.end) {
			r.end = z.Rinsed
		}
	}
	return r
}

// happened is when each entry of a log happened, on the time line of its end.
// Those that were taken back are missing. It folds a log of notes in the places
// of the entries, so that what is taken back, moved and confirmed counts as it
// does for them.
func happened(l *session.Log) map[int]time.Time {
	events := slices.Clone(l.Events())
	for i := range events {
		switch events[i].Data.(type) {
		case session.ServiceOpened, session.EventVoided, session.EventMoved, session.ClockNoted: // they stay
		default:
			events[i].Data = session.NoteAdded{Text: strconv.Itoa(events[i].Seq)}
		}
	}
	when := map[int]time.Time{}
	for _, n := range first(events, len(events)).State().Notes {
		if seq, err := strconv.Atoi(n.Text); err == nil {
			when[seq] = n.At
		}
	}
	return when
}

// since is a moment in seconds from the opening.
func (r *reviewer) since(at time.Time) float64 { return inSeconds(at.Sub(r.s.Opened)) }

func (r *reviewer) sinceOrNil(at time.Time) *float64 {
	if at.IsZero() {
		return nil
	}
	return ptr(r.since(at))
}

func inSeconds(d time.Duration) float64 { return thousandth(d.Seconds()) }

func thousandth(f float64) float64 { return math.Round(f*1000) / 1000 }

func ptr[T any](v T) *T { return &v }

// findings are all of them but what was said of trips and of the end.
func (r *reviewer) findings() *Findings {
	s := r.s
	end := r.end
	if !s.Closed.IsZero() {
		end = s.Closed
	}
	f := &Findings{
		Service: s.Service, Client: s.Client, Stylist: s.Stylist, ZoneList: s.ZoneList, Invented: s.Invented,
		Opened: t0(r.t), Closed: !s.Closed.IsZero(), LengthS: r.since(end), PromisedS: r.sinceOrNil(s.Promised),
		Promises: []PromiseFinding{}, Zones: r.zones(), Trips: r.trips(), Bowls: r.bowls(), Warnings: r.warnings(), Breaches: []Breach{},
		Reactions: []ReactionFinding{}, Asked: []AskedFinding{},
	}
	for _, p := range s.Pains {
		f.Reactions = append(f.Reactions, r.reaction(p))
	}
	for _, a := range s.Asked {
		f.Asked = append(f.Asked, AskedFinding{AtS: r.since(a.At), Said: a.Says()})
	}
	for _, p := range s.Promises {
		f.Promises = append(f.Promises, PromiseFinding{AtS: r.since(p.At), PromisedS: r.sinceOrNil(p.By), Told: p.Told})
	}
	for _, b := range f.Bowls {
		f.MixedG += b.MixedG
		if b.LeftG != nil {
			f.LeftG += *b.LeftG
		}
	}
	f.MixedG, f.LeftG = thousandth(f.MixedG), thousandth(f.LeftG)
	f.Breaches = r.breaches(f)
	return f
}

// t0 is what the wall clock showed at the opening, which may have been logged
// late: the tape begins when it was logged.
func t0(t *Tape) time.Time { return t.Wall(t.From(), t.whole.State().Opened) }

var levels = map[session.Level]string{session.Line: "line", session.Alert: "alert", session.Alarm: "alarm"}

func (r *reviewer) warnings() []WarningFinding {
	all := []WarningFinding{}
	for _, w := range r.t.scan().warnings {
		f := WarningFinding{Key: w.Key, Level: levels[w.Level], Zone: r.zone(w.Zone), Text: w.Text, FromS: r.since(w.From), ToS: r.since(w.To)}
		for _, a := range r.s.Acks {
			if a.Warning == w.Key {
				f.AckedS, f.Reason = ptr(r.since(a.At)), a.Reason
				break
			}
		}
		all = append(all, f)
	}
	return all
}

func (r *reviewer) reaction(p session.Pain) ReactionFinding {
	f := ReactionFinding{
		AtS: r.since(p.At), Reaction: p.Reaction, Said: p.Said(), Zone: r.zone(p.Zone), Text: p.Text,
		OffS: r.sinceOrNil(r.s.OffAfter(p)), ClearedS: r.sinceOrNil(p.Cleared), Found: p.Note, GoesOn: p.GoesOn,
	}
	if p.Needs() > 0 {
		f.WaterS = inSeconds(r.s.Cooled(p, r.end))
	}
	return f
}

// zone is the name of a zone.
func (r *reviewer) zone(id string) string {
	if z := r.s.Zone(id); z != nil {
		return z.Name
	}
	return id
}

func (r *reviewer) zoneNames(ids []string) []string {
	names := make([]string, len(ids))
	for i, id := range ids {
		names[i] = r.zone(id)
	}
	return names
}
