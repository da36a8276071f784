package replay

import (
	"encoding/json"
	"time"

	"rinseby/session"
)

// RedactData is the JSON of what is kept of one entry; empty if nothing is.
func RedactData(d session.Data) (string, error) {
	r := newRedactor(&session.Log{})
	r.pain = true
	kept, keep, err := r.data(0, d)
	if err != nil || !keep {
		return "", err
	}
	text, err := json.Marshal(kept)
	return string(text), err
}

// Looks is at how many boards a scan looks between two entries, if nothing in
// them is known to change.
func Looks(from, to time.Time) int { return len(moments(&session.State{}, session.Board{}, from, to)) }
