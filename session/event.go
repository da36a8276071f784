package session

import (
	"encoding/json"
	"fmt"
	"time"

	"rinseby/session/journal"
	"rinseby/timing"
)

// An Event is something that happened, and when it was recorded.
type Event struct {
	Seq int
	// When is the moment it happened, as the wall clock of the recording
	// machine told it at the time of recording. Earlier than Recorded when it
	// was logged late.
	When     time.Time
	Recorded timing.Reading
	Data     Data
}

// Late is how long after it happened the event was recorded.
func (e Event) Late() time.Duration { return e.Recorded.Wall.Sub(e.When) }

// normal returns the data as they will be read back from a log, so that what
// is folded live is what a replay folds. They share nothing with d.
func normal(d Data) (Data, error) {
	data, err := json.Marshal(d)
	if err != nil {
		return nil, fmt.Errorf("%s can't be written down, correct its figures: %w", d.Kind(), err)
	}
	return DecodeData(d.Kind(), data)
}

// Records turns events into the lines of a journal.
func Records(events []Event) ([]journal.Record, error) {
	recs := make([]journal.Record, len(events))
	for i, e := range events {
		data, err := json.Marshal(e.Data)
		if err != nil {
			return nil, fmt.Errorf("event %d (%s): %w", e.Seq, e.Data.Kind(), err)
		}
		recs[i] = journal.Record{Seq: e.Seq, Kind: e.Data.Kind(), When: e.When, Recorded: e.Recorded, Data: data}
	}
	return recs, nil
}

// Events turns the lines of a journal into events. The error names the line.
func Events(recs []journal.Record) ([]Event, error) {
	events := make([]Event, len(recs))
	for i, r := range recs {
		data, err := DecodeData(r.Kind, r.Data)
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", r.Seq, err)
		}
		events[i] = Event{Seq: r.Seq, When: r.When, Recorded: r.Recorded, Data: data}
	}
	return events, nil
}
