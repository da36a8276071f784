package form

import (
	"time"

	"rinseby/session"
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
// are offered. Promised is within a day after now.
func NewService(th *theme.Theme, usual Answers, lists []ZoneList, now time.Time, submit func(Answers) intent.Intent) *Form {
	a, until := usual, ""
	zones := []choice[string]{{"none: plan the zones at the chair", ""}}
	for _, l := range lists {
		label := l.Name
		if l.Description != "" {
			label += ": " + l.Description
		}
		zones = append(zones, choice[string]{label, l.Name})
	}
	end := optional(func(text string) error {
		_, err := promised(text, now)
		return err
	})
	return start(th, Form{
		title: "New service",
		pages: []page{{fields: []field{
			text("Client", &a.Client, name("what you call the client")),
			text("Stylist", &a.Stylist, upTo(session.MaxName)),
			text("Station", &a.Station, upTo(session.MaxName)),
			text("Promised to be done, as 13:30 or +3h", &until, end),
		}}, {fields: []field{
			pick("Zones to start from", &a.ZoneList, zones, anything),
		}}},
		live: func() []string {
			t, err := promised(until, now)
			if err != nil {
				return nil
			}
			return []string{"Promised for " + t.Format("15:04") + ", in " + span(t.Sub(now))}
		},
		submit: func() (intent.Intent, error) {
			a.Promised = time.Time{}
			if end(until) == nil && until != "" {
				a.Promised, _ = promised(until, now) // just checked
			}
			return submit(a), nil
		},
	})
}
