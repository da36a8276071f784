package form

import (
	"rinseby/session"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// Finish asks how the service went before it is closed. Its intent logs one
// session.ServiceClosed.
func Finish(th *theme.Theme) *Form {
	outcome := ""
	return start(th, Form{
		title: "Finish the service",
		lead:  []string{"The card is made, and the service leaves the list of live ones. It can be taken back here by u until you leave."},
		pages: []page{{fields: []field{
			text("How it went, for the next visit (may be left empty)", &outcome, upTo(session.MaxText)).
				helped("How it came out and what to do otherwise next time, in your words. It goes on the card, and the next visit of the client shows it."),
		}}},
		submit: func() (intent.Intent, error) {
			return logged("service closed", session.ServiceClosed{Outcome: outcome}), nil
		},
	})
}
