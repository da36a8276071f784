package card

import (
	"bytes"
	"encoding/json"
	"fmt"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
)

// Format is the word that names the layout of the JSON document. It changes
// when a field changes its meaning or goes.
const Format = "rinseby-card/1"

// A Card is the record of one visit, as a JSON document.
//
// All moments are RFC 3339 in UTC, on the visit's own time line: it starts by
// the machine's clock at the opening and never jumps, whatever that clock did
// later; Gaps tells what it did. Null means that it has not happened, or is
// not known.
//
// Lengths of time come twice: in whole seconds (a name that ends in _s, or
// begins with seconds), and in minutes, which are those seconds divided by 60
// and rounded to a thousandth. Parts of a second go to the careful side: time
// on the hair, time over a limit, openings of windows and what was missing to
// them are rounded up; limits, and the time that the newest piece has had, down.
//
// Strengths are in grams of hydrogen peroxide per 100 mL, see
// [formula.Percent]; weights are in grams.
type Card struct {
	Format   string `json:"format"` // [Format]
	Service  string `json:"service"`
	Invented bool   `json:"invented"` // demonstration data, about nobody
	Client   string `json:"client"`
	Stylist  string `json:"stylist"`
	Station  string `json:"station"`
	// UTCOffsetS is how far the salon's clock is ahead of UTC, in seconds, at
	// the opening. Texts show all moments by it.
	UTCOffsetS int        `json:"utc_offset_s"`
	Opened     time.Time  `json:"opened"`
	Closed     *time.Time `json:"closed"`
	AsOf       time.Time  `json:"as_of"`    // the moment that figures of what is still on are for
	Promised   *time.Time `json:"promised"` // as it stands; null: nothing
	Promises   []Promise  `json:"promises"` // in the order in which they were made
	Outcome    string     `json:"outcome"`

	Consultation *session.ConsultationNoted `json:"consultation"`
	Rules        Rules                      `json:"rules"`
	Safety       []Answer                   `json:"safety"` // in the order of asking
	Pains        []Pain                     `json:"pains"`
	Asked        []Asked                    `json:"asked"`
	Rounds       []Round                    `json:"rounds"`
	Zones        []Zone                     `json:"zones"` // by round, in the order of application
	Bowls        []Bowl                     `json:"bowls"` // in the order of mixing
	Formulas     []Formula                  `json:"formulas"`
	NextVisit    *NextVisit                 `json:"next_visit"` // null: no regrowth was noted
	Trips        []Trip                     `json:"trips"`
	Steps        []Step                     `json:"steps"`
	Pauses       []Pause                    `json:"pauses"`
	Helpers      []Helper                   `json:"helpers"`
	Warnings     []Warning                  `json:"warnings"` // those that were acknowledged
	Notes        []Note                     `json:"notes"`
	Cuts         []Cut                      `json:"cuts"` // in the order in which sections were first noted
	Gaps         []Gap                      `json:"gaps"`
	Windows      []Window                   `json:"windows"` // all that were confirmed
	Totals       Totals                     `json:"totals"`
}

// NextVisit is in how many days the client will have as much regrowth again as
// was noted at this visit, from the fast to the slow end of what is published.
type NextVisit struct {
	RegrowthMM float64 `json:"regrowth_mm"`
	DaysLow    int     `json:"days_low"`
	DaysHigh   int     `json:"days_high"`
	Basis      string  `json:"basis"` // where the rates of growth are from
}

// A Round is one pass of mix, apply, process, rinse.
type Round struct {
	ID     string         `json:"id"`
	Name   string         `json:"name"`
	Action formula.Action `json:"action"`
	Zones  []string       `json:"zones"` // ids, in the order of application
	Bowls  []string       `json:"bowls"` // ids of those that went on its zones
	Began  *time.Time     `json:"began"` // first contact
	Ended  *time.Time     `json:"ended"` // last rinse; null while anything is on
	Pieces int            `json:"pieces"`
}

// A Zone is a part of the head within one round. Its limit is that of the
// coat that has, or had, to come off first.
type Zone struct {
	ID         string   `json:"id"`
	Name       string   `json:"name"`
	Round      string   `json:"round"`
	Pieces     int      `json:"pieces"`       // placed
	Planned    int      `json:"planned"`      // pieces by the plan as it stood at the end
	SameHairAs []string `json:"same_hair_as"` // ids
	Dropped    bool     `json:"dropped"`
	Phase      string   `json:"phase"` // the word of [timing.Phase]

	OldestMin   float64      `json:"oldest_min"` // longest time of any coat
	OldestS     int          `json:"oldest_s"`
	NewestMin   float64      `json:"newest_min"` // shortest time of any coat's newest piece
	NewestS     int          `json:"newest_s"`
	LimitMin    *float64     `json:"limit_min"` // null: nothing was on, or no limit is known
	LimitS      *int         `json:"limit_s"`
	LimitAt     *time.Time   `json:"limit_at"`
	LimitBand   session.Band `json:"limit_band"`   // of the coat that sets the limit
	LimitKnown  bool         `json:"limit_known"`  // of every coat
	OverMin     *float64     `json:"minutes_over"` // most of any coat; null if the limit of none is known
	OverS       *int         `json:"seconds_over"`
	ShortMin    *float64     `json:"minutes_short"` // most of any coat; null while anything is on, or if the window of none is known
	ShortS      *int         `json:"seconds_short"`
	RinsedAt    *time.Time   `json:"rinsed_at"` // null while anything is on
	PerPieceMin float64      `json:"minutes_per_piece"`
	// What was to go on, and how long a piece was to take, 0 if not known, by
	// the plan as it stood at the end.
	PlannedPerPieceMin float64       `json:"planned_minutes_per_piece"`
	PlannedCoats       []PlannedCoat `json:"planned_coats"`

	Coats  []Coat  `json:"coats"`
	Heat   []Heat  `json:"heat"`
	Checks []Check `json:"checks"`
}

// A Coat is one product of one strength on one band of a zone.
type Coat struct {
	Band      session.Band      `json:"band"`
	Product   string            `json:"product"`
	Kind      formula.Kind      `json:"product_kind"`
	Strength  formula.Percent   `json:"strength_pct"`
	Label     string            `json:"strength"` // as the trade says it: "30 vol"
	Contact   formula.Contact   `json:"contact"`
	Condition formula.Condition `json:"condition"`
	Bowls     []string          `json:"bowls"` // ids
	Refreshed []time.Time       `json:"refreshed"`
	// RefreshedWith lists what else it was refreshed with, if that was
	// another product or strength.
	RefreshedWith []Product `json:"refreshed_with"`

	FirstContact time.Time  `json:"first_contact"` // of the oldest piece
	LastContact  time.Time  `json:"last_contact"`  // of the newest piece
	RinsedAt     *time.Time `json:"rinsed_at"`     // null while it is on

	OldestMin  float64  `json:"oldest_min"` // of the oldest piece, with what the same hair had earlier in the visit
	OldestS    int      `json:"oldest_s"`
	NewestMin  float64  `json:"newest_min"` // of the newest piece
	NewestS    int      `json:"newest_s"`
	CarriedMin float64  `json:"carried_min"` // what the same hair had earlier
	CarriedS   int      `json:"carried_s"`
	OpensMin   *float64 `json:"opens_min"` // null: no window is known
	OpensS     *int     `json:"opens_s"`
	LimitMin   *float64 `json:"limit_min"` // null: not known
	LimitS     *int     `json:"limit_s"`
	OverMin    *float64 `json:"minutes_over"` // null: not known
	OverS      *int     `json:"seconds_over"`
	// Short is how much the newest piece lacked to its opening when the coat
	// came off, 0 if nothing; null while it is on, or not known.
	ShortMin *float64 `json:"minutes_short"`
	ShortS   *int     `json:"seconds_short"`

	// Windows are the windows that apply; the tightest of them is in force.
	Windows []Window `json:"windows"`
}

// A PlannedCoat is what was to go on one band.
type PlannedCoat struct {
	Band session.Band `json:"band"`
	Product
}

// A Product is a product at a strength.
type Product struct {
	Product  string          `json:"product"`
	Kind     formula.Kind    `json:"product_kind"`
	Strength formula.Percent `json:"strength_pct"`
	Label    string          `json:"strength"`
}

// A Window is how long a coat may work, what that holds for, and where the
// figures come from. An empty product, contact, condition or heat means any.
type Window struct {
	Product   string            `json:"product"`
	Kind      formula.Kind      `json:"product_kind"`
	Strength  formula.Percent   `json:"strength_pct"`
	Label     string            `json:"strength"`
	Contact   formula.Contact   `json:"contact"`
	Condition formula.Condition `json:"condition"`
	Heat      formula.HeatRule  `json:"heat"`
	OpensMin  float64           `json:"opens_min"`
	OpensS    int               `json:"opens_s"`
	LimitMin  float64           `json:"limit_min"`
	LimitS    int               `json:"limit_s"`
	Origin    string            `json:"origin"`
	Basis     string            `json:"basis"` // what the user's word rests on
}

// Heat is a time in which a zone was heated. It ends with the rinse at the
// latest.
type Heat struct {
	On  time.Time  `json:"on"`
	Off *time.Time `json:"off"`
}

// A Check is what was seen in a zone.
type Check struct {
	At time.Time `json:"at"`
	session.ZoneChecked
}

// A Bowl is one mix.
type Bowl struct {
	ID         string                  `json:"id"`
	Rounds     []string                `json:"rounds"` // ids of those that used it
	Product    string                  `json:"product"`
	Kind       formula.Kind            `json:"product_kind"`
	Products   []formula.ProductPart   `json:"products"`
	Developers []formula.DeveloperPart `json:"developers"`
	WaterG     float64                 `json:"water_grams"`
	Ratio      string                  `json:"ratio"`         // "1:2"; empty without developer
	RatioRange string                  `json:"ratio_range"`   // "1:1 to 1:2": the catalogue's, where the ratio is outside it
	Developer  formula.Percent         `json:"developer_pct"` // developers and water blended
	Label      string                  `json:"developer"`
	Ready      formula.Percent         `json:"ready_pct"` // peroxide in the whole mix
	MixedAt    time.Time               `json:"mixed_at"`
	StaleAt    *time.Time              `json:"stale_at"` // null: working life not known
	EmptiedAt  *time.Time              `json:"emptied_at"`
	LeftG      *float64                `json:"left_grams"` // null: not noted
}

// A Formula is what the next visit needs to match one band: the coats of a
// round that were of one product, strength and ratio. Its times are those of
// the coats' oldest pieces, without what the same hair had earlier.
type Formula struct {
	Round       string          `json:"round"`
	Band        session.Band    `json:"band"`
	Product     string          `json:"product"`
	Kind        formula.Kind    `json:"product_kind"`
	Strength    formula.Percent `json:"strength_pct"`
	Label       string          `json:"strength"`
	Ratio       string          `json:"ratio"`
	Zones       []string        `json:"zones"` // ids
	ShortestMin float64         `json:"shortest_min"`
	ShortestS   int             `json:"shortest_s"`
	LongestMin  float64         `json:"longest_min"`
	LongestS    int             `json:"longest_s"`
	ZonesOver   []string        `json:"zones_over"` // ids of those where it was past its limit
	StillOn     bool            `json:"still_on"`   // in some zone, so that the times are not final
	Coats       []FormulaCoat   `json:"coats"`      // one by one, in the order of application of their zones
	Summary     string          `json:"summary"`    // the same in one line, without coats that were rinsed off at once
}

// A FormulaCoat is one coat of a formula: how long its oldest piece was on,
// without what the same hair had earlier.
type FormulaCoat struct {
	Zone    string  `json:"zone"` // id
	Minutes float64 `json:"minutes"`
	Seconds int     `json:"seconds"`
	// Over and Short are as in [Coat].
	OverMin  *float64 `json:"minutes_over"`
	OverS    *int     `json:"seconds_over"`
	ShortMin *float64 `json:"minutes_short"`
	ShortS   *int     `json:"seconds_short"`
	StillOn  bool     `json:"still_on"`
	// AtOnce says that it was rinsed off within a minute of its first contact,
	// so that it is no time to match.
	AtOnce bool `json:"rinsed_at_once"`
}

// A Trip is one visit to the basin.
type Trip struct {
	ID    string     `json:"id"`
	Zones []string   `json:"zones"` // ids
	Began time.Time  `json:"began"`
	Ended *time.Time `json:"ended"`
}

// A Step is a hands-on part that is no round.
type Step struct {
	Name     string     `json:"name"`
	Began    *time.Time `json:"began"` // null: it never was
	Ended    *time.Time `json:"ended"`
	Minutes  float64    `json:"minutes"` // without what lay between, if it was done in parts
	Seconds  int        `json:"seconds"`
	UsualMin float64    `json:"usual_min"` // minutes; 0 not known
}

// A Pause is a time in which hands stopped.
type Pause struct {
	Reason  string     `json:"reason"`
	Began   time.Time  `json:"began"`
	Ended   *time.Time `json:"ended"`
	Minutes float64    `json:"minutes"`
	Seconds int        `json:"seconds"`
}

// A Helper is a second pair of hands.
type Helper struct {
	Name   string     `json:"name"`
	Joined time.Time  `json:"joined"`
	Left   *time.Time `json:"left"`
}

// A Warning is one that was acknowledged.
type Warning struct {
	At      time.Time `json:"at"`
	Warning string    `json:"warning"` // its key
	What    string    `json:"what"`    // what it is about, in words
	Reason  string    `json:"reason"`
}

// A Note is a note, on the visit or on a zone.
type Note struct {
	At   time.Time `json:"at"`
	Zone string    `json:"zone"` // id; empty for the visit
	Text string    `json:"text"`
}

// An Answer is an answer to a safety question, and what follows from it; see
// [session.SafetyAnswered].
type Answer struct {
	At          time.Time         `json:"at"`
	Question    string            `json:"question"` // id
	Asked       string            `json:"asked"`    // the question in words
	Answer      string            `json:"answer"`
	Outcome     safety.Word       `json:"outcome"`
	MaxStrength formula.Percent   `json:"max_strength_pct"`
	OffScalp    bool              `json:"off_scalp"`
	Hair        formula.Condition `json:"hair"`
	Until       string            `json:"until"`
	Why         string            `json:"why"`
	Source      string            `json:"source"`
	Reason      string            `json:"reason"`
	Replaced    bool              `json:"replaced"` // another answer took its place later
	Final       bool              `json:"final"`    // no words pass the stop
	Beside      bool              `json:"beside"`   // it does not count: a final stop that was answered before stands
	Mistake     string            `json:"mistake"`  // why the final stop before it was one
	Note        string            `json:"note"`
	TestedOn    string            `json:"tested_on"`
	ClearedDye  string            `json:"cleared_dye"` // by a doctor, in writing
	ClearedBy   string            `json:"cleared_by"`
	ClearedOn   string            `json:"cleared_on"` // the day on which that was seen
	Lifted      string            `json:"lifted"`     // what lets the work go on after a final stop; empty: nothing does
}

// Rules are the figures by which answers were judged, which differ by region;
// see [safety.Rules].
type Rules struct {
	Region        safety.Region   `json:"region"` // empty: none is set, and the strictest hold
	PeroxideMax   formula.Percent `json:"peroxide_max_pct"`
	PeroxideFrom  string          `json:"peroxide_source"`
	SkinTestHours int             `json:"skin_test_hours"`
	HoursFrom     string          `json:"skin_test_hours_source"`
	SkinTestDays  int             `json:"skin_test_days"`
	DaysFrom      string          `json:"skin_test_days_source"`
	Looser        string          `json:"looser"` // where the salon's own figures ask for less
	Emergency     string          `json:"emergency"`
}

// A Pain is pain or burning, or another reaction, that was reported.
type Pain struct {
	At   time.Time `json:"at"`
	Zone string    `json:"zone"` // id; empty if not said
	Text string    `json:"text"`
	// Which reaction: empty for pain or burning; see [session.Reaction].
	Reaction session.Reaction `json:"reaction"`
	Severe   bool             `json:"severe"`
	Mild     bool             `json:"look_again"` // what was on stayed on until it was looked at again
	Again    bool             `json:"again"`      // an itch that came again, or stayed
	Looked   *time.Time       `json:"looked"`     // when it was looked at again; null: it was not
	Helped   *time.Time       `json:"helped"`     // when help had come to an emergency; null: it is none, or not yet
	Off      *time.Time       `json:"off"`        // when the last of what was on came off; null: nothing was on, or it still is
	Cleared  *time.Time       `json:"cleared"`    // null: not yet
	Note     string           `json:"note"`       // what was found and decided
	// How long cool water ran, of the 20 minutes that it is to run at least.
	WaterMin float64 `json:"water_min"`
	WaterS   int     `json:"water_s"`
	Early    string  `json:"early"`   // why it was cleared before that; empty if it was not
	GoesOn   *bool   `json:"goes_on"` // false: the colour work ended; null: not decided yet
}

// An Asked is how the client was some time after a reaction.
type Asked struct {
	At       time.Time        `json:"at"`
	When     session.AskWord  `json:"when"`
	How      session.HowWord  `json:"how"`
	Reaction session.Reaction `json:"reaction"` // reported after the visit: which; empty for pain or burning
	Note     string           `json:"note"`
}

// A Gap is a place where the machine's clocks did not agree, or where it was
// off; see [timing.Gap].
type Gap struct {
	From      time.Time `json:"from"`
	To        time.Time `json:"to"`
	StepS     float64   `json:"step_s"` // how far the clock moved more than the time that went by
	Restart   bool      `json:"restart"`
	Backwards bool      `json:"backwards"`
	Confirmed bool      `json:"confirmed"` // the user said how long it really was
}

// Totals are sums over the visit.
type Totals struct {
	OpenMin  float64 `json:"open_to_close_min"` // to AsOf while it is live
	OpenS    int     `json:"open_to_close_s"`
	Pieces   int     `json:"pieces"` // placed by hand, in all rounds
	PausedS  int     `json:"paused_s"`
	PauseMin float64 `json:"paused_min"`
	// Over is how many zones were, or are, past their limit; Short is how many
	// were rinsed with a coat that was not open yet; Unknown is how many have,
	// or had, product on without a known limit.
	Over    int `json:"zones_over"`
	Short   int `json:"zones_short"`
	Unknown int `json:"zones_limit_unknown"`
}

// JSON is the document, indented by two spaces, with a line feed at the end.
// It fails only if the card holds a number that is none.
func (c Card) JSON() ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(c); err != nil {
		return nil, fmt.Errorf("the card can't be written as JSON: %w", err)
	}
	return b.Bytes(), nil
}
