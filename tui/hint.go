package tui

import (
	"rinseby/session"
	"rinseby/session/store"
)

// enoughHints is how often a hint on one kind of thing is followed before it
// goes away.
const enoughHints = 3

// beginner reports whether no service of a client was closed yet.
func beginner(entries *store.Listing) bool {
	for e := range entries.All {
		if !e.Live && !e.Invented {
			return false
		}
	}
	return true
}

// hinting reports whether beginners are to be helped along.
func (a *App) hinting() bool {
	return a.o.Hints == HintsAlways || a.o.Hints == HintsAuto && a.beginner && a.pilot == nil && a.relive == nil
}

// hint helps along with the next thing; empty if there is no need.
func (a *App) hint(next session.Action) string {
	if !a.hinting() || a.watching != "" || a.o.Hints == HintsAuto && a.did[next.Verb] >= enoughHints {
		return ""
	}
	return hints[next.Verb]
}

// startHint helps along on the first screen.
func (a *App) startHint() string {
	if !a.hinting() {
		return ""
	}
	if a.o.Invented {
		return practiceHint
	}
	return startHint
}

// hints say what a beginner may wonder about, by what is to be done next.
var hints = map[session.Verb]string{
	session.DoConsult: "Space opens it. enter goes on, ctrl+s saves, esc leaves.",
	session.DoSafety:  "Space opens it. Left and right choose, enter goes on.",
	session.DoPlan:    "Space opens the plan of the zones.",
	session.DoMix:     "Space opens it. What is offered may be changed.",
	session.DoWindow:  "Space opens it. Your product's instructions say how long.",
	session.DoPlace:   "Space after each piece. + logs several, u takes it back.",
	session.DoCoat:    "Space once that band is coated; u takes it back.",
	session.DoRinse:   "Space as the water starts, then once for each clean zone.",
	session.DoOff:     "Space as each zone is rinsed clean.",
	session.DoReady:   "Light enough? Space as the water starts. Else let it work.",
	session.DoWait:    "Nothing to press until then. c notes what you see in hair.",
	session.DoBegin:   "Space begins it, and ends it; s chooses another step.",
	session.DoEnd:     "Space ends it.",
	session.DoFinish:  "Space closes the service and makes the card.",
}

const practiceHint = "New here? n begins a service. All is gone when you leave."

const startHint = "New here? n begins a service. To watch: rinseby practice"
