package theme_test

import (
	"fmt"

	"rinseby/timing"
	"rinseby/tui/theme"
)

func ExampleTheme_Phase() {
	th := theme.Pick(false, true, false)
	fmt.Println(th.Phase(timing.Working).Label())
	fmt.Printf("%q\n", th.Phase(timing.Over).Label())
	// Output:
	// ○ working
	// "\x1b[1;7m! over\x1b[m"
}
