package session

import (
	"errors"
	"slices"
	"strings"
	"time"

	"rinseby/timing"
)

// A Promise is what the client was told of when to be out of the chair.
type Promise struct {
	At   time.Time // when that was said
	By   time.Time // zero: nothing is promised from then on
	Told string    // who was told, and why
	Seq  int       // of the event
}

// promisedWithin is how far from the opening a promise may lie. House rule; no
// source.
const promisedWithin = 24 * time.Hour

// promiseDrift is how far the clocks of a machine may drift apart meanwhile
// before that tells two promises apart. House rule; no source.
const promiseDrift = 2 * time.Second

// ToldPromise is the moment to show of what is promised where no seconds are
// shown: that clocks drifted a little does not make 16:00 a 15:59.
func ToldPromise(by time.Time) time.Time { return by.Add(promiseDrift) }

// SamePromise reports whether two times are one promise; zero is none.
func SamePromise(a, b time.Time) bool {
	return a.IsZero() == b.IsZero() && a.Sub(b).Abs() <= promiseDrift
}

// promise takes a promise in. They are kept in the order in which they were
// made, whenever they were logged; the last one holds.
func (s *State) promise(p Promise) {
	i, _ := slices.BinarySearchFunc(s.Promises, p, func(x, y Promise) int {
		if x.At.After(y.At) {
			return 1
		}
		return -1
	})
	s.Promises = slices.Insert(s.Promises, i, p)
	s.Promised = s.Promises[len(s.Promises)-1].By
}

// toldLate is when somebody was last told that the promise won't be kept; zero
// if nobody was since it was made.
func (s *State) toldLate() time.Time {
	n := len(s.Promises)
	if n < 2 {
		return time.Time{}
	}
	last, before := s.Promises[n-1], s.Promises[n-2]
	if strings.TrimSpace(last.Told) == "" || !SamePromise(last.By, before.By) {
		return time.Time{}
	}
	return last.At
}

// changePromise takes another promise in. Its time is by the wall clock as it
// was when that was logged, even where the entry was moved.
func (s *State) changePromise(d PromiseChanged, e Event, at time.Time) {
	p := Promise{At: at, Told: d.Told, Seq: e.Seq}
	if d.Promised != nil {
		p.By = s.byWall(*d.Promised, e.Recorded)
	}
	s.promise(p)
}

// byWall is a moment of the wall clock on the time line.
func (s *State) byWall(at time.Time, now timing.Reading) time.Time {
	return s.Line.Now(now).Add(at.Sub(now.Wall))
}

// promisedAt is what was promised at the moment at; zero for nothing.
func (s *State) promisedAt(at time.Time) (by time.Time) {
	for _, p := range s.Promises {
		if !p.At.After(at) {
			by = p.By
		}
	}
	return by
}

// checkPromise writes the time as the clock of the place shows it.
func (s *State) checkPromise(d PromiseChanged, at time.Time, now timing.Reading, place *time.Location) (Data, error) {
	var by time.Time
	if d.Promised != nil {
		p := d.Promised.In(place).Truncate(Precision)
		d.Promised, by = &p, s.byWall(p, now)
	}
	same := SamePromise(by, s.promisedAt(at)) && strings.TrimSpace(d.Told) == ""
	switch {
	case same && d.Promised == nil:
		return nil, errors.New("nothing is promised: give a time, or say who was told")
	case same:
		return nil, errors.New("that is promised already: give another time, or say who was told")
	case d.Promised == nil:
	case by.Before(at):
		return nil, errors.New("the time that the client is promised has passed: give a later one")
	case by.After(s.Opened.Add(promisedWithin)):
		return nil, errors.New("the time that the client is promised is more than 24 hours after the opening: correct it")
	}
	return d, text(d.Told)
}

// say says what was promised, by the clock of the place where it was.
func (d PromiseChanged) say() string {
	said := "nothing is promised any more"
	if d.Promised != nil {
		said = "promised for " + d.Promised.Format("15:04")
	}
	if strings.TrimSpace(d.Told) != "" {
		said += ", told: " + d.Told
	}
	return said
}

// SayPromises says what was promised at the opening, and from when on it was
// something else, as "16:00; from 15:40 on 16:30"; nothing if there never was a
// promise.
func SayPromises(all []Promise, opened time.Time, clock Clockface) string {
	var parts []string
	var last time.Time
	for _, p := range all {
		by := "nothing"
		if !p.By.IsZero() {
			by = clock(p.By)
		}
		switch {
		case SamePromise(p.By, last): // somebody was told, no more
		case !p.At.After(opened):
			parts = append(parts, by)
		default:
			parts = append(parts, "from "+clock(p.At)+" on "+by)
		}
		last = p.By
	}
	return strings.Join(parts, "; ")
}
