package form

import (
	"errors"
	"fmt"
	"time"

	"rinseby/session"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// Earlier asks how long ago it was what is logged next. Its intent is
// intent.Late.
func Earlier(th *theme.Theme, now time.Time) *Form {
	when := ""
	return start(th, Form{
		title: "It happened earlier",
		lead:  []string{"What you log next counts from then."},
		pages: []page{{fields: []field{
			text("Minutes ago, as 3 or 0:45, or the time, as "+now.Add(-4*time.Minute).Format("15:04"), &when, func(t string) error {
				_, err := ago(t, now)
				return err
			}).helped("When the thing really happened that you log next: minutes ago, as 3 or 0:45, hours as 1h20, or a time of day; at most 6 hours ago. What is on the hair counts from then, so its limit comes sooner."),
		}}},
		live: func() []string {
			d, err := ago(when, now)
			if err != nil {
				return nil
			}
			return []string{"At " + now.Add(-d).Format("15:04:05") + ", " + span(d) + " ago"}
		},
		submit: func() (intent.Intent, error) {
			d, err := ago(when, now)
			return intent.Late{At: now.Add(-d)}, err
		},
	})
}

// A clockAnswer is how the length of a gap is known.
type clockAnswer int

const (
	clockRight clockAnswer = iota
	clockWrong
	gapLength
)

// ClockGap asks, after a restart, whether the computer's clock is right. Now
// is what that clock says; clock says moments of the time line. Its intent
// logs one session.ClockNoted that confirms the gap.
func ClockGap(th *theme.Theme, gap session.Gap, clock session.Clockface, now time.Time) *Form {
	answer, hour, off := clockRight, "", ""
	shift := func() (time.Duration, error) {
		if answer == clockWrong {
			return gapShift(answer, hour, gap, now)
		}
		return gapShift(answer, off, gap, now)
	}
	entry := func(string) error {
		_, err := shift()
		return err
	}
	lead := fmt.Sprintf("The computer was off from %s to %s, by its own clock.", clock(gap.From), clock(gap.To))
	pages := []page{
		{fields: []field{pick("The computer's clock", &answer, []choice[clockAnswer]{
			{"is right: it is " + now.Format("15:04") + " now", clockRight},
			{"is wrong: I type what the time is", clockWrong},
			{"is wrong: I type how long the computer was off", gapLength},
		}, anything).helped("While the computer was off only its clock can tell how long the product went on working. Compare it with another clock, and say what is right.")}},
		{hidden: func() bool { return answer != clockWrong }, fields: []field{text("What is the time, as 13:30", &hour, entry).
			helped("The time now by a clock that you trust: hours and minutes, as 13:30, or with seconds. How long product has been on is put right by it.")}},
		{hidden: func() bool { return answer != gapLength }, fields: []field{text("How long was it off, as 12 (minutes) or 1:20", &off, entry).
			helped("From when the computer went off until it came back: minutes, as 12, or hours and minutes, as 1:20. That time counts for all that was on. If in doubt, type the longer one.")}},
	}
	if gap.Backwards { // no clock tells how long it was
		answer, pages = gapLength, pages[2:]
		lead = fmt.Sprintf("The computer was off from %s, and its clock has gone back since, so nobody knows for how long.", clock(gap.From))
	}
	return start(th, Form{
		title: "Is the clock right?",
		lead:  []string{lead + " Everything on the hair went on working."},
		pages: pages,
		live: func() []string {
			d, err := shift()
			if err != nil {
				return nil
			}
			return []string{"The computer was off for " + span(gap.To.Sub(gap.From)+d)}
		},
		submit: func() (intent.Intent, error) {
			d, err := shift()
			note := session.ClockNoted{What: session.ClockConfirmed, ShiftS: d.Seconds()}
			return logged("Time off noted", note), err
		},
	})
}

// gapShift is what is to be added to the gap.
func gapShift(answer clockAnswer, typed string, gap session.Gap, now time.Time) (time.Duration, error) {
	shown := gap.To.Sub(gap.From)
	var shift time.Duration
	switch answer {
	case clockWrong:
		t, err := onDay(typed, now)
		if err != nil {
			return 0, err
		}
		switch by := t.Sub(now); {
		case by > 12*time.Hour:
			t = t.AddDate(0, 0, -1)
		case by < -12*time.Hour:
			t = t.AddDate(0, 0, 1)
		}
		shift = t.Sub(now.Truncate(time.Minute))
		if t.Second() != 0 {
			shift = t.Sub(now.Truncate(time.Second))
		}
	case gapLength:
		d, err := duration(typed)
		if err != nil {
			return 0, err
		}
		shift = d - shown
	}
	if shown+shift < 0 {
		return 0, errors.New("that is before the computer went off: type a later time")
	}
	return shift, nil
}
