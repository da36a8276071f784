package safety

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"
)

const (
	// fewestHours: about 48 hours before (UK training texts, read on secondary
	// pages).
	fewestHours = 48
	// mostDays: the test is of the products and the skin of this visit; no
	// figure was found. House rule on the careful side, no source.
	mostDays = 7
	// oldestDays bounds what is taken for a day at all, against slips of a
	// key.
	oldestDays = 3660
)

const dayLayout = "2006-01-02"

// howToSay is the ways to type a day, in an error.
const howToSay = "type it as 28/2, 28 Feb, 2026-02-28 or 2 days ago"

// parseDay reads a day as "2026-02-28", "28/2", "28.2.2026", "28 Feb", "2 days
// ago", "yesterday" or "today": the day comes before the month, and without a
// year the last such day that has passed is meant.
func parseDay(text string, now time.Time) (time.Time, error) {
	text = strings.ToLower(strings.TrimSpace(text))
	today := time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, now.Location())
	ago, relative := 0, true
	switch number, days := strings.CutSuffix(strings.TrimSuffix(text, " ago"), " days"); {
	case text == "today":
	case text == "yesterday" || text == "1 day ago":
		ago = 1
	case days && strings.HasSuffix(text, " ago"):
		n, err := strconv.Atoi(number)
		if err != nil || n < 0 || n > oldestDays {
			return time.Time{}, fmt.Errorf("%q is no day: %s", text, howToSay)
		}
		ago = n
	default:
		relative = false
	}
	if relative {
		return today.AddDate(0, 0, -ago), nil
	}
	day, ok := dayFirst(text, today)
	if !ok {
		var err error
		if day, err = time.ParseInLocation(dayLayout, text, now.Location()); err != nil {
			return time.Time{}, fmt.Errorf("%q is no day: %s", text, howToSay)
		}
	}
	switch {
	case day.After(today):
		return time.Time{}, fmt.Errorf("%s is still to come: type the day that has passed", text)
	case daysBetween(day, today) > oldestDays:
		return time.Time{}, fmt.Errorf("%s is too long ago to be meant: check the year", text)
	}
	return day, nil
}

// A day as numbers, and as a number and the name of a month; the year is last.
var (
	numbered = regexp.MustCompile(`^(\d{1,2})[./](\d{1,2})(?:\.|[./](\d{4}))?$`)
	monthed  = regexp.MustCompile(`^(\d{1,2})\.? ?([a-z]{3,})\.?(?: (\d{4}))?$`)
)

// dayFirst reads a day that is written before its month.
func dayFirst(text string, today time.Time) (time.Time, bool) {
	month := 0
	m := numbered.FindStringSubmatch(text)
	if m != nil {
		month, _ = strconv.Atoi(m[2]) // two digits at most
	} else if m = monthed.FindStringSubmatch(text); m != nil {
		for i := time.January; i <= time.December; i++ {
			if strings.HasPrefix(strings.ToLower(i.String()), m[2]) {
				month = int(i)
			}
		}
	} else {
		return time.Time{}, false
	}
	day, _ := strconv.Atoi(m[1])
	from, to := today.Year(), today.Year()-8 // the 29th of February is up to 8 years back
	if m[3] != "" {
		from, _ = strconv.Atoi(m[3])
		to = from
	}
	for year := from; year >= to; year-- {
		d := time.Date(year, time.Month(month), day, 0, 0, 0, 0, today.Location())
		if d.Day() == day && d.Month() == time.Month(month) && (m[3] != "" || !d.After(today)) {
			return d, true
		}
	}
	return time.Time{}, false
}

// daysBetween counts midnights, whatever the clocks did in between.
func daysBetween(from, to time.Time) int {
	utc := func(t time.Time) time.Time {
		return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
	}
	return int(utc(to).Sub(utc(from)) / (24 * time.Hour))
}

// ReadDay reads a day that has passed as it is kept, 2026-02-28. Now is a moment of
// today where days are told by.
func ReadDay(text string, now time.Time) (string, error) {
	day, err := parseDay(text, now)
	return day.Format(dayLayout), err
}

// judgeDay tells what follows from the day of a skin test that showed nothing.
// Days are counted, not hours: two days may be 40 hours; the product's
// instructions say if that is enough.
func judgeDay(day time.Time, in Setting) Outcome {
	out := Outcome{Answer: day.Format(dayLayout)}
	r := in.Rules
	switch n := daysBetween(day, in.Opened); {
	case n < r.FewestDays():
		out.Word, out.Source = Stop, r.TestHours.Source
		out.Why = fmt.Sprintf("The skin test is too fresh: a reaction may take about %d hours to show.", r.TestHours.Value)
	case n > r.TestDays.Value:
		out.Word, out.Source = Stop, r.TestDays.Source
		out.Why = fmt.Sprintf("The skin test is %s old, and here it is good for %d: test again, as the products' instructions say.", days(n), r.TestDays.Value)
	default:
		out.Word, out.Source = GoOn, r.TestHours.Source
		out.Why = fmt.Sprintf("No reaction seen, %s: tested %s before.", out.Answer, days(n))
		if r.Looser != "" {
			out.Why += " " + r.Looser
		}
	}
	return out
}

func days(n int) string {
	if n == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%d days", n)
}
