package timing

import "time"

// A Window is how long a coat may work.
type Window struct {
	// Opens is when the coat has worked long enough to be of use, counted
	// from the newest piece's first contact.
	Opens time.Duration
	// Limit is when it must be off, counted from the oldest piece's first
	// contact, over everything that the same hair had in this visit. Zero
	// means that no limit is known; such a window is never to be used.
	Limit time.Duration
}

// Known reports whether the window can be used: it has a limit, and it opens
// no later than that.
func (w Window) Known() bool { return w.Limit > 0 && w.Opens >= 0 && w.Opens <= w.Limit }

// Tightest returns the window that keeps to both: the earlier limit, and the
// later opening as far as the limit allows. An unknown window yields the
// other one.
func (w Window) Tightest(o Window) Window {
	switch {
	case !w.Known():
		return o
	case !o.Known():
		return w
	}
	t := Window{Opens: max(w.Opens, o.Opens), Limit: min(w.Limit, o.Limit)}
	t.Opens = min(t.Opens, t.Limit)
	return t
}

// A Phase is where a coat, or a zone, is on its way from first contact to the
// basin. A higher phase is the more pressing one.
type Phase int

// The phases, in the order in which a coat goes through them. Rinsed comes
// last; it is over only if the coat stayed on past its limit, which
// [Coat.Over] tells.
const (
	Waiting  Phase = iota // nothing is on yet
	Applying              // some pieces are in, more are to come
	Working               // all are in, the newest is not long enough on to be of use
	Open                  // may come off
	Closing               // the limit is near
	Over                  // past the limit
	Rinsed                // off
)

var phaseNames = [...]string{"waiting", "applying", "working", "open", "closing", "over", "rinsed"}

func (p Phase) String() string {
	if p < 0 || int(p) >= len(phaseNames) {
		return "unknown"
	}
	return phaseNames[p]
}

// MarshalText makes a phase its word in JSON.
func (p Phase) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// A Coat is the timing of one product on one band of one zone.
type Coat struct {
	// First and Last are the first contact of the oldest and of the newest
	// piece. First is zero while nothing is on.
	First, Last time.Time
	// Fresh is when product last went on: Last, or a later refreshing. It is
	// the age of the product, and never moves the limit.
	Fresh time.Time
	// Carried is the exposure that the same hair had earlier in the visit.
	Carried time.Duration
	// Off is when the coat was rinsed; zero while it is on.
	Off time.Time
	// Complete says that no further piece is to come.
	Complete bool
	// Window is the tightest of all windows that apply to the coat.
	Window Window
}

// On reports whether the coat is on the hair at the moment now.
func (c Coat) On(now time.Time) bool {
	return !c.First.IsZero() && !now.Before(c.First) && (c.Off.IsZero() || now.Before(c.Off))
}

// Oldest is the exposure of the oldest piece at the moment now, with what the
// same hair had before.
func (c Coat) Oldest(now time.Time) time.Duration {
	if c.First.IsZero() {
		return 0
	}
	return c.Carried + c.since(c.First, now)
}

// Newest is how long the newest piece of this coat has been on at the moment
// now. What the hair had before does not count: it says whether this coat has
// worked long enough.
func (c Coat) Newest(now time.Time) time.Duration { return c.since(c.Last, now) }

// ProductAge is how long the product on the hair has worked since it was put
// on or refreshed.
func (c Coat) ProductAge(now time.Time) time.Duration { return c.since(c.Fresh, now) }

// LimitAt is the moment by which the coat must be off. It is zero while
// nothing is on or if no limit is known, and the moment of first contact if
// what was carried has used up the whole limit.
func (c Coat) LimitAt() time.Time {
	if c.First.IsZero() || !c.Window.Known() {
		return time.Time{}
	}
	return c.First.Add(max(c.Window.Limit-c.Carried, 0))
}

// OpensAt is the moment from which the newest piece has worked long enough.
// It is zero while nothing is on or if no window is known.
func (c Coat) OpensAt() time.Time {
	if c.First.IsZero() || !c.Window.Known() {
		return time.Time{}
	}
	return c.Last.Add(c.Window.Opens)
}

// Over is how long the coat was past its limit at the moment now, or zero. A
// coat exactly at its limit is not over it; nor is one whose limit is not
// known, which callers must flag by [Window.Known].
func (c Coat) Over(now time.Time) time.Duration {
	if !c.Window.Known() {
		return 0
	}
	return max(c.Oldest(now)-c.Window.Limit, 0)
}

// Phase is where the coat is at the moment now. A coat is closing when less
// than lead remains to its limit. One without a known window is never open.
func (c Coat) Phase(now time.Time, lead time.Duration) Phase {
	switch {
	case c.First.IsZero() || now.Before(c.First):
		return Waiting
	case !c.Off.IsZero() && !now.Before(c.Off):
		return Rinsed
	case c.Over(now) > 0:
		return Over
	case c.Window.Known() && c.LimitAt().Sub(now) < lead:
		return Closing
	case !c.Complete:
		return Applying
	case !c.Window.Known() || now.Before(c.OpensAt()):
		return Working
	}
	return Open
}

// since is the time from the moment from to now, or to when the coat came
// off, whichever was first.
func (c Coat) since(from, now time.Time) time.Duration {
	if from.IsZero() {
		return 0
	}
	if !c.Off.IsZero() && c.Off.Before(now) {
		now = c.Off
	}
	return max(now.Sub(from), 0)
}
