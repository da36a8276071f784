package form

import (
	"fmt"
	"strings"

	"rinseby/session"
	"rinseby/session/safety"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// Note asks for a note on the service or on one of the zones; the one with the
// id is offered. Its intent logs one session.NoteAdded.
func Note(th *theme.Theme, zones []*session.Zone, id string) *Form {
	d := session.NoteAdded{Zone: id}
	return start(th, Form{
		title: "Note",
		pages: []page{{fields: []field{
			text("Note", &d.Text, needed(session.MaxText, "type the note")).
				helped("What is worth keeping of this visit, in your words. It is logged with the time, and goes on the card."),
			turn("About", &d.Zone, append([]choice[string]{{"the whole service", ""}}, zoneChoices(zones)...)).
				helped("What the note is about: the whole service or one zone."),
		}}},
		submit: func() (intent.Intent, error) {
			return logged("Note added", d), nil
		},
	})
}

// zoneChoices lists zones by name.
func zoneChoices(zones []*session.Zone) []choice[string] {
	out := make([]choice[string], len(zones))
	for i, z := range zones {
		out[i] = choice[string]{z.Name, z.ID}
	}
	return out
}

// otherReason stands for a reason that is to be typed.
const otherReason = -1

// A why is a reason that is picked of a list by one key, or typed.
type why struct {
	list  []string
	pick  int // of the list; otherReason
	typed string
}

// text is the reason in words.
func (w *why) text() string {
	if w.pick >= 0 && w.pick < len(w.list) {
		return w.list[w.pick]
	}
	return strings.TrimSpace(w.typed)
}

// offered are the list's lines, and one for what is typed.
func (w *why) offered() []choice[int] {
	choices := make([]choice[int], 0, len(w.list)+1)
	for i, r := range w.list {
		choices = append(choices, choice[int]{r, i})
	}
	return append(choices, choice[int]{fmt.Sprintf("another reason, typed in %d words or more", safety.ReasonWords), otherReason})
}

// A Passing is what a reason is asked for: the warning's key, what it is about,
// and the reasons that can be picked.
type Passing struct {
	Key, Why string
	Reasons  []string
	Check    func(reason string) error // nil: any text will do
}

// Reason asks why a warning is passed over. The intent logs
// session.WarningAcknowledged with the key, then the commands.
func Reason(th *theme.Theme, p Passing, then []session.Command) *Form {
	w := &why{list: p.Reasons}
	check := func(text string) error {
		if err := needed(session.MaxText, "type the reason")(text); err != nil || p.Check == nil {
			return err
		}
		return p.Check(text)
	}
	var pages []page
	if len(p.Reasons) > 0 {
		pages = append(pages, page{fields: []field{numbered("Reason to go on", &w.pick, w.offered()).
			helped("Press the number of the one that is true. It goes on the record in these words. It makes nothing safer. Esc goes back.")}})
	} else {
		w.pick = otherReason
	}
	pages = append(pages, page{hidden: func() bool { return w.pick != otherReason }, fields: []field{
		text("Reason to go on", &w.typed, check).
			helped("Why you go on as it is, in your own words. It makes nothing safer: it is for whoever reads the record later. Esc goes back."),
	}})
	return start(th, Form{
		title: "Go on all the same?",
		lead:  []string{p.Why + ".", "Esc goes back; there, space does what the top line says. Give a reason only to go on as it is; it goes on the record."},
		pages: pages,
		submit: func() (intent.Intent, error) {
			ack := session.Do(session.WarningAcknowledged{Warning: p.Key, Reason: w.text()})
			return intent.Log{Commands: append([]session.Command{ack}, then...), Say: "Logged with your reason"}, nil
		},
	})
}
