package replay_test

import (
	"fmt"
	"os"
	"time"

	"rinseby/session/plain"
	"rinseby/session/replay"
)

// One who always does what was done that day is scored by what came of it.
func ExampleQuestions() {
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
	var sheet replay.Sheet
	for _, q := range replay.Questions(tape) {
		for i, option := range q.Options {
			if !option.Done {
				continue
			}
			verdict, err := sheet.Add(q, i)
			if err != nil {
				panic(err)
			}
			if q.Kind == replay.Trip && verdict == replay.Wrong {
				fmt.Println(tape.Clock(q.At)(q.At), q.Text, option.Text+".", option.Led)
			}
		}
	}
	fmt.Println("trips:", sheet.Of(replay.Trip))
	// Output:
	// 10:50 What now? Side right must be off first, by 11:00. Place on. Side right: 48 min of 45 min, 3 min OVER.
	// 10:57 What now? Side right must be off first, by 11:00. Rinse Side right. Side right: 48 min of 45 min, 3 min OVER.
	// trips: 10 of 12 right
}
