// Package start is the first screen: take up a live service, begin a new one,
// or repeat a client's last visit.
package start

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/bubbles/list"
	"github.com/charmbracelet/bubbles/paginator"
	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session/safety"
	"rinseby/session/store"
	"rinseby/timing"
	"rinseby/tui/clean"
	"rinseby/tui/find"
	"rinseby/tui/intent"
	"rinseby/tui/keys"
	"rinseby/tui/theme"
	"rinseby/tui/widget"
)

// Model is the start screen.
type Model struct {
	th     *theme.Theme
	list   list.Model
	w, h   int
	keys   keys.Start
	status string
	bad    bool
	hint   string
	help   string
	region safety.Region
	live   map[string]Live
	all    *store.Listing
	place  *time.Location
	find   find.Line
	found  string      // what the list is narrowed down to
	lines  []list.Item // all of the list
}

// A line is one of the list.
type line interface {
	list.Item
	item() item
}

// An item is what a line says and does.
type item struct {
	title, about string
	client       string // the title without what is done, for where there is no room
	zone, by     string // what must be off first, and by when; empty if nothing is on
	over         bool   // that time has passed
	intent       intent.Intent
}

func (i item) item() item { return i }

func (i item) FilterValue() string { return i.title + "  " + i.says() }

// off is what must be off first, and by when.
func (i item) off() string { return i.zone + i.by }

// says is all but the title.
func (i item) says() string {
	if i.off() == "" {
		return i.about
	}
	return strings.TrimSuffix(productOn+i.off()+". "+i.about, ". ")
}

const productOn = "PRODUCT ON, "

// A live line is that of a live service. What it says changes by the minute, so
// that its words are made when it is seen or searched.
type live struct {
	m     *Model
	entry store.Entry
}

func (l *live) item() item          { return l.m.goOn(&l.entry) }
func (l *live) FilterValue() string { return l.item().FilterValue() }

// A visit is the line of a closed service. There may be tens of thousands, so
// that its words are made when it is seen or searched.
type visit struct {
	m  *Model
	at int // in the listing
}

func (v *visit) item() item {
	e := v.m.all.At(v.at)
	client, about, since := v.m.words(&e)
	return item{title: "Repeat " + client, about: listed("the visit of "+since, about), intent: intent.Repeat{Service: e.ID}}
}

func (v *visit) FilterValue() string { return v.item().FilterValue() }

// New makes the start screen.
func New(th *theme.Theme, km keys.Start, place *time.Location) *Model {
	m := &Model{th: th, keys: km, place: place, all: &store.Listing{}, find: find.New(km.Find)}
	m.list = list.New(nil, row{th}, 0, 0)
	m.list.SetShowTitle(false)
	m.list.SetShowHelp(false)
	m.list.SetShowStatusBar(false)
	m.list.Paginator.Type = paginator.Arabic // there may be thousands of pages
	m.list.SetFilteringEnabled(false)
	m.list.KeyMap.CursorUp, m.list.KeyMap.CursorDown = km.Up, km.Down
	m.list.DisableQuitKeybindings() // esc would be one
	m.list.Styles.NoItems = m.list.Styles.NoItems.UnsetForeground()
	return m
}

// Live is how a live service stands.
type Live struct {
	Zone  string // what must be off first; may be empty
	Off   string // the rest of that sentence, with the moment; empty if nothing is on
	Over  bool   // that time has passed
	Help  string // whom to call; empty if it is no emergency
	Order int    // the most pressing first
}

// SetLive says how the live services stand, by id. The one that presses most
// comes first.
func (m *Model) SetLive(live map[string]Live) tea.Cmd {
	same := maps.EqualFunc(live, m.live, func(a, b Live) bool { return a.Order == b.Order })
	m.live = live
	if same {
		return nil
	}
	return m.SetEntries(m.all)
}

// SetEntries lists the services of the store: live ones first, then a new one,
// then the closed ones, newest first, to repeat.
func (m *Model) SetEntries(all *store.Listing) tea.Cmd {
	m.all = all
	lives := all.Lives()
	slices.SortStableFunc(lives, func(a, b store.Entry) int { return cmp.Compare(m.live[a.ID].Order, m.live[b.ID].Order) })
	items := make([]list.Item, 0, all.Len()+1)
	for _, e := range lives {
		items = append(items, &live{m, e})
	}
	items = append(items, item{title: "New service", about: "start from a zone list", intent: intent.Open{Screen: intent.New}})
	visits := make([]visit, all.Len())
	for i := range visits {
		if !all.Live(i) {
			visits[i] = visit{m, i}
			items = append(items, &visits[i])
		}
	}
	m.lines, m.found = items, ""
	return m.narrow()
}

// narrow lists the lines that are searched for, or all.
func (m *Model) narrow() tea.Cmd {
	text, from := m.find.Text(), m.lines
	if m.found != "" && strings.HasPrefix(text, m.found) {
		from = m.list.Items() // it is in no others
	}
	m.found = text
	if text == "" {
		return m.list.SetItems(m.lines)
	}
	var items []list.Item
	for _, i := range from {
		if m.find.Has(i.FilterValue()) {
			items = append(items, i)
		}
	}
	return m.list.SetItems(items)
}

// goOn is the line of a live service.
func (m *Model) goOn(e *store.Entry) item {
	client, about, since := m.words(e)
	if help := clean.Text(m.live[e.ID].Help); help != "" {
		return item{title: "Go on with " + client, about: help, intent: intent.Resume{Service: e.ID}}
	}
	i := item{title: "Go on with " + client, client: client, about: listed(about, "since "+since), intent: intent.Resume{Service: e.ID}}
	if e.Busy != nil {
		i.title, i.about = "Watch "+client, listed(i.about, "run by "+cmp.Or(clean.Text(e.Busy.Station), "another process"))
	}
	l := m.live[e.ID]
	i.zone, i.by, i.over = clean.Text(l.Zone), clean.Text(l.Off), l.Over
	if i.zone != "" {
		i.by = " " + i.by
	}
	if i.over {
		i.zone = m.th.Phase(timing.Over).Glyph + " " + i.zone
	}
	return i
}

// listed are the parts that there are, with commas between.
func listed(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(p string) bool { return p == "" }), ", ")
}

// words are those of a service.
func (m *Model) words(e *store.Entry) (client, about, since string) {
	return clean.Text(e.Client), clean.Text(e.ZoneList), e.Opened.In(m.place).Format("2 Jan 15:04")
}

// SetHelp says where help is needed; empty if it is not.
func (m *Model) SetHelp(at string) { m.help = clean.Text(at) }

// Help is where help is needed, clean.
func (m *Model) Help() string { return m.help }

// SetRegion says where the salon is. Until it is set, all numbers to call are
// shown.
func (m *Model) SetRegion(r safety.Region) { m.region = r }

// CallLine is the line of the numbers to call, until the region is set.
func (m *Model) CallLine() string {
	if m.region != safety.AnyRegion {
		return ""
	}
	return "Emergency: call " + safety.RulesOf(m.region).Emergency.Value + "."
}

// RegionLine says how that line goes away.
const RegionLine = "Set region in the settings."

// Tell sets the line that answers the last key.
func (m *Model) Tell(text string, bad bool) { m.status, m.bad = clean.Text(text), bad }

// SetSize sets the room that the screen has.
func (m *Model) SetSize(w, h int) {
	m.w, m.h = w, h
	m.list.SetSize(max(w, 1), max(h-6-m.callRows(), 1))
}

// Update turns a key into an intent.
func (m *Model) Update(msg tea.Msg) (intent.Intent, tea.Cmd) {
	if k, ok := msg.(tea.KeyMsg); ok {
		switch {
		case m.find.Update(k):
			if m.find.Text() == m.found {
				return nil, nil
			}
			m.list.Select(0)
			return nil, m.narrow()
		case key.Matches(k, m.keys.Choose):
			if l, ok := m.list.SelectedItem().(line); ok {
				return l.item().intent, nil
			}
		case key.Matches(k, m.keys.New):
			return intent.Open{Screen: intent.New}, nil
		case key.Matches(k, m.keys.Earlier):
			return intent.Open{Screen: intent.Earlier}, nil
		case key.Matches(k, m.keys.Floor):
			return intent.Floor{}, nil
		case key.Matches(k, m.keys.Help):
			return intent.Open{Screen: intent.Help}, nil
		case key.Matches(k, m.keys.Leave):
			return intent.Quit{}, nil
		}
	}
	var cmd tea.Cmd
	m.list, cmd = m.list.Update(msg)
	return nil, cmd
}

// Keys lists what can be pressed.
func (m *Model) Keys() []key.Binding { return m.keys.All() }

// Typing reports whether letters narrow the list down.
func (m *Model) Typing() bool { return m.find.Typing() }

// Hint sets a line that helps beginners along; empty is none.
func (m *Model) Hint(text string) { m.hint = text }

// View draws the screen: at most h lines of at most w cells.
func (m *Model) View() string {
	if m.w <= 0 || m.h <= 0 {
		return ""
	}
	head := []string{
		m.viewTop(),
		m.th.Dim.Render(widget.Fit(" The product's own instructions and your training come first; local rules apply.", m.w)),
		"",
	}
	if m.help != "" {
		head[0] = widget.Band(m.th.Band, m.help, m.w)
	}
	if call := m.CallLine(); call != "" {
		head = append(head[:2], m.viewCall(call)...)
	}
	style := m.th.Good
	if m.bad {
		style = m.th.Bad
	}
	foot := []string{style.Render(widget.Fit(" "+m.status, m.w)), m.viewHints()}
	if m.hint != "" {
		foot = append([]string{m.th.Ahead.Render(widget.Fit(" "+m.hint, m.w))}, foot...)
	}
	body := []string{m.list.View()}
	if m.Len() == 0 && m.find.Text() != "" {
		body = []string{m.th.Text.Render(widget.Fit(" Nothing here has that in it.", m.w))}
	}
	return widget.Screen(m.th, head, body, foot, m.w, m.h)
}

// viewTop says what to do: what is over its limit goes before all else.
func (m *Model) viewTop() string {
	if len(m.lines) > 0 {
		if l, ok := m.lines[0].(line); ok && l.item().over {
			title, off := l.item().fit(": ", m.w-2)
			return widget.Band(m.th.Band, title+off, m.w)
		}
	}
	return m.th.Strong.Render(widget.FitWords(" What to do: choose a service, or begin a new one", m.w))
}

// callRows is how many lines that takes.
func (m *Model) callRows() int {
	if call := m.CallLine(); call != "" {
		return len(m.viewCall(call)) - 1
	}
	return 0
}

// viewCall is whom to call, whole, and how to have only the one number.
func (m *Model) viewCall(call string) []string {
	lines := widget.Wrap(call+" "+RegionLine, max(m.w-2, 1))
	for i, l := range lines {
		lines[i] = m.th.Text.Render(" " + l)
	}
	return append(lines, "")
}

// viewHints is what can be pressed, after what is searched for.
func (m *Model) viewHints() string {
	text, hints := "", m.keys.Hints()
	if found := m.find.Text(); found != "" || m.find.Typing() {
		text = " " + m.th.Strong.Render(fmt.Sprintf("%q: %d of %d", found, m.Len(), len(m.lines))) + " "
		if m.find.Typing() {
			hints = m.find.Keys()
		} else {
			hints = append([]key.Binding{m.keys.Find.Drop}, hints...)
		}
	}
	for _, b := range hints {
		h := widget.Hint(m.th, b.Help().Key, b.Help().Desc)
		if widget.Width(text)+widget.Width(h)+2 > m.w {
			break
		}
		text += " " + h + " "
	}
	return text
}

// row draws one item on one line.
type row struct{ th *theme.Theme }

func (row) Height() int                         { return 1 }
func (row) Spacing() int                        { return 0 }
func (row) Update(tea.Msg, *list.Model) tea.Cmd { return nil }

func (r row) Render(w io.Writer, m list.Model, index int, li list.Item) {
	l, ok := li.(line)
	if !ok {
		return
	}
	style, pointer := r.th.Text, " "
	if index == m.Index() {
		style, pointer = r.th.Selected, r.th.Glyphs.Pointer
	}
	title, off, rest := l.item().cells(max(m.Width()-3, 0))
	fmt.Fprint(w, style.Render(" "+pointer+" "+title))
	if l.item().over {
		style = r.th.Phase(timing.Over).Style
	}
	if off != "" {
		fmt.Fprint(w, style.Render(off))
	}
	if index == m.Index() {
		style = r.th.Selected
	} else {
		style = r.th.Text
	}
	if rest != "" {
		fmt.Fprint(w, style.Render(rest))
	}
}

// leastAbout is how many cells the rest of a line needs to say anything.
const leastAbout = 12

// mostZone is what the name of a zone may take of a line that has no room for
// all of it.
const mostZone = 21

// fit is the title and what must be off, with the text between before that.
// The moment is not cut; the name of the zone is, down to so much, then what is
// done with the client, then the client.
func (i item) fit(between string, w int) (title, off string) {
	room := w - widget.Width(between+i.by)
	zone := i.zone
	if widget.Width(i.client+zone) > room {
		zone = widget.FitWords(zone, max(room-widget.Width(i.client), min(mostZone, room)))
	}
	title, off = i.title, widget.Fit(between+zone+i.by, w)
	if left := w - widget.Width(off); widget.Width(title) > left {
		if title = i.client; widget.Width(title) > left || title == "" {
			title = widget.FitWords(i.title, left)
		}
	}
	return title, off
}

// cells are the parts of a line in so many cells: the rest is cut first.
func (i item) cells(w int) (title, off, rest string) {
	if i.off() == "" {
		return widget.FitWords(i.title+"  "+i.about, w), "", ""
	}
	between := "  " + productOn
	if widget.Width(i.title+between+i.off()) > w {
		between = "  "
	}
	title, off = i.fit(between, w)
	if room := w - widget.Width(title+off); room >= leastAbout {
		rest = widget.FitWords(". "+i.about, room)
	}
	return title, off, rest
}
