package tui

import (
	"errors"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/session/journal"
	"rinseby/session/store"
	"rinseby/timing"
	"rinseby/tui/form"
	"rinseby/tui/intent"
)

// A seat is a service that is on the screen, or that this process runs while
// another screen is. What belongs to one client stays with it.
type seat struct {
	live     *store.Live  // nil if this process does not run it
	log      *session.Log // nil on the start screen and on the floor
	watching string       // who runs it, if it is only watched
	watched  string       // its id

	trips    *session.TripPlan // of the state with the number
	tripsFor int
	tripsAt  time.Time // when they were asked for
	planning bool
	ending   ending // when the service ends

	saving  bool
	unsaved []session.Event        // of log: the disk could not take them
	why     error                  // why it could not
	tried   time.Time              // when that was last tried, by the wall clock
	queue   []waiting              // what waits for it
	asked   *intent.Log            // what a form was opened for, to be tried again after it
	kept    map[intent.Open]screen // forms left by esc keep what was typed
}

// waiting is an intent that waits until an entry is saved, and the screen that
// was open over the chair when it was asked for.
type waiting struct {
	intent intent.Intent
	over   screen
}

func newSeat() *seat { return &seat{kept: map[intent.Open]screen{}} }

// seatOf is the seat of a service, be it on the screen or not; nil if there is
// none any more.
func (a *App) seatOf(service string) *seat {
	if a.log != nil && a.log.State().Service == service {
		return a.seat
	}
	return a.seats[service]
}

// turnTo puts a seat on the screen.
func (a *App) turnTo(s *seat) {
	a.seat, a.over, a.late = s, nil, time.Time{}
	a.say("", false)
}

// sit takes a service to the chair. What the clocks did since its last entry
// is noted at once.
func (a *App) sit(live *store.Live) tea.Cmd {
	s := newSeat()
	s.live, s.log = live, live.Log
	a.seats[live.ID] = s
	cmd := a.sitAt(s)
	if r := live.Repaired(); r != nil {
		a.say(r.String(), true)
	}
	return cmd
}

// sitAt goes on at the chair with a service that this process runs.
func (a *App) sitAt(s *seat) tea.Cmd {
	a.turnTo(s)
	a.onFloor = false
	b := a.refresh()
	return tea.Batch(a.noteClock(s), a.planTrips(b), a.foresee(b))
}

// resume opens a live service, or watches it if another process runs it.
func (a *App) resume(id string) tea.Cmd {
	if s := a.seats[id]; s != nil {
		return a.sitAt(s)
	}
	live, err := a.o.Store.Resume(a.now, id, a.who())
	var busy *journal.Busy
	switch {
	case errors.As(err, &busy):
		a.turnTo(newSeat())
		a.watching, a.watched = err.Error(), id
		return a.watch(id)
	case err != nil:
		a.say(err.Error(), true)
		return nil
	}
	return a.sit(live)
}

// takeOver runs a service that was watched, if the process that ran it is gone.
func (a *App) takeOver() tea.Cmd {
	live, err := a.o.Store.Resume(a.now, a.watched, a.who())
	if err != nil {
		a.say("This service is only watched here; nothing can be logged.", true)
		return nil
	}
	cmd := a.sit(live)
	a.say("Nobody ran this service any more: it is run here now. Press the key again.", false)
	return cmd
}

// turnFloor goes to the floor, or back from there to where it was opened from.
// A service that is left for the floor stays live, and is still run here; one
// that was closed is put away.
func (a *App) turnFloor() tea.Cmd {
	if a.log == nil && a.onFloor {
		if a.from != "" {
			return a.resume(a.from)
		}
		a.turnTo(newSeat())
		a.onFloor = false
		return a.readStore()
	}
	s := a.seat
	a.from = a.watched
	if s.live != nil {
		a.from = s.live.ID
	}
	a.turnTo(newSeat())
	a.onFloor = true
	if s.live != nil && !s.log.State().Live() && !s.saving && len(s.unsaved) == 0 {
		a.from = ""
		if err := a.close(s); err != nil {
			a.say(err.Error(), true)
		}
	}
	return a.lookAround()
}

// letGo leaves a service that is run here to other chairs. It stays live.
func (a *App) letGo(id string) tea.Cmd {
	s := a.seats[id]
	switch {
	case s == nil:
		a.say("This service is not run here.", false)
		return nil
	case s.saving:
		a.say("It is just being saved: press the key again.", false)
		return nil
	case len(s.unsaved) > 0:
		a.say("it can't be left to others before", true)
		return nil
	}
	client := s.log.State().Client
	if err := a.close(s); err != nil {
		a.say(err.Error(), true)
		return nil
	}
	if a.from == id {
		a.from = ""
	}
	a.say(client+" is left to any chair; the service stays live.", false)
	return nil
}

// close ends the running of a service.
func (a *App) close(s *seat) error {
	delete(a.seats, s.live.ID)
	return s.live.Close()
}

// reads takes a reading of the clocks in. What is said to have happened some
// minutes ago stays so, though the wall clock be set meanwhile.
func (a *App) reads(now timing.Reading) {
	if now.SameBoot(a.now) {
		if step := now.Wall.Sub(a.now.Wall) - (now.Boot - a.now.Boot); step.Abs() > timing.Tolerance {
			a.stepped += step
			if !a.late.IsZero() {
				a.late = a.late.Add(step)
			}
		}
	}
	a.now = now
}

// noteClock logs it when the clocks did not agree since a service's last entry:
// the wall clock was moved, or the computer was off.
func (a *App) noteClock(s *seat) tea.Cmd {
	if s.live == nil || s.saving || !s.log.State().Live() {
		return nil
	}
	_, gap := s.log.State().Line.Peek(a.now)
	if gap == nil {
		return nil
	}
	d := session.ClockNoted{What: session.ClockStepped, StepS: gap.Step.Seconds()}
	if gap.Restart {
		d = session.ClockNoted{What: session.ClockRestarted}
	}
	events, err := session.Decide(s.log, a.now, session.Do(d))
	if err != nil {
		a.say(err.Error(), true)
		return nil
	}
	return a.write(s, savedMsg{events: events, quiet: true})
}

// leave ends the program, once what is being saved is saved. Live services
// stay live. Asking twice does not wait, and leaves without what can't be saved.
func (a *App) leave() tea.Cmd {
	if a.asksLeave() {
		return nil
	}
	if first, cmd := a.parts(); first {
		return cmd
	}
	if a.busy() && !a.going {
		a.going = true
		for _, s := range a.seats {
			s.queue = nil
		}
		return nil
	}
	for _, s := range a.seats {
		a.err = errors.Join(a.err, a.unsavedError(s), s.live.Close())
	}
	a.left = true
	return tea.Quit
}

// asksLeave asks whether a practice by hand is to be left, of which nothing
// would be kept. Leaving once more is yes.
func (a *App) asksLeave() bool {
	if !a.o.Invented || a.doubted || a.ordered {
		return false
	}
	a.doubted = true
	if _, ok := a.over.(*form.Form); !ok {
		a.over = nil // a page has no line for it
	}
	a.answer("Leave the practice? Press again to leave; nothing of it is kept.", true)
	return true
}

// answersLeave takes any key but those that leave as an answer that stays.
func (a *App) answersLeave(msg tea.KeyMsg) {
	again := key.Matches(msg, a.o.Keys.QuitHard) || a.over == nil && key.Matches(msg, a.o.Keys.Leave)
	if a.doubted && !again {
		a.doubted = false
		a.say("", false)
	}
}

// Close lets go of the services that are still run here, after the program was
// ended by something else than being left. One for which something is on its
// way to the disk is let go of by the end of the process.
func (a *App) Close() error {
	var err error
	for _, s := range a.seats {
		if !s.saving {
			err = errors.Join(err, s.live.Close())
		}
	}
	return err
}

// busy reports whether anything is on its way to the disk.
func (a *App) busy() bool {
	for _, s := range a.seats {
		if s.saving || s.ending.keeping {
			return true
		}
	}
	return a.relive != nil && a.relive.keeping
}
