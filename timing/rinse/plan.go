package rinse

// A Kind is what hands do.
type Kind int

const (
	Apply  Kind = iota // put product on a zone
	Walk               // to the basin
	Rinse              // one zone
	Reseat             // back to the chair
	Wait               // until the next action can begin
)

var kindNames = [...]string{"apply", "walk", "rinse", "reseat", "wait"}

func (k Kind) String() string {
	if k < 0 || int(k) >= len(kindNames) {
		return "unknown"
	}
	return kindNames[k]
}

// MarshalText makes a kind its word in JSON.
func (k Kind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// An Action is one thing that hands do, from Start to End.
type Action struct {
	Kind Kind
	// Zones are those that it is done to: one, or, for a walk, all that are
	// rinsed on this trip, in that order; none for reseating and waiting.
	Zones      []int
	Start, End int
}

// A Bound says what no plan can beat: none has less over the limit; none with
// as much over has fewer trips; none with as many trips finishes earlier.
type Bound struct{ Over, Trips, Finish int }

// A Plan is what to do from Now on. Zones are given by their index in the
// problem; moments are on its axis, durations in seconds.
type Plan struct {
	// Proved says that no plan is better, by the order of goals that the
	// package names: less over the limit, then fewer trips, then earlier
	// finish, then more even exposure.
	Proved bool
	// Over is how much later all limits would have to be for the plan to keep
	// them: the most that any zone is past its limit. Zero: all are in time.
	Over int
	// Trips is the number of walks to the basin.
	Trips int
	// Finish is the end of the last rinse; Now if there is nothing to do.
	Finish int
	// Uneven is the most by which the exposure of a zone differs from its
	// target.
	Uneven int
	// LowerBound equals Over, Trips and Finish if the plan is proved.
	LowerBound Bound
	// MinSlack is the least time left to its limit when a zone comes off;
	// negative if one is over. Zero if there is no zone.
	MinSlack int
	Actions  []Action
	// Strengths holds for each zone the index in its Allowed.
	Strengths []int
	// Order holds the zones in the order in which they are applied.
	Order []int
	// Off holds for each zone the moment when its rinse ends.
	Off []int
	Why Why
}

// Why is what decides the plan.
type Why struct {
	// Zone is the one whose limit sets when the hands must set out on the next
	// trip, and Leave that moment; Zone is -1 if there is no walk in the plan.
	Zone  int
	Leave int
	// Late and Behind are two zones that collide, and By for how long, if
	// nothing fits: Late comes off past its limit, because it can't before
	// Behind is done. Behind is Late itself if it can't be in time even alone.
	// Both are -1 if all is in time.
	Late, Behind int
	By           int
}

// A Budget bounds the search.
type Budget struct {
	// Nodes is the most partial plans to look into; zero for a default of
	// 150,000, which takes at most a few hundred megabytes.
	Nodes int
	// Stop is asked now and then whether to end the search; nil for never.
	Stop func() bool
}
