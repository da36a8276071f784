package form

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"rinseby/session"
)

// number reads a decimal number from low to high, with a point or a comma.
func number(text string, low, high float64) (float64, error) {
	text = strings.TrimSpace(text)
	digits := strings.Replace(text, ",", ".", 1)
	if digits == "" {
		return 0, fmt.Errorf("type a number from %s to %s", plain(low), plain(high))
	}
	f, err := strconv.ParseFloat(digits, 64)
	if err != nil || strings.Trim(digits, "0123456789.") != "" {
		return 0, fmt.Errorf("%q is no number: type one from %s to %s", text, plain(low), plain(high))
	}
	if f < low || f > high {
		return 0, fmt.Errorf("%s is out of bounds: type a number from %s to %s", text, plain(low), plain(high))
	}
	return f, nil
}

// whole reads a whole number from low to high.
func whole(text string, low, high int) (int, error) {
	f, err := number(text, float64(low), float64(high))
	if err == nil && f != math.Trunc(f) {
		err = fmt.Errorf("%s is no whole number: type one from %d to %d", strings.TrimSpace(text), low, high)
	}
	return int(f), err
}

func plain(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

// given is f in words, or nothing if it was not noted.
func given(f float64) string {
	if f == 0 {
		return ""
	}
	return plain(f)
}

// optional turns a check of text into one that takes none, too.
func optional(check func(string) error) func(string) error {
	return func(text string) error {
		if strings.TrimSpace(text) == "" {
			return nil
		}
		return check(text)
	}
}

// between checks for a number from low to high.
func between(low, high float64) func(string) error {
	return func(text string) error {
		_, err := number(text, low, high)
		return err
	}
}

// orZero is the number typed in a field that was checked; none is 0.
func orZero(text string) float64 {
	f, err := number(text, 0, math.MaxFloat64)
	if err != nil {
		return 0
	}
	return f
}

// upTo checks that a text is no longer than an event may hold, in bytes.
func upTo(most int) func(string) error {
	return func(text string) error {
		if len(text) > most {
			return fmt.Errorf("%d bytes too long: shorten it", len(text)-most)
		}
		return nil
	}
}

// needed checks for a text of at most so many bytes. Why is what to do if
// there is none.
func needed(most int, why string) func(string) error {
	return func(text string) error {
		if strings.TrimSpace(text) == "" {
			return errors.New(why)
		}
		return upTo(most)(text)
	}
}

// name checks for the name of something.
func name(what string) func(string) error {
	return needed(session.MaxName, "type "+what)
}

var unitsPattern = regexp.MustCompile(`^(?:([0-9]{1,3})h)?(?:([0-9]{1,4})(?:m|min|$))?(?:([0-9]{1,4})s)?$`)

// duration reads "45" (minutes), "2.5", "1:30" (hours), "3h", "1h20", "45 min"
// or "90s".
func duration(text string) (time.Duration, error) {
	t := strings.ReplaceAll(strings.ToLower(text), " ", "")
	if h, m, ok := strings.Cut(t, ":"); ok {
		hours, err := whole(h, 0, 999)
		minutes, err2 := whole(m, 0, 59)
		if err == nil && err2 == nil && len(m) == 2 {
			return time.Duration(hours)*time.Hour + time.Duration(minutes)*time.Minute, nil
		}
	} else if f, err := number(t, 0, 9999); err == nil {
		return time.Duration(math.Round(f*60)) * time.Second, nil
	} else if parts := unitsPattern.FindStringSubmatch(t); parts != nil && t != "" {
		var d time.Duration
		for i, unit := range []time.Duration{time.Hour, time.Minute, time.Second} {
			n, _ := strconv.Atoi(parts[i+1]) // at most four digits, or none
			d += time.Duration(n) * unit
		}
		return d, nil
	}
	return 0, fmt.Errorf("%q is no length of time: type minutes, as 45, or hours, as 1:30", strings.TrimSpace(text))
}

// onDay reads a time of day, as "13:30", "1330" or "13:30:15", on the day of now.
func onDay(text string, now time.Time) (time.Time, error) {
	text = strings.TrimSpace(text)
	for _, layout := range []string{"15:04", "1504", "15:04:05"} {
		if t, err := time.Parse(layout, text); err == nil {
			return time.Date(now.Year(), now.Month(), now.Day(), t.Hour(), t.Minute(), t.Second(), 0, now.Location()), nil
		}
	}
	return time.Time{}, fmt.Errorf("%q is no time of day: type it as 13:30", text)
}

// promised reads when the client was told to be done: "13:30", which is the
// next one within twelve hours, or "+3h", counted from the moment from.
func promised(text string, now, from time.Time) (time.Time, error) {
	t := from
	if after, ok := strings.CutPrefix(strings.TrimSpace(text), "+"); ok {
		d, err := duration(after)
		switch {
		case err != nil:
			return time.Time{}, err
		case d <= 0 || d > 24*time.Hour:
			return time.Time{}, errors.New("type a time after now, at most +24h")
		}
		t = from.Add(d)
	} else {
		var err error
		if t, err = onDay(text, now); err != nil {
			return time.Time{}, fmt.Errorf("%w, or as +3h", err)
		}
		if t.Before(now.Add(-12 * time.Hour)) {
			t = t.AddDate(0, 0, 1)
		}
	}
	if !t.After(now) {
		return time.Time{}, fmt.Errorf("%s has passed: type a later time", t.Format("15:04"))
	}
	return t, nil
}

// maxLate bounds how far back something may be logged in one go, against
// slips of a key.
const maxLate = 6 * time.Hour

// ago reads how long ago something was: "3" (minutes), "0:45" (45 minutes),
// "1h20", or as the time of day "10:42".
func ago(text string, now time.Time) (time.Duration, error) {
	t := strings.TrimSpace(text)
	d, err := duration(t)
	if strings.Contains(t, ":") && !strings.HasPrefix(t, "0:") {
		var at time.Time
		if at, err = onDay(t, now); err == nil {
			if at.After(now.Add(12 * time.Hour)) {
				at = at.AddDate(0, 0, -1)
			}
			d = now.Sub(at)
		}
	}
	switch {
	case err != nil:
		return 0, fmt.Errorf("%q is neither minutes nor a time of day: type 3, 0:45 or 10:42", t)
	case d < 0:
		return 0, fmt.Errorf("%s is still to come: type a time that has passed", t)
	case d == 0:
		return 0, errors.New("that is now: type how many minutes ago it was")
	case d > maxLate:
		return 0, fmt.Errorf("that is more than %d hours ago: type less", int(maxLate/time.Hour))
	}
	return d, nil
}

// span says a length of time to the minute, or to the second under two
// minutes.
func span(d time.Duration) string {
	switch m := int(d.Round(time.Minute) / time.Minute); {
	case d < 2*time.Minute:
		return fmt.Sprintf("%d s", int(d.Round(time.Second)/time.Second))
	case m < 60:
		return fmt.Sprintf("%d min", m)
	default:
		return fmt.Sprintf("%d h %02d min", m/60, m%60)
	}
}
