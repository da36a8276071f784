package form

import (
	"fmt"
	"slices"
	"unicode"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/huh"

	"rinseby/tui/clean"
)

// A field is one question.
type field struct {
	name  string
	help  string // one or two lines: see helped
	huh   huh.Field
	check func() error
	// admit says what of a key the field may be given.
	admit func(tea.KeyMsg) (tea.KeyMsg, bool)

	// sync, which may be nil, is called after each key: a list puts into the
	// value what the cursor is on.
	sync func()

	// renew shows the value once it was changed from elsewhere; lists have
	// none.
	renew func()

	// number, which only numbered lists have, chooses the line of the key's
	// number, and reports whether there is one.
	number func(tea.KeyMsg) bool

	// Lists have these, too; else they are nil.

	// filtering reports whether the list's filter is being typed.
	filtering func() bool

	// offers are the choices, and which of them are chosen; ticks says that
	// there may be any number of these.
	offers func() []Option
	ticks  bool

	// fill puts in the choices. Huh draws them at once, so that it comes
	// after the theme.
	fill func()
	// settle scrolls the list, which has all the height that it needs, to its
	// top.
	settle func()
}

// A mute field has no keys until it may speak. Huh draws the keys of a new
// group's first field in a style of its own, which asks the terminal for its
// background.
type mute struct {
	huh.Field
	speaks bool
}

// Update keeps the mute field in its place.
func (m *mute) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	_, cmd := m.Field.Update(msg)
	return m, cmd
}

func (m *mute) KeyBinds() []key.Binding {
	if !m.speaks {
		return nil
	}
	return m.Field.KeyBinds()
}

// helped gives the field its help, which every field must have: what it is, what
// may be typed or chosen, and what it is used for. What helps say of the trade
// without a source is common practice, no source.
func (fd field) helped(text string) field {
	fd.help = text
	return fd
}

// text asks for a line of text. What value holds is offered, cleaned.
func text(name string, value *string, check func(string) error) field {
	*value = clean.Text(*value)
	in := huh.NewInput().Title(clean.Text(name)).Prompt("> ").Value(value)
	return field{
		name: name, huh: in,
		check: func() error { return check(*value) },
		admit: visible,
		renew: func() { in.Value(value) },
	}
}

// visible takes out of what is typed or pasted all that the field could not
// show: direction controls, zero-width characters and their like.
func visible(k tea.KeyMsg) (tea.KeyMsg, bool) {
	if k.Type != tea.KeyRunes {
		return k, true
	}
	runes := make([]rune, 0, len(k.Runes))
	for _, r := range k.Runes {
		if unicode.IsSpace(r) || clean.Text("x"+string(r)+"x") != "xx" {
			runes = append(runes, r)
		}
	}
	k.Runes = runes
	return k, len(runes) > 0
}

// A choice is one line of a list.
type choice[T comparable] struct {
	label string
	value T
}

// words are choices that are called what they are.
func words[T ~string](first string, rest ...T) []choice[T] {
	out := []choice[T]{{first, ""}}
	for _, w := range rest {
		out = append(out, choice[T]{string(w), w})
	}
	return out
}

func options[T comparable](choices []choice[T]) []huh.Option[T] {
	taken := map[string]bool{}
	out := make([]huh.Option[T], len(choices))
	for i, c := range choices {
		label := clean.Text(c.label)
		for n := 2; taken[label]; n++ { // huh tells ticked lines apart by their label
			label = fmt.Sprintf("%s (%d)", clean.Text(c.label), n)
		}
		taken[label] = true
		out[i] = huh.NewOption(label, c.value)
	}
	return out
}

// pick asks for one of a list, shown in full.
func pick[T comparable](name string, value *T, choices []choice[T], check func(T) error) field {
	return choose(name, value, choices, check, false)
}

// turn asks for one of a list, shown on one line, changed by left and right.
func turn[T comparable](name string, value *T, choices []choice[T]) field {
	return choose(name, value, choices, anything, true)
}

func anything[T any](T) error { return nil }

func choose[T comparable](name string, value *T, choices []choice[T], check func(T) error, inline bool) field {
	s := huh.NewSelect[T]().Title(clean.Text(name))
	return field{
		name: name, huh: s,
		check:     func() error { return check(*value) },
		filtering: s.GetFiltering,
		offers: func() []Option {
			v, some := s.Hovered()
			return toOptions(choices, func(c T) bool { return some && c == v })
		},
		fill: func() { s.Options(options(choices)...).Inline(inline).Value(value) },
		sync: func() {
			if v, ok := s.Hovered(); ok {
				*value = v
			}
		},
		settle: func() {
			if _, some := s.Hovered(); !some {
				return
			}
			// Huh starts a list at the line that is chosen, and hides what is
			// above until the cursor goes there.
			s.Update(tea.KeyMsg{Type: tea.KeyUp})
			s.Update(tea.KeyMsg{Type: tea.KeyDown})
		},
		admit: func(k tea.KeyMsg) (tea.KeyMsg, bool) {
			_, some := s.Hovered()
			return k, listKey(k, s.GetFiltering(), some)
		},
	}
}

// numbered asks for one of a short list by the key of its number, which chooses
// it and goes on.
func numbered[T comparable](name string, value *T, choices []choice[T]) field {
	plain := choices
	choices = slices.Clone(choices)
	for i := range choices {
		choices[i].label = fmt.Sprintf("%d: %s", i+1, choices[i].label)
	}
	fd := pick(name, value, choices, anything)
	offers := fd.offers
	fd.offers = func() []Option { // where they are read out, they are numbered anyway
		all := toOptions(plain, func(T) bool { return false })
		for i, o := range offers() {
			all[i].On = o.On
		}
		return all
	}
	fd.number = func(k tea.KeyMsg) bool {
		if k.Type != tea.KeyRunes || len(k.Runes) != 1 || k.Paste || fd.filtering() {
			return false
		}
		n := int(k.Runes[0] - '1')
		if n < 0 || n >= len(choices) {
			return false
		}
		*value = choices[n].value
		fd.fill()
		return true
	}
	return fd
}

// several asks for any number of a list, at least one if a check says so.
func several[T comparable](name string, values *[]T, choices []choice[T], check func([]T) error) field {
	m := huh.NewMultiSelect[T]().Title(clean.Text(name))
	return field{
		name: name, huh: m,
		check:     func() error { return check(*values) },
		filtering: m.GetFiltering,
		ticks:     true,
		offers:    func() []Option { return toOptions(choices, func(c T) bool { return slices.Contains(*values, c) }) },
		fill:      func() { m.Value(values).Options(options(choices)...) },
		admit: func(k tea.KeyMsg) (tea.KeyMsg, bool) {
			_, some := m.Hovered()
			return k, listKey(k, m.GetFiltering(), some)
		},
	}
}

// listKey reports whether a list may be given the key. Of a list of which the
// filter leaves nothing, huh puts the cursor before the first line when it is
// moved, and fails on it later.
func listKey(k tea.KeyMsg, filtering, some bool) bool {
	if some {
		return true
	}
	switch k.Type {
	case tea.KeyRunes, tea.KeySpace, tea.KeyBackspace, tea.KeyDelete, tea.KeyEsc, tea.KeyEnter:
		return filtering
	}
	return false
}
