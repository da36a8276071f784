package tui

import (
	"errors"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/session/store"
	"rinseby/session/template"
	"rinseby/timing"
	"rinseby/tui/floor"
	"rinseby/tui/form"
	"rinseby/tui/intent"
	"rinseby/tui/keys"
	"rinseby/tui/start"
	"rinseby/tui/station"
	"rinseby/tui/theme"
	"rinseby/tui/widget"
)

// Options is what the program is started with.
type Options struct {
	Clock     timing.Clock
	Place     *time.Location // of the salon, for showing times
	Store     *store.Store
	Catalogue *formula.Catalogue
	Lists     []*template.List
	Theme     *theme.Theme
	Keys      keys.Map
	Stylist   string
	Station   string
	// Region and the salon's own figures for the skin test, 0 for the region's,
	// rule new services.
	Region                      safety.Region
	SkinTestHours, SkinTestDays int
	Tick                        time.Duration // how often the screen moves on; 0 is once a second
	Notice                      string        // shown at the start, such as a problem with a file
	Resume                      string        // id of a service to open at once
	Floor                       bool          // begin on the floor
	Invented                    bool          // services that are opened here are about nobody
	// Watch brings the live services of the store as they are written; without
	// it the floor is empty.
	Watch <-chan store.Watched
	// Alert brings a warning to where nobody looks at the screen; may be nil.
	Alert func(Alert) tea.Cmd
	// Aside gives the terminal to the shell until that brings it back; may be
	// nil.
	Aside tea.Cmd
	Title bool  // the terminal's title tells the next rinse
	Mouse bool  // the mouse is listened to
	Hints Hints // whether a line helps beginners along
	Pilot Pilot // presses the keys until a person does
	// Replay is a logged service to be relived. The store, the watch and the
	// pilot are not used then.
	Replay *Replay
}

// Ruled is the opening with the region and the salon's own figures.
func (o Options) Ruled(open session.ServiceOpened) session.ServiceOpened {
	open.Region, open.SkinTestHours, open.SkinTestDays = o.Region, o.SkinTestHours, o.SkinTestDays
	return open
}

// Hints tells whether a line under the top one helps beginners along.
type Hints int

// When the line is shown.
const (
	HintsAuto   Hints = iota // until a service was closed
	HintsAlways              // always
	HintsNever               // never
)

// A Pilot runs a service by itself, for practice. It answers with what to log
// at the moment of the board, if anything.
type Pilot interface {
	Next(l *session.Log, b session.Board) []session.Command
}

// screen is what can be open over the chair.
type screen interface {
	Update(tea.Msg) (intent.Intent, tea.Cmd)
	View() string
	SetSize(w, h int)
	// Keys lists what can be pressed.
	Keys() []key.Binding
	// Typing reports whether letters are typed into it just now.
	Typing() bool
}

// App is the root model.
type App struct {
	o    Options
	w, h int
	now  timing.Reading

	start   *start.Model
	station *station.Model
	wall    *floor.Model
	onFloor bool
	over    screen // open over the chair, the floor or the start screen; nil if none
	under   screen // what help was opened over; nil if none

	*seat                  // the service on the screen; an empty one if there is none
	seats map[string]*seat // services that this process runs, by id
	from  string           // id of the service that the floor was opened from; empty if none

	around around  // all live services
	relive *relive // a logged service; nil unless one is relived

	visits map[string]time.Time // when each client was here last
	used   []session.UsedBowl   // of earlier services, which tell of the stylist's use

	late     time.Time     // when what is logged next happened; zero for now
	stepped  time.Duration // of the wall clock, since it was asked when that was
	presses  presses
	pilot    Pilot
	calls    map[called]calling   // warnings that called for attention
	did      map[session.Verb]int // how often the one key did each
	beginner bool                 // no service was closed yet
	title    string               // that the terminal was given
	going    bool                 // to leave as soon as what is being saved is saved
	doubted  bool                 // it was asked whether to leave a practice
	parting  bool                 // it was told that leaving loses what can't be saved
	ordered  bool                 // to leave, by nobody who could be asked anything
	left     bool                 // services are let go of, and nothing is taken any more
	err      error                // that the program ends with
}

// New makes the root model.
func New(o Options) *App {
	if o.Tick <= 0 {
		o.Tick = time.Second
	}
	a := &App{
		o: o, w: 80, h: 24, now: o.Clock.Read(), pilot: o.Pilot,
		start: start.New(o.Theme, o.Keys.AtStart(), o.Place), station: station.New(o.Theme, o.Keys),
		wall: floor.New(o.Theme, o.Keys.OnFloor()), onFloor: o.Floor,
		seat: newSeat(), seats: map[string]*seat{}, calls: map[called]calling{}, did: map[session.Verb]int{}, around: newAround(),
	}
	a.around.whole = o.Watch == nil
	a.start.SetRegion(o.Region)
	if o.Replay != nil {
		a.relive = a.newRelive(o.Replay)
	}
	a.resize()
	a.showFloor()
	if o.Notice != "" {
		a.say(o.Notice, true)
	}
	return a
}

// Init starts the tick and reads the store.
func (a *App) Init() tea.Cmd {
	if a.relive != nil {
		return tea.Batch(a.tick(), a.begun())
	}
	cmds := []tea.Cmd{a.tick(), a.readStore(), a.lookOut()}
	if a.o.Resume != "" {
		cmds = append(cmds, a.resume(a.o.Resume))
	}
	return tea.Batch(cmds...)
}

// Err is what went wrong at the end, for the exit code.
func (a *App) Err() error { return a.err }

// tick waits for the next turn of the clock face.
func (a *App) tick() tea.Cmd {
	return tea.Tick(a.o.Tick, func(time.Time) tea.Msg { return tickMsg{a.o.Clock.Read()} })
}

// Update takes a message in.
func (a *App) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	if a.left {
		return a, nil
	}
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		a.w, a.h = msg.Width, msg.Height
		a.resize()
		return a, nil
	case tickMsg:
		return a, tea.Batch(a.tick(), a.read(msg.now), a.turn())
	case Leave:
		a.ordered = true
		return a, a.carry(intent.Quit{})
	case savedMsg:
		a.reads(a.o.Clock.Read())
		return a, a.saved(msg)
	case watchedMsg:
		return a, a.took(msg)
	case seenMsg:
		a.reads(a.o.Clock.Read())
		return a, tea.Batch(a.lookOut(), a.saw(msg.seen))
	case floorMsg:
		return a, a.solved(msg)
	case adviceMsg:
		msg.page.SetLines(msg.lines)
		return a, nil
	case tripsMsg:
		return a, a.planned(msg)
	case usualsMsg:
		return a, a.knows(msg)
	case endingMsg:
		return a, a.foresaw(msg)
	case widthMsg:
		return a, a.keptWidth(msg)
	case entriesMsg:
		return a, a.listed(msg)
	case pastMsg:
		a.visits, a.used = msg.visits, msg.used
		return a, nil
	case error: // of something that ran beside the screens
		a.say(msg.Error(), true)
		return a, nil
	case stopsMsg, fanMsg, marksMsg, questionsMsg:
		return a, a.learned(msg)
	case tea.KeyMsg:
		return a, tea.Batch(a.read(a.o.Clock.Read()), a.keys(msg))
	case tea.MouseMsg:
		return a, tea.Batch(a.read(a.o.Clock.Read()), a.mouse(msg))
	case tea.ResumeMsg:
		return a, tea.Batch(a.read(a.o.Clock.Read()), a.turn())
	}
	_, cmd := a.top().Update(msg)
	return a, cmd
}

// keys hands on the keys one by one: several typed fast arrive as one message,
// and none may be lost. Pasted text stays whole.
func (a *App) keys(msg tea.KeyMsg) tea.Cmd {
	if msg.Type != tea.KeyRunes || len(msg.Runes) < 2 || msg.Paste {
		return a.key(msg)
	}
	var cmds []tea.Cmd
	for _, r := range msg.Runes {
		one := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}, Alt: msg.Alt}
		if r == ' ' {
			one.Type = tea.KeySpace
		}
		cmds = append(cmds, a.key(one))
	}
	return tea.Batch(cmds...)
}

func (a *App) key(msg tea.KeyMsg) tea.Cmd {
	a.answersLeave(msg)
	switch {
	case key.Matches(msg, a.o.Keys.QuitHard):
		return a.carry(intent.Quit{})
	case key.Matches(msg, a.o.Keys.Suspend):
		return a.o.Aside
	}
	if a.pilot != nil {
		a.pilot = nil
		if key.Matches(msg, a.o.Keys.Leave) {
			return a.carry(intent.Quit{})
		}
		a.say("You have taken over. Space does the next thing, ? shows all keys.", false)
		return nil
	}
	if key.Matches(msg, a.o.Keys.PainAnywhere) && a.relive == nil {
		if a.log == nil {
			return a.askWhoHurts()
		}
		return a.carry(intent.Pain{})
	}
	if !a.late.IsZero() && a.over == nil && msg.Type == tea.KeyEsc {
		a.late = time.Time{}
		a.sayLate()
		return nil
	}
	if a.asksHelp(msg) {
		return a.openHelp()
	}
	if a.escAsk(msg) {
		return a.endAsking()
	}
	if a.over == nil && a.log != nil && a.relive == nil {
		a.refresh() // the key is pressed now, not at the last tick
		switch {
		case !key.Matches(msg, a.o.Keys.Next):
			a.presses.other()
		case !a.pressed():
			return nil
		}
	}
	in, cmd := a.top().Update(msg)
	return tea.Batch(cmd, a.carry(in), a.follow())
}

// top is the screen that has the keys.
func (a *App) top() screen {
	switch {
	case a.over != nil:
		return a.over
	case a.relive != nil:
		return a.relive.screen
	case a.log != nil:
		return a.station
	case a.onFloor:
		return a.wall
	}
	return a.start
}

// View draws the screen. Over the chair, the chair's first lines stay.
func (a *App) View() string {
	if a.w < leastWide || a.h < leastHigh {
		return a.tooSmall()
	}
	if a.over == nil || a.log == nil {
		return a.top().View()
	}
	return a.station.Top(topLines) + "\n" + a.over.View()
}

// The least size that the screens are made for, and what stays of the chair
// under another screen.
const (
	leastWide = 60
	leastHigh = 20
	topLines  = 2
)

// tooSmall says so, under what must not be lost: the next thing and its time.
func (a *App) tooSmall() string {
	lines := []string{"too small: 60x20 is needed"}
	switch {
	case a.log != nil:
		lines = append([]string{a.station.Short()}, lines...)
	case a.onFloor:
		lines = append([]string{a.wall.Short()}, lines...)
	}
	return widget.Screen(a.o.Theme, lines, nil, nil, a.w, a.h)
}

func (a *App) resize() {
	a.start.SetSize(a.w, a.h)
	a.station.SetSize(a.w, a.h)
	a.wall.SetSize(a.w, a.h)
	if a.relive != nil {
		a.relive.screen.SetSize(a.w, a.h)
	}
	a.sizeOver()
}

func (a *App) sizeOver() {
	if a.over == nil {
		return
	}
	if a.log != nil {
		a.over.SetSize(a.w, a.h-topLines)
	} else {
		a.over.SetSize(a.w, a.h)
	}
}

// say sets the line that answers the last key, behind what is not saved.
func (a *App) say(text string, bad bool) {
	text, bad = a.warned(text, bad)
	a.start.Tell(text, bad)
	a.wall.Tell(text, bad)
	a.station.Tell(station.Status{Text: text, Bad: bad})
}

// answer tells why what was asked for was not done, on the form that asked for
// it if there is one.
func (a *App) answer(text string, bad bool) {
	a.say(text, bad)
	if f, ok := a.over.(*form.Form); ok {
		f.Refuse(errors.New(text))
	}
}

// sayLate shows how long ago it was what comes next.
func (a *App) sayLate() {
	switch {
	case a.log != nil:
		a.say("", false)
		a.refresh()
	case !a.late.IsZero():
		a.say("A new service counts as opened "+widget.Clock(a.now.Wall.Sub(a.late))+" ago (esc to forget).", false)
	default:
		a.say("", false)
	}
}

// turn is what happens at every tick: all that is live is looked at, the board
// moves on, the pilot acts, a watched log is read again, a new warning rings.
func (a *App) turn() tea.Cmd {
	if a.relive != nil {
		return nil // it has turned with the reading
	}
	cmds := []tea.Cmd{a.lookAround(), a.saveWaiting()}
	for _, s := range a.seats {
		cmds = append(cmds, a.noteClock(s))
	}
	if a.log == nil {
		a.start.SetHelp(a.helpAt(true))
		return tea.Batch(append(cmds, a.retitle(), a.start.SetLive(a.pressing()))...)
	}
	b := a.refresh()
	cmds = append(cmds, a.call(a.log.State().Service, b.Warnings), a.planTrips(b), a.foresee(b), a.retitle())
	if a.watching != "" {
		cmds = append(cmds, a.watch(a.watched))
	}
	if a.pilot != nil && !a.saving && a.over == nil {
		if cs := a.pilot.Next(a.log, b); len(cs) > 0 {
			cmds = append(cmds, a.carry(intent.Log{Commands: cs}))
		}
	}
	return tea.Batch(cmds...)
}
