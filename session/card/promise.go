package card

import (
	"fmt"
	"strings"
	"time"

	"rinseby/session"
)

// A Promise is what the client was told of when to be out of the chair.
type Promise struct {
	At       time.Time  `json:"at"`       // when it was said
	Promised *time.Time `json:"promised"` // null: nothing is promised from then on
	Told     string     `json:"told"`     // who was told, and why
}

func promise(p session.Promise) Promise {
	return Promise{At: utc(p.At), Promised: moment(p.By), Told: valid(p.Told)}
}

// promised says what was promised, one time after the other; empty if nothing
// ever was.
func (c Card) promised() string {
	all := each(c.Promises, func(p Promise) session.Promise {
		out := session.Promise{At: p.At}
		if p.Promised != nil {
			out.By = *p.Promised
		}
		return out
	})
	return session.SayPromises(all, c.Opened, func(at time.Time) string { return c.clock(&at) })
}

// told says who was told of a promise.
func (c Card) told() (lines []string) {
	for _, p := range c.Promises {
		if strings.TrimSpace(p.Told) != "" {
			lines = append(lines, fmt.Sprintf("Told at %s: %s", c.clock(&p.At), p.Told))
		}
	}
	return lines
}

// punctual says how the end went against what the client was told last; empty
// if nothing was promised then.
func (c Card) punctual() string {
	switch {
	case c.Promised == nil:
		return ""
	case c.Closed == nil:
		return fmt.Sprintf("Promised to be done by %s; not closed yet", c.promised())
	}
	late := int(c.Closed.Sub(*c.Promised) / time.Second)
	how := "as promised"
	switch {
	case late > 0:
		how = minutes(late) + " late"
	case late < 0:
		how = minutes(-late) + " early"
	}
	return fmt.Sprintf("Promised to be done by %s, closed at %s: %s", c.promised(), c.clock(c.Closed), how)
}
