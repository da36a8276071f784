package tui

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"syscall"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/session/journal"
	"rinseby/session/store"
	"rinseby/timing"
)

// Where the disk is full or fails, the service goes on in memory: clocks and
// limits count what is entered, nothing is answered with "Logged", and the
// screen says that it is not saved. All of it is written with the next entry,
// or by itself as soon as it can be.

// saveAgain is how soon it is tried by itself to save what could not be saved.
const saveAgain = 5 * time.Second

// errElsewhere says that a log went on without this process.
var errElsewhere = errors.New("the service was gone on with elsewhere; look at what is logged there, and enter what is missing")

// keep appends events to the log of a service. After an error of the disk it
// opens the log anew and looks at what it holds: left are the events that are
// not there. The service that is run from then on is returned; its handle is
// dead if it could not be opened.
func keep(st *store.Store, now timing.Reading, who string, live *store.Live, events []session.Event) (_ *store.Live, left []session.Event, err error) {
	for {
		err = live.Append(events)
		if err == nil {
			return live, nil, nil
		}
		if !errors.Is(err, journal.ErrDead) && !errors.Is(err, journal.ErrClosed) {
			return live, events, err
		}
		again := errors.Is(err, journal.ErrClosed) // nothing was tried yet
		_ = live.Close()                           // it failed already, and says nothing new
		opened, failed := st.Resume(now, live.ID, who)
		if failed != nil {
			return live, events, failed
		}
		live = opened
		if events, failed = missing(live.Log, events); failed != nil {
			return live, events, failed
		}
		if len(events) == 0 {
			return live, nil, nil
		}
		if !again {
			return live, events, err
		}
	}
}

// missing returns the events that a log does not hold yet.
func missing(l *session.Log, events []session.Event) ([]session.Event, error) {
	there := l.Events()
	first := events[0].Seq - 1 // how many must be there before them
	if len(there) < first || len(there) > first+len(events) {
		return events, errElsewhere
	}
	n := len(there) - first
	if n > 0 {
		a, err := session.Records(there[first:])
		b, berr := session.Records(events[:n])
		if err = errors.Join(err, berr); err != nil {
			return events, err
		}
		if !reflect.DeepEqual(a, b) {
			return events, errElsewhere
		}
	}
	return events[n:], nil
}

// failed takes in that events could not be saved. They count all the same,
// unless the log went on elsewhere or can't hold them, whatever the disk does.
func (a *App) failed(s *seat, msg savedMsg) (counts bool) {
	switch {
	case errors.Is(msg.err, errElsewhere):
		a.say("NOT SAVED"+a.whose(s)+": "+a.list(s, msg.left)+": "+msg.err.Error(), true)
		s.live, s.log, s.unsaved = msg.live, msg.live.Log, nil
		return false
	case errors.Is(msg.err, journal.ErrTooLarge), errors.Is(msg.err, journal.ErrInvalid):
		a.say("NOT SAVED"+a.whose(s)+": "+msg.err.Error(), true)
		return false
	}
	s.unsaved, s.why, s.tried = msg.left, msg.err, a.now.Wall
	return true
}

// whose names the client of a seat that is not on the screen.
func (a *App) whose(s *seat) string {
	if s == a.seat {
		return ""
	}
	return " (" + s.log.State().Client + ")"
}

// list says what events are.
func (a *App) list(s *seat, events []session.Event) string {
	said := make([]string, len(events))
	for i, e := range events {
		said[i] = s.log.State().Say(e.Data)
	}
	return strings.Join(said, "; ")
}

// warned puts before what is said that entries are not saved, as long as that
// is so.
func (a *App) warned(text string, bad bool) (string, bool) {
	for _, s := range a.waitingSeats() {
		n := entries(len(s.unsaved)) + " to be saved"
		why := s.why.Error()
		var no syscall.Errno
		if errors.As(s.why, &no) {
			why = no.Error()
		}
		if text == "" && s.full() {
			text = "free some space. The clocks go on."
		} else if text == "" {
			text = "look at the disk. The clocks go on."
		}
		text, bad = fmt.Sprintf("NOT SAVED%s, %s: %s (%s)", a.whose(s), n, text, why), true
	}
	return text, bad
}

// full reports whether there was no room for what could not be saved.
func (s *seat) full() bool {
	return errors.Is(s.why, syscall.ENOSPC) || errors.Is(s.why, syscall.EDQUOT) || errors.Is(s.why, syscall.EFBIG)
}

// waitingSeats are the seats with entries that are not saved, the one on the
// screen last.
func (a *App) waitingSeats() (all []*seat) {
	for _, s := range a.seats {
		if len(s.unsaved) > 0 {
			all = append(all, s)
		}
	}
	slices.SortFunc(all, func(x, y *seat) int {
		if (x == a.seat) != (y == a.seat) {
			if x == a.seat {
				return 1
			}
			return -1
		}
		return strings.Compare(x.live.ID, y.live.ID)
	})
	return all
}

// saveWaiting tries by itself, now and then, to save what could not be saved.
func (a *App) saveWaiting() tea.Cmd {
	var cmds []tea.Cmd
	for _, s := range a.waitingSeats() {
		if since := a.now.Wall.Sub(s.tried); !s.saving && (since >= saveAgain || since < 0) {
			cmds = append(cmds, a.write(s, savedMsg{quiet: true}))
		}
	}
	return tea.Batch(cmds...)
}

// parts tries to save what waits before the program is left. If it can't be
// saved that is told, and asking again leaves without it.
func (a *App) parts() (first bool, cmd tea.Cmd) {
	all := a.waitingSeats()
	if len(all) == 0 || a.parting {
		return false, nil
	}
	a.parting, a.going = true, true
	var cmds []tea.Cmd
	for _, s := range all {
		if !s.saving {
			cmds = append(cmds, a.write(s, savedMsg{quiet: true}))
		}
	}
	return true, tea.Batch(cmds...)
}

// stays ends the leaving if something is still not saved, and somebody can be
// asked about it.
func (a *App) stays() bool {
	if len(a.waitingSeats()) == 0 || !a.parting || a.ordered {
		return false
	}
	a.going = false
	a.say("leave once more to lose what is not saved", true)
	return true
}

// unsavedError says what is lost when the program is left.
func (a *App) unsavedError(s *seat) error {
	if len(s.unsaved) == 0 {
		return nil
	}
	return fmt.Errorf("not saved of the service of %s, as %w: %s", s.log.State().Client, s.why, a.list(s, s.unsaved))
}

// entries says how many there are.
func entries(n int) string {
	if n == 1 {
		return "1 entry"
	}
	return fmt.Sprintf("%d entries", n)
}
