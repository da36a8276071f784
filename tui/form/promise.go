package form

import (
	"cmp"
	"errors"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// A Promise is what is known of when the client is out of the chair. Its moments
// are as the clock on the wall shows them.
type Promise struct {
	Said  string    // all that was promised, in words; empty for nothing
	By    time.Time // what is promised now; zero for nothing
	End   string    // what the forecast says, in words; empty if there is none
	Offer time.Time // a time that the forecast lets one promise; zero if there is none
}

// noPromise is typed where nothing is promised any more.
const noPromise = "none"

// NewPromise asks for another time that the client is promised, at the moment now.
// What the forecast lets one promise is offered, else what is promised already.
// Its intent logs one session.PromiseChanged.
func NewPromise(th *theme.Theme, p Promise, now time.Time) *Form {
	p.By = told(p.By)
	a := &promiseForm{p: p, now: now, from: p.By}
	if p.By.IsZero() {
		a.from = now
	}
	for _, t := range []time.Time{p.By, p.Offer} {
		if t.After(now) {
			a.until = t.Format("15:04")
		}
	}
	lead := []string{"Promised: " + cmp.Or(p.Said, "nothing yet") + "."}
	if p.End != "" {
		lead = append(lead, "By the forecast "+p.End+".")
	}
	return start(th, Form{
		title: "Promise another time",
		lead:  lead,
		pages: []page{{fields: []field{
			text("Out of the chair by, as 16:30 or +20 (minutes), or none", &a.until, a.check).
				helped("When the client is to be out of the chair: a time of day, as 16:30 or 1630; +20 is 20 min after what is promised, or from now. Type none where nothing is promised any more."),
			text("Who was told, and why", &a.told, upTo(session.MaxText)).
				helped("Who knows of it: the client, the front desk; and why it changed. It stands on the card. May be left empty if the time is another one."),
		}}},
		live:   a.say,
		submit: a.submit,
	})
}

// told is a promise without the little that clocks drifted from a full minute.
func told(by time.Time) time.Time {
	if full := by.Round(time.Minute); session.SamePromise(full, by) {
		return full
	}
	return by
}

// promiseForm is what was typed of another promise.
type promiseForm struct {
	p           Promise
	now, from   time.Time
	until, told string
}

// time is the time that was typed; zero for none.
func (a *promiseForm) time() (time.Time, error) {
	switch typed := strings.TrimSpace(a.until); {
	case strings.EqualFold(typed, noPromise):
		return time.Time{}, nil
	case strings.Trim(typed, "-") == "":
		return time.Time{}, errors.New("type a time, as 16:30; or " + noPromise + ", if nothing is promised any more")
	case !a.p.By.IsZero() && typed == a.p.By.Format("15:04") && a.p.By.After(a.now):
		return a.p.By, nil // to the second
	default:
		return promised(typed, a.now, a.from)
	}
}

func (a *promiseForm) check(string) error {
	_, err := a.time()
	return err
}

// say tells what it comes to.
func (a *promiseForm) say() []string {
	t, err := a.time()
	switch {
	case err != nil:
		return nil
	case t.IsZero():
		return []string{"Nothing will be promised any more"}
	case t.Equal(a.p.By):
		return []string{"Still promised for " + t.Format("15:04") + ", in " + span(t.Sub(a.now))}
	}
	line := "Promised for " + t.Format("15:04") + ", in " + span(t.Sub(a.now))
	switch d := t.Sub(a.p.By); {
	case a.p.By.IsZero():
	case d > 0:
		line += ", " + span(d) + " later than promised so far"
	default:
		line += ", " + span(-d) + " earlier than promised so far"
	}
	return []string{line}
}

func (a *promiseForm) submit() (intent.Intent, error) {
	t, err := a.time()
	if err != nil {
		return nil, err
	}
	d, say := session.PromiseChanged{Told: strings.TrimSpace(a.told)}, "nothing is promised any more"
	if !t.IsZero() {
		d.Promised, say = &t, "promised for "+t.Format("15:04")
	}
	if t.Equal(a.p.By) && d.Told != "" {
		say = "told: " + d.Told
	}
	return logged(say, d), nil
}
