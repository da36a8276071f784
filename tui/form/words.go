package form

import (
	"rinseby/session"
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

// Reason asks why a warning is passed over. Why says what it is about. The
// intent logs session.WarningAcknowledged with the key, then the commands.
func Reason(th *theme.Theme, key, why string, then []session.Command) *Form {
	reason := ""
	return start(th, Form{
		title: "Go on all the same?",
		lead:  []string{why + ".", "Esc goes back, where space does what the top line says. A reason is for going on as it is; it goes on the record."},
		pages: []page{{fields: []field{
			text("Reason to go on", &reason, needed(session.MaxText, "type the reason")).
				helped("Why you go on as it is, in your words. Nothing is made safer by it: it stands on the record for whoever reads it later. Esc goes back."),
		}}},
		submit: func() (intent.Intent, error) {
			ack := session.Do(session.WarningAcknowledged{Warning: key, Reason: reason})
			return intent.Log{Commands: append([]session.Command{ack}, then...), Say: "Logged with your reason"}, nil
		},
	})
}
