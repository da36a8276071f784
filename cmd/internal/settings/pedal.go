package settings

import (
	"slices"
	"unicode"
	"unicode/utf8"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"rinseby/tui/keys"
)

// isKey says that a key has the name: one character, or a name as bubbletea
// has them.
func isKey(name string) bool {
	if r, size := utf8.DecodeRuneInString(name); size == len(name) {
		return unicode.IsPrint(r) && r != utf8.RuneError
	}
	for t := tea.KeyF20; t <= tea.KeyType(unicode.MaxASCII); t++ {
		if t != tea.KeyRunes && (tea.Key{Type: t}).String() == name {
			return true
		}
	}
	return false
}

// taken says that a key does something on a screen where the pedal works.
func taken(name string) bool {
	m := keys.Default("")
	all := slices.Concat(m.All(), m.AtStart().All(), m.OnFloor().All(), m.InReplay().All(), m.OnPage().All())
	return name == m.QuitHard.Keys()[0] || slices.ContainsFunc(all, func(b key.Binding) bool { return slices.Contains(b.Keys(), name) })
}
