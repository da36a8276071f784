package form

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/session/safety"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// A reactionWord is a line of the list of reactions.
type reactionWord int

// The lines. The first is what the key has logged already.
const (
	burns reactionWord = iota
	itches
	hives
	swells
	breathes
	hivesToo
	eye
	where
)

// Where a sign of an emergency stands, after its word.
const emergencyMark = "EMERGENCY: "

func reactionChoices(open bool) []choice[reactionWord] {
	all := []choice[reactionWord]{
		{"Burns or hurts", burns}, {"Itches or tingles", itches}, {"Hives alone: a raised, itchy rash", hives},
		{emergencyMark + safety.Signs[0], swells}, {emergencyMark + safety.Signs[1], breathes}, {emergencyMark + safety.Signs[2], hivesToo},
		{"Product in the eye", eye},
	}
	if open {
		all = append(all, choice[reactionWord]{"Say where it is, and what it is like", where})
	}
	return all
}

// comesOf says what comes after a choice, before it is made.
var comesOf = [...]string{
	burns:  "All off with cool running water now, 20 minutes or more; then medical help.",
	itches: "All off now; only a mild itch may be looked at again in 3 minutes.",
	hives:  "All off now, rinse, watch, medical advice; the colour work ends.",
	swells: calls, breathes: calls, hivesToo: calls,
	eye:   "Hold it open under running water, 20 minutes. What is on the hair stays on; its limits are shown.",
	where: "",
}

const calls = "Enter shows what to do and whom to call. No walking, not to the basin."

// What is done about an itch.
type itchWord int

const (
	itchOff itchWord = iota
	itchSevere
	itchLook
)

// React asks what the client reacts with, once the key has logged that
// something is wrong. Its intent is intent.React. Why, if it is
// not nil, says why a mild itch can't be looked at again. Open says that what it
// is was chosen before.
func React(th *theme.Theme, zone string, why error, open bool) *Form {
	word, itch := burns, itchOff
	options := []choice[itchWord]{{"Take it off now", itchOff}, {"Severe, or it comes again: take it off, as burning", itchSevere}}
	if why == nil {
		options = append(options, choice[itchWord]{fmt.Sprintf("Mild: look again in %d minutes", int(session.LookAfter/time.Minute)), itchLook})
	}
	return start(th, Form{
		title: "TAKE IT OFF NOW. What is it?",
		does:  "this is it",
		eager: true,
		lead:  []string{"Cool running water first. Choose while it runs; esc leaves it at pain."},
		pages: []page{
			{fields: []field{pick("The client", &word, reactionChoices(open), anything).
				helped("What the client feels or shows. If you can't decide between two of the first six, take the lower one. One sign of an emergency is enough, with or without a rash.")}},
			{fields: []field{pick("The itch", &itch, options, anything).
				helped("Taking it off is always right. A mild, first itch may be looked at again in 3 minutes if no heat was on and no lightener is at the scalp.")},
				hidden: func() bool { return word != itches }},
		},
		live: func() []string {
			if word == itches && why != nil {
				return []string{comesOf[itches], "Not here: " + why.Error() + "."}
			}
			return []string{comesOf[word]}
		},
		submit: func() (intent.Intent, error) {
			d := session.PainReported{}
			switch word {
			case where:
				return intent.Open{Screen: intent.Where, Zone: zone}, nil
			case itches:
				d = session.PainReported{Reaction: session.Itching, Severe: itch == itchSevere, LookAgain: itch == itchLook}
			case hives:
				d.Reaction = session.Hives
			case swells, breathes, hivesToo:
				d.Reaction, d.Text = session.Emergency, safety.Signs[word-swells]
			case eye:
				d.Reaction = session.InEye
			}
			return intent.React{Report: d}, nil
		},
	})
}

// chosen refuses an empty choice.
func chosen[T ~string](what string) func(T) error {
	return func(word T) error {
		if word == "" {
			return errors.New("choose " + what)
		}
		return nil
	}
}

// LookAgain asks whether it still itches. Its intent logs one
// session.ReactionNoted.
func LookAgain(th *theme.Theme, b session.Board, clock session.Clockface) *Form {
	d := session.ReactionNoted{When: session.AskLook, How: session.HowSame}
	lead := "Look at the skin, and ask. Still there, or worse: all off with cool running water now."
	if r := b.Reaction; r != nil && b.Now.Before(r.Until) {
		lead = "Gone can be saved from " + clock(r.Until) + " on. " + lead
	}
	return start(th, Form{
		title: "Does it still itch?",
		lead:  []string{lead},
		eager: true,
		pages: []page{{fields: []field{
			pick("The itch", &d.How, []choice[session.HowWord]{{"Still there: take it off", session.HowSame}, {"Worse: take it off", session.HowWorse}, {"Gone, and the skin is calm", session.HowWell}}, anything).
				helped("What is seen and felt now. Still there or worse is handled as burning, and nothing more of that product touches hair in this visit."),
		}}},
		submit: func() (intent.Intent, error) { return logged("", d), nil },
	})
}

// AskAgain asks how the client is before leaving. Its intent logs one
// session.ReactionNoted.
func AskAgain(th *theme.Theme) *Form {
	d := session.ReactionNoted{When: session.AskLeaving}
	return start(th, Form{
		title: "How is it now?",
		lead:  []string{"Ask before the client leaves, and again the next day: " + session.AskAgain + "."},
		pages: []page{{fields: []field{
			pick("The client is", &d.How, []choice[session.HowWord]{{"choose", ""}, {"well", session.HowWell}, {"the same", session.HowSame}, {"worse: medical help", session.HowWorse}, {"not asked, and why", session.HowGone}}, chosen[session.HowWord]("how the client is")).
				helped("How the skin, the eye or the breath is now, as the client says it. It goes on the card."),
			text("What is seen, who was asked", &d.Note, func(note string) error {
				switch {
				case d.How == session.HowGone && !session.IsReason(note):
					return fmt.Errorf("type why the client could not be asked, in %d words or more", session.ReasonWords)
				case d.How != session.HowWell && strings.TrimSpace(note) == "":
					return errors.New("type how it is, and who was asked")
				}
				return upTo(session.MaxText)(note)
			}).helped("What you see, and who was told what: where to get help, and what to look for next day. May be left empty if the client is well."),
		}}},
		submit: func() (intent.Intent, error) { return logged("how it is now", d), nil },
	})
}

// Later asks what was reported after the visit. Its intent logs one
// session.ReactionNoted.
func Later(th *theme.Theme) *Form {
	d := session.ReactionNoted{When: session.AskLater}
	choices := []choice[session.Reaction]{}
	for _, r := range session.Reactions() {
		label := r.Words()
		if r == session.Emergency {
			label += ": swelling, trouble breathing or faint"
		}
		choices = append(choices, choice[session.Reaction]{label, r})
	}
	return start(th, Form{
		title: "Reported after the visit",
		lead:  []string{"Dye allergy and burns can show hours to days later. Trouble breathing, swelling or faint: call for help first."},
		pages: []page{{fields: []field{
			pick("What it is", &d.Reaction, choices, anything).helped("What the client reports. It goes on the card of that visit."),
			text("What it is like, and since when", &d.Note, needed(session.MaxText, "type what was reported, and when it began")).
				helped("In the words of the client: where, since when, who was asked. It goes on the card of that visit."),
		}}},
		submit: func() (intent.Intent, error) { return logged("what was reported after the visit", d), nil },
	})
}
