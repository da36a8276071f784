// Package keys holds every key of the program, in one place. Help screens and
// hint lines are made from these maps, so that what they say is what works.
package keys

import "github.com/charmbracelet/bubbles/key"

// A Map is the keys of the chair.
type Map struct {
	Next, Undo, Redo                       key.Binding
	Pain, PainAnywhere, Safety             key.Binding
	Many, Finish, Coat, Refresh, Heat      key.Binding
	Rinse, Check, Mix, Empty               key.Binding
	Zones, Earlier, Steps, Pause, Helper   key.Binding
	Note, Ack, Plan, Card, Record, Consult key.Binding
	Up, Down, Back, Help, Leave, QuitHard  key.Binding
	Floor, Cut, Promise, Suspend           key.Binding
	HelpAnywhere                           key.Binding
}

// pedals are the keys that foot pedals send.
var pedals = []string{"f13", "f14", "f15", "f16", "f17", "f18", "f19", "f20"}

// Default returns the keys as they come. The pedal, if not empty, is one more
// key for the next thing; so are F13 to F20, which foot pedals send, and the
// keypad's enter.
func Default(pedal string) Map {
	next := append([]string{" ", "enter"}, pedals...)
	if pedal != "" {
		next = append(next, pedal)
	}
	return Map{
		Next:     bind("space", "do the next thing", next...),
		Floor:    bind("w", "who is next", "w"),
		Undo:     bind("u", "undo", "u"),
		Redo:     bind("U", "bring back", "U", "ctrl+y"),
		Pain:     bind("x", "pain or reaction", "x"),
		Safety:   bind("y", "safety questions", "y"),
		Many:     bind("+", "log several pieces", "+", "="),
		Finish:   bind("f", "zone finished", "f"),
		Coat:     bind("k", "coat a band", "k"),
		Refresh:  bind("g", "fresh product", "g"),
		Heat:     bind("t", "heat on or off", "t"),
		Rinse:    bind("r", "rinse zones", "r"),
		Check:    bind("c", "check a zone", "c"),
		Mix:      bind("m", "mix a bowl", "m"),
		Empty:    bind("b", "what is left in a bowl", "b"),
		Zones:    bind("z", "change the plan", "z"),
		Earlier:  bind("e", "it happened earlier", "e"),
		Steps:    bind("s", "steps: dry, cut …", "s"),
		Cut:      bind("i", "note the cut", "i"),
		Pause:    bind("p", "pause hands", "p"),
		Helper:   bind("h", "helper", "h"),
		Promise:  bind("j", "promise another time", "j"),
		Note:     bind("n", "note", "n"),
		Ack:      bind("a", "warning seen", "a"),
		Plan:     bind("l", "plan of the trips", "l"),
		Card:     bind("d", "card", "d"),
		Record:   bind("o", "what was logged", "o"),
		Consult:  bind("v", "consultation", "v"),
		Up:       bind("↑", "zone above", "up"),
		Down:     bind("↓", "zone below", "down"),
		Back:     bind("esc", "back", "esc"),
		Help:     bind("?", "help", "?"),
		Leave:    bind("q", "leave; the service stays live", "q"),
		QuitHard: bind("ctrl+c", "leave", "ctrl+c"),
		// Where letters are typed, x is one of them.
		PainAnywhere: bind("ctrl+p", "pain, from a form too", "ctrl+p"),
		HelpAnywhere: helpAnywhere(),
		Suspend:      bind("ctrl+z", "to the shell; fg comes back", "ctrl+z"),
	}
}

// All lists the bindings in the order of the help screen.
func (m Map) All() []key.Binding {
	return []key.Binding{
		m.Next, m.Pain, m.Floor, m.Undo, m.Redo, m.Earlier, m.Many, m.Finish, m.Rinse, m.Check, m.Mix, m.Empty,
		m.Coat, m.Refresh, m.Heat, m.Zones, m.Steps, m.Cut, m.Pause, m.Helper, m.Promise, m.Note, m.Consult, m.Safety,
		m.Ack, m.Plan, m.Card, m.Record, m.Up, m.Down, m.Back, m.Help, m.Leave, m.PainAnywhere, m.HelpAnywhere, m.Suspend,
	}
}

// A Floor is the keys of the floor.
type Floor struct {
	Jump, Away, Up, Down, Back, New, LetGo, Help, Leave, Pain key.Binding
	Find                                                      Find
}

// OnFloor returns the keys of the floor: those of the chair as far as they mean
// the same there.
func (m Map) OnFloor() Floor {
	like := func(b key.Binding, does string) key.Binding { return bind(b.Help().Key, does, b.Keys()...) }
	return Floor{
		Jump: like(m.Next, "go to the client"), Away: like(m.Floor, "back"),
		Up: like(m.Up, "client above"), Down: like(m.Down, "client below"), Back: m.Back,
		Pain: bind("x", "pain or reaction", append(m.Pain.Keys(), m.PainAnywhere.Keys()...)...),
		New:  bind("n", "new service", "n"), LetGo: bind("g", "let go", "g"), Find: m.Finding(),
		Help: m.Help, Leave: like(m.Leave, "leave"),
	}
}

// All lists the bindings in the order of the help screen.
func (f Floor) All() []key.Binding {
	return append([]key.Binding{f.Jump, f.Pain, f.Up, f.Down, f.Away, f.New, f.LetGo}, append(f.Find.All(), f.Help, f.Back, f.Leave)...)
}

// Hints lists the bindings that the foot of the floor has room for, after the
// one that goes to a client.
func (f Floor) Hints() []key.Binding {
	return []key.Binding{f.Pain, f.Away, f.New, f.LetGo, f.Find.Open, f.Help, f.Leave}
}
