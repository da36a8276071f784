package replay_test

import (
	"fmt"
	"os"
	"time"

	"rinseby/session/plain"
	"rinseby/session/replay"
)

// An invented service is wound to the moments at which zones went to the basin.
func ExampleTape() {
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
	for stop, ok := tape.Next(tape.From(), replay.Trip); ok && stop.At.Before(tape.From().Add(time.Hour)); stop, ok = tape.Next(stop.At, replay.Trip) {
		fmt.Println(tape.Clock(stop.At)(stop.At), stop.Text)
		fmt.Println(tape.Board(stop.At).Next.Text)
	}
	// Output:
	// 09:54 rinsing Nape left
	// Rinse clean: Nape left
}
