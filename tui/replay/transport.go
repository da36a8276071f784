package replay

import (
	"time"

	"rinseby/timing"
)

// speeds are how many times faster than it was a service is played.
var speeds = []int{1, 2, 5, 10, 30, 60, 120, 300, 600}

// usualSpeed is the place in speeds of the one to begin with: a service of
// three hours takes three minutes.
const usualSpeed = 5

// A Transport is the clock of a replay: a moment between two ends of a
// service's time line, which stands still or runs, either way. It reads no
// clock; the moment follows from readings alone, however many there are.
type Transport struct {
	from, to time.Time
	moment   time.Time
	speed    int // place in speeds
	back     bool
	playing  bool

	now   timing.Reading // the last that was taken in
	since timing.Reading // when it began to play as it does
	begun time.Time      // the moment at that reading
}

// NewTransport makes a transport that stands at its first moment. An end before
// the start counts as equal to it.
func NewTransport(from, to time.Time, now timing.Reading) *Transport {
	if to.Before(from) {
		to = from
	}
	return &Transport{from: from, to: to, moment: from, speed: usualSpeed, now: now}
}

// Turn takes in a reading of the real clocks. At an end it stops.
func (t *Transport) Turn(now timing.Reading) {
	t.now = now
	if !t.playing {
		return
	}
	ran := now.Wall.Sub(t.since.Wall)
	if now.SameBoot(t.since) {
		ran = now.Boot - t.since.Boot
	}
	ran = max(ran, 0)
	room, way := t.to.Sub(t.begun), time.Duration(speeds[t.speed])
	if t.back {
		room, way = t.begun.Sub(t.from), -way
	}
	if ran >= room/time.Duration(speeds[t.speed])+1 { // no product overflows
		t.playing = false
		t.moment = t.to
		if t.back {
			t.moment = t.from
		}
		return
	}
	t.moment = t.within(t.begun.Add(way * ran))
}

func (t *Transport) within(at time.Time) time.Time {
	switch {
	case at.Before(t.from):
		return t.from
	case at.After(t.to):
		return t.to
	}
	return at
}

// Moment is the moment on the service's time line.
func (t *Transport) Moment() time.Time { return t.moment }

// Playing reports whether it runs.
func (t *Transport) Playing() bool { return t.playing }

// Speed is how many times faster than it was it plays.
func (t *Transport) Speed() int { return speeds[t.speed] }

// Play runs onwards or backwards from here. At the end of that way it stays.
func (t *Transport) Play(back bool) {
	end := t.to
	if back {
		end = t.from
	}
	t.back, t.playing = back, !t.moment.Equal(end)
	t.anew()
}

// Pause stands still.
func (t *Transport) Pause() { t.playing = false }

// Toggle plays on as before, or pauses. At an end it plays from the other one.
func (t *Transport) Toggle() {
	if t.playing {
		t.Pause()
		return
	}
	if t.Play(t.back); !t.playing && t.from.Before(t.to) {
		t.moment = t.from
		if t.back {
			t.moment = t.to
		}
		t.Play(t.back)
	}
}

// Faster goes up so many speeds, or down; it answers whether there was one.
func (t *Transport) Faster(by int) bool {
	to := t.speed + by
	if to < 0 || to >= len(speeds) {
		return false
	}
	t.speed = to
	t.anew()
	return true
}

// Seek goes to a moment, or to the end beyond which it lies. What plays plays
// on from there.
func (t *Transport) Seek(at time.Time) {
	t.moment = t.within(at)
	t.anew()
}

// anew counts from here on.
func (t *Transport) anew() { t.since, t.begun = t.now, t.moment }
