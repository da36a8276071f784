package floor_test

import (
	"fmt"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"

	"rinseby/session"
	"rinseby/tui/floor"
	"rinseby/tui/keys"
	"rinseby/tui/theme"
)

func Example() {
	now := time.Date(2026, 3, 2, 10, 2, 0, 0, time.UTC)
	m := floor.New(theme.Mono(), keys.Default("").OnFloor())
	m.SetSize(80, 24)
	m.Show(floor.Look{Now: now, Place: time.UTC, Services: []floor.Service{{FloorLook: session.FloorLook{
		ID: "june", Client: "June L.", Invented: true, Next: "Rinse Nape", RinseZone: "Nape", RinseBy: now.Add(4 * time.Minute),
	}}}})
	fmt.Println(strings.TrimSpace(ansi.Strip(strings.Split(m.View(), "\n")[0])))
	fmt.Println(m.Short())
	// Output:
	// RINSE NAPE · June L.*                                                    10:02
	// 04:00 Rinse Nape, June L.*
}
