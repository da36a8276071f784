package form_test

import (
	"fmt"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/tui/form"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

func Example() {
	f := form.Earlier(theme.Pick(true, true, false), time.Date(2026, 3, 2, 10, 42, 0, 0, time.UTC))
	f.SetSize(80, 24)
	f.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("3")})
	asked, _ := f.Update(tea.KeyMsg{Type: tea.KeyEnter})
	fmt.Println(f.Title()+":", asked.(intent.Late).At.Format("15:04"))
	// Output: It happened earlier: 10:39
}
