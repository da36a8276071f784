package find_test

import (
	"fmt"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"rinseby/tui/find"
	"rinseby/tui/keys"
)

func typed(l *find.Line, text string) {
	for _, r := range text {
		l.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
	}
}

func ExampleLine() {
	l := find.New(keys.Default("").Finding())
	for _, r := range "/crow" {
		l.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
	}
	fmt.Println(l.Typing(), l.Text(), l.Has("Crown, 8 pieces"), l.Has("Nape"))
	// Output: true crow true false
}

func TestEnterKeepsAndEscGivesUp(t *testing.T) {
	l := find.New(keys.Default("").Finding())
	require.False(t, l.Update(tea.KeyMsg{Type: tea.KeyEsc}), "nothing is held back")
	typed(&l, "/nape")
	require.True(t, l.Update(tea.KeyMsg{Type: tea.KeyEnter}))
	require.False(t, l.Typing())
	require.Equal(t, "nape", l.Text())
	require.False(t, l.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{'q'}}), "letters are the screen's again")
	require.True(t, l.Update(tea.KeyMsg{Type: tea.KeyEsc}), "all is shown again")
	require.Empty(t, l.Text())
	typed(&l, "/x")
	require.True(t, l.Update(tea.KeyMsg{Type: tea.KeyEsc}))
	require.Empty(t, l.Text())
	require.False(t, l.Typing())
	typed(&l, "/x")
	require.False(t, l.Update(tea.KeyMsg{Type: tea.KeyDown}), "an arrow ends typing and moves")
	require.False(t, l.Typing())
}

func TestWhatIsTypedIsCleaned(t *testing.T) {
	l := find.New(keys.Default("").Finding())
	typed(&l, "/a\x1b[31m\u202eb")
	require.NotContains(t, l.Text(), "\x1b")
	require.NotContains(t, l.Text(), "\u202e")
}
