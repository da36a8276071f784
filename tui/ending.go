package tui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/tui/form"
	"rinseby/tui/station"
)

// An ending is when the service on the screen ends, as far as it is known.
type ending struct {
	service string         // that all this is about
	usuals  session.Usuals // of its stylist
	known   bool           // the usuals were read
	busy    bool           // something is being read or worked out

	forecast *session.Forecast // of the state with the number
	seq      int
	at       time.Time // when it was asked for
	why      string    // there is none
	learned  bool      // how wide ranges must be was learned from the closed service
	keeping  bool      // that is being kept
}

// foresee forecasts the end, off the way of keys, if there is no forecast for
// the state of the board or it has become old: if nothing happens, the end
// moves on. What is known of the stylist is read first.
func (a *App) foresee(b session.Board) tea.Cmd {
	s, e := a.log.State(), &a.ending
	if e.service != s.Service {
		*e = ending{service: s.Service}
	}
	if e.busy || (!s.Live() && e.known) {
		return nil
	}
	if !e.known {
		e.busy = true
		if a.relive != nil {
			return a.relive.past(s.Service)
		}
		st, service, stylist := a.o.Store, s.Service, s.Stylist
		return func() tea.Msg {
			u, err := st.Usuals(stylist)
			return usualsMsg{service: service, usuals: u, err: err}
		}
	}
	fresh := e.seq == s.Seq && a.fresh(e.at, e.forecast == nil, b.Now)
	if fresh {
		return nil
	}
	e.at = a.askAt(b.Now)
	q, ok := a.log.AskForecast(e.at, e.usuals)
	if !ok {
		e.forecast, e.seq, e.why = nil, s.Seq, q.Why
		a.refresh()
		return nil
	}
	e.busy = true
	service, seq := s.Service, s.Seq
	return func() tea.Msg {
		f, err := q.Answer()
		return endingMsg{service, seq, f, err}
	}
}

// knows takes in what is known of the stylist's times. Without it, forecasts go
// by the plan and house figures.
func (a *App) knows(msg usualsMsg) tea.Cmd {
	s := a.seatOf(msg.service)
	if s == nil {
		return nil
	}
	s.ending.busy, s.ending.known, s.ending.usuals = false, true, msg.usuals
	if msg.used != nil {
		a.used = msg.used
	}
	if msg.err != nil {
		a.say(msg.err.Error(), true)
	}
	if s != a.seat {
		return nil
	}
	return a.foresee(a.refresh())
}

// foresaw takes a forecast in. If the state has moved on in the meantime, the
// next one is asked for at once.
func (a *App) foresaw(msg endingMsg) tea.Cmd {
	s := a.seatOf(msg.service)
	if s == nil {
		return nil
	}
	e := &s.ending
	e.busy, e.forecast, e.seq, e.why = false, msg.forecast, msg.seq, ""
	if msg.err != nil {
		e.why = msg.err.Error()
	}
	if s != a.seat {
		return nil
	}
	return a.foresee(a.refresh())
}

// learnWidth learns from a service that was just closed how wide ranges must
// be, and keeps it for the stylist's next ones.
func (a *App) learnWidth() tea.Cmd {
	s, e := a.log.State(), &a.ending
	if s.Live() || s.Invented || e.service != s.Service || !e.known || e.learned {
		return nil
	}
	e.learned, e.keeping = true, true
	events, st, stylist, usuals := a.log.Events(), a.o.Store, s.Stylist, e.usuals
	return func() tea.Msg {
		l, err := session.Fold(events)
		if err == nil {
			err = st.KeepWidth(stylist, l.LearnWidth(usuals))
		}
		return widthMsg{s.Service, err}
	}
}

// keptWidth takes in that it was kept, or why not.
func (a *App) keptWidth(msg widthMsg) tea.Cmd {
	if s := a.seatOf(msg.service); s != nil {
		s.ending.keeping = false
	}
	if msg.err != nil {
		a.say(msg.err.Error(), true)
	}
	if a.going && !a.busy() {
		return a.leave()
	}
	return nil
}

// sayEnding says when the service ends, in words of decreasing length, or what
// must be said first.
func (a *App) sayEnding(b session.Board) station.Ending {
	s, e, f := a.log.State(), &a.ending, a.foretold(b.Now)
	switch {
	case e.service != s.Service || !s.Live() || !b.Pain.IsZero():
		return station.Ending{}
	case f == nil && e.forecast == nil && e.why != "":
		return station.Ending{Words: []string{e.why}}
	case f == nil:
		return station.Ending{}
	}
	said := f.SayPromise(a.clock)
	if f.LateLikely() && f.Told.IsZero() && a.live != nil {
		said += " (" + a.o.Keys.Promise.Help().Key + ")"
	}
	promise := said
	if said != "" {
		promise = " " + a.o.Theme.Glyphs.Dot + " " + said
	}
	span := a.clock(f.End.P10) + "–" + a.clock(f.End.P90)
	end := a.clock(f.End.P50)
	words := []string{f.SayEnd(a.clock) + promise, "end about " + end + " (80 %: " + span + ")" + promise, "end " + end + " (" + span + ")" + promise}
	if f.LateLikely() { // whom to tell is not cut off
		words = append(words, "end "+end+promise, said)
	}
	return station.Ending{Words: words, Late: f.LateLikely()}
}

// offerStep is what a promise that is offered is rounded up to.
const offerStep = 5 * time.Minute

// promiseForm asks for another time that the client is promised; what is logged
// late is promised at that moment. The end of the forecast's 80 % range is
// offered.
func (a *App) promiseForm(s *session.State) screen {
	wall := func(at time.Time) time.Time { return s.Line.Wall(at, a.now).In(a.o.Place) }
	now := a.now.Wall.In(a.o.Place)
	if !a.late.IsZero() {
		now = a.late.In(a.o.Place)
	}
	p := form.Promise{Said: session.SayPromises(s.Promises, s.Opened, func(at time.Time) string { return a.clock(session.ToldPromise(at)) })}
	if !s.Promised.IsZero() {
		p.By = wall(s.Promised)
	}
	if f := a.foretold(s.Line.Now(a.now)); f != nil {
		p.End, p.Offer = f.SayEnd(a.clock), wall(f.End.P90).Add(offerStep-1).Truncate(offerStep)
	}
	return form.NewPromise(a.o.Theme, p, now)
}

// foretold is the forecast that the chair shows at the moment now, or nil.
func (a *App) foretold(now time.Time) *session.Forecast {
	e := &a.ending
	if e.service != a.log.State().Service || e.forecast == nil || e.forecast.At.After(now) {
		return nil
	}
	return e.forecast
}

// endingLines are the lines of the page of the plan that are about the end.
func endingLines(q session.ForecastQuestion, ok bool, clock session.Clockface) []string {
	if !ok {
		if q.Why == "" {
			return nil
		}
		return []string{"The end: " + q.Why + "."}
	}
	f, err := q.Answer()
	if err != nil {
		return []string{err.Error()}
	}
	lines := []string{"The end, by what is seen today and what is usual:", f.SayEnd(clock)}
	if promise := f.SayPromise(clock); promise != "" {
		lines = append(lines, promise)
	}
	for _, z := range f.Zones {
		lines = append(lines, "  "+z.SayZone(clock))
	}
	for _, st := range f.Steps {
		lines = append(lines, "  "+st.SayStep(clock))
	}
	if len(f.Zones) > 0 {
		lines = append(lines, "(The plan rinses as soon as zones are open. The end reckons with how long they are usually left on.)")
	}
	if len(f.Paces) > 0 {
		lines = append(lines, "", "Pace now, and the usual one:")
	}
	for _, p := range f.Paces {
		lines = append(lines, "  "+p.Say())
	}
	return append(lines, f.Notes...)
}
