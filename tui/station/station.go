package station

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/timing"
	"rinseby/tui/clean"
	"rinseby/tui/intent"
	"rinseby/tui/keys"
	"rinseby/tui/theme"
)

// A Look is what the chair shows: one moment of a service.
type Look struct {
	Client, Stylist, Station string
	Invented                 bool
	Board                    session.Board
	Round                    string    // name of the round under way
	Opened                   time.Time // all moments are on the service's time line
	Promised, Closed         time.Time
	Wall                     time.Time      // what the wall clock shows at Board.Now
	Place                    *time.Location // of the salon
	Paused                   bool
	Helpers                  []string
	Watching                 string // who runs the service, if only watched
	Unsaved                  bool   // an entry is on its way to the disk
	Late                     time.Duration
	Hint                     string // helps beginners along; empty is none
	NextBowl                 string // when to mix the next bowl, and what
	Ending                   Ending
	Several                  bool // clients are run here: say whose chair this is
	Relived                  bool // it was so once: nothing can be logged
	Burst                    bool // the key was pressed several times at once, which counts as one
	Asked                    bool // what was to be done next is kept back
}

// An Ending says when the service ends.
type Ending struct {
	Words []string // the same at decreasing length; none if there is nothing to say
	Late  bool     // to be later than promised is likelier than not
}

// Status is the line that answers the last key.
type Status struct {
	Text string
	Bad  bool
}

// Model is the chair screen.
type Model struct {
	th       *theme.Theme
	keys     keys.Map
	w, h     int
	look     Look
	status   Status
	selected string // id of the zone that was picked by hand; empty follows the work
	told     string // what was to be done next when the status was told
	early    early
	lastOff  time.Time // when the key last said that a zone is clean
	typed    bool      // keys are typed by name, and don't slip
}

// early is a press that may well be a slip: a second one does it.
type early struct {
	what string    // that the key was to do
	at   time.Time // by the service's time line
}

// How long after the water starts a zone can hardly be clean, and within what
// time a second press says that it is meant, but not before a pedal that
// bounces has come to rest. House rules; common practice, no source.
const (
	leastRinse  = 30 * time.Second
	meantWithin = 20 * time.Second
	bounce      = 700 * time.Millisecond
)

// New returns an empty chair screen.
func New(th *theme.Theme, km keys.Map) *Model { return &Model{th: th, keys: km} }

// SetSize sets the room the screen has.
func (m *Model) SetSize(w, h int) { m.w, m.h = w, h }

// Show sets what is shown. Text from people is cleaned here, on its way in.
func (m *Model) Show(l Look) {
	l.Client, l.Stylist, l.Station = clean.Text(l.Client), clean.Text(l.Stylist), clean.Text(l.Station)
	l.Round, l.Watching = clean.Text(l.Round), clean.Text(l.Watching)
	l.NextBowl = clean.Text(l.NextBowl)
	words := make([]string, len(l.Ending.Words))
	for i, w := range l.Ending.Words {
		words[i] = clean.Text(w)
	}
	l.Ending.Words = words
	b := &l.Board
	if b.Reaction != nil {
		r := *b.Reaction
		r.Held = slices.Clone(r.Held)
		for i := range r.Held {
			r.Held[i].Name = clean.Text(r.Held[i].Name)
		}
		b.Reaction = &r
	}
	b.Next.Text, b.Next.Why, b.Plan = clean.Text(b.Next.Text), clean.Text(b.Next.Why), clean.Text(b.Plan)
	for i := range b.Zones {
		b.Zones[i].Name = clean.Text(b.Zones[i].Name)
		if lift := b.Zones[i].Lift; lift != nil {
			lift.Undertone = clean.Text(lift.Undertone)
		}
	}
	for i := range b.Warnings {
		b.Warnings[i].Text = clean.Text(b.Warnings[i].Text)
	}
	for i := range b.Bowls {
		b.Bowls[i].Product = clean.Text(b.Bowls[i].Product)
	}
	for i := range l.Helpers {
		l.Helpers[i] = clean.Text(l.Helpers[i])
	}
	m.look = l
	if m.told != l.Board.Next.Text && !m.status.Bad && strings.HasPrefix(m.status.Text, nothingYet) {
		m.status = Status{} // it is true no more
	}
}

const nothingYet = "Nothing to press yet"

// Tell sets the line that answers the last key.
func (m *Model) Tell(s Status) {
	m.told = m.look.Board.Next.Text
	m.status = Status{Text: clean.Text(s.Text), Bad: s.Bad}
}

// Keys lists what can be pressed.
func (m *Model) Keys() []key.Binding { return m.keys.All() }

// Verb is what is to be done next.
func (m *Model) Verb() session.Verb { return m.look.Board.Next.Verb }

// Places reports whether the key would place a piece.
func (m *Model) Places() bool { return m.Verb() == session.DoPlace }

// Typed says that keys are typed by name: none is a slip of a pedal.
func (m *Model) Typed() { m.typed = true }

// Typing reports whether letters are typed here: none are.
func (m *Model) Typing() bool { return false }

// Zone is the id of the zone that keys are about: the one picked by hand, else
// the one that the next thing is about.
func (m *Model) Zone() string {
	if m.selected != "" && m.index(m.selected) >= 0 {
		return m.selected
	}
	b := m.look.Board
	if len(b.Next.Zones) > 0 {
		return b.Next.Zones[0]
	}
	if b.OffBy != nil {
		return b.OffBy.ID
	}
	if len(b.Zones) > 0 {
		return b.Zones[0].ID
	}
	return ""
}

// toPlace is the id of the zone that several pieces go to: the one picked by
// hand or that is next, if any are to come there, else the first of which some
// are.
func (m *Model) toPlace() string {
	toCome := func(z session.ZoneLook) bool { return !z.Full && !z.Rinsing && z.RinsedAt.IsZero() }
	if id := m.Zone(); m.selected != "" || toCome(m.zone(id)) {
		return id
	}
	if i := slices.IndexFunc(m.look.Board.Zones, toCome); i >= 0 {
		return m.look.Board.Zones[i].ID
	}
	return m.Zone()
}

func (m *Model) index(id string) int {
	for i, z := range m.look.Board.Zones {
		if z.ID == id {
			return i
		}
	}
	return -1
}

// Update turns a key into an intent.
func (m *Model) Update(msg tea.Msg) (intent.Intent, tea.Cmd) {
	k, ok := msg.(tea.KeyMsg)
	if !ok {
		return nil, nil
	}
	switch {
	case m.Calling():
		return m.whileCalling(k), nil
	case key.Matches(k, m.keys.Up):
		m.move(-1)
	case key.Matches(k, m.keys.Down):
		m.move(1)
	case key.Matches(k, m.keys.Back):
		m.selected = ""
	default:
		return m.act(k), nil
	}
	return nil, nil
}

func (m *Model) move(by int) {
	zs := m.look.Board.Zones
	if len(zs) == 0 {
		return
	}
	i := max(m.index(m.Zone()), 0)
	m.selected = zs[(i+by+len(zs))%len(zs)].ID
}

func (m *Model) act(k tea.KeyMsg) intent.Intent {
	open := func(s intent.Screen) intent.Intent { return intent.Open{Screen: s, Zone: m.Zone()} }
	for _, b := range []struct {
		binding key.Binding
		intent  func() intent.Intent
	}{
		{m.keys.Next, m.next},
		{m.keys.Pain, func() intent.Intent { return intent.Pain{} }},
		{m.keys.Safety, func() intent.Intent { return open(intent.Safety) }},
		{m.keys.Floor, func() intent.Intent { return intent.Floor{} }},
		{m.keys.Undo, func() intent.Intent { return intent.Undo{} }},
		{m.keys.Redo, func() intent.Intent { return intent.Redo{} }},
		{m.keys.Finish, func() intent.Intent {
			return intent.Log{Commands: []session.Command{session.Do(session.ZoneFinished{Zone: m.Zone()})}}
		}},
		{m.keys.Pause, m.pause},
		{m.keys.Ack, m.acknowledge},
		{m.keys.Many, func() intent.Intent { return intent.Open{Screen: intent.Many, Zone: m.toPlace()} }},
		{m.keys.Coat, func() intent.Intent { return open(intent.Coat) }},
		{m.keys.Refresh, func() intent.Intent { return open(intent.Refresh) }},
		{m.keys.Heat, func() intent.Intent { return open(intent.Heat) }},
		{m.keys.Rinse, func() intent.Intent { return open(intent.Rinse) }},
		{m.keys.Check, func() intent.Intent { return open(intent.Check) }},
		{m.keys.Mix, func() intent.Intent { return open(intent.Mix) }},
		{m.keys.Empty, func() intent.Intent { return open(intent.Empty) }},
		{m.keys.Zones, func() intent.Intent { return open(intent.Zones) }},
		{m.keys.Earlier, func() intent.Intent { return open(intent.Earlier) }},
		{m.keys.Steps, func() intent.Intent { return open(intent.Steps) }},
		{m.keys.Cut, func() intent.Intent { return open(intent.Cut) }},
		{m.keys.Helper, func() intent.Intent { return open(intent.Helper) }},
		{m.keys.Promise, func() intent.Intent { return open(intent.Promise) }},
		{m.keys.Note, func() intent.Intent { return open(intent.Note) }},
		{m.keys.Consult, func() intent.Intent { return open(intent.Consult) }},
		{m.keys.Plan, func() intent.Intent { return open(intent.Plan) }},
		{m.keys.Card, func() intent.Intent { return open(intent.Card) }},
		{m.keys.Record, func() intent.Intent { return open(intent.Record) }},
		{m.keys.Help, func() intent.Intent { return open(intent.Help) }},
		{m.keys.Leave, func() intent.Intent { return intent.Quit{} }},
	} {
		if key.Matches(k, b.binding) {
			return b.intent()
		}
	}
	return nil
}

// next is what the one key does. The screen has said so before.
func (m *Model) next() intent.Intent {
	a := m.look.Board.Next
	m.selected = ""
	switch a.Verb {
	case session.DoWait:
		return intent.Say{Text: nothingYet + ": " + m.hero().label + m.hero().at}
	case session.DoNothing:
		return intent.Open{Screen: intent.Card}
	}
	if len(a.Commands) == 0 {
		return intent.Open{Screen: screens[a.Verb], Zone: m.Zone()}
	}
	if why := m.tooEarly(a); why != "" && !m.meant(a.Text) {
		return intent.Say{Text: why}
	}
	if a.Verb == session.DoOff {
		m.lastOff = m.look.Board.Now
	}
	return intent.Log{Commands: a.Commands}
}

// tooEarly says why what the key would do is likely to be a slip; empty if it
// is not. What is logged late is none.
func (m *Model) tooEarly(a session.Action) string {
	b := m.look.Board
	if a.Verb == session.DoCall && !m.typed {
		return m.callEarly(a)
	}
	if m.look.Late > 0 || m.typed || len(a.Zones) == 0 {
		return ""
	}
	z := m.zone(a.Zones[0])
	switch {
	case a.Verb == session.DoCool && b.Now.Before(a.From):
		return "Cool water until " + m.clock(a.From) + ". Press again if the product is off; the water runs on."
	case a.Verb != session.DoOff:
		return ""
	case b.Harm == nil && z.Phase == timing.Working && b.Now.Before(z.OpensAt):
		return "It opens at " + m.clock(z.OpensAt) + ". Press again if it is rinsed clean all the same."
	case !m.lastOff.IsZero() && b.Now.Sub(m.lastOff) < bounce:
		return "Pressed twice? Press again if " + z.Name + " is clean, too."
	case !z.RinseFrom.IsZero() && b.Now.Sub(z.RinseFrom) < leastRinse:
		return fmt.Sprintf("Only %d s at the basin. Press again if it is clean.", int(b.Now.Sub(z.RinseFrom)/time.Second))
	}
	return ""
}

// meant reports whether a press is the second one that means it, else notes it
// as the first.
func (m *Model) meant(what string) bool {
	waited := m.look.Board.Now.Sub(m.early.at)
	if m.early.what == what && waited >= bounce && waited < meantWithin {
		m.early = early{}
		return true
	}
	if m.early.what != what || waited >= meantWithin {
		m.early = early{what, m.look.Board.Now}
	}
	return false
}

// screens tells which screen asks for what the next thing still needs.
var screens = map[session.Verb]intent.Screen{
	session.DoClock: intent.Clock, session.DoConsult: intent.Consult, session.DoPlan: intent.Zones,
	session.DoWindow: intent.Window, session.DoMix: intent.Mix, session.DoFinish: intent.Finish, session.DoSafety: intent.Safety,
	session.DoCool: intent.Found, session.DoClear: intent.Found,
	session.DoEye: intent.Found, session.DoLook: intent.LookAgain, session.DoAsk: intent.AskAgain,
}

func (m *Model) pause() intent.Intent {
	var d session.Data = session.PauseBegan{}
	if m.look.Paused {
		d = session.PauseEnded{}
	}
	return intent.Log{Commands: []session.Command{session.Do(d)}}
}

func (m *Model) acknowledge() intent.Intent {
	if w := m.loudest(); w != nil && w.Fixed {
		if strings.HasSuffix(w.Key, ":help") {
			return intent.Say{Text: "Help is needed at another chair: w goes there."}
		}
		if r := m.look.Board.Reaction; r != nil && r.Look {
			return intent.Say{Text: "This can't be passed over: look at the itch again now."}
		}
		if m.look.Board.Pain.IsZero() {
			return intent.Say{Text: "This can't be passed over while product is on: rinse it now."}
		}
		return intent.Say{Text: "Pain can't be passed over while product is on: rinse all with cool running water now."}
	} else if w != nil && w.Clock {
		return intent.Open{Screen: intent.Clock}
	} else if w != nil {
		return intent.Acknowledge{Warning: w.Key}
	}
	return intent.Say{Text: "No warning waits to be seen."}
}

// loudest is the warning that the band shows: the most pressing one that
// nobody has acknowledged.
func (m *Model) loudest() *session.Warning {
	for i := range m.look.Board.Warnings {
		if w := &m.look.Board.Warnings[i]; !w.Acked && w.Level > session.Line {
			return w
		}
	}
	return nil
}
