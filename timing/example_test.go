package timing_test

import (
	"fmt"
	"time"

	"rinseby/timing"
)

// The laptop's clock is put right by an hour while product is on. Exposure is
// counted by the time since boot, so it does not notice.
func ExampleTimeline() {
	start := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	var line timing.Timeline
	contact, _ := line.Advance(timing.Reading{Wall: start, Boot: time.Hour, BootID: "a"})
	now, gap := line.Advance(timing.Reading{Wall: start.Add(70 * time.Minute), Boot: 70 * time.Minute, BootID: "a"})
	fmt.Println(now.Sub(contact), "on; the clock was moved by", gap.Step)
	// Output: 10m0s on; the clock was moved by 1h0m0s
}

// Two strengths lie on one piece: it must be off by the earlier limit.
func ExampleWindow_Tightest() {
	roots := timing.Window{Opens: 10 * time.Minute, Limit: 45 * time.Minute}
	ends := timing.Window{Opens: 15 * time.Minute, Limit: 35 * time.Minute}
	w := roots.Tightest(ends)
	fmt.Println("opens after", w.Opens, "off by", w.Limit)
	// Output: opens after 15m0s off by 35m0s
}

// The oldest piece decides when a coat must be off, the newest when it may.
func ExampleCoat() {
	at := func(m int) time.Time { return time.Date(2026, 3, 2, 9, m, 0, 0, time.UTC) }
	c := timing.Coat{
		First: at(0), Last: at(12), Complete: true,
		Window: timing.Window{Opens: 20 * time.Minute, Limit: 45 * time.Minute},
	}
	fmt.Println(c.Phase(at(30), 5*time.Minute), "until", c.OpensAt().Format("15:04"))
	fmt.Println(c.Phase(at(33), 5*time.Minute), "until", c.LimitAt().Format("15:04"))
	fmt.Println(c.Phase(at(47), 5*time.Minute), "by", c.Over(at(47)))
	// Output:
	// working until 09:32
	// open until 09:45
	// over by 2m0s
}
