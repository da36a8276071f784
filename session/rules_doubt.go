package session

import (
	"fmt"
	"slices"
	"strings"

	"rinseby/session/formula"
	"rinseby/session/safety"
)

// doubtKey is the key of the warning that two answers about the hair's history
// disagree.
const doubtKey = "doubt:history"

// plainHistory and lightenedHistory are answers to [safety.History].
const (
	plainHistory     = "nothing, or colour only"
	lightenedHistory = "lightened before"
)

// lightenedBands are the bands that the consultation found lightened.
func (s *State) lightenedBands() (bands []string) {
	if s.Consultation == nil {
		return nil
	}
	for _, b := range Bands {
		if s.Consultation.Conditions[b] == formula.Lightened {
			bands = append(bands, string(b))
		}
	}
	return bands
}

// tighter takes, where the consultation says lightened and the answer about
// the history says nothing of it, the one that bounds more: at most so much on
// lightened hair, until either is changed. House rule.
func (s *State) tighter(given []safety.Given) []safety.Given {
	if len(s.lightenedBands()) == 0 {
		return given
	}
	i := slices.IndexFunc(given, func(g safety.Given) bool { return g.Question == safety.History && g.Answer == plainHistory })
	if i < 0 {
		return given
	}
	out, err := safety.Judge(safety.History, lightenedHistory, s.Setting(s.Opened.Location()))
	if err != nil {
		return given
	}
	out.Why = "The consultation says lightened, the safety answer does not: the stricter counts. " + out.Why
	given[i].Outcome = out
	return given
}

// doubt is the bands that the consultation alone finds lightened; none if the
// answers agree, or if product was put on, as then the tighter one simply
// counts.
func (s *State) doubt() string {
	bands := s.lightenedBands()
	if len(bands) == 0 || s.coated() || s.Acked(doubtKey) {
		return ""
	}
	for _, a := range s.Answers() {
		if a.Question == safety.History && a.Answer == plainHistory {
			return strings.Join(bands, ", ")
		}
	}
	return ""
}

// nextDoubt has the two answers settled before the first touch.
func (s *State) nextDoubt(*Board) (Action, bool) {
	bands := s.doubt()
	return Action{Verb: DoSafety, Text: "Ask: was the hair lightened before?",
		Why: fmt.Sprintf("lightened (%s) by the consultation only: v or y", bands)}, bands != ""
}

// doubtWarnings tell of it.
func (s *State) doubtWarnings(b *Board) []Warning {
	bands := s.doubt()
	if bands == "" || s.Ended() || !s.Closed.IsZero() {
		return nil
	}
	return []Warning{{Key: doubtKey, Level: Line, At: b.Now,
		Text: fmt.Sprintf("the consultation says lightened (%s), the safety answers don't: change one (v or y); the stricter counts", bands)}}
}
