package timing

import "time"

// A Reading is one look at the machine's clocks, taken at the edge of the
// program and passed in from there.
type Reading struct {
	// Wall is the wall-clock time, in UTC. It may step: the user sets it, a
	// time server corrects it.
	Wall time.Time
	// Boot is the time since the machine was started, counting sleep. It never
	// steps, but it means nothing across two boots. Zero when unknown.
	Boot time.Duration
	// BootID names the boot that Boot counts from. Empty when unknown.
	BootID string
}

// SameBoot reports whether the two readings can be compared by Boot.
func (r Reading) SameBoot(o Reading) bool { return r.BootID != "" && r.BootID == o.BootID }

// A Clock yields readings. There is one real clock, at the edge of the
// program; practice and replay have clocks of their own.
type Clock interface {
	Read() Reading
}

// Tolerance is the difference between the wall clock and the time since boot
// under which the two are said to agree. Time servers slew by far less than
// this over one service.
const Tolerance = 2 * time.Second

// A Gap is a place in the time line where the clocks did not tell the same
// story, or where nobody was watching. It is shown to the user, never hidden.
type Gap struct {
	// From and To bound the gap on the time line.
	From, To time.Time
	// Step is how far the wall clock moved more (or less, if negative) than
	// the time that really went by. Zero if unknown, as it is after a restart.
	Step time.Duration
	// Restart says that the machine was started anew in between, so that only
	// the wall clock tells how long it was. The user is asked to confirm.
	Restart bool
	// Backwards says that the wall clock, which is all there was to go by,
	// stood before the last reading. The gap is counted as nothing: every
	// exposure then reads too short, so the user must say how long it really
	// was.
	Backwards bool
}

// Unsure reports whether no clock can be trusted for how long the gap was, so
// that the user is asked.
func (g Gap) Unsure() bool { return g.Restart || g.Backwards }

// A Timeline folds readings into one axis that never runs backwards: it
// starts as the first reading's wall time and moves on by the time since boot
// while the boot lasts, by the wall clock across boots.
//
// The zero Timeline is ready for its first reading.
type Timeline struct {
	last Reading
	at   time.Time
}

// Started reports whether the time line has had its first reading.
func (l *Timeline) Started() bool { return !l.at.IsZero() }

// Now returns the moment of the reading r on the axis, without moving the
// time line on. Before the first reading it is the wall time.
func (l *Timeline) Now(r Reading) time.Time {
	at, _ := l.step(r)
	return at
}

// Advance moves the time line on to r. The gap is nil when the clocks agree
// to within [Tolerance].
func (l *Timeline) Advance(r Reading) (time.Time, *Gap) {
	at, gap := l.step(r)
	l.last, l.at = r, at
	return at, gap
}

// Peek returns what Advance would, without moving on.
func (l *Timeline) Peek(r Reading) (time.Time, *Gap) { return l.step(r) }

// Shift moves the end of the time line by d, as when the user says after a
// restart how long the machine was really off. It never goes below the moment
// floor.
func (l *Timeline) Shift(d time.Duration, floor time.Time) {
	if l.at = l.at.Add(d); l.at.Before(floor) {
		l.at = floor
	}
}

// Wall returns what the wall clock of the reading now would have shown, or
// will show, at the moment at of the axis. Screens use it, so that times read
// like the clock on the salon's wall even after the machine's clock was put
// right.
func (l *Timeline) Wall(at time.Time, now Reading) time.Time {
	return now.Wall.Add(at.Sub(l.Now(now)))
}

func (l *Timeline) step(r Reading) (time.Time, *Gap) {
	if !l.Started() {
		return r.Wall, nil
	}
	wall := r.Wall.Sub(l.last.Wall)
	if r.SameBoot(l.last) {
		run := r.Boot - l.last.Boot
		step := wall - run
		if run < 0 { // can't be within one boot: the wall clock is the better word
			run = max(wall, 0)
		}
		at := l.at.Add(run)
		if step.Abs() > Tolerance {
			return at, &Gap{From: l.at, To: at, Step: step}
		}
		return at, nil
	}
	at := l.at.Add(max(wall, 0))
	if r.BootID == l.last.BootID { // both unknown: there is only the wall clock to go by
		if wall < -Tolerance {
			return at, &Gap{From: l.at, To: at, Step: wall, Backwards: true}
		}
		return at, nil
	}
	return at, &Gap{From: l.at, To: at, Restart: true, Backwards: wall < 0}
}
