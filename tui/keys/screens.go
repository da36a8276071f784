package keys

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

// A Start is the keys of the first screen.
type Start struct {
	Choose, Up, Down, New, Floor, Earlier, Help, Leave key.Binding
	Find                                               Find
}

// AtStart returns the keys of the first screen: those of the chair as far as
// they mean the same there.
func (m Map) AtStart() Start {
	return Start{
		Choose: bind("enter", "choose", m.Next.Keys()...),
		Up:     bind("↑", "one up", "up"), Down: bind("↓", "one down", "down"),
		New: bind("n", "new", "n"), Floor: m.Floor, Earlier: bind("e", "began earlier", m.Earlier.Keys()...),
		Find: m.Finding(), Help: m.Help, Leave: bind("q", "leave", m.Leave.Keys()...),
	}
}

// All lists the bindings in the order of the help screen.
func (s Start) All() []key.Binding {
	return append([]key.Binding{s.Choose, s.Up, s.Down, s.New, s.Floor, s.Earlier}, append(s.Find.All(), s.Help, s.Leave)...)
}

// Hints lists the bindings that the foot of the screen has room for.
func (s Start) Hints() []key.Binding {
	return []key.Binding{s.Choose, s.New, s.Floor, s.Find.Open, s.Help, s.Leave, s.Earlier}
}

// A Page is the keys of a page that scrolls.
type Page struct {
	Up, Down, PageUp, PageDown, Back, Help key.Binding
	Find                                   Find
}

// OnPage returns the keys of a page that scrolls.
func (m Map) OnPage() Page {
	return Page{
		Up: bind("↑", "up", "up", "k"), Down: bind("↓", "down", "down", "j"),
		PageUp: bind("pgup", "page up", "pgup", "b"), PageDown: bind("pgdn", "page down", "pgdown", "f"),
		Back: bind("esc", "back", append([]string{"esc", "q"}, m.Next.Keys()...)...),
		Help: m.Help, Find: m.Finding(),
	}
}

// All lists the bindings in the order of the help screen.
func (p Page) All() []key.Binding {
	return append([]key.Binding{p.Up, p.Down, p.PageUp, p.PageDown}, append(p.Find.All(), p.Back, p.Help)...)
}

// A Find is the keys that narrow a list or a page down.
type Find struct{ Open, Keep, Drop key.Binding }

// Finding returns the keys that narrow a list or a page down.
func (m Map) Finding() Find {
	return Find{Open: bind("/", "find", "/"), Keep: bind("enter", "keep", "enter"), Drop: bind("esc", "show all", "esc")}
}

// All lists the bindings in the order of the help screen.
func (f Find) All() []key.Binding { return []key.Binding{f.Open, f.Keep, f.Drop} }

// A Form is the keys of a form. Which of them count depends on the field.
type Form struct {
	Next, Before, Save, Up, Down, Left, Right, Tick, Find, Leave, Help key.Binding
}

// InForm returns the keys of a form. A foot pedal goes on, as enter does.
func InForm() Form {
	return Form{
		Next: bind("enter", "next", append([]string{"enter", "tab"}, pedals...)...), Before: bind("shift+tab", "back", "shift+tab"), Save: bind("ctrl+s", "save", "ctrl+s"),
		Up: bind("↑", "choice above", "up"), Down: bind("↓", "choice below", "down"),
		Left: bind("←", "choice before", "left"), Right: bind("→", "choice after", "right"),
		Tick: bind("space", "tick", " "), Find: bind("/", "find in a list", "/"),
		Leave: bind("esc", "leave; what was typed is kept", "esc"), Help: helpAnywhere(),
	}
}

// All lists the bindings in the order of the help screen.
func (f Form) All() []key.Binding {
	return []key.Binding{f.Next, f.Before, f.Save, f.Up, f.Down, f.Left, f.Right, f.Tick, f.Find, f.Leave, f.Help}
}

func helpAnywhere() key.Binding { return bind("f1", "help, from a form too", "f1") }

// Message is the key message that a binding answers to: its first key.
func Message(b key.Binding) tea.KeyMsg {
	name := b.Keys()[0]
	if t, ok := named[name]; ok {
		return tea.KeyMsg{Type: t}
	}
	return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(name)}
}

// named are the keys that are no letter, by the names that bindings use.
var named = func() map[string]tea.KeyType {
	all := map[string]tea.KeyType{" ": tea.KeySpace}
	for t := tea.KeyF20; t < tea.KeyRunes; t++ { // arrows, function keys and their like
		all[t.String()] = t
	}
	for t := tea.KeyType(0); t <= 127; t++ {
		if name := t.String(); name != "" {
			all[name] = t
		}
	}
	return all
}()

func bind(help, does string, keys ...string) key.Binding {
	return key.NewBinding(key.WithKeys(keys...), key.WithHelp(help, does))
}
