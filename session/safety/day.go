package safety

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// How many days before the service a skin test counts, from the day of the
// test to the day of the service.
const (
	// fewestDays: about 48 hours before (UK training texts, read on secondary
	// pages). A day is all that is asked, so that two days may be 40 hours;
	// the product's instructions say if that is enough.
	fewestDays = 2
	// mostDays: the test is of the products and the skin of this visit; no
	// figure was found. House rule on the careful side, no source.
	mostDays = 7
	// oldestDays bounds what is taken for a day at all, against slips of a
	// key.
	oldestDays = 3660
)

const dayLayout = "2006-01-02"

// parseDay reads a day as "2026-02-28", "2 days ago", "yesterday" or "today".
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
			return time.Time{}, fmt.Errorf("%q is no day: type it as 2026-02-28 or 2 days ago", text)
		}
		ago = n
	default:
		relative = false
	}
	if relative {
		return today.AddDate(0, 0, -ago), nil
	}
	day, err := time.ParseInLocation(dayLayout, text, now.Location())
	switch {
	case err != nil:
		return time.Time{}, fmt.Errorf("%q is no day: type it as 2026-02-28 or 2 days ago", text)
	case day.After(today):
		return time.Time{}, fmt.Errorf("%s is still to come: type the day that has passed", text)
	case daysBetween(day, today) > oldestDays:
		return time.Time{}, fmt.Errorf("%s is too long ago to be meant: check the year", text)
	}
	return day, nil
}

// daysBetween counts midnights, whatever the clocks did in between.
func daysBetween(from, to time.Time) int {
	utc := func(t time.Time) time.Time {
		return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
	}
	return int(utc(to).Sub(utc(from)) / (24 * time.Hour))
}

// judgeDay tells what follows from the day of a skin test that showed nothing.
func judgeDay(day, now time.Time) (Outcome, error) {
	out := Outcome{Answer: day.Format(dayLayout)}
	switch n := daysBetween(day, now); {
	case n < fewestDays:
		out.Word, out.Source = Stop, training
		out.Why = "The skin test is too fresh: a reaction may take about 48 hours to show."
	case n > mostDays:
		out.Word, out.Source = Stop, houseRule
		out.Why = fmt.Sprintf("The skin test is %d days old, and here it counts for %d: test again, as the products' instructions say.", n, mostDays)
	default:
		out.Word, out.Source = GoOn, training
		out.Why = fmt.Sprintf("Tested %d days before, and nothing showed.", n)
	}
	return out, nil
}
