package form

import (
	tea "github.com/charmbracelet/bubbletea"
)

// A FieldOf is a field of a form, on whatever page.
type FieldOf struct {
	Name, Help string
	// Try types a text into the field, if it is one to type in, and says what
	// is wrong with it.
	Try func(text string) error
}

// FieldsOf are all fields of a form, those on hidden pages too.
func FieldsOf(f *Form) (all []FieldOf) {
	for _, p := range f.pages {
		for _, fd := range p.fields {
			all = append(all, FieldOf{fd.name, fd.help, func(text string) error {
				if fd.fill != nil {
					return nil
				}
				fd.huh.Focus()
				fd.huh.Update(tea.KeyMsg{Type: tea.KeyEnd})
				fd.huh.Update(tea.KeyMsg{Type: tea.KeyCtrlU})
				fd.huh.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(text)})
				return fd.check()
			}})
		}
	}
	return all
}
