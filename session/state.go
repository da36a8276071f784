package session

import (
	"slices"
	"strings"
	"time"

	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/timing"
)

// State is a service at the end of its log. All moments are on the service's
// time line; see [timing.Timeline].
type State struct {
	Service  string
	Client   string
	Stylist  string
	Station  string
	ZoneList string // name of the one in force
	Invented bool
	Region   safety.Region
	Earlier  []HairHad // in other services of the client on the day
	// SkinTestHours and SkinTestDays are the salon's own; 0 is the region's.
	SkinTestHours, SkinTestDays int
	Opened                      time.Time
	Closed                      time.Time // zero while live
	Outcome                     string
	Promised                    time.Time // as it stands; zero if nothing is promised

	Consultation *ConsultationNoted
	Safety       []Answered   // in the order in which they were logged
	Pains        []Pain       // and other reactions
	Asked        []AskedAgain // after reactions, in the order in which they were logged
	Rounds       []*Round
	Zones        []*Zone // of all rounds, those that were dropped too
	Bowls        []*Bowl
	Windows      []formula.Row // in the order in which they were confirmed
	WindowBasis  []string      // of each of Windows
	WindowScalp  []bool        // of each: the product's instructions allow it on the scalp
	Trips        []*Trip
	Steps        []*Step
	Pauses       []Span
	Helpers      []Helper
	Notes        []Note
	Cuts         []Cut     // one a section, in the order in which sections were first noted
	Promises     []Promise // of when to be out of the chair, in the order in which they were made
	Acks         []Ack
	Gaps         []Gap

	Line timing.Timeline
	Seq  int // of the last event
}

// A Span is a stretch of the time line. To is zero while it lasts.
type Span struct {
	From, To time.Time
	Reason   string
}

// Open reports whether the span still lasts.
func (s Span) Open() bool { return s.To.IsZero() }

// A Round is one pass of mix, apply, process, rinse.
type Round struct {
	ID, Name string
	Action   formula.Action
	Order    []string // ids of its zones, in the order of application
}

// A Zone is a part of the head handled together, within one round.
type Zone struct {
	ID, Name, Round string
	Pieces          int
	MinutesPerPiece float64
	Way             string         // its technique as planned; empty if the plan says none
	action          formula.Action // of its round
	Bands           []PlanBand     // as planned, or for worse hair if it was found to be so
	planned         []PlanBand
	family          string // id of the zone that it was split from, or its own
	SameHairAs      []string
	OtherHair       bool     // than zones of its name that were planned before it
	names           []string // that it goes by, as LooseName writes them, the present one first
	whole           []string // those of the zone that it is a part of
	namesakes       []string // ids of the zones before it that go by one of its names
	Placed          []Batch  // pieces that are in, oldest first
	Coats           []*Coat
	Finished        bool // no further piece comes
	Dropped         bool
	Heat            []Span
	Checks          []Check
	Trip            string // the trip that is rinsing it now
	RinseBegan      time.Time
	Rinsed          time.Time // when it was last rinsed
}

// A Batch is a number of pieces that went in at one moment.
type Batch struct {
	At    time.Time
	Count int
	Seq   int // of the event
}

// A Coat is one product of one strength on one band of one zone.
type Coat struct {
	Zone, Round string
	Band        Band
	Product     string
	Family      formula.Kind
	Action      formula.Action
	Strength    formula.Percent // the strongest developer that was put on
	Contact     formula.Contact
	Condition   formula.Condition
	Bowls       []string
	Batches     []Batch // oldest first
	Refreshed   []time.Time
	// With lists what else was put on the same pieces by refreshing with
	// another product or strength, and what hair the plan has since been
	// corrected to; the tightest window of all counts.
	With []formula.Query
	Off  time.Time // zero while on
}

// A Bowl is one mix.
type Bowl struct {
	ID, Product string
	Family      formula.Kind
	Mix         formula.Mix
	Strength    formula.Percent // of its developers, blended
	Mixed       time.Time
	Life        time.Duration // 0 not known
	Emptied     time.Time     // zero while in use
	Pieces      int           // coated from it, counted as foils; see pieceScale
	Bands       []Band        // that it was put on
	LeftGrams   *float64
	OffScalp    bool   // not for the scalp
	RatioRange  string // that of the catalogue, if the mix is outside it
}

// Stale returns when the bowl is past its working life, if that is known.
func (b *Bowl) Stale() (time.Time, bool) { return b.Mixed.Add(b.Life), b.Life > 0 }

// A Trip is one visit to the basin.
type Trip struct {
	ID    string
	Zones []string
	Began time.Time
	Ended time.Time // of the last zone; zero while it lasts
	Done  map[string]time.Time
}

// A Step is a hands-on part that is no round.
type Step struct {
	Name   string
	Usual  time.Duration
	Before bool
	Spans  []Span
}

// Running reports whether the step is under way.
func (s *Step) Running() bool { return len(s.Spans) > 0 && s.Spans[len(s.Spans)-1].Open() }

// Done reports whether the step was begun and ended.
func (s *Step) Done() bool { return len(s.Spans) > 0 && !s.Running() }

// A Helper is a second pair of hands.
type Helper struct {
	Name string
	Span
}

// A Note is a note and when it was made.
type Note struct {
	At         time.Time
	Zone, Text string
}

// An Ack is a warning that was acknowledged.
type Ack struct {
	At              time.Time
	Warning, Reason string
}

// A Check is what was seen in a zone, and when.
type Check struct {
	At time.Time
	ZoneChecked
}

// An Answered is an answer to a safety question, and when it was given.
type Answered struct {
	At time.Time
	SafetyAnswered
}

// A Pain is pain or burning, or another reaction, that was reported.
type Pain struct {
	At         time.Time
	Seq        int // of the event
	Zone, Text string
	Reaction   Reaction
	Severe     bool      // itching: as strict as burning
	Look       bool      // a mild itch: what is on stays on until it is looked at again
	Looked     time.Time // when it was; zero until then
	Again      bool      // itching that came again, or that stayed: as strict as burning
	Helped     time.Time // an emergency: when help had come; zero until then
	Cleared    time.Time // zero until then
	Note       string    // what was found and decided
	Early      string    // why it was cleared before 20 minutes of cool water; empty if it was not
	GoesOn     bool      // the work goes on; else the colour work ends
}

// An AskedAgain is how the client was some time after a reaction.
type AskedAgain struct {
	At time.Time
	ReactionNoted
}

// A Gap is a place where the clocks did not agree, or the machine was off.
type Gap struct {
	timing.Gap
	Seq       int // of the event after it
	Confirmed bool
}

// Live reports whether the service is open.
func (s *State) Live() bool { return s.Seq > 0 && s.Closed.IsZero() }

// Zone returns the zone with the id, or nil.
func (s *State) Zone(id string) *Zone { return find(s.Zones, func(z *Zone) bool { return z.ID == id }) }

// Bowl returns the bowl with the id, or nil.
func (s *State) Bowl(id string) *Bowl { return find(s.Bowls, func(b *Bowl) bool { return b.ID == id }) }

// Round returns the round with the id, or nil.
func (s *State) Round(id string) *Round {
	return find(s.Rounds, func(r *Round) bool { return r.ID == id })
}

// Trip returns the trip with the id, or nil.
func (s *State) Trip(id string) *Trip { return find(s.Trips, func(t *Trip) bool { return t.ID == id }) }

// Step returns the step with the name, or nil.
func (s *State) Step(name string) *Step {
	return find(s.Steps, func(st *Step) bool { return st.Name == name })
}

// Helping returns the helpers who are here.
func (s *State) Helping() []Helper {
	var here []Helper
	for _, h := range s.Helpers {
		if h.Open() {
			here = append(here, h)
		}
	}
	return here
}

// Paused reports whether hands have stopped.
func (s *State) Paused() bool { return len(s.Pauses) > 0 && s.Pauses[len(s.Pauses)-1].Open() }

// OpenTrip returns the trip that is under way, or nil.
func (s *State) OpenTrip() *Trip {
	return find(s.Trips, func(t *Trip) bool { return t.Ended.IsZero() })
}

// RoundZones returns the zones of a round in the order of application, without
// those that were dropped.
func (s *State) RoundZones(r *Round) []*Zone {
	zs := make([]*Zone, 0, len(r.Order))
	for _, id := range r.Order {
		if z := s.Zone(id); z != nil && !z.Dropped {
			zs = append(zs, z)
		}
	}
	return zs
}

// Acked reports whether the warning with the key was acknowledged.
func (s *State) Acked(key string) bool {
	return slices.ContainsFunc(s.Acks, func(a Ack) bool { return a.Warning == key })
}

// reasoned reports whether it was acknowledged with a reason.
func (s *State) reasoned(key string) bool {
	return slices.ContainsFunc(s.Acks, func(a Ack) bool { return a.Warning == key && strings.TrimSpace(a.Reason) != "" })
}

// Done reports how many pieces are in.
func (z *Zone) Done() int { return pieces(z.Placed) }

// Full reports whether no further piece is to come.
func (z *Zone) Full() bool { return z.Finished || z.Done() >= z.Pieces }

// Holding reports whether any coat is on.
func (z *Zone) Holding() bool {
	return slices.ContainsFunc(z.Coats, func(c *Coat) bool { return c.Off.IsZero() })
}

// Started reports whether anything was ever put on.
func (z *Zone) Started() bool { return len(z.Coats) > 0 }

// Over reports whether the zone needs nothing more in its round: it was
// rinsed, or finished without a piece, or dropped.
func (z *Zone) Over() bool { return z.Dropped || (z.Full() && !z.Holding()) }

// Heated reports whether heat is on now.
func (z *Zone) Heated() bool { return len(z.Heat) > 0 && z.Heat[len(z.Heat)-1].Open() }

// Band returns the plan of a band, or nil.
func (z *Zone) Band(b Band) *PlanBand {
	for i := range z.Bands {
		if z.Bands[i].Band == b {
			return &z.Bands[i]
		}
	}
	return nil
}

// onAt reports whether the coat was on at the moment at.
func (c *Coat) onAt(at time.Time) bool {
	return !at.Before(c.First()) && (c.Off.IsZero() || !at.After(c.Off))
}

// First is the first contact of the coat's oldest piece.
func (c *Coat) First() time.Time {
	if len(c.Batches) == 0 {
		return time.Time{}
	}
	return c.Batches[0].At
}

// Last is the first contact of the coat's newest piece.
func (c *Coat) Last() time.Time {
	if len(c.Batches) == 0 {
		return time.Time{}
	}
	return c.Batches[len(c.Batches)-1].At
}

func pieces(bs []Batch) (n int) {
	for _, b := range bs {
		n += b.Count
	}
	return n
}

// insert adds a batch, keeping the oldest first.
func insert(bs []Batch, b Batch) []Batch {
	i, _ := slices.BinarySearchFunc(bs, b, func(x, y Batch) int {
		if x.At.After(y.At) {
			return 1
		}
		return -1
	})
	return slices.Insert(bs, i, b)
}

func find[T any](xs []*T, ok func(*T) bool) *T {
	if i := slices.IndexFunc(xs, ok); i >= 0 {
		return xs[i]
	}
	return nil
}
