package form

import (
	"fmt"
	"time"

	"rinseby/session"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// firstAid is what comes before any typing. Cool running water at once, 20
// minutes or more, medical help: a hospital's first-aid page.
const firstAid = "Cool running water first, 20 minutes or more, then medical help. Type while it runs."

// Where asks where it hurts, once pain was reported. Its intent logs one more
// session.PainReported.
func Where(th *theme.Theme, zones []*session.Zone, id string) *Form {
	d := session.PainReported{Zone: id}
	return start(th, Form{
		title: "Where does it hurt?",
		lead:  []string{firstAid},
		pages: []page{{fields: []field{
			text("Where, and what it is like", &d.Text, needed(session.MaxText, "type where it hurts")),
			turn("Zone", &d.Zone, append([]choice[string]{{"not said", ""}}, zoneChoices(zones)...)),
		}}},
		submit: func() (intent.Intent, error) { return logged("where it hurts", d), nil },
	})
}

// Found asks what was found and decided after pain. Its intent logs one
// session.PainCleared.
func Found(th *theme.Theme, b session.Board, clock session.Clockface) *Form {
	d := session.PainCleared{}
	lead := []string{"The work goes on, or ends, only after this. It goes on the record."}
	if left := b.Next.From.Sub(b.Now); b.Next.Verb == session.DoCool && left > 0 {
		lead = append(lead, fmt.Sprintf("Cool water has not run for 20 minutes yet: it is to run until %s, %d min more.",
			clock(b.Next.From), int((left+time.Minute-1)/time.Minute)))
	}
	return start(th, Form{
		title: "What was found?",
		lead:  lead,
		pages: []page{{fields: []field{
			text("What the skin looks like, who was asked, what was decided", &d.Note, needed(session.MaxText, "type what was found and decided")),
		}}},
		submit: func() (intent.Intent, error) { return logged("what was found", d), nil },
	})
}
