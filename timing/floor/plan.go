package floor

// A Verdict is what is known of a problem.
type Verdict int

const (
	Unproven Verdict = iota // the budget ended first
	Fits                    // there is a schedule
	Cannot                  // there is none; proved
)

var verdictNames = [...]string{"not proven in time", "fits", "cannot"}

func (v Verdict) String() string {
	if v < 0 || int(v) >= len(verdictNames) {
		return "unknown"
	}
	return verdictNames[v]
}

// MarshalText makes a verdict its words in JSON.
func (v Verdict) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// A Plan is the answer to a problem.
type Plan struct {
	Verdict Verdict
	// Starts are the moments when tasks start, by chain and task, in seconds
	// from now. Tasks of one worker never overlap in them, and every Least is
	// kept. If the verdict is Fits, every Most is kept too; else it is the least
	// bad schedule found: all of them would be kept if they were Late more.
	Starts [][]int
	Late   int // in seconds; 0 if the verdict is Fits
	// Collision is what stands in the way; nil unless the verdict is Cannot.
	Collision *Collision
}

// A Collision explains why not all fits. Durations are in seconds.
type Collision struct {
	// A and B are the chains that collide, by index: in the least bad schedule of
	// the two, TaskB of B comes right after TaskA of A, and what they ask for is
	// missed by that. Of several pairs these need the largest By.
	//
	// A chain that can't be kept even with the hands for itself alone is both A
	// and B; TaskA to TaskB, perhaps the same, is then the part that is too much.
	// If any two chains fit together and only more do not, A and B are two that
	// meet so in the least bad schedule of all, and By is 0.
	A, B         int
	TaskA, TaskB int
	// By is how much later every Most would have to be for A and B to fit
	// without any other chain.
	By int
	// Slack is how much later every Most of all chains would have to be for all
	// to fit; never less than By. The plan's Starts are a schedule that keeps
	// to that.
	Slack int
	// Soft is how much later every Most that is not of chemistry would have to be
	// for all to fit, with those of chemistry as they are; [None] if there is no
	// such time, or none was found.
	Soft int
	// Proved says that nothing less than By, than Slack and than Soft does, and
	// that Gap is the smallest there is, or that there is none. Otherwise they
	// are enough, but less may be.
	Proved bool
	Gap    *Gap
}

// A Gap is the single Most, not of chemistry, whose widening alone makes all
// fit, with the smallest widening; of equal ones the first.
type Gap struct {
	Chain, Link int // by index
	By          int // seconds that the Most has to be later
}
