package steady_test

import (
	"errors"
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/cmd/internal/steady"
)

// A clumsy model panics at the first message.
type clumsy struct{}

func (clumsy) Init() tea.Cmd                       { return func() tea.Msg { return "first" } }
func (clumsy) Update(tea.Msg) (tea.Model, tea.Cmd) { panic("the name of a client") }
func (clumsy) View() string                        { return "" }

func Example() {
	r := steady.New()
	defer r.Close()
	err := r.Run(clumsy{}, func() error { return nil }, tea.WithoutRenderer(), tea.WithInput(nil))
	var crash *steady.Crash
	fmt.Println(errors.As(err, &crash), err)
	fmt.Println(strings.Contains(crash.Text, "example_test.go"), strings.Contains(crash.Text, "client"))
	// Output:
	// true it stopped on a mistake of its own
	// true false
}
