package tui

import (
	"time"

	"rinseby/session"
	"rinseby/tui/station"
)

// refresh computes the board at the last reading and shows it.
func (a *App) refresh() session.Board {
	s := a.log.State()
	now := s.Line.Now(a.now)
	b := session.Look(s, now, a.clock)
	if a.tripsFor == s.Seq && !a.asking() && !a.ahead(a.trips, now) {
		b.Follow(s, a.trips)
	}
	b.CallIn(a.o.Region)
	b.Warnings = a.withOthers(b.Warnings, s)
	a.holdOthers(&b, s)
	if a.calling() {
		a.over, a.under = nil, nil
	}
	look := station.Look{
		Client: s.Client, Stylist: s.Stylist, Station: s.Station, Invented: s.Invented,
		Board: b, Opened: s.Opened, Promised: s.Promised, Closed: s.Closed,
		Wall: a.now.Wall, Place: a.o.Place, Paused: s.Paused(), Watching: a.watching,
		Unsaved: a.saving, Several: len(a.seats) > 1, Relived: a.relive != nil, Burst: a.presses.burst,
	}
	if !a.late.IsZero() {
		look.Late = a.now.Wall.Sub(a.late)
	}
	look.Hint = a.hint(b.Next)
	look.NextBowl = a.nextBowl(b)
	look.Ending = a.sayEnding(b)
	if a.asking() {
		hush(&look)
	}
	if len(b.Zones) > 0 {
		if r := s.Round(b.Zones[0].Round); r != nil {
			look.Round = r.Name
		}
	}
	for _, h := range s.Helping() {
		look.Helpers = append(look.Helpers, h.Name)
	}
	a.station.Show(look)
	return b
}

// clock says a moment of the open service's time line as the clock on the wall
// shows it.
func (a *App) clock(at time.Time) string { return a.clockNow()(at) }

// clockNow is that clock as it stands now, to be read elsewhere.
func (a *App) clockNow() session.Clockface {
	line, now, place := a.log.State().Line, a.now, a.o.Place
	return func(at time.Time) string { return line.Wall(at, now).In(place).Format("15:04") }
}
