package widget_test

import (
	"fmt"
	"time"

	"github.com/charmbracelet/x/ansi"

	"rinseby/tui/theme"
	"rinseby/tui/widget"
)

func ExampleBar() {
	nine := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	minute := func(n int) time.Time { return nine.Add(time.Duration(n) * time.Minute) }
	nape := widget.Bar{
		From: nine, To: minute(60), Now: minute(36),
		FirstContact: minute(4), LastContact: minute(12), OpensAt: minute(30), LimitAt: minute(46),
	}
	th := theme.Dark()
	fmt.Println(ansi.Strip(widget.Axis(th, nape.From, nape.To, nape.Now, time.UTC, 30)) + "|")
	fmt.Println(ansi.Strip(nape.Render(th, 30)) + "|")
	// Output:
	// │09:00            ▼09:36      |
	//   ░░░░▒▒▒▒▒▒▒▒▒╞██│════╡      |
}

func ExampleDigits() {
	for _, line := range widget.Digits(theme.Dark(), "08:51", 60, 3) {
		fmt.Println(line + "|")
	}
	// Output:
	// ▄▀▀▀▄ █▀▀▀█ ▄ █▀▀▀▀  ▄█  |
	// █   █ █▀▀▀█   ▀▀▀▀▄   █  |
	// ▀▄▄▄▀ █▄▄▄█ ▀ ▄▄▄▄▀  ▄█▄ |
}
