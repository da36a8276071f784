package session_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/timing"
)

// The day that this file sets the figures against is common practice, no
// source: a full head of back-to-back weaves, some 100 minutes of application
// by one pair of hands, 30 volume on the new growth and 20 volume over older
// colour, then 45 minutes at room temperature for the last part.
//
// Here it is 10 zones of 5 weaves each, and 2 minutes to a weave:
//
//	weave n of the head (0 to 49) goes in at minute  2 n
//	the oldest weave of zone i (1 to 10) goes in at  10 (i - 1)
//	its newest goes in at                            10 (i - 1) + 8
//	the last weave of all is in by                   100
//	and 45 minutes later it is                       145
const (
	dayZones   = 10
	dayWeaves  = 5
	dayMinutes = 2.0
	dayTrip    = 6.0 // minutes at the basin for one zone; common practice, no source
)

// startOfDay opens the service, with the starter's windows for that hair
// confirmed and both bowls mixed.
func startOfDay(t *testing.T) *chair {
	growth := root30 // 9 %, off the scalp, natural
	older := end20   // 6 %, off the scalp, lightened before
	c := newChair(t)
	plan := session.PlanSet{Name: "Lightening", Action: formula.Lighten}
	for i := range dayZones {
		plan.Zones = append(plan.Zones, session.PlanZone{Name: fmt.Sprintf("Zone %d", i+1), Pieces: dayWeaves, Bands: []session.PlanBand{growth, older}})
	}
	c.do(session.ServiceOpened{Service: "s1", Client: "Tove A."}, session.ConsultationNoted{NaturalDepth: 6}, plan)
	c.do(answered()...)
	for band, limit := range map[*session.PlanBand]time.Duration{&growth: 45 * time.Minute, &older: 35 * time.Minute} {
		r, ok := formula.Match(formula.Starter().Windows(), formula.Query{Product: band.Product, Kind: band.Kind, Strength: band.Strength,
			Hair: formula.Hair{Contact: band.Contact, Condition: band.Condition}})
		require.True(t, ok)
		require.Equal(t, timing.Window{Opens: 10 * time.Minute, Limit: limit}, r.Window, "the sums below rest on these figures")
		c.do(session.WindowConfirmed{Row: r, Basis: session.BasisStarter}, bowl(*band, 60, 90))
	}
	return c
}

// about returns the warnings of a zone.
func about(b session.Board, zone string) (ws []session.Warning) {
	for _, w := range b.Warnings {
		if w.Zone == zone {
			ws = append(ws, w)
		}
	}
	return ws
}

func id(zone int) string { return fmt.Sprintf("z%d", zone) }

func TestOrdinaryDay(t *testing.T) {
	t.Run("all rinsed at the end", allRinsedAtTheEnd)
	t.Run("first in, first out", firstInFirstOut)
}

func allRinsedAtTheEnd(t *testing.T) {
	c := startOfDay(t)
	ahead, closing, over := -1, -1, -1
	for m := range 146 {
		c.at(float64(m))
		if m%2 == 0 && m < 100 {
			c.do(place(id(m/10+1), 1))
		}
		for _, w := range about(c.board(), "z1") {
			switch key, _, _ := strings.Cut(w.Key, ":"); {
			case key == "ahead" && ahead < 0:
				ahead = m
				// Limit: 0 + 35 is 09:35. Less the 6 minutes of a trip: 09:29. The
				// last weave of zone 3 goes in at 28, so at 29 the next one in hand
				// is the first of zone 4.
				assert.Equal(t, "at this pace Zone 1 goes over at 09:35, while you are on Zone 4: be at the basin with it by 09:29", w.Text)
				assert.Equal(t, c.zero.Add(35*time.Minute), w.At)
			case key == "closing" && closing < 0:
				closing = m
				assert.Equal(t, "Zone 1 must be off in 8 min: rinse it now", w.Text)
			case key == "over" && over < 0:
				over = m
				assert.Equal(t, "Zone 1 is 1 min over its limit: rinse it now", w.Text)
				assert.Equal(t, session.Alarm, w.Level)
			}
		}
	}
	// The pace is known from the fourth weave, at minute 6, and 46 more of 2
	// minutes reach far beyond minute 29. The last quarter of 35 minutes, 8¾,
	// begins at 26¼. Minute 36 is the first past the limit.
	assert.Equal(t, 6, ahead, "29 minutes before the limit")
	assert.Equal(t, 27, closing)
	assert.Equal(t, 36, over)

	// At 145 the zones go to the basin one after the other. Zone i is off at
	// 145 + 6 i, and its oldest weave, with 20 volume on older colour, went in
	// at 10 (i - 1) and had 35 minutes:
	want := map[int]int{
		1:  116, // 151 -  0 - 35
		2:  112, // 157 - 10 - 35
		3:  108, // 163 - 20 - 35
		4:  104, // 169 - 30 - 35
		5:  100, // 175 - 40 - 35
		6:  96,  // 181 - 50 - 35
		7:  92,  // 187 - 60 - 35
		8:  88,  // 193 - 70 - 35
		9:  84,  // 199 - 80 - 35
		10: 80,  // 205 - 90 - 35
	}
	for i := 1; i <= dayZones; i++ {
		from := 145 + dayTrip*float64(i-1)
		c.rinse(from, from+dayTrip, id(i))
	}
	c.at(300)
	for i := 1; i <= dayZones; i++ {
		assert.Equal(t, time.Duration(want[i])*time.Minute, c.timed(id(i)).Over, "zone %d", i)
		assert.Equal(t, timing.Rinsed, c.timed(id(i)).Phase)
	}
}

// firstInFirstOut is the same head and the same hands, but one zone after each
// further one goes to the basin.
//
//	zone 1 is applied from 0, zone 2 from 10, zone 1 rinsed from 20 to 26;
//	from then on a zone (10 minutes) and a trip (6 minutes) take turns, so that
//	zone i (3 to 10) is applied from 26 + 16 (i - 3), and zone i - 1 is rinsed
//	from 10 minutes later.
//
// Zone 2 is on from 10 to 42, which is 32 minutes. Zones 3 to 9 are on for
// 10 + 6 + 10 + 6 = 32. Zone 10 is applied from 138, opens 18 minutes later at
// 156, when zone 9 is off (154), and is off at 162. All keep to 35.
func firstInFirstOut(t *testing.T) {
	c := startOfDay(t)
	apply := func(i int, from float64) {
		for n := range dayWeaves {
			c.at(from + dayMinutes*float64(n)).do(place(id(i), 1))
		}
	}
	off := func(i int, from float64) {
		assert.Equal(t, timing.Open, c.at(from).timed(id(i)).Phase, "zone %d has worked long enough at %g", i, from)
		c.rinse(from, from+dayTrip, id(i))
	}
	apply(1, 0)
	apply(2, 10)
	off(1, 20)
	for i := 3; i <= dayZones; i++ {
		apply(i, float64(26+16*(i-3)))
		off(i-1, float64(36+16*(i-3)))
	}
	off(10, 156)
	on := map[int]int{1: 26, 2: 32, 3: 32, 4: 32, 5: 32, 6: 32, 7: 32, 8: 32, 9: 32, 10: 24}
	for i := 1; i <= dayZones; i++ {
		z := c.at(300).timed(id(i))
		assert.Zero(t, z.Over, "zone %d", i)
		assert.Equal(t, time.Duration(on[i])*time.Minute, z.Oldest, "zone %d", i)
	}
	c.do(session.ServiceClosed{})
}
