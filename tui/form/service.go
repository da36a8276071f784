package form

import (
	"time"

	"rinseby/session"
	"rinseby/tui/clean"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// Answers is what a new service is opened with.
type Answers struct {
	Client   string
	Stylist  string
	Station  string
	ZoneList string    // name of one of the lists that were offered; empty for none
	Promised time.Time // zero if nothing was promised
}

// A ZoneList is a list of zones that a service can start from.
type ZoneList struct{ Name, Description string }

// NewService asks for what a new service is opened with. The texts of usual
// are offered. Promised is within a day after now. Known, which may be nil,
// tells what is known of a client; empty is nothing.
func NewService(th *theme.Theme, usual Answers, lists []ZoneList, known func(client string) string, now time.Time, submit func(Answers) intent.Intent) *Form {
	a, until := usual, ""
	zones := listChoices(lists)
	end := optional(func(text string) error {
		_, err := promised(text, now, now)
		return err
	})
	return start(th, Form{
		title: "New service",
		pages: []page{{fields: []field{
			text("Client", &a.Client, name("what you call the client")).
				helped("What you call the client, as Tove A. Earlier visits are found by this name, so write it the same each time. It stands on the card."),
			text("Stylist", &a.Stylist, upTo(session.MaxName)).
				helped("Whose hands do the work. Usual minutes per piece are learned for each stylist apart, so write the name the same each time. May be left empty."),
			text("Station", &a.Station, upTo(session.MaxName)).
				helped("The chair or place, as 2 or window. It tells services apart where several are live. May be left empty."),
			text("Promised to be done, as 13:30 or +3h", &until, end).
				helped("When the client was told to be out of the chair: a time of day, as 13:30, or from now, as +3h, within a day. It is held against the forecast; no limit is changed by it. May be left empty."),
		}}, {fields: []field{
			pick("Zones to start from", &a.ZoneList, zones, anything).
				helped(zoneListHelp),
		}}},
		live: func() []string {
			var lines []string
			if known != nil {
				if text := known(a.Client); text != "" {
					lines = append(lines, clean.Text(text))
				}
			}
			t, err := promised(until, now, now)
			if err != nil {
				return lines
			}
			return append(lines, "Promised for "+t.Format("15:04")+", in "+span(t.Sub(now)))
		},
		submit: func() (intent.Intent, error) {
			a.Promised = time.Time{}
			if end(until) == nil && until != "" {
				a.Promised, _ = promised(until, now, now) // just checked
			}
			return submit(a), nil
		},
	})
}

// PickList asks which zone list a service is planned from. The intent is what
// submit makes of its name.
func PickList(th *theme.Theme, lists []ZoneList, submit func(name string) (intent.Intent, error)) *Form {
	name := ""
	if len(lists) > 0 {
		name = lists[0].Name
	}
	return start(th, Form{
		title: "Plan the zones",
		pages: []page{{fields: []field{pick("Zones to start from", &name, listChoices(lists), anything).
			helped(zoneListHelp)}}},
		submit: func() (intent.Intent, error) { return submit(name) },
	})
}

const zoneListHelp = "A zone list says what is worked on, in which order: zones (parts of the head), pieces, products, strengths, steps. It only fills in the plan: all of it can be changed (z)."

func listChoices(lists []ZoneList) []choice[string] {
	choices := make([]choice[string], 0, len(lists))
	for _, l := range lists {
		label := l.Name
		if l.Description != "" {
			label += ": " + l.Description
		}
		choices = append(choices, choice[string]{label, l.Name})
	}
	return choices
}
