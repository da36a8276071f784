package session

import (
	"time"

	"rinseby/timing/forecast"
	"rinseby/timing/pace"
)

// A StintKind says what hands did in a [Stint].
type StintKind string

// The kinds of stints.
const (
	StintPrepare StintKind = "prepare" // before the first bowl, what is no step
	StintMix     StintKind = "mix"     // one bowl
	StintPlace   StintKind = "place"   // pieces of a zone
	StintCoat    StintKind = "coat"    // a band of a zone that was left for later
	StintWalk    StintKind = "walk"    // to the basin, while pieces were still to come
	StintReseat  StintKind = "reseat"  // from the last rinse until hands went on with pieces
	StintDevelop StintKind = "develop" // from a zone's last contact to its rinse, when nothing was left to place
	StintRinse   StintKind = "rinse"   // one zone
	StintStep    StintKind = "step"    // a step, with the way to it
	StintClose   StintKind = "close"   // from the last of these to the end of the service
)

// A Stint is a stretch of a service, by what hands did. Of one service all but
// the develop stints follow one another without gaps or overlaps.
type Stint struct {
	Kind StintKind
	// Name is the technique of the pieces (place), the action of the round
	// (coat, develop), or the step's name.
	Name string
	Zone string // id; of place, coat, develop and rinse
	// Units is how many pieces, coated zones or rinses; 1 of all else.
	Units int
	// From and To bound it; Took is the time between, without pauses.
	From, To time.Time
	Took     time.Duration
	Helpers  float64 // that were there, on average over the time
}

// Usuals is what is known of a stylist's times before a service begins.
type Usuals struct {
	// Pace is that of pieces, by technique.
	Pace pace.Prior
	// Others holds the times of all other stints by [OtherKey], as they may be
	// expected of the next one.
	Others map[string]pace.LogNormal
	// Width is what ranges must be widened by to hold, from past forecasts.
	Width forecast.Conformal
	// Services is how many closed services it rests on.
	Services int
}

// OtherKey is the key of a kind of stint in [Usuals]. The name counts for
// steps, coats and what develops.
func OtherKey(kind StintKind, name string) string {
	switch kind {
	case StintStep, StintCoat, StintDevelop:
		return string(kind) + " " + name
	}
	return string(kind)
}
