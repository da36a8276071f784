package safety_test

import (
	"fmt"
	"time"

	"rinseby/session/safety"
)

func Example() {
	opened := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	for _, answer := range []string{"2 days ago", "yesterday", "not done"} {
		out, err := safety.Judge(safety.SkinTest, answer, opened)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%s: %s. %s\n", out.Answer, out.Word, out.Why)
	}
	// Output:
	// 2026-02-28: go on. Tested 2 days before, and nothing showed.
	// 2026-03-01: stop. The skin test is too fresh: a reaction may take about 48 hours to show.
	// not done: stop. No skin test: the toner usually carries the dye that sensitises, and it takes a test about 48 hours before.
}
