package tui

import (
	"time"

	"rinseby/timing"
)

// burstGap is the shortest time between two presses of the one key that are both
// meant: a bouncing pedal, a key that is held down and drumming fingers are
// quicker, two presses of a foot are not. House rule; no source.
const burstGap = 120 * time.Millisecond

// presses are those of the key that does the next thing.
type presses struct {
	at     timing.Reading // of the last one
	placed bool           // it placed a piece, or belongs to one that did
	burst  bool           // it was one of several too quick to be meant
	typed  bool           // keys are typed by name: none is a slip
}

// again reports whether a press at the reading now belongs to the one before,
// which placed a piece. Places says that this one would place one.
func (p *presses) again(now timing.Reading, places bool) bool {
	since := elapsed(p.at, now)
	p.at, p.burst = now, !p.typed && p.placed && since >= 0 && since < burstGap
	p.placed = p.burst || places
	return p.burst
}

// other is a press of any other key: it ends a burst.
func (p *presses) other() { p.placed, p.burst = false, false }

// pressed takes in a press of the one key at the chair. It is false if the press
// is to be ignored: a burst logs one piece.
func (a *App) pressed() bool {
	if a.presses.again(a.now, a.station.Places()) {
		a.refresh()
		return false
	}
	a.did[a.station.Verb()]++
	return true
}
