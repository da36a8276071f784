package replay_test

import (
	"fmt"
	"os"
	"time"

	"rinseby/session"
	"rinseby/session/plain"
	"rinseby/session/replay"
)

// On an invented day, Side right was rinsed too late. Sooner would have done.
func ExampleWhatIf() {
	file, err := os.Open("../../testdata/ordinary-day.jsonl")
	if err != nil {
		panic(err)
	}
	defer file.Close()
	log, err := plain.Read(file, time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC))
	if err != nil {
		panic(err)
	}
	tape := replay.New(log)
	at := tape.From().Add(110 * time.Minute)
	sooner, err := replay.WhatIf(tape, at, replay.RinseNow{Zones: []string{"side-right"}}, session.Usuals{})
	if err != nil {
		panic(err)
	}
	for _, line := range sooner.Lines(tape.Clock(at)) {
		fmt.Println(line)
	}
	// Output:
	// At 10:50: rinse Side right now (computed by the rules, not what happened).
	// Side right: 41 min of 45 min instead of 48 min of 45 min, 3 min OVER
	// the helper rinses beside the pieces, as on other trips of the day: hands are not held up
}
