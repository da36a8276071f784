package form

import (
	"errors"
	"slices"

	"rinseby/session"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// Helper asks who comes to help or leaves. Its intent logs one
// session.HelperJoined or session.HelperLeft.
func Helper(th *theme.Theme, here []session.Helper) *Form {
	leaves, joins := -1, ""
	choices := []choice[int]{{"somebody comes to help", -1}}
	for i, h := range here {
		choices = append(choices, choice[int]{h.Name + " leaves", i})
	}
	return start(th, Form{
		title: "Second pair of hands",
		pages: []page{
			{fields: []field{pick("Who", &leaves, choices, anything).
				helped("Who comes to help, or leaves. With more hands the plan and the end time reckon with more done at once.")}},
			{hidden: func() bool { return leaves >= 0 }, fields: []field{text("Name", &joins, func(t string) error {
				if slices.ContainsFunc(here, func(h session.Helper) bool { return h.Name == t }) {
					return errors.New("somebody of this name is helping already: type another")
				}
				return name("the helper's name")(t)
			}).helped("What the helper is called. You choose this name when the helper leaves.")}},
		},
		submit: func() (intent.Intent, error) {
			if leaves >= 0 {
				n := here[leaves].Name
				return logged(n+" has left", session.HelperLeft{Name: n}), nil
			}
			return logged(joins+" helps", session.HelperJoined{Name: joins}), nil
		},
	})
}

// newStep stands for a step that is to be typed.
const newStep = -1

// Steps asks which hands-on part begins or ends, or whether a pause does. Its
// intent logs one of session.StepBegan, StepEnded, PauseBegan and PauseEnded.
func Steps(th *theme.Theme, s *session.State) *Form {
	type option struct {
		label string
		data  session.Data
	}
	var offered []option
	for _, st := range s.Steps {
		switch {
		case st.Running():
			offered = slices.Insert(offered, 0, option{"end: " + st.Name, session.StepEnded{Step: st.Name}})
		case st.Done():
			offered = append(offered, option{"begin again: " + st.Name, session.StepBegan{Step: st.Name}})
		default:
			offered = append(offered, option{"begin: " + st.Name, session.StepBegan{Step: st.Name}})
		}
	}
	if s.Paused() {
		offered = slices.Insert(offered, 0, option{"end the pause", session.PauseEnded{}})
	} else {
		offered = append(offered, option{"begin a pause: hands stop, the product works on", session.PauseBegan{}})
	}
	var choices []choice[int]
	for i, o := range offered {
		choices = append(choices, choice[int]{o.label, i})
	}
	choices = append(choices, choice[int]{"begin another step: type it", newStep})
	chosen, typed := 0, ""
	return start(th, Form{
		title: "Steps and pauses",
		pages: []page{
			{fields: []field{pick("What", &chosen, choices, anything).
				helped("A step is hands-on work that is no mixing, placing or rinsing: drying, cut, finish. Say which begins or ends. In a pause hands stop, product works on.")}},
			{hidden: func() bool { return chosen != newStep }, fields: []field{text("Step", &typed, name("what it is called")).
				helped("What the hands do now that is no mixing, placing or rinsing, as blow-dry. Its usual time is learned by this name.")}},
		},
		submit: func() (intent.Intent, error) {
			if chosen == newStep {
				return logged("Begin: "+typed, session.StepBegan{Step: typed}), nil
			}
			o := offered[chosen]
			return logged("Logged: "+o.label, o.data), nil
		},
	})
}
