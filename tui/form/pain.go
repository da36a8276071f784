package form

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// firstAid is what comes before any typing. Cool running water at once, 20
// minutes or more, medical help: a hospital's first-aid page.
const firstAid = "Cool running water first, 20 minutes or more, then medical help. Type while it runs."

// A Client is one who may hurt.
type Client struct {
	Service, Name string
	On            bool // product is on
}

// WhoHurts asks which client has pain. Its intent is intent.PainOf.
func WhoHurts(th *theme.Theme, clients []Client) *Form {
	who := clients[0].Service
	choices := make([]choice[string], len(clients))
	for i, c := range clients {
		label := c.Name
		if c.On {
			label += ", product is on"
		}
		choices[i] = choice[string]{label, c.Service}
	}
	return start(th, Form{
		title: "Who is in pain, or reacting?",
		does:  "go there, and rinse",
		lead:  []string{"Cool running water first."},
		pages: []page{{fields: []field{pick("Client", &who, choices, anything).
			helped("The client who is in pain, or reacting. Enter goes to that client, where rinsing comes before all else.")}}},
		submit: func() (intent.Intent, error) {
			return intent.PainOf{Service: who}, nil
		},
	})
}

// Where asks where it hurts, once pain or another reaction was reported. Its
// intent logs one more session.PainReported.
func Where(th *theme.Theme, zones []*session.Zone, id string, r session.Reaction) *Form {
	d := session.PainReported{Zone: id, Reaction: r}
	return start(th, Form{
		title: "Where does it hurt?",
		lead:  []string{firstAid},
		pages: []page{{fields: []field{
			text("Where, and what it is like", &d.Text, needed(session.MaxText, "type where it hurts")).
				helped("Where on the head it hurts or burns, since when, and how much, in the words of the client. It goes on the record."),
			turn("Zone", &d.Zone, append([]choice[string]{{"not said", ""}}, zoneChoices(zones)...)).
				helped("The zone where it hurts, if it is one zone."),
		}}},
		submit: func() (intent.Intent, error) { return logged("where it hurts", d), nil },
	})
}

// What is decided after pain.
const (
	workGoesOn = "the work goes on"
	workEnds   = "the colour work ends here"
)

// Found asks what was found and decided after pain, and if cool water has not
// run for 20 minutes, why it is done before that. Its intent logs one
// session.PainCleared.
func Found(th *theme.Theme, b session.Board, clock session.Clockface) *Form {
	d, decided := session.PainCleared{}, ""
	lead := []string{"The work goes on, or ends, only after this. It goes on the record."}
	water, mayGoOn := "cool water", true
	if r := b.Reaction; r != nil {
		mayGoOn = r.Reaction != session.Hives && r.Reaction != session.Emergency
		if r.Reaction == session.InEye {
			water = "water over the eye"
			lead = append(lead, "Eye care next: take the container, and say the minutes rinsed.")
		}
	}
	fields := []field{
		text("What the skin looks like, who was asked", &d.Note, needed(session.MaxText, "type what was found")).
			helped("What you see (red, swollen, blisters) and who was asked (doctor, first aid). It goes on the record. If you are not sure, ask before any work goes on."),
	}
	if left := b.Next.From.Sub(b.Now); (b.Next.Verb == session.DoCool || b.Next.Verb == session.DoEye) && left > 0 {
		fields = append(fields, text("Why before 20 minutes of "+water, &d.Early, early).
			helped(fmt.Sprintf("Water that runs on is better. If it ends sooner, type why, in %d words or more; it goes on the record.", session.ReasonWords)))
		lead = append(lead, fmt.Sprintf("%s has not run for 20 minutes yet: it is to run until %s, %d min more.",
			strings.ToUpper(water[:1])+water[1:], clock(b.Next.From), int((left+time.Minute-1)/time.Minute)))
	}
	decisions := words("choose", workGoesOn, workEnds)
	if !mayGoOn {
		decisions = words("choose", workEnds)
		lead = append(lead, "Nothing more is put on in this visit.")
	}
	fields = append(fields, choose("What was decided", &decided, decisions, func(word string) error {
		if word == "" {
			return errors.New("choose by right whether the work goes on or ends here")
		}
		return nil
	}, true).helped("Whether colour work goes on at all. If it ends here, nothing is mixed or put on any more in this service."))
	return start(th, Form{
		title: "What was found?",
		lead:  lead,
		pages: []page{{fields: fields}},
		live: func() []string {
			if decided == workEnds {
				return []string{"Nothing is mixed or put on any more in this service; drying and what else is planned goes on."}
			}
			return nil
		},
		submit: func() (intent.Intent, error) {
			d.GoesOn = decided == workGoesOn
			return logged("what was found", d), nil
		},
	})
}

// early checks a reason to clear pain before its time.
func early(text string) error {
	if !session.IsReason(text) {
		return fmt.Errorf("let the water run, or type why it ends before 20 minutes, in %d words or more", session.ReasonWords)
	}
	return upTo(session.MaxText)(text)
}
