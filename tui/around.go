package tui

import (
	"cmp"
	"maps"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/session/safety"
	"rinseby/session/store"
	"rinseby/tui/floor"
	"rinseby/tui/start"
)

// An around is all services that are live in the salon, whoever runs them.
type around struct {
	seen   map[string]*seen         // by id
	whole  bool                     // all that were live at the start are seen
	worked worked                   // of all together, as last worked out
	busy   bool                     // it is being worked out
	stale  bool                     // something has changed since
	waved  map[string]session.Level // warnings of other clients that were seen, and how loud they were then
}

// A seen is a live service as it was last seen, and its look.
type seen struct {
	store.Watched
	look     session.FloorLook
	after    time.Time // when it ends by the roster; zero without one that fits
	warnings []session.Warning
}

func newAround() around { return around{seen: map[string]*seen{}, waved: map[string]session.Level{}} }

// lookOut waits for the next live service to be seen.
func (a *App) lookOut() tea.Cmd {
	watch := a.o.Watch
	if watch == nil {
		return nil
	}
	return func() tea.Msg {
		if w, ok := <-watch; ok {
			return seenMsg{w}
		}
		return nil
	}
}

// saw takes in a live service as it is now, or that it is none any more.
func (a *App) saw(w store.Watched) tea.Cmd {
	if w.All {
		a.around.whole = true
		return a.showFloor()
	}
	a.around.stale = true
	var bell tea.Cmd
	switch {
	case w.Err != nil && w.Log == nil:
		a.wall.Tell(w.Err.Error(), true)
		fallthrough
	case w.Left, w.Log == nil, !w.Log.State().Live():
		delete(a.around.seen, w.ID)
	default:
		e := &seen{Watched: w}
		a.around.seen[w.ID] = e
		bell = a.lookAt(e)
	}
	if a.log != nil {
		a.refresh()
	}
	return tea.Batch(bell, a.showFloor(), a.workOut())
}

// pressing is how the live services stand, for the first screen.
func (a *App) pressing() map[string]start.Live {
	looks := make([]session.FloorLook, 0, len(a.around.seen))
	for _, id := range slices.Sorted(maps.Keys(a.around.seen)) {
		look := a.around.seen[id].look
		look.ID = id
		looks = append(looks, look)
	}
	slices.SortStableFunc(looks, session.FloorOrder)
	live := map[string]start.Live{}
	for i, l := range looks {
		s := start.Live{Order: i - len(looks)} // before what is not known to be live
		s.Zone, s.Off, s.Over = l.OffParts(func(at time.Time) string { return at.In(a.o.Place).Format("15:04") })
		if l.Help {
			s.Help = "HELP: call " + safety.NumberIn(l.Number, a.o.Region) + ", say " + safety.Anaphylaxis
		}
		live[l.ID] = s
	}
	return live
}

// lookAround looks at all that is live: clocks run whatever is on the screen.
func (a *App) lookAround() tea.Cmd {
	var cmds []tea.Cmd
	for _, e := range a.around.seen {
		cmds = append(cmds, a.lookAt(e))
	}
	return tea.Batch(append(cmds, a.showFloor(), a.workOut())...)
}

// lookAt looks at one of them, and sounds its bell if nobody else does, or if
// it is this one's own.
func (a *App) lookAt(e *seen) tea.Cmd {
	s := e.Log.State()
	line, reading, place := s.Line, a.now, a.o.Place
	clock := func(at time.Time) string { return line.Wall(at, reading).In(place).Format("15:04") }
	b := session.Look(s, line.Now(reading), clock)
	w, known := a.around.worked.by[e.ID]
	if known && w.seq == s.Seq {
		b.Follow(s, w.plan)
	}
	e.warnings = b.Warnings
	e.look = session.LookFloor(s, &b, reading, session.Beside{Plan: w.plan, Forecast: w.forecast, Blocks: w.blocks})
	if at := line.Wall(w.start, reading); known && w.seq == s.Seq && !w.start.IsZero() && at.After(reading.Wall) && at.After(e.look.HandsAt) {
		e.look.HandsAt = at // hands are with another client until then
	}
	e.after = time.Time{}
	if n := len(w.blocks); n > 0 && w.rostered && w.seq == s.Seq {
		e.after = line.Wall(w.blocks[n-1].To, reading)
	}
	_, mine := a.seats[e.ID]
	if e.Gone != nil {
		e.look.Gone = true
	}
	if e.RunBy != nil && !mine {
		e.look.RunBy = cmp.Or(e.RunBy.Station, "another process")
	}
	onScreen := a.log != nil && s.Service == a.log.State().Service
	if e.look.Help && !onScreen {
		return a.call(e.ID, e.warnings) // whoever runs it
	}
	if onScreen || !mine && !e.look.Gone && e.RunBy != nil && !(a.onFloor && a.own(s.Stylist)) {
		return nil // the chair's own bell, or that of another chair
	}
	return a.call(e.ID, e.warnings)
}

// own reports whether the stylist is the one whom this process was started for.
func (a *App) own(stylist string) bool {
	return a.o.Stylist != "" && worker(stylist) == worker(a.o.Stylist)
}

// showFloor shows the floor, if it is on the screen, as it was last looked at.
// A new collision rings.
func (a *App) showFloor() tea.Cmd {
	if a.log != nil || !a.onFloor {
		return nil
	}
	var cmds []tea.Cmd
	l := floor.Look{Now: a.now.Wall, Place: a.o.Place, Part: !a.around.whole}
	for _, id := range slices.Sorted(maps.Keys(a.around.seen)) {
		e := a.around.seen[id]
		_, mine := a.seats[id]
		l.Services = append(l.Services, floor.Service{FloorLook: e.look, Mine: mine, After: e.after, Clash: a.around.worked.clash(e, a.now)})
	}
	clients := a.around.clients()
	for _, r := range a.around.worked.rosters {
		if t, ok := r.trouble(clients); ok {
			l.Troubles = append(l.Troubles, t)
			if a.own(r.stylist) || a.o.Stylist == "" {
				cmds = append(cmds, a.call("", []session.Warning{r.warning()}))
			}
		} else if l.Fits == "" {
			l.Fits, l.Apart = r.fits(clients)
		}
	}
	a.wall.Show(l)
	return tea.Batch(cmds...)
}

// clients are the names of the clients by service.
func (a *around) clients() map[string]string {
	names := map[string]string{}
	for id, e := range a.seen {
		names[id] = cmp.Or(e.look.Client, "no name")
	}
	return names
}

// withOthers adds what of the other live services concerns the one at the
// chair: what collides with it, and what presses at another one that is run
// here.
func (a *App) withOthers(ws []session.Warning, s *session.State) []session.Warning {
	for _, r := range a.around.worked.rosters {
		if w, ok := r.here(s.Service, a.around.clients()); ok && s.Live() {
			w.Acked = s.Acked(w.Key)
			ws = insert(ws, w)
		}
	}
	for _, id := range slices.Sorted(maps.Keys(a.around.seen)) {
		e := a.around.seen[id]
		loud := e.look.Loudest
		if id != s.Service && e.look.Help { // whoever's client it is, and it is never waved away
			w := session.Warning{Key: otherKey + id + ":help", Level: session.Alarm, At: e.look.Since, Fixed: true, Text: e.look.HelpAt() + ": call " + safety.NumberIn(e.look.Number, a.o.Region) + ", say " + safety.Anaphylaxis + " (w)"}
			ws = slices.Insert(ws, 0, w)
			continue
		}
		if id == s.Service || loud == nil || loud.Level == session.Line || !a.concerns(e, s) {
			continue
		}
		w := session.Warning{Key: otherKey + id + ":" + loud.Key, Level: loud.Level, At: loud.At, Text: e.look.Client + ": " + loud.Text + " (w goes there)"}
		w.Acked = a.around.waved[w.Key] == w.Level
		ws = insert(ws, w)
	}
	return ws
}

// otherKey begins the key of what another client's chair warns of. It is seen,
// not logged: the log of this client says nothing of that one.
const otherKey = "other:"

// concerns reports whether another live service is the business of whoever is
// at the chair of s: it is run here, by nobody, or for the same stylist.
func (a *App) concerns(e *seen, s *session.State) bool {
	_, mine := a.seats[e.ID]
	return mine || e.RunBy == nil || e.Gone != nil || worker(e.look.Stylist) == worker(s.Stylist)
}

// insert puts a warning in its place: after what is as loud, and after what
// can't be acknowledged.
func insert(ws []session.Warning, w session.Warning) []session.Warning {
	at := slices.IndexFunc(ws, func(o session.Warning) bool { return !o.Fixed && o.Level < w.Level })
	if at < 0 {
		at = len(ws)
	}
	return slices.Insert(ws, at, w)
}
