package floor

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/timing"
	"rinseby/tui/clean"
	"rinseby/tui/find"
	"rinseby/tui/intent"
	"rinseby/tui/keys"
	"rinseby/tui/theme"
	"rinseby/tui/widget"
)

// A Look is what the floor shows: one moment of all live services.
type Look struct {
	Now      time.Time      // by the wall clock, as all moments here
	Place    *time.Location // of the salon
	Services []Service
	Part     bool      // there may be more: the first look at the folder goes on
	Troubles []Trouble // worst first
	// Fits is what there is to say if nothing collides; Apart is the same where a
	// client is late or a limit is lost all the same.
	Fits, Apart string
}

// A Service is one that is live.
type Service struct {
	session.FloorLook
	Mine bool // this process runs it
	// After is when it ends if hands do all for all clients; zero if that is not
	// known. The forecast of the look has hands to itself.
	After time.Time
	Clash []bool // of its blocks, those for which hands are needed elsewhere too; may be shorter
}

// A Trouble is what does not fit on one pair of hands.
type Trouble struct {
	Text string // which two, and by how many minutes
	Help string // what gives the least trouble
}

// Model is the floor screen.
type Model struct {
	th       *theme.Theme
	keys     keys.Floor
	w, h     int
	now      time.Time
	place    *time.Location
	part     bool  // there may be more than the rows
	rows     []row // the one that needs hands next first
	listed   []row // of them, those that are searched for
	find     find.Line
	troubles []Trouble
	fits     string
	selected string // id of the service that was picked by hand; empty follows the top

	alarm, alert int // rows with the worst warnings of that level, or -1
	whoWide      int
	status       string
	bad          bool
}

// A row is a service with its words made and cleaned.
type row struct {
	id, client, who, station string
	phase                    timing.Phase
	word, next, zone         string
	handsAt, rinseBy         time.Time
	end                      []string // words of decreasing length
	late                     bool
	lost                     bool // it is late, a limit is lost, or there is pain
	warn, warnMark           string
	level                    session.Level
	loud, pain, harm         bool
	help                     string // where it is needed; empty if it is not
	since                    time.Time
	mine, busy, invented     bool
	gone                     string
	strip                    strip
}

// New returns an empty floor.
func New(th *theme.Theme, km keys.Floor) *Model {
	return &Model{th: th, keys: km, find: find.New(km.Find), place: time.UTC, alarm: -1, alert: -1}
}

// SetSize sets the room the screen has.
func (m *Model) SetSize(w, h int) { m.w, m.h = w, h }

// Tell sets the line that answers the last key.
func (m *Model) Tell(text string, bad bool) { m.status, m.bad = clean.Text(text), bad }

// Show sets what is shown. Text from people is cleaned here, on its way in.
func (m *Model) Show(l Look) {
	m.now, m.place, m.part = l.Now, l.Place, l.Part
	services := slices.Clone(l.Services)
	slices.SortStableFunc(services, func(a, b Service) int { return session.FloorOrder(a.FloorLook, b.FloorLook) })
	m.rows = make([]row, len(services))
	m.whoWide = 0
	for i := range services {
		m.rows[i] = m.makeRow(&services[i])
		m.whoWide = max(m.whoWide, widget.Width(m.rows[i].who))
	}
	m.narrow()
	m.alarm, m.alert = m.worst(session.Alarm), m.worst(session.Alert)
	m.troubles = make([]Trouble, len(l.Troubles))
	for i, t := range l.Troubles {
		m.troubles[i] = Trouble{Text: clean.Text(t.Text), Help: clean.Text(t.Help)}
	}
	m.fits = clean.Text(l.Fits)
	if lost := m.lost(); lost != "" && m.fits != "" {
		m.fits = joined(clean.Text(l.Apart), "; ", "not in time: "+lost)
	}
}

// lost names the clients who are late, or of whose limits one is lost.
func (m *Model) lost() string {
	var who []string
	for _, r := range m.rows {
		if r.lost {
			who = append(who, r.client)
		}
	}
	return strings.Join(who, ", ")
}

// narrow lists the rows that are searched for, or all.
func (m *Model) narrow() {
	m.listed = m.rows
	if m.find.Text() == "" {
		return
	}
	m.listed = nil
	for _, r := range m.rows {
		if m.find.Has(r.who + " " + r.station + " " + r.zone + " " + r.word) {
			m.listed = append(m.listed, r)
		}
	}
}

// worst is the first row with a warning of the level that nobody has
// acknowledged, or -1.
func (m *Model) worst(level session.Level) int {
	return slices.IndexFunc(m.rows, func(r row) bool { return r.loud && r.level == level })
}

// makeRow makes the words of a service.
func (m *Model) makeRow(s *Service) row {
	r := row{
		id: s.ID, client: cmp.Or(clean.Text(s.Client), "no name"), phase: s.Pressing, word: clean.Text(s.Phase),
		next: clean.Text(s.Next), zone: clean.Text(s.RinseZone), handsAt: s.HandsAt, rinseBy: s.RinseBy, harm: s.Harm,
		pain: s.Verb == session.DoPain || s.Verb == session.DoCool, help: clean.Text(s.HelpAt()), since: s.Since, mine: s.Mine, busy: s.RunBy != "", end: m.endWords(s), late: s.waits() || s.forecast().LateLikely(),
	}
	r.lost = r.late || r.pain || r.harm || r.help != "" || s.lost()
	r.who = r.client
	if s.Invented {
		r.who, r.invented = r.who+"*", true
	}
	r.station = joined(clean.Text(s.Stylist), ", ", clean.Text(cmp.Or(s.Station, s.RunBy)))
	if s.Gone {
		r.gone = m.th.Glyphs.No + " ITS CHAIR IS GONE"
	}
	if w := s.Loudest; w != nil {
		r.warn, r.level, r.loud = clean.Text(w.Text), w.Level, w.Level > session.Line
		r.warnMark = m.th.Glyphs.Dot
		switch w.Level {
		case session.Alarm:
			r.warnMark = m.th.Phase(timing.Over).Glyph
		case session.Alert:
			r.warnMark = m.th.Phase(timing.Closing).Glyph
		}
	}
	r.strip = strip{since: s.Opened, end: s.End.P50, rinseBy: s.RinseBy, promised: s.Promised, blocks: make([]block, len(s.Blocks))}
	for i, b := range s.Blocks {
		r.strip.blocks[i] = block{Block: b, clash: i < len(s.Clash) && s.Clash[i]}
		r.strip.blocks[i].Name = clean.Text(b.Name)
	}
	return r
}

func joined(a, with, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + with + b
}

// endWords says when the service ends and how it stands with the promise, in
// words of decreasing length.
func (m *Model) endWords(s *Service) []string {
	promised := ""
	if !s.Promised.IsZero() {
		promised = "promised " + m.clock(session.ToldPromise(s.Promised))
	}
	if s.After.Sub(s.End.P50) > time.Minute {
		return m.afterWords(s, promised)
	}
	if s.End.P50.IsZero() {
		if promised == "" {
			return nil
		}
		return []string{promised}
	}
	about := "end " + m.clock(s.End.P50)
	dash := "–"
	if m.th.ASCII {
		dash = "-"
	}
	span := m.clock(s.End.P10) + dash + m.clock(s.End.P90)
	f := s.forecast()
	promise, short := f.SayPromise(m.clock), ""
	switch late := s.End.P50.Sub(s.Promised).Round(time.Minute); {
	case s.Promised.IsZero():
		return []string{about + " (80 %: " + span + ")", about + " (" + span + ")"}
	case f.LateLikely():
		short = fmt.Sprintf(", %d min LATE", int(max(late, time.Minute)/time.Minute))
	default:
		short = " for " + m.clock(session.ToldPromise(s.Promised))
	}
	return []string{
		about + " (80 %: " + span + "), " + promised + ", " + promise,
		about + " (80 %: " + span + "), " + promise,
		about + " (" + span + ")" + short,
	}
}

// afterWords says the same of a service that ends later for want of hands.
func (m *Model) afterWords(s *Service, promised string) []string {
	end := "end " + m.clock(s.After) + " after the others"
	full := end
	if !s.End.P50.IsZero() {
		full += " (alone " + m.clock(s.End.P50) + ")"
	}
	switch {
	case promised == "":
		return []string{full, end}
	case s.waits():
		late := fmt.Sprintf(", %d min LATE", int(max(s.After.Sub(s.Promised).Round(time.Minute), time.Minute)/time.Minute))
		return []string{full + ", " + promised + late, full + late, end + late}
	}
	return []string{full + ", " + promised, end + ", " + promised, end}
}

// lost reports whether a limit has passed, or will whatever is done.
func (s *Service) lost() bool {
	passed := !s.RinseBy.IsZero() && s.RinseBy.Before(s.Now)
	w := s.Loudest
	return s.Pressing == timing.Over || passed || w != nil && (w.Level == session.Alarm || strings.HasPrefix(w.Key, session.CollisionKey))
}

// forecast is that of the look, as far as it is said here.
func (s *Service) forecast() *session.Forecast {
	return &session.Forecast{End: s.End, Promised: s.Promised, Late: s.Late, Lasting: s.Lasting, Told: s.Told}
}

// waits reports whether a lack of hands makes a service late enough to say so.
func (s *Service) waits() bool {
	return !s.Promised.IsZero() && s.After.Sub(s.Promised) >= session.LateFrom && s.After.Sub(s.End.P50) > time.Minute
}

// index is the listed row of a service, or -1.
func (m *Model) index(id string) int {
	return slices.IndexFunc(m.listed, func(r row) bool { return r.id == id })
}

// chosen is the id of the service that keys are about: the one that was picked
// by hand, else the one on top.
func (m *Model) chosen() string {
	if m.selected != "" && m.index(m.selected) >= 0 {
		return m.selected
	}
	if len(m.listed) > 0 {
		return m.listed[0].id
	}
	return ""
}

// Update turns a key into an intent.
func (m *Model) Update(msg tea.Msg) (intent.Intent, tea.Cmd) {
	k, ok := msg.(tea.KeyMsg)
	if !ok {
		return nil, nil
	}
	switch {
	case m.find.Update(k):
		m.selected = ""
		m.narrow()
	case key.Matches(k, m.keys.Jump):
		if id := m.chosen(); id != "" {
			m.selected = ""
			return intent.Resume{Service: id}, nil
		}
	case key.Matches(k, m.keys.Pain):
		return intent.Open{Screen: intent.WhoHurts}, nil
	case key.Matches(k, m.keys.Up):
		m.move(-1)
	case key.Matches(k, m.keys.Down):
		m.move(1)
	case key.Matches(k, m.keys.Back) && m.selected != "":
		m.selected = ""
	case key.Matches(k, m.keys.Back, m.keys.Away):
		return intent.Floor{}, nil
	case key.Matches(k, m.keys.New):
		return intent.Open{Screen: intent.New}, nil
	case key.Matches(k, m.keys.LetGo):
		if id := m.chosen(); id != "" {
			return intent.LetGo{Service: id}, nil
		}
	case key.Matches(k, m.keys.Help):
		return intent.Open{Screen: intent.Help}, nil
	case key.Matches(k, m.keys.Leave):
		return intent.Quit{}, nil
	}
	return nil, nil
}

// Keys lists what can be pressed.
func (m *Model) Keys() []key.Binding { return m.keys.All() }

// Typing reports whether letters are searched for.
func (m *Model) Typing() bool { return m.find.Typing() }

func (m *Model) move(by int) {
	if n := len(m.listed); n > 0 {
		m.selected = m.listed[(max(m.index(m.chosen()), 0)+by+n)%n].id
	}
}
