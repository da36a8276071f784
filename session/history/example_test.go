package history_test

import (
	"fmt"
	"time"

	"rinseby/session"
	"rinseby/session/history"
)

// Ten rinses of six minutes move what a rinse is expected to take from the house
// figure, 4 minutes, towards 6.
func Example() {
	opened := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	s := history.Service{ID: "20260302-0900-k7q2", Opened: opened}
	for i := range 10 {
		from := opened.Add(time.Duration(i) * 6 * time.Minute)
		s.Stints = append(s.Stints, session.Stint{Kind: session.StintRinse, Units: 1, From: from, To: from.Add(6 * time.Minute), Took: 6 * time.Minute})
	}
	known, err := history.Fit([]history.Service{s})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range known.Rows() {
		fmt.Printf("%s: %.1f minutes, 8 of 10 from %.1f to %.1f, by %d times\n", r.Kind, r.Usual, r.Low, r.High, r.Seen.Units)
	}
	// Output:
	// rinse: 5.6 minutes, 8 of 10 from 4.1 to 7.7, by 10 times
}
