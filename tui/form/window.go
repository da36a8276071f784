package form

import (
	"errors"
	"fmt"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/timing"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// typedOrigin is the origin of a row that was typed at the chair.
const typedOrigin = "product instructions, typed by the user"

// maxLimit bounds a limit, in minutes, as the rules of a service do.
const maxLimit = 360

// Window asks how long the product of the query may work: whether the row of
// the catalogue, which may be nil, is to be used, or the minutes of the
// product's instructions. Nothing is filled in without a row. Its intent logs
// one session.WindowConfirmed. A row that does not serve the query counts as
// none. Why, which is said first, tells what else is missing. Lightener that is
// stronger than the catalogue has for the scalp takes the word of the
// instructions besides the minutes.
func Window(th *theme.Theme, q formula.Query, row *formula.Row, why ...string) *Form {
	opens, limit, basis, scalp := "", "", typed, unsaid
	var lead []string
	for _, w := range why {
		if w != "" {
			lead = append(lead, w+".")
		}
	}
	lead = append(lead, q.String()+".")
	asks := asksScalp(q, row)
	if asks {
		row = nil
		if len(why) == 0 {
			lead = append(lead, "That is stronger than the catalogue has for the scalp.")
		}
	}
	var pages []page
	if _, serves := serving(row, q); serves {
		basis = unsaid
		lead = append(lead,
			fmt.Sprintf("The catalogue has: opens after %s, off by %s at the latest.", minutes(row.Window.Opens), minutes(row.Window.Limit)),
			"Where that is from: "+row.Origin+".")
		if row.ForStronger(q.Strength) {
			lead = append(lead, fmt.Sprintf("It is the limit for %s, since none is known for %s: the next stronger one rules.", formula.Label(row.Strength), formula.Label(q.Strength)))
		}
		pages = []page{{fields: []field{
			pick("How long may it work?", &basis, []choice[string]{
				{"not said yet", unsaid},
				{"as the catalogue says: I have checked it against the product's instructions", checked},
				{"as my product's instructions say: I type the minutes", typed},
			}, some("say which: nothing is taken as checked by itself")).
				helped("The limit is when the product must be off, counted from its first contact with hair. A figure of the catalogue counts only once you have held it against the instructions of the product in your hand."),
		}}}
	} else {
		lead = append(lead, "No limit is known for it. Type the minutes of the product's instructions.")
	}
	fields := []field{
		text("Must be off after, minutes", &limit, between(1, maxLimit)).
			helped(fmt.Sprintf("The limit: the longest that the product may be on this hair, from first contact, as its instructions say: minutes from 1 to %d. If they are unclear, take the shorter time.", maxLimit)),
		text("Opens after, minutes: worth looking from then on", &opens, func(t string) error {
			return opensCheck(t, limit)
		}).helped(fmt.Sprintf("Opens: from when on the product can be light enough to come off, so that a look is worth while: minutes from 0 to %d, no later than the limit. 0 if the instructions do not say.", maxLimit)),
	}
	if asks {
		fields = append(fields, scalpField(&scalp))
	}
	pages = append(pages, page{hidden: func() bool { return basis != typed }, fields: fields})
	return start(th, Form{
		title: "How long it may work",
		lead:  lead,
		pages: pages,
		submit: func() (intent.Intent, error) {
			d := session.WindowConfirmed{Basis: session.BasisStarter}
			if basis == typed {
				d = session.WindowConfirmed{Row: typedRow(q, opens, limit), Basis: session.BasisInstructions, ScalpAllowed: asks}
			} else {
				d.Row = *row
			}
			return logged("Off after "+minutes(d.Row.Window.Limit), d), nil
		},
	})
}

// What a limit is to rest on.
const (
	unsaid  = ""
	checked = "checked"
	typed   = "typed"
)

// Whether the instructions allow it on the scalp.
const (
	allowed    = "allowed"
	notAllowed = "not allowed"
)

// asksScalp reports whether the instructions have to allow it on the scalp: the
// catalogue, whose row may be nil, does not name the scalp for it.
func asksScalp(q formula.Query, row *formula.Row) bool {
	r, serves := serving(row, q)
	return (&session.State{}).NeedsScalpWord(q) && !(serves && r.Contact == formula.OnScalp)
}

func scalpField(value *string) field {
	return choose("Do the instructions allow it on the scalp at this strength?", value, []choice[string]{
		{"not said yet", unsaid}, {"yes, they say so", allowed}, {"no, or they don't say", notAllowed},
	}, func(said string) error {
		switch said {
		case allowed:
			return nil
		case notAllowed:
			return errors.New("then it is not for the scalp: leave with esc, and plan it off the scalp, or weaker")
		}
		return errors.New("choose with left and right: the minutes alone don't say")
	}, true).helped("Lightener on the skin burns sooner the stronger it is. This is stronger than the catalogue has for the scalp, so it goes there only if its own instructions say that it may. If they don't say, it may not.")
}

// serving reports whether the row can be used for the query. Under heat,
// lightener takes a row that names heat.
func serving(row *formula.Row, q formula.Query) (formula.Row, bool) {
	if row == nil || (q.Heat && q.Kind.Action() == formula.Lighten && row.Heat != formula.WithHeat) {
		return formula.Row{}, false
	}
	return formula.Match([]formula.Row{*row}, q)
}

// opensCheck checks minutes against those of the limit.
func opensCheck(opens, limit string) error {
	o, err := number(opens, 0, maxLimit)
	if err != nil {
		return err
	}
	if l, err := number(limit, 1, maxLimit); err == nil && o > l {
		return errors.New("that is after it must be off: type fewer minutes")
	}
	return nil
}

// typedRow is a row of the user's that serves the query and no other hair.
func typedRow(q formula.Query, opens, limit string) formula.Row {
	r := formula.Row{
		Product: q.Product, Kind: q.Kind, Strength: q.Strength, Contact: q.Contact, Condition: q.Condition,
		Heat: formula.NoHeat, Origin: typedOrigin,
		Window: timing.Window{Opens: fromMinutes(orZero(opens)), Limit: fromMinutes(orZero(limit))},
	}
	if q.Heat {
		r.Heat = formula.WithHeat
	}
	return r
}

func fromMinutes(m float64) time.Duration {
	return time.Duration(m * float64(time.Minute)).Round(time.Second)
}

func minutes(d time.Duration) string { return plain(d.Minutes()) + " min" }
