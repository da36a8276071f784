package form

import (
	"rinseby/session/replay"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// Ask puts a question of a replay. The lead is what is known at its moment. Its
// intent is intent.Answer.
func Ask(th *theme.Theme, q replay.Question, lead []string) *Form {
	chosen := 0
	choices := make([]choice[int], len(q.Options))
	for i, o := range q.Options {
		choices[i] = choice[int]{o.Text, i}
	}
	return start(th, Form{
		title: "Replay: you are asked",
		does:  "answer",
		lead:  lead,
		pages: []page{{fields: []field{pick(q.Text, &chosen, choices, anything).
			helped("What you would answer at this moment. Choose one line; what was done or seen in the service is told after it. Nothing is logged.")}}},
		submit: func() (intent.Intent, error) {
			return intent.Answer{Option: chosen}, nil
		},
	})
}
