package form

import (
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/huh"
	"github.com/charmbracelet/lipgloss"

	"rinseby/tui/theme"
)

// look is our theme for huh, with sep between two fields. Styles are put on by
// our own sequences, so that nothing is looked up on the terminal and NO_COLOR
// keeps what our theme without colour has.
func look(th *theme.Theme, sep string) *huh.Theme {
	in := func(s theme.Style) lipgloss.Style {
		return lipgloss.NewStyle().Transform(func(text string) string {
			lines := strings.Split(text, "\n")
			for i, line := range lines {
				lines[i] = s.Render(line)
			}
			return strings.Join(lines, "\n")
		})
	}
	plain, g := lipgloss.NewStyle(), th.Glyphs
	fields := huh.FieldStyles{
		Base:                plain.PaddingLeft(2),
		Title:               in(th.Text),
		Description:         in(th.Dim),
		SelectSelector:      plain.SetString("  "),
		MultiSelectSelector: plain.SetString("  "),
		SelectedOption:      in(th.Strong),
		UnselectedOption:    in(th.Dim),
		SelectedPrefix:      plain.SetString(g.Yes + " "),
		UnselectedPrefix:    plain.SetString(g.No + " "),
		PrevIndicator:       plain.SetString("  "),
		NextIndicator:       plain.SetString("  "),
		TextInput:           huh.TextInputStyles{Prompt: in(th.Dim), Text: in(th.Input), Cursor: in(th.Cursor)},
	}
	t := &huh.Theme{FieldSeparator: plain.SetString(sep), Blurred: fields, Focused: fields}
	focused := &t.Focused
	focused.Base = plain.Border(lipgloss.Border{Left: g.Down}, false, false, false, true).PaddingLeft(1)
	focused.Title = in(th.Title)
	focused.SelectSelector = plain.SetString(g.Pointer + " ")
	focused.MultiSelectSelector = focused.SelectSelector
	focused.SelectedOption = in(th.Selected)
	focused.UnselectedOption = in(th.Text)
	focused.PrevIndicator = plain.SetString("< ")
	focused.NextIndicator = plain.SetString(" >")
	return t
}

// fieldKeys are the keys of the fields. Moving between fields and leaving the form
// are the form's own. No letter moves or ticks a choice: what is typed by
// mistake on a list changes no answer.
func fieldKeys() *huh.KeyMap {
	km := huh.NewDefaultKeyMap()
	none := key.Binding{}
	km.Quit = none
	km.Input = huh.InputKeyMap{}
	km.Select.Next, km.Select.Prev, km.Select.Submit = none, none, none
	km.MultiSelect.Next, km.MultiSelect.Prev, km.MultiSelect.Submit = none, none, none
	km.Select.SetFilter = km.MultiSelect.SetFilter
	for b, keys := range map[*key.Binding][]string{
		&km.Select.Up: {"up"}, &km.Select.Down: {"down"}, &km.Select.Left: {"left"}, &km.Select.Right: {"right"},
		&km.Select.GotoTop: {"home"}, &km.Select.GotoBottom: {"end"},
		&km.MultiSelect.Up: {"up"}, &km.MultiSelect.Down: {"down"}, &km.MultiSelect.Toggle: {" "},
		&km.MultiSelect.GotoTop: {"home"}, &km.MultiSelect.GotoBottom: {"end"},
	} {
		b.SetKeys(keys...)
	}
	return km
}
