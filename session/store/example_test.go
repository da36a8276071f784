package store_test

import (
	"fmt"
	"os"
	"time"

	"rinseby/session"
	"rinseby/session/store"
	"rinseby/timing"
)

func Example() {
	dir, err := os.MkdirTemp("", "rinseby")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	s, err := store.Open(dir)
	if err != nil {
		fmt.Println(err)
		return
	}
	now := timing.Reading{Wall: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)}
	live, err := s.Create(now, "station 1", session.Do(session.ServiceOpened{Client: "Tove A."})) // an invented client
	if err != nil {
		fmt.Println(err)
		return
	}
	if _, err := s.Resume(now, live.ID, "station 2"); err != nil {
		fmt.Println("station 2 may only watch")
	}
	if _, err := live.Do(now, session.Do(session.ServiceClosed{Outcome: "even"})); err != nil {
		fmt.Println(err)
	}
	if err := live.Close(); err != nil {
		fmt.Println(err)
	}
	last, ok, err := s.LastOf("tove a.")
	fmt.Println(ok, err, last.Client, last.Live)
	// Output:
	// station 2 may only watch
	// true <nil> Tove A. false
}
