package session

import (
	"time"

	"rinseby/session/formula"
	"rinseby/session/safety"
)

// Data is what an event says. Each kind of event has one type; the kind is
// the type's name on paper.
type Data interface {
	// Kind is the word that names the event in the journal.
	Kind() string
}

type (
	// ServiceOpened starts a service. It is always the first event.
	ServiceOpened struct {
		Service  string     `json:"service"`             // id, also the file's name
		Client   string     `json:"client"`              // as the stylist calls the client
		Stylist  string     `json:"stylist,omitempty"`   //
		Station  string     `json:"station,omitempty"`   //
		ZoneList string     `json:"zone_list,omitempty"` // name of the zone list that it was started from
		Promised *time.Time `json:"promised,omitempty"`  // when the client was told to be out of the chair
		Steps    []PlanStep `json:"steps,omitempty"`     // hands-on parts that are no round
		Invented bool       `json:"invented,omitempty"`  // demonstration data
		// Region rules what differs by law and custom; empty is not set.
		Region safety.Region `json:"region,omitempty"`
		// SkinTestHours and SkinTestDays are the salon's own figures for the
		// skin test; 0 is the region's. See [safety.Rules.With].
		SkinTestHours int `json:"skin_test_hours,omitempty"`
		SkinTestDays  int `json:"skin_test_days,omitempty"`
		// Had is what the client's hair had in earlier services of the day.
		Had []HairHad `json:"had,omitempty"`
	}

	// HairHad is what one band of hair had in an earlier service of the same
	// client on the same day.
	HairHad struct {
		Service  string          `json:"service"` // id
		Zone     string          `json:"zone"`    // its name
		Band     Band            `json:"band"`
		Action   formula.Action  `json:"action"`
		Strength formula.Percent `json:"strength_pct,omitempty"` // the strongest
		From     time.Time       `json:"from"`                   // first contact
		Seconds  float64         `json:"seconds"`                // that product was on
		// Stretched says that the hair stayed stretched: it can take no more.
		Stretched bool `json:"stretched,omitempty"`
	}

	// PlanStep is a hands-on part that is no round.
	PlanStep struct {
		Name    string  `json:"name"`
		Minutes float64 `json:"minutes,omitempty"` // usual length
		Before  bool    `json:"before,omitempty"`  // comes before the first round, not after the last
	}

	// ServiceClosed ends a service. Nothing may be on the hair.
	ServiceClosed struct {
		Outcome string `json:"outcome,omitempty"` // in the stylist's words
	}

	// ConsultationNoted is what was seen and agreed before the start. A later
	// one replaces the earlier.
	ConsultationNoted struct {
		Scale        int                        `json:"scale"`                   // steps of the scale of depth
		NaturalDepth float64                    `json:"natural_depth,omitempty"` // 1 to Scale; 0 not noted
		Undertone    string                     `json:"undertone,omitempty"`     // in words
		GreyPercent  float64                    `json:"grey_percent,omitempty"`
		RegrowthMM   float64                    `json:"regrowth_mm,omitempty"`
		LengthMM     float64                    `json:"length_mm,omitempty"` // of the hair
		Density      formula.Density            `json:"density,omitempty"`   // fine, medium, thick
		Conditions   map[Band]formula.Condition `json:"conditions,omitempty"`
		Scalp        string                     `json:"scalp,omitempty"`
		History      string                     `json:"history,omitempty"`
		TargetDepth  float64                    `json:"target_depth,omitempty"`
		TargetTone   string                     `json:"target_tone,omitempty"`
		Note         string                     `json:"note,omitempty"`
	}

	// SafetyAnswered is one answer to one safety question. The last to a
	// question counts, unless a final stop stands; see [safety.Standing]. What
	// follows from the answer is filled in by [safety.Judge].
	SafetyAnswered struct {
		Question    string            `json:"question"` // id
		Answer      string            `json:"answer"`
		Outcome     safety.Word       `json:"outcome,omitempty"`
		MaxStrength formula.Percent   `json:"max_strength_pct,omitempty"` // a cap; 0 is none
		OffScalp    bool              `json:"off_scalp,omitempty"`        // a cap: nothing on the scalp
		Hair        formula.Condition `json:"hair,omitempty"`             // the cap holds for hair in this condition or worse; empty: all
		Until       string            `json:"until,omitempty"`            // question whose answer lifts the stop
		Final       bool              `json:"final,omitempty"`            // no words pass the stop
		Why         string            `json:"why,omitempty"`
		Source      string            `json:"source,omitempty"` // of why
		Reason      string            `json:"reason,omitempty"` // why it goes on after a stop, or without whom it was referred to
		// Mistake is why the answer that stood was one, where that was a final
		// stop.
		Mistake string `json:"mistake,omitempty"`
		Note    string `json:"note,omitempty"`      // what it is, where the answer asks for that
		Tested  string `json:"tested_on,omitempty"` // day of the strand test that was passed
		// A doctor's written clearance: all three, or none.
		ClearedDye string `json:"cleared_dye,omitempty"` // which dye it names
		ClearedBy  string `json:"cleared_by,omitempty"`  // which doctor or practice
		ClearedOn  string `json:"cleared_on,omitempty"`  // the day on which it was seen
	}

	// PainReported says that the client feels pain or burning, or reacts in
	// another way. Nothing is put on from then until it is cleared.
	PainReported struct {
		Zone     string   `json:"zone,omitempty"`
		Text     string   `json:"text,omitempty"`     // where, and what it is like
		Reaction Reaction `json:"reaction,omitempty"` // empty: pain or burning
		Severe   bool     `json:"severe,omitempty"`   // itching: as strict as burning
		// LookAgain says of a mild itch that what is on stays on, and that it
		// is looked at again after [LookAfter].
		LookAgain bool `json:"look_again,omitempty"`
	}
	// PainCleared says what was found and decided: the work goes on, or the
	// colour work ends for this service. Nothing may be on the hair.
	PainCleared struct {
		Note   string `json:"note"`
		Early  string `json:"early,omitempty"`   // why before 20 minutes of cool water
		GoesOn bool   `json:"goes_on,omitempty"` // false: nothing is mixed or put on any more
	}
	// ReactionNoted is how the client is some time after a reaction, or that
	// help has come. After the service was closed it says what was reported
	// since.
	ReactionNoted struct {
		When     AskWord  `json:"when"`
		How      HowWord  `json:"how,omitempty"`
		Reaction Reaction `json:"reaction,omitempty"` // after the visit: what it is; empty: pain or burning
		Note     string   `json:"note,omitempty"`
	}

	// PlanSet sets, or before anything is placed replaces, the plan of one
	// round.
	PlanSet struct {
		Round  string         `json:"round,omitempty"` // id
		Name   string         `json:"name"`
		Action formula.Action `json:"action"`
		Zones  []PlanZone     `json:"zones"`
		// ZoneList is the name of the zone list that takes the place of the one
		// before; empty if it is still that one, or none.
		ZoneList string `json:"zone_list,omitempty"`
	}

	// PlanZone is a zone as planned.
	PlanZone struct {
		ID              string  `json:"id,omitempty"`
		Name            string  `json:"name"`
		Pieces          int     `json:"pieces"`
		MinutesPerPiece float64 `json:"minutes_per_piece,omitempty"`
		// Technique is how pieces are placed, in the stylist's words: foil,
		// weave, slice, open section. Each has a pace of its own.
		Technique string     `json:"technique,omitempty"`
		Bands     []PlanBand `json:"bands"`
		// SameHairAs names zones, of any round, that lie on the same hair.
		// Exposure adds up across them.
		SameHairAs []string `json:"same_hair_as,omitempty"`
		// OtherHair says that the zone is other hair than zones of the same
		// name before it, so that the minutes of lightener don't add up.
		OtherHair bool `json:"other_hair,omitempty"`
	}

	// PlanBand is what is planned for one band of a zone.
	PlanBand struct {
		Band      Band              `json:"band"`
		Product   string            `json:"product"`
		Kind      formula.Kind      `json:"product_kind"`
		Strength  formula.Percent   `json:"strength_pct"`
		Contact   formula.Contact   `json:"contact"`
		Condition formula.Condition `json:"condition"`
		// Later says that the band is not coated when the piece is placed,
		// but by a coat of its own.
		Later bool `json:"later,omitempty"`
	}

	// PlanChanged changes a plan that is under way. What Change names says
	// which other fields count.
	PlanChanged struct {
		Change Change `json:"change"`
		Round  string `json:"round,omitempty"` // add, order
		Zone   string `json:"zone,omitempty"`  // all but add, order
		// Add is the zone to add; Before the zone that it goes before, else
		// it goes last.
		Add    *PlanZone `json:"add,omitempty"`
		Before string    `json:"before,omitempty"`
		// Keep is the number of pieces that a split leaves to the zone; the
		// rest go to the new zone NewZone, called Name.
		Keep    int    `json:"keep,omitempty"`
		NewZone string `json:"new_zone,omitempty"`
		Name    string `json:"name,omitempty"` // rename, split
		// Order lists the round's zones in their new order.
		Order           []string   `json:"order,omitempty"`
		Pieces          int        `json:"pieces,omitempty"`
		Bands           []PlanBand `json:"bands,omitempty"`
		MinutesPerPiece float64    `json:"minutes_per_piece,omitempty"` // bands, technique
		Technique       string     `json:"technique,omitempty"`
		OtherHair       bool       `json:"other_hair,omitempty"` // hair
	}

	// WindowConfirmed puts a window to use: a starter row that the user
	// confirmed, or the figures of the user's own product's instructions. A
	// later row for the same hair replaces the earlier.
	WindowConfirmed struct {
		Row   formula.Row `json:"row"`
		Basis string      `json:"basis"` // one of the Basis words
		// ScalpAllowed says that the product's instructions allow it on the
		// scalp at this strength.
		ScalpAllowed bool `json:"scalp_allowed,omitempty"`
	}

	// BowlMixed is one mix.
	BowlMixed struct {
		Bowl    string       `json:"bowl,omitempty"` // id
		Product string       `json:"product"`
		Family  formula.Kind `json:"product_kind"`
		Mix     formula.Mix  `json:"mix"`
		LifeS   int          `json:"life_s,omitempty"` // working life in seconds; 0 not known
		// RatioRange is the ratios that the catalogue has for the product,
		// where the mix is outside them and RatioOutside says that it is meant.
		RatioRange   string `json:"ratio_range,omitempty"`
		RatioOutside bool   `json:"ratio_outside,omitempty"`
		// OffScalp says that the catalogue keeps the product off the scalp.
		OffScalp bool `json:"off_scalp,omitempty"`
	}

	// BowlEmptied ends a bowl.
	BowlEmptied struct {
		Bowl      string   `json:"bowl"`
		LeftGrams *float64 `json:"left_grams,omitempty"`
	}

	// CoatOn says which bowl goes on which band.
	CoatOn struct {
		Band Band   `json:"band"`
		Bowl string `json:"bowl"`
	}

	// PiecePlaced is first contact of one or several pieces.
	PiecePlaced struct {
		Zone  string   `json:"zone"`
		Count int      `json:"count"`
		Coats []CoatOn `json:"coats,omitempty"`
	}

	// ZoneFinished says that no further piece comes to the zone.
	ZoneFinished struct {
		Zone string `json:"zone"`
	}

	// CoatApplied coats a band, of all pieces of a zone, later than the rest.
	CoatApplied struct {
		Zone  string   `json:"zone"`
		Coats []CoatOn `json:"coats"`
	}

	// CoatRefreshed puts fresh product on bands that are coated. It restarts
	// the product, never the limit.
	CoatRefreshed struct {
		Zone  string   `json:"zone"`
		Coats []CoatOn `json:"coats"`
	}

	// HeatOn and HeatOff bound heat on zones.
	HeatOn struct {
		Zones []string `json:"zones"`
	}
	// HeatOff ends heat on zones.
	HeatOff struct {
		Zones []string `json:"zones"`
	}

	// ZoneChecked is what was seen in a zone.
	ZoneChecked struct {
		Zone      string  `json:"zone"`
		Band      Band    `json:"band,omitempty"`
		Scale     int     `json:"scale,omitempty"`
		Depth     float64 `json:"depth,omitempty"`
		Undertone string  `json:"undertone,omitempty"`
		Feel      string  `json:"feel,omitempty"`
	}

	// RinseBegan and RinseEnded bound a trip to the basin. A coat is off when
	// its rinse has ended.
	RinseBegan struct {
		Trip  string   `json:"trip,omitempty"` // id
		Zones []string `json:"zones"`
	}
	// RinseEnded says that zones of a trip, or all that are left of it, are
	// rinsed clean.
	RinseEnded struct {
		Trip  string   `json:"trip,omitempty"`
		Zones []string `json:"zones,omitempty"`
	}

	// StepBegan and StepEnded bound a hands-on part that is no round.
	StepBegan struct {
		Step string `json:"step"`
	}
	// StepEnded ends a hands-on part.
	StepEnded struct {
		Step string `json:"step"`
	}

	// PauseBegan and PauseEnded bound a time in which hands stop. Chemistry
	// does not.
	PauseBegan struct {
		Reason string `json:"reason,omitempty"`
	}
	// PauseEnded ends a pause.
	PauseEnded struct{}

	// HelperJoined and HelperLeft bound a second pair of hands.
	HelperJoined struct {
		Name string `json:"name"`
	}
	// HelperLeft ends a second pair of hands.
	HelperLeft struct {
		Name string `json:"name"`
	}

	// WarningAcknowledged says that a warning was seen, and why the work goes
	// on.
	WarningAcknowledged struct {
		Warning string `json:"warning"`
		Reason  string `json:"reason,omitempty"`
	}

	// NoteAdded is a note, on the service or on a zone.
	NoteAdded struct {
		Zone string `json:"zone,omitempty"`
		Text string `json:"text"`
	}

	// CutNoted is how a section of the head was cut. A later one of the same
	// section replaces the earlier.
	CutNoted struct {
		Section       string   `json:"section"` // in words: nape, back, fringe
		Guide         Guide    `json:"guide,omitempty"`
		Elevation     *float64 `json:"elevation_deg,omitempty"`  // 0 (falls straight down) to [MaxElevation]; nil not noted
		OverDirection string   `json:"over_direction,omitempty"` // in words
		LengthMM      float64  `json:"length_mm,omitempty"`      // at the guide; 0 not noted
		Texture       string   `json:"texture,omitempty"`        // in words
		Tool          string   `json:"tool,omitempty"`           // in words
		Note          string   `json:"note,omitempty"`
	}

	// PromiseChanged is another time that the client was told to be out of the
	// chair, or that the one which was told was told again.
	PromiseChanged struct {
		Promised *time.Time `json:"promised,omitempty"` // nil: nothing is promised any more
		Told     string     `json:"told,omitempty"`     // who was told, and why
	}

	// ClockNoted records what the machine's clocks did, or the user's word on
	// how long the machine was really off.
	ClockNoted struct {
		What   ClockWord `json:"what"`
		StepS  float64   `json:"step_s,omitempty"`  // how far the wall clock moved
		Gap    int       `json:"gap,omitempty"`     // confirmed: seq of the first event after the gap
		ShiftS float64   `json:"shift_s,omitempty"` // confirmed: to be added to the gap
	}

	// EventVoided takes an earlier event back. Voiding a voiding brings the
	// event back.
	EventVoided struct {
		Seq    int    `json:"seq"`
		Reason string `json:"reason,omitempty"`
	}

	// EventMoved puts an earlier event at another moment.
	EventMoved struct {
		Seq int       `json:"seq"`
		To  time.Time `json:"to"`
	}
)

// Change is a way in which a plan changes.
type Change string

// The ways in which a plan changes.
const (
	ChangeAdd       Change = "add"
	ChangeDrop      Change = "drop"
	ChangeSplit     Change = "split"
	ChangeOrder     Change = "order"
	ChangeRename    Change = "rename"
	ChangePieces    Change = "pieces"
	ChangeBands     Change = "bands"
	ChangeTechnique Change = "technique"
	ChangeHair      Change = "hair" // is it other hair than zones of the same name
)

// What a confirmed window rests on.
const (
	BasisStarter      = "starter row, confirmed by the user"
	BasisInstructions = "the product's instructions, typed by the user"
)

// ClockWord is what a [ClockNoted] is about.
type ClockWord string

// What the clocks did.
const (
	ClockStepped   ClockWord = "stepped"   // the wall clock moved while the machine ran
	ClockRestarted ClockWord = "restarted" // the machine was started anew
	ClockConfirmed ClockWord = "confirmed" // the user said how long it was off
)
