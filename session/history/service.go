package history

import (
	"strings"
	"time"

	"rinseby/session"
)

// Most is how many of a stylist's last closed services their usual times rest
// on: about a season of colour work, so that a habit that was given up is
// forgotten. House rule; common practice, no source.
const Most = 60

// A Service is what a closed service tells of times.
type Service struct {
	ID       string
	Opened   time.Time
	Invented bool // demonstration data
	Stints   []session.Stint
	// Pieces are the minutes per piece that the plan stated, by technique, and
	// Steps the minutes of steps, by name; without those that it did not state.
	Pieces, Steps map[string]float64
}

// Of is what the log of a service tells.
func Of(l *session.Log) Service {
	s := l.State()
	h := Service{
		ID: s.Service, Opened: s.Opened, Invented: s.Invented, Stints: s.Stints(),
		Pieces: map[string]float64{}, Steps: map[string]float64{},
	}
	pieces := map[string]float64{}
	for _, z := range s.Zones {
		if z.Dropped || z.MinutesPerPiece <= 0 || z.Pieces <= 0 {
			continue
		}
		n := float64(z.Pieces)
		pieces[z.Technique()] += n
		h.Pieces[z.Technique()] += n * z.MinutesPerPiece
	}
	for t, n := range pieces {
		h.Pieces[t] /= n
	}
	for _, st := range s.Steps {
		if m := st.Usual.Minutes(); m > 0 {
			h.Steps[st.Name] = m
		}
	}
	return h
}

// Same reports whether two names are of one person: case, and blanks around
// them, don't count.
func Same(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) }
