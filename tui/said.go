package tui

import (
	"fmt"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
)

// openSaid opens the page of what was said at the moment of the replay of what
// was to come, beside what came.
func (a *App) openSaid() tea.Cmd {
	s, clock, now, to := a.log.State(), a.clockNow(), a.relive.shown, a.relive.Tape.To()
	at := a.askAt(now)
	trips, planned := s.AskTrips(at, s.Pace())
	q, ends := a.log.AskForecast(at, a.ending.usuals)
	whole := a.relive.Tape.Whole().State()
	return a.openPage("Replay: said at "+clock(at)+", and what came", func() []string {
		c := said{clock: clock, board: session.Look(s, now, clock), whole: whole, to: to, why: q.Why}
		var err error
		if planned {
			if c.plan, err = trips.Answer(nil); err != nil {
				return []string{err.Error()}
			}
			c.board.Follow(s, c.plan)
		}
		if ends {
			if c.forecast, err = q.Answer(); err != nil {
				c.why = err.Error()
			}
		}
		return c.lines()
	})
}

// A said is what the plan and the forecast said at a moment, and the state at
// the end of the log.
type said struct {
	clock    session.Clockface
	board    session.Board // which follows the plan
	plan     *session.TripPlan
	forecast *session.Forecast // nil if there was none
	why      string            // there was none
	whole    *session.State
	to       time.Time // the end of the log
}

func (c *said) lines() []string {
	lines := []string{"The end"}
	switch {
	case c.forecast != nil:
		lines = append(lines, "  said: "+c.forecast.SayEnd(c.clock))
		if promise := c.forecast.SayPromise(c.clock); promise != "" {
			lines = append(lines, "  said: "+promise)
		}
	case c.why != "":
		lines = append(lines, "  said: nothing, for "+c.why)
	default:
		lines = append(lines, "  said: nothing, for the service was over")
	}
	lines = append(lines, "  came: "+c.ended(), "", "The next trip to the basin")
	if c.board.Plan != "" {
		lines = append(lines, "  said: "+c.board.Plan)
	} else {
		lines = append(lines, "  said: nothing, for there was no plan")
	}
	lines = append(lines, "  came: "+c.nextTrip(), "")
	return append(append(lines, c.zones()...), c.steps()...)
}

// ended says when the service ended.
func (c *said) ended() string {
	if c.whole.Closed.IsZero() {
		return "not yet: the log goes to " + c.clock(c.to)
	}
	text := "closed at " + c.clock(c.whole.Closed)
	if c.forecast != nil {
		text += ", " + c.against(c.whole.Closed, c.forecast.End.P50)
		if e := c.forecast.End; c.whole.Closed.Before(e.P10) || c.whole.Closed.After(e.P90) {
			text += ", outside the 80 % range"
		}
	}
	return text
}

// against says how much later a moment came than was said.
func (c *said) against(came, said time.Time) string {
	switch d := came.Sub(said).Round(time.Minute); {
	case d > 0:
		return fmt.Sprintf("%d min later", int(d/time.Minute))
	case d < 0:
		return fmt.Sprintf("%d min sooner", int(-d/time.Minute))
	}
	return "to the minute"
}

// nextTrip says which trip came next.
func (c *said) nextTrip() string {
	for _, t := range c.whole.Trips {
		if !t.Began.After(c.board.Now) {
			continue
		}
		names := make([]string, len(t.Zones))
		for i, id := range t.Zones {
			names[i] = id
			if z := c.whole.Zone(id); z != nil {
				names[i] = z.Name
			}
		}
		return "at " + c.clock(t.Began) + " with " + strings.Join(names, ", ")
	}
	return "none in this log"
}

// zones is a table of when each zone was to be off, and was.
func (c *said) zones() []string {
	var rows []string
	for _, z := range c.board.Zones {
		if !z.RinsedAt.IsZero() {
			continue
		}
		plan, guess, came := "-", "-", "not rinsed"
		if !z.PlannedOff.IsZero() {
			plan = c.clock(z.PlannedOff)
		}
		if c.forecast != nil {
			for _, f := range c.forecast.Zones {
				if f.ID == z.ID {
					guess = c.clock(f.Off.P50) + " (" + c.clock(f.Off.P10) + " to " + c.clock(f.Off.P90) + ")"
				}
			}
		}
		if last := c.whole.Zone(z.ID); last != nil && !last.Rinsed.IsZero() {
			came = c.clock(last.Rinsed)
			if !z.PlannedOff.IsZero() {
				came += ", " + c.against(last.Rinsed, z.PlannedOff) + " than planned"
				came = strings.Replace(came, "to the minute than planned", "as planned", 1)
			}
		}
		rows = append(rows, fmt.Sprintf("  %s: planned off %s; forecast %s; came %s", z.Name, plan, guess, came))
	}
	if rows == nil {
		return nil
	}
	return append([]string{"The zones that were not off yet"}, rows...)
}

// steps is the same of the steps.
func (c *said) steps() []string {
	if c.forecast == nil || len(c.forecast.Steps) == 0 {
		return nil
	}
	lines := []string{"", "The steps that were not over yet"}
	for _, f := range c.forecast.Steps {
		came := "not done"
		for _, st := range c.whole.Steps {
			if n := len(st.Spans); st.Name == f.Name && n > 0 && !st.Spans[n-1].To.IsZero() {
				came = c.clock(st.Spans[n-1].To) + ", " + c.against(st.Spans[n-1].To, f.End.P50)
			}
		}
		lines = append(lines, fmt.Sprintf("  %s: forecast over %s; came %s", f.Name, c.clock(f.End.P50), came))
	}
	return lines
}
