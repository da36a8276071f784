package replay_test

import (
	"fmt"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/plain"
	"rinseby/session/safety"
	"rinseby/timing"
)

var (
	zero = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	root = session.PlanBand{Band: session.Root, Product: "Chalk", Kind: formula.PowderLightener, Strength: 9, Contact: formula.OffScalp, Condition: formula.Natural}
	end  = session.PlanBand{Band: session.End, Product: "Chalk", Kind: formula.PowderLightener, Strength: 6, Contact: formula.OffScalp, Condition: formula.Lightened}
)

// A chair drives a log as the program does, with a clock of its own.
type chair struct {
	t    require.TestingT
	log  *session.Log
	now  time.Time
	skew time.Duration // of the wall clock
	boot string
}

func (c *chair) reading() timing.Reading {
	return timing.Reading{Wall: c.now.Add(c.skew), Boot: time.Hour + c.now.Sub(zero), BootID: c.boot}
}

// at goes to a moment so many minutes after nine.
func (c *chair) at(minutes float64) *chair {
	c.now = zero.Add(time.Duration(minutes * float64(time.Minute)))
	return c
}

func (c *chair) try(cmd session.Command) error {
	_, err := c.log.Commit(c.reading(), cmd)
	return err
}

// do logs data. Where powder is mixed first, asthma was asked about before.
func (c *chair) do(data ...session.Data) *chair {
	for _, d := range data {
		if m, mixes := d.(session.BowlMixed); mixes && safety.Lightener(m.Family) && slices.Contains(c.state().Verdict(c.state().Opened).Open, safety.Airways) {
			require.NoError(c.t, c.try(session.Do(session.SafetyAnswered{Question: safety.Airways, Answer: "none"})))
		}
		require.NoError(c.t, c.try(session.Do(d)))
	}
	return c
}

func (c *chair) ago(minutes float64, d session.Data) *chair {
	require.NoError(c.t, c.try(session.DoAt(c.reading().Wall.Add(-time.Duration(minutes*float64(time.Minute))), d)))
	return c
}

func (c *chair) state() *session.State { return c.log.State() }

func window(b session.PlanBand, opens, limit int) session.WindowConfirmed {
	return session.WindowConfirmed{Basis: session.BasisInstructions, Row: formula.Row{
		Product: b.Product, Kind: b.Kind, Strength: b.Strength, Contact: b.Contact, Condition: b.Condition, Heat: formula.AnyHeat,
		Window: timing.Window{Opens: time.Duration(opens) * time.Minute, Limit: time.Duration(limit) * time.Minute},
		Origin: "invented for this test",
	}}
}

func bowl(b session.PlanBand, product, developer float64) session.BowlMixed {
	return session.BowlMixed{Product: b.Product, Family: b.Kind, LifeS: 3000, Mix: formula.Mix{
		Products:   []formula.ProductPart{{Product: b.Product, Grams: product}},
		Developers: []formula.DeveloperPart{{Strength: b.Strength, Grams: developer}},
	}}
}

func place(zone string, n int) session.Data { return session.PiecePlaced{Zone: zone, Count: n} }

func zone(name string, pieces int, bands ...session.PlanBand) session.PlanZone {
	return session.PlanZone{Name: name, Pieces: pieces, MinutesPerPiece: 2, Bands: bands}
}

// answers are those of a client who may be worked on without a cap.
func answers() (all []session.Data) {
	for _, q := range safety.Questions() {
		a := session.SafetyAnswered{Question: q.ID, Answer: q.Answers[0].Word}
		if q.Kind == safety.Day {
			a.Answer = "2026-02-28"
		}
		all = append(all, a)
	}
	return all
}

// ready is a service with two zones of which all is mixed, and nothing on.
func ready(t require.TestingT) *chair {
	c := &chair{t: t, log: &session.Log{}, now: zero, boot: "boot-a"}
	c.do(session.ServiceOpened{Service: "s1", Client: "June L.", Stylist: "Ines", Steps: []session.PlanStep{{Name: "drying", Minutes: 20}}})
	c.do(session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{zone("Nape", 4, root, end), zone("Crown", 6, root, end)}})
	c.do(window(root, 20, 45), window(end, 15, 35), bowl(root, 30, 60), bowl(end, 20, 40))
	return c.do(answers()...)
}

// randomService draws a service in which entries are late, taken back and put
// elsewhere, the clock steps and the machine is started anew.
func randomService(rt *rapid.T, entries int) *chair {
	c := ready(rt)
	taken := 0
	for range entries {
		c.now = c.now.Add(time.Duration(rapid.IntRange(0, 200_000).Draw(rt, "ms")) * time.Millisecond)
		switch rapid.IntRange(0, 29).Draw(rt, "clock") {
		case 0:
			c.skew = time.Duration(rapid.IntRange(-90, 90).Draw(rt, "skew")) * time.Minute
		case 1:
			c.boot += "x"
		}
		cmd := session.Do(randomData(rt, c))
		if rapid.IntRange(0, 3).Draw(rt, "late") == 0 {
			cmd.When = c.reading().Wall.Add(-time.Duration(rapid.IntRange(0, 400).Draw(rt, "by")) * time.Second)
		}
		if c.try(cmd) == nil {
			taken++
		}
	}
	return c
}

func randomData(rt *rapid.T, c *chair) session.Data {
	z := fmt.Sprintf("z%d", rapid.IntRange(1, max(len(c.state().Zones), 2)).Draw(rt, "zone"))
	seq := rapid.IntRange(2, c.state().Seq).Draw(rt, "seq")
	switch rapid.IntRange(0, 24).Draw(rt, "kind") {
	case 0, 1, 2, 3, 4, 5:
		return place(z, rapid.IntRange(1, 3).Draw(rt, "count"))
	case 6, 7, 8:
		return session.RinseBegan{Zones: []string{z}}
	case 9, 10, 11:
		return session.RinseEnded{}
	case 12, 13:
		return session.EventVoided{Seq: seq}
	case 14:
		return session.EventMoved{Seq: seq, To: c.reading().Wall.Add(-time.Duration(rapid.IntRange(0, 600).Draw(rt, "back")) * time.Second)}
	case 15, 16:
		return session.ClockNoted{What: session.ClockConfirmed, ShiftS: float64(rapid.IntRange(-900, 900).Draw(rt, "shift"))}
	case 17:
		return session.PlanChanged{Change: session.ChangeSplit, Zone: z, Keep: 1, Name: "Rest"}
	case 18:
		return session.CoatRefreshed{Zone: z}
	case 19:
		return bowl(root, 10, 20)
	case 20:
		return session.ZoneChecked{Zone: z, Depth: 7}
	case 21:
		return session.HeatOn{Zones: []string{z}}
	case 22:
		return session.PainReported{Zone: z}
	case 23:
		if rapid.IntRange(0, 2).Draw(rt, "none") == 0 {
			return session.PromiseChanged{Told: rapid.SampledFrom([]string{"", "June"}).Draw(rt, "told")}
		}
		at := c.reading().Wall.Add(time.Duration(rapid.IntRange(-5, 60).Draw(rt, "minutes")) * time.Minute)
		return session.PromiseChanged{Promised: &at}
	}
	return session.NoteAdded{Zone: z, Text: "x"}
}

// fullLog is a service of n entries: 12 zones, 960 pieces, the rest notes and
// checks, and an entry taken back in every 200. It is folded, not decided.
func fullLog(t testing.TB, n int) *session.Log {
	c := &chair{t: t, log: &session.Log{}, now: zero}
	plan := session.PlanSet{Name: "Lightening", Action: formula.Lighten}
	for i := range 12 {
		plan.Zones = append(plan.Zones, zone(fmt.Sprintf("Zone %d", i+1), 80, root))
	}
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."}, plan, window(root, 20, 45), bowl(root, 300, 600))
	c.do(answers()...)
	events := c.log.Events()
	for len(events) < n {
		c.now = c.now.Add(2 * time.Second)
		i := len(events)
		z := fmt.Sprintf("z%d", i*12/n+1)
		var d session.Data = session.NoteAdded{Zone: z, Text: "invented"}
		switch {
		case i%200 == 199:
			d = session.EventVoided{Seq: i}
		case i%5 == 0 && i < 4800:
			d = session.PiecePlaced{Zone: z, Count: 1, Coats: []session.CoatOn{{Band: session.Root, Bowl: "b1"}}}
		case i%5 == 1:
			d = session.ZoneChecked{Zone: z, Scale: 10, Depth: 7}
		}
		events = append(events, session.Event{Seq: i + 1, When: c.now, Recorded: c.reading(), Data: d})
	}
	l, err := session.Fold(events)
	require.NoError(t, err)
	return l
}

// ordinaryDay is the invented service of the repository.
func ordinaryDay(t require.TestingT) *session.Log {
	file, err := os.Open("../../testdata/ordinary-day.jsonl")
	require.NoError(t, err)
	defer file.Close()
	l, err := plain.Read(file, zero)
	require.NoError(t, err)
	return l
}
