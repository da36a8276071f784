package form

import (
	"errors"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// JumpTo asks a replay for the moment to go to, by the wall clock or counted
// from the start. At is the moment that is shown, from and to are the ends, all
// on the service's time line; wall is what the clock shows at the moment at.
// Its intent is intent.Seek.
func JumpTo(th *theme.Theme, at, from, to, wall time.Time) *Form {
	typed := ""
	opened, ended := wall.Add(from.Sub(at)), wall.Add(to.Sub(at))
	target := func() (time.Time, error) {
		t := strings.TrimSpace(typed)
		if strings.HasPrefix(t, "+") {
			d, err := duration(strings.TrimPrefix(t, "+"))
			return from.Add(d), err
		}
		clock, err := onDay(t, opened)
		if err != nil {
			return time.Time{}, errors.New("type a time of day, as " + opened.Format("15:04") + ", or the time from the start, as +45 or +1:30")
		}
		if clock.Before(opened.Truncate(time.Minute)) { // past midnight
			clock = clock.AddDate(0, 0, 1)
		}
		return from.Add(clock.Sub(opened)), nil
	}
	return start(th, Form{
		title: "Replay: go to a time",
		does:  "go there",
		lead:  []string{"The log goes from " + opened.Format("15:04:05") + " to " + ended.Format("15:04:05") + "."},
		pages: []page{{fields: []field{text("Time of day, as "+wall.Format("15:04")+", or from the start, as +45 (minutes) or +1:30", &typed, func(string) error {
			_, err := target()
			return err
		}).helped("The moment of the service to show: a time of day, as the clock had it then, or the time since it was opened, after a +: +45 is minutes, +1:30 hours and minutes.")}}},
		live: func() []string {
			to, err := target()
			if err != nil {
				return nil
			}
			return []string{"To " + wall.Add(to.Sub(at)).Format("15:04:05")}
		},
		submit: func() (intent.Intent, error) {
			to, err := target()
			return intent.Seek{At: to}, err
		},
	})
}

// NewMark asks for a note on the moment of a replay, which the clock says. Its
// intent is intent.Mark.
func NewMark(th *theme.Theme, clock string) *Form {
	note := ""
	return start(th, Form{
		title: "Replay: mark " + clock,
		lead:  []string{"Marks and notes are kept beside the log, never in it."},
		pages: []page{{fields: []field{text("Note, if any", &note, upTo(session.MaxText)).
			helped("Why this moment matters, in your words; may be left empty. It is kept beside the log, and the list of marks shows it.")}}},
		submit: func() (intent.Intent, error) {
			return intent.Mark{Text: note}, nil
		},
	})
}

// A Place is a moment of a replay to go to.
type Place struct {
	At    time.Time
	Label string
}

// PickPlace asks which of some moments of a replay to go to. Its intent is
// intent.Seek.
func PickPlace(th *theme.Theme, title, question string, places []Place) *Form {
	chosen := 0
	choices := make([]choice[int], len(places))
	for i, p := range places {
		choices[i] = choice[int]{p.Label, i}
	}
	return start(th, Form{
		title: "Replay: " + title,
		does:  "go there",
		pages: []page{{fields: []field{pick(question, &chosen, choices, anything).
			helped("A moment of the service. Enter shows the chair as it was then.")}}},
		submit: func() (intent.Intent, error) {
			if len(places) == 0 {
				return intent.Back{}, nil
			}
			return intent.Seek{At: places[chosen].At}, nil
		},
	})
}
