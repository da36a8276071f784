package session

// Band is where on the strand a coat lies.
type Band string

// The bands, from the scalp outwards.
const (
	Root Band = "root" // regrowth
	Mid  Band = "mid"  // mid-lengths
	End  Band = "end"  // ends
)

// Bands lists all bands from the scalp outwards.
var Bands = []Band{Root, Mid, End}

// Valid reports whether b is one of [Bands].
func (b Band) Valid() bool { return b == Root || b == Mid || b == End }

// FeelMushy is how hair feels that can take no more: stretched when wet, it
// does not return. Wet hair in good condition does (training texts, read on
// secondary pages); that such hair must come off at once is a careful house
// rule.
const FeelMushy = "stays stretched or mushy"

// FeelWeak is how weakened hair feels: wet, it returns slowly. That it is to be
// looked at again within minutes, and gets no more product until it is found to
// spring back, is a careful house rule; common practice, no source.
const FeelWeak = "slow to spring back"

// DepthScale is the number of steps of the scale of depth that new services
// use: 1 is black, 10 the lightest blond. Scales of 12 and 20 steps are met
// elsewhere (common practice, no source), so the scale is stored with the
// number.
const DepthScale = 10

// Bounds of what a plan may hold. They are far above a real head, and low
// enough that a slip of a key is caught.
const (
	MaxZones       = 60
	MaxZonePieces  = 200
	MaxTotalPieces = 1000
	MaxName        = 200  // bytes
	MaxText        = 4000 // bytes
	MaxTypeAhead   = 50   // pieces logged in one go
	MaxEverZones   = 4000 // of all rounds, with those that were left out again
)
