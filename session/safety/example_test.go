package safety_test

import (
	"fmt"
	"time"

	"rinseby/session/safety"
)

func Example() {
	opened := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	in := safety.Setting{Opened: opened, Rules: safety.RulesOf(safety.EU)}
	for _, answer := range []string{"2 days ago", "yesterday", "not done"} {
		out, err := safety.Judge(safety.SkinTest, answer, in)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%s: %s. %s\n", out.Answer, out.Word, out.Why)
	}
	// Output:
	// 2026-02-28: go on. No reaction seen, 2026-02-28: tested 2 days before.
	// 2026-03-01: stop. The skin test is too fresh: a reaction may take about 48 hours to show.
	// not done: stop. No skin test: toner usually holds the dye that sensitises, and needs a test about 48 hours before.
}
