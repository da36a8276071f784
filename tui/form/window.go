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
// none.
func Window(th *theme.Theme, q formula.Query, row *formula.Row) *Form {
	opens, limit, basis := "", "", typed
	lead := []string{q.String() + "."}
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
	pages = append(pages, page{hidden: func() bool { return basis != typed }, fields: []field{
		text("Must be off after, minutes", &limit, between(1, maxLimit)).
			helped(fmt.Sprintf("The limit: the longest that the product may be on this hair, from first contact, as its instructions say: minutes from 1 to %d. If they are unclear, take the shorter time.", maxLimit)),
		text("Opens after, minutes: worth looking from then on", &opens, func(t string) error {
			return opensCheck(t, limit)
		}).helped(fmt.Sprintf("Opens: from when on the product can be light enough to come off, so that a look is worth while: minutes from 0 to %d, no later than the limit. 0 if the instructions do not say.", maxLimit)),
	}})
	return start(th, Form{
		title: "How long it may work",
		lead:  lead,
		pages: pages,
		submit: func() (intent.Intent, error) {
			d := session.WindowConfirmed{Basis: session.BasisStarter}
			if basis == typed {
				d = session.WindowConfirmed{Row: typedRow(q, opens, limit), Basis: session.BasisInstructions}
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

// serving reports whether the row can be used for the query.
func serving(row *formula.Row, q formula.Query) (formula.Row, bool) {
	if row == nil {
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
