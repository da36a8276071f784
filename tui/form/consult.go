package form

import (
	"fmt"
	"slices"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// cautions are what every consultation starts from. How early and how
// often a skin test is made differs by region. Not on broken skin: label texts
// as a Finnish authority sums them up.
var cautions = []string{
	"The product's instructions and your training come first. Skin test as early and as often as your region's rules and the product's instructions say. Broken or sore scalp: do not start.",
}

// undertones are the stages of lightening (secondary pages).
var undertones = []string{"black", "brown", "red", "red-gold", "gold", "yellow", "pale yellow"}

const (
	undertoneHelp = "The warm colour that shows in lightened hair: red in dark hair, then red-gold, gold, yellow, and pale yellow in the lightest."

	conditionHelp = "What was done to it: natural, coloured, lightened, or sensitive (weak). Which limit counts depends on it, so choose the worst that you see."
	rootHelp      = "The roots are the regrowth, next to the scalp. " + conditionHelp
)

// undertone asks for an undertone; one that is none of the usual words is
// offered if it was noted before.
func undertone(name string, value *string) field {
	offered := words("not noted", undertones...)
	for _, c := range offered {
		if c.value == *value {
			return turn(name, value, offered)
		}
	}
	return turn(name, value, append(offered, choice[string]{*value, *value}))
}

// A LastVisit is what is known of the client's last visit. The zero LastVisit
// knows of none.
type LastVisit struct {
	Since time.Duration              // how long ago it was
	Noted *session.ConsultationNoted // nil if nothing was
}

// offer is what may well be as it was: not the condition of the hair and its
// regrowth, which are to be looked at anew.
func (l LastVisit) offer() session.ConsultationNoted {
	if l.Noted == nil {
		return session.ConsultationNoted{}
	}
	d := *l.Noted
	d.Conditions, d.RegrowthMM, d.Scalp, d.Note = nil, 0, "", ""
	return d
}

// Consult asks for the consultation, offering what was noted before, which
// may be nil, else what the last visit knew. The scalp is asked about once,
// among the safety questions. The regrowth to be expected is told from how long
// ago the last visit was. Its intent logs one session.ConsultationNoted.
func Consult(th *theme.Theme, before *session.ConsultationNoted, last LastVisit) *Form {
	d, lead := last.offer(), append(slices.Clone(cautions), regrowthLines(last.Since)...)
	if before != nil {
		d = *before
	} else if last.Noted != nil {
		lead = append(lead, "What is filled in is from that visit: change what is different today.")
	}
	if d.Scale == 0 {
		d.Scale = session.DepthScale
	}
	natural, grey, regrowth := given(d.NaturalDepth), given(d.GreyPercent), given(d.RegrowthMM)
	target, length := given(d.TargetDepth), given(d.LengthMM)
	conditions := map[session.Band]*formula.Condition{}
	for _, b := range session.Bands {
		c := d.Conditions[b]
		conditions[b] = &c
	}
	depth := optional(between(1, float64(d.Scale)))
	hair := words("not noted", formula.Conditions()...)
	top := plain(float64(d.Scale))
	return start(th, Form{
		title: "Consultation",
		lead:  lead,
		pages: []page{{fields: []field{
			text("Natural depth, 1 (black) to "+top+" (lightest blond)", &natural, depth).
				helped("How light the hair is by nature, seen at the regrowth: from 1 (black) to " + top + " (lightest blond), halves as 6.5. What lift is to be expected starts from it."),
			undertone("Undertone", &d.Undertone).
				helped(undertoneHelp),
			text("Grey, % of the hair", &grey, optional(between(0, 100))).
				helped("How much of the hair is grey or white: from 0 to 100 %, by eye. For the card; nothing is computed from it."),
		}}, {fields: []field{
			text("Regrowth, mm", &regrowth, optional(between(0, 1000))).
				helped("Regrowth is the natural hair that has grown out since the last colour. Measure it from the scalp: from 0 to 1000 mm. How much product the roots need is worked out from it."),
			text("Length: short, medium, long, or mm", &length, optional(lengthText)).
				helped(fmt.Sprintf("How long the hair is: short, medium or long, or a length in mm, at most %d. Grams to mix are worked out from it.", formula.MaxLength)),
			turn("Hair: fine, medium or thick", &d.Density, words("not noted", formula.Densities()...)).
				helped("How much hair there is to coat. Thick hair takes more product: grams to mix are worked out from it."),
			turn("Hair at the roots", conditions[session.Root], hair).
				helped(rootHelp),
			turn("Hair at the mid-lengths", conditions[session.Mid], hair).
				helped("The mid-lengths lie between regrowth and ends. " + conditionHelp),
			turn("Hair at the ends", conditions[session.End], hair).
				helped("The ends are the oldest hair. " + conditionHelp),
		}}, {fields: []field{
			text("History: colour, lightener, henna, salts, medicine", &d.History, upTo(session.MaxText)).
				helped("What was done to the hair and when, home colour too, and medicine, in your words. It goes on the card; the safety questions (y) ask about what is dangerous."),
			text("Target depth, 1 to "+top, &target, depth).
				helped("How light it is to become: from 1 to " + top + ". With it, a check of a zone tells whether that depth comes before the limit; without it, it can't."),
			text("Target tone", &d.TargetTone, upTo(session.MaxName)).
				helped("The shade that is wanted once it is toned, in your words, as cool beige. For the card and the toner."),
			text("Note", &d.Note, upTo(session.MaxText)).
				helped("Anything else that the next visit should know. It goes on the card."),
		}}},
		submit: func() (intent.Intent, error) {
			d.NaturalDepth, d.TargetDepth = orZero(natural), orZero(target)
			d.GreyPercent, d.RegrowthMM = orZero(grey), orZero(regrowth)
			d.LengthMM, _ = formula.ParseLength(length) // checked as it was typed; 0 if empty
			d.Conditions = nil
			for b, c := range conditions {
				if *c != formula.AnyCondition {
					if d.Conditions == nil {
						d.Conditions = map[session.Band]formula.Condition{}
					}
					d.Conditions[b] = *c
				}
			}
			return logged("Consultation noted", d), nil
		},
	})
}

func lengthText(text string) error {
	_, err := formula.ParseLength(text)
	return err
}

// regrowthLines tells what regrowth is to be expected so long after the last
// visit.
func regrowthLines(since time.Duration) []string {
	days := since.Hours() / 24
	mm, err := formula.AnyGrowth().After(days)
	if err != nil || days < 1 {
		return nil
	}
	return []string{fmt.Sprintf("Last visit %.0f weeks ago: %.0f to %.0f mm of regrowth are to be expected; measure it.", days/7, mm.Low, mm.High)}
}
