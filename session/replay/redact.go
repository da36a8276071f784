package replay

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/plain"
	"rinseby/session/safety"
	"rinseby/timing"
)

// RedactedDay is when every redacted service is opened: an invented day.
var RedactedDay = time.Date(2001, 1, 1, 9, 0, 0, 0, time.UTC)

// RedactedClient is what every client of one is called.
const RedactedClient = "Redacted"

// notKept stands where a text is needed that was taken out.
const notKept = "not kept"

// reasonNotKept is the same for a reason, which has words enough for the rules.
const reasonNotKept = "the reason was not kept"

// Redact writes a service as plain lines that tell of its work and of nobody:
// every name, id and word that somebody typed is replaced or taken out, as are
// the answers about health, and the day. That there was pain is only told where
// the rules would not take the rest without it, and then in no words. Times count from the opening as
// on the time line of the log's end; what was taken back is missing, and what
// was moved stands where it was moved to. FORMATS.md lists what is kept.
//
// The lines stand in the order in which they were logged, or, where the rules do
// not take them so any more, as entries were taken back or moved, in the order
// in which they happened. They pass through all rules, and their exposures are
// compared with those of the log, before they are returned; the error says what
// was not so whatever was tried.
func Redact(l *session.Log) ([]byte, error) {
	if len(l.Events()) == 0 {
		return nil, errors.New("the service holds no entry: there is nothing to export")
	}
	var refused error
	for _, pain := range []bool{false, true} {
		lines, err := redacted(l, pain)
		if err != nil {
			return nil, err
		}
		text, err := passing(l, lines)
		if err != nil {
			refused = err
			slices.SortStableFunc(lines, func(a, b redactedLine) int { return a.When.Compare(b.When) })
			text, err = passing(l, lines)
		}
		if err == nil {
			return text, nil
		}
	}
	return nil, fmt.Errorf("without what is taken out the service would not pass the rules again, so it is not exported: %w", refused)
}

// A redactedLine is a plain line.
type redactedLine struct {
	When time.Time    `json:"when"`
	Kind string       `json:"kind"`
	Data session.Data `json:"data"`
}

// askedOfPowder puts the question about asthma after the opening where lightener
// is mixed before a line answers it: older services were not asked, and an
// answer may have been taken back or moved.
func askedOfPowder(lines []redactedLine) []redactedLine {
	for _, line := range lines {
		switch d := line.Data.(type) {
		case session.SafetyAnswered:
			if d.Question == safety.Airways {
				return lines
			}
		case session.BowlMixed:
			if safety.Lightener(d.Family) {
				ask, _ := harmless(session.SafetyAnswered{Question: safety.Airways})
				return slices.Insert(lines, 1, redactedLine{RedactedDay, ask.Kind(), ask})
			}
		}
	}
	return lines
}

func redacted(l *session.Log, pain bool) (lines []redactedLine, err error) {
	r := newRedactor(l)
	r.pain, r.lightened = pain, foundLightened(l)
	opened := l.State().Opened
	for _, e := range l.Events() {
		at, counts := r.when[e.Seq]
		if _, opening := e.Data.(session.ServiceOpened); opening {
			at, counts = opened, true
		}
		if !counts {
			continue
		}
		data, keep, err := r.data(e.Seq, e.Data)
		if err != nil {
			return nil, fmt.Errorf("entry %d: %w", e.Seq, err)
		}
		if keep {
			if _, closes := data.(session.ServiceClosed); closes && pain && l.State().ToAsk() { // there was no such question when it was logged
				asked := session.ReactionNoted{When: session.AskLeaving, How: session.HowGone, Note: reasonNotKept}
				lines = append(lines, redactedLine{RedactedDay.Add(at.Sub(opened)).Truncate(session.Precision), asked.Kind(), asked})
			}
			when := RedactedDay.Add(at.Sub(opened)).Truncate(session.Precision)
			lines = append(lines, redactedLine{when, e.Data.Kind(), data})
		}
	}
	return askedOfPowder(lines), nil
}

// passing is the text of lines that can be imported, and then tell of the same
// exposures as the log does.
func passing(l *session.Log, lines []redactedLine) ([]byte, error) {
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	for _, line := range lines {
		if err := enc.Encode(line); err != nil {
			return nil, err
		}
	}
	again, err := plain.Read(bytes.NewReader(out.Bytes()), RedactedDay.AddDate(1, 0, 0))
	if err != nil {
		return nil, err
	}
	if !slices.EqualFunc(worked(l.State()), worked(again.State()), alike) {
		return nil, errors.New("its exposures would not be the same")
	}
	return out.Bytes(), nil
}

// worked are the timings of all coats, from the opening on.
func worked(s *session.State) (all []timing.Coat) {
	for _, z := range s.Zones {
		for _, c := range z.Coats {
			t := s.CoatTiming(c)
			for _, at := range []*time.Time{&t.First, &t.Last, &t.Fresh, &t.Off} {
				if !at.IsZero() {
					*at = RedactedDay.Add(at.Sub(s.Opened))
				}
			}
			all = append(all, t)
		}
	}
	return all
}

// alike reports whether two coats had the same exposures, as closely as lines
// tell moments.
func alike(a, b timing.Coat) bool {
	near := func(x, y time.Time) bool { return x.Sub(y).Abs() <= session.Precision }
	return near(a.First, b.First) && near(a.Last, b.Last) && near(a.Fresh, b.Fresh) && near(a.Off, b.Off) &&
		(a.Carried-b.Carried).Abs() <= 2*session.Precision && a.Window == b.Window
}

// A redactor takes names out, and gives each thing the same new name throughout.
type redactor struct {
	when      map[int]time.Time
	promises  map[int]session.PromiseChanged // by entry, that of the opening, too
	pain      bool                           // is told
	opening   time.Time                      // on the service's time line
	lightened bool                           // a consultation found hair lightened

	zones, names, rounds, bowls, trips, products, steps, techniques, helpers, sections *numbers
}

func newRedactor(l *session.Log) *redactor {
	return &redactor{
		when: happened(l), promises: promises(l.State()), opening: l.State().Opened, zones: &numbers{}, names: &numbers{}, rounds: &numbers{}, bowls: &numbers{}, trips: &numbers{},
		products: &numbers{}, steps: &numbers{}, techniques: &numbers{}, helpers: &numbers{}, sections: &numbers{},
	}
}

// promises are what was promised, without words. One that then says nothing new
// is missing.
func promises(s *session.State) map[int]session.PromiseChanged {
	kept, last := map[int]session.PromiseChanged{}, time.Time{}
	for _, p := range s.Promises {
		if session.SamePromise(p.By, last) {
			continue
		}
		var d session.PromiseChanged
		if !p.By.IsZero() {
			at := RedactedDay.Add(p.By.Sub(s.Opened).Truncate(session.Precision))
			d.Promised = &at
		}
		kept[p.Seq], last = d, p.By
	}
	return kept
}

// numbers counts things, in the order in which they are met.
type numbers struct{ known []string }

// as is a new name for a thing: the word and its number; nothing for nothing.
func (n *numbers) as(word, thing string) string {
	if thing == "" {
		return ""
	}
	i := slices.Index(n.known, thing)
	if i < 0 {
		i = len(n.known)
		n.known = append(n.known, thing)
	}
	return word + strconv.Itoa(i+1)
}

// foundLightened reports whether any consultation noted lightened hair.
func foundLightened(l *session.Log) bool {
	return slices.ContainsFunc(l.Events(), func(e session.Event) bool {
		d, is := e.Data.(session.ConsultationNoted)
		return is && slices.Contains(slices.Collect(maps.Values(d.Conditions)), formula.Lightened)
	})
}
