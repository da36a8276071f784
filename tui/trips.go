package tui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/tui/clean"
	"rinseby/tui/page"
	"rinseby/tui/widget"
)

// planAgain is how old a plan may become before the trips are planned anew: if
// hands are slower than planned, its moments pass without anything happening.
const planAgain = 20 * time.Second

// planTrips plans the trips to the basin, off the way of keys, if there is no
// plan for the state of the board or it has become old.
func (a *App) planTrips(b session.Board) tea.Cmd {
	s := a.log.State()
	fresh := a.tripsFor == s.Seq && a.fresh(a.tripsAt, a.trips == nil, b.Now)
	if a.planning || fresh || !s.Live() {
		return nil
	}
	at := a.askAt(b.Now)
	q, ok := s.AskTrips(at, b.Pace)
	a.tripsAt = at
	if !ok {
		a.trips, a.tripsFor = nil, s.Seq
		return nil
	}
	a.planning = true
	service, seq := s.Service, s.Seq
	return func() tea.Msg {
		plan, err := q.Answer(nil)
		return tripsMsg{service, seq, plan, err}
	}
}

// planned takes a plan in. If the state has moved on in the meantime, the next
// one is asked for at once.
func (a *App) planned(msg tripsMsg) tea.Cmd {
	s := a.seatOf(msg.service)
	if s == nil {
		return nil
	}
	s.planning, s.trips, s.tripsFor = false, msg.plan, msg.seq
	if msg.err != nil {
		a.say(msg.err.Error(), true)
	}
	if s != a.seat {
		return nil
	}
	return a.planTrips(a.refresh())
}

// fresh reports whether what was asked at a moment, of the state as it is, need
// not be asked anew.
func (a *App) fresh(asked time.Time, nothing bool, now time.Time) bool {
	if a.relive != nil {
		return asked.Equal(a.askAt(now))
	}
	return nothing || now.Sub(asked) < planAgain
}

// openPlan opens the page of the plan, of the trips and of the end, and has it
// worked out.
func (a *App) openPlan() tea.Cmd {
	b := a.refresh()
	ask, ok := a.log.State().AskAdvice(b.Now, b.Pace, a.o.Catalogue.Windows())
	q, ends := a.log.AskForecast(b.Now, a.ending.usuals)
	if !ok && !ends {
		a.say("There is nothing to plan: no zone is to come, or no limit or minutes per piece are known.", false)
		return nil
	}
	p := page.New(a.o.Theme, a.o.Keys.OnPage(), "Plan of the trips and of the end", []string{" working it out …"})
	clock, w := a.clockNow(), a.w
	return tea.Batch(a.show(p), func() tea.Msg {
		var lines []string
		if ok {
			advice, err := ask.Lines(clock)
			if err != nil {
				advice = []string{err.Error()}
			}
			lines = append(advice, "")
		}
		lines = append(lines, endingLines(q, ends, clock)...)
		var out []string
		for _, l := range lines {
			for _, part := range widget.Wrap(clean.Text(l), w-2) {
				out = append(out, " "+part)
			}
		}
		return adviceMsg{page: p, lines: out}
	})
}
