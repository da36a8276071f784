package session_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/timing"
)

// A chair drives a log as the program does, with a clock of its own.
type chair struct {
	t    testing.TB
	log  *session.Log
	zero time.Time
	now  time.Time
	skew time.Duration // of the wall clock
	boot string
}

func newChair(t testing.TB) *chair {
	zero := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	return &chair{t: t, log: &session.Log{}, zero: zero, now: zero, boot: "boot-a"}
}

func (c *chair) reading() timing.Reading {
	return timing.Reading{Wall: c.now.Add(c.skew), Boot: time.Hour + c.now.Sub(c.zero), BootID: c.boot}
}

// at goes to the minute m after the start.
func (c *chair) at(m float64) *chair {
	c.now = c.zero.Add(time.Duration(m * float64(time.Minute)))
	return c
}

func (c *chair) try(cmds ...session.Command) error {
	c.t.Helper()
	events, err := session.Decide(c.log, c.reading(), cmds...)
	if err != nil {
		return err
	}
	require.NoError(c.t, c.log.Append(events...))
	return nil
}

func (c *chair) do(data ...session.Data) {
	c.t.Helper()
	for _, d := range data {
		require.NoError(c.t, c.try(session.Do(d)))
	}
}

func (c *chair) ago(m float64, d session.Data) {
	c.t.Helper()
	require.NoError(c.t, c.try(session.DoAt(c.reading().Wall.Add(-time.Duration(m*float64(time.Minute))), d)))
}

func (c *chair) state() *session.State { return c.log.State() }

func (c *chair) board() session.Board {
	return session.Look(c.state(), c.state().Line.Now(c.reading()), func(at time.Time) string { return at.Format("15:04") })
}

func (c *chair) zone(id string) session.ZoneLook {
	c.t.Helper()
	for _, z := range c.board().Zones {
		if z.ID == id {
			return z
		}
	}
	c.t.Fatalf("zone %s is not on the board", id)
	return session.ZoneLook{}
}

var (
	root30 = session.PlanBand{Band: session.Root, Product: "Chalk", Kind: formula.PowderLightener, Strength: 9, Contact: formula.OffScalp, Condition: formula.Natural}
	end20  = session.PlanBand{Band: session.End, Product: "Chalk", Kind: formula.PowderLightener, Strength: 6, Contact: formula.OffScalp, Condition: formula.Lightened}
)

func row(b session.PlanBand, opens, limit float64) session.WindowConfirmed {
	return session.WindowConfirmed{Basis: session.BasisInstructions, Row: formula.Row{
		Product: b.Product, Kind: b.Kind, Strength: b.Strength, Contact: b.Contact, Condition: b.Condition, Heat: formula.NoHeat,
		Window: timing.Window{Opens: time.Duration(opens * float64(time.Minute)), Limit: time.Duration(limit * float64(time.Minute))},
		Origin: "invented for this test",
	}}
}

// forScalp is a row of instructions that allow it on the scalp.
func forScalp(b session.PlanBand, opens, limit float64) session.WindowConfirmed {
	w := row(b, opens, limit)
	w.ScalpAllowed = true
	return w
}

func bowl(b session.PlanBand, product, developer float64) session.BowlMixed {
	return session.BowlMixed{Product: b.Product, Family: b.Kind, LifeS: 3600, Mix: formula.Mix{
		Products:   []formula.ProductPart{{Product: b.Product, Grams: product}},
		Developers: []formula.DeveloperPart{{Strength: b.Strength, Grams: developer}},
	}}
}

// lightening opens a service with two zones, both bowls mixed, both windows
// confirmed, and every safety question answered.
func lightening(t testing.TB) *chair { return lighteningIn(t, row(root30, 20, 45), row(end20, 15, 35)) }

// lighteningIn is the same with other windows.
func lighteningIn(t testing.TB, windows ...session.Data) *chair {
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L.", Steps: []session.PlanStep{{Name: "drying", Minutes: 20}}},
		session.ConsultationNoted{NaturalDepth: 6},
		session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{
			{Name: "Nape", Pieces: 4, MinutesPerPiece: 2, Bands: []session.PlanBand{root30, end20}},
			{Name: "Crown", Pieces: 6, MinutesPerPiece: 2, Bands: []session.PlanBand{root30, end20}},
		}})
	c.do(windows...)
	c.do(bowl(root30, 30, 60), bowl(end20, 20, 40))
	c.do(answered()...)
	return c
}

// answered answers every safety question as one does who may go on without a
// cap: by the first word, and by a skin test of two days before the 2nd of
// March, when the chair's services begin.
func answered() (all []session.Data) {
	for _, q := range safety.Questions() {
		a := session.SafetyAnswered{Question: q.ID, Answer: q.Answers[0].Word}
		if q.Kind == safety.Day {
			a.Answer = "2026-02-28"
		}
		all = append(all, a)
	}
	return all
}

// heatMeant is a reason for heat on lightener near the scalp.
func heatMeant(zone string) session.WarningAcknowledged {
	return session.WarningAcknowledged{Warning: "heat-scalp:" + zone, Reason: "the tub names heat"}
}

func place(zone string, n int) session.PiecePlaced { return session.PiecePlaced{Zone: zone, Count: n} }

func TestOldestPieceLimitsAndNewestOpens(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 2))
	c.at(10).do(place("z1", 2))
	z := c.at(12).zone("z1")
	require.Equal(t, timing.Working, z.Phase)
	require.Equal(t, 12*time.Minute, z.Oldest)
	require.Equal(t, 2*time.Minute, z.Newest)
	require.Equal(t, c.zero.Add(35*time.Minute), z.LimitAt, "the tightest of the two strengths on the piece rules")
	require.Equal(t, c.zero.Add(30*time.Minute), z.OpensAt, "the slower of the two strengths opens last")
	require.Equal(t, timing.Closing, c.at(27).zone("z1").Phase)
	require.Equal(t, timing.Closing, c.at(35).zone("z1").Phase, "at the limit is not over it")
	over := c.at(35.5).zone("z1")
	require.Equal(t, timing.Over, over.Phase)
	require.Equal(t, 30*time.Second, over.Over)
}

// fields are what tells one state from another, as a person would put it. A
// list that is empty and one that is missing are alike.
func fields(s *session.State) map[string]string {
	m := map[string]string{}
	for name, v := range map[string]any{
		"closed": s.Closed, "consultation": s.Consultation, "safety": s.Safety, "pains": s.Pains, "asked": s.Asked, "rounds": s.Rounds, "zones": s.Zones,
		"bowls": s.Bowls, "windows": s.Windows, "basis": s.WindowBasis, "trips": s.Trips, "steps": s.Steps,
		"pauses": s.Pauses, "helpers": s.Helpers, "notes": s.Notes, "cuts": s.Cuts, "promises": s.Promises, "acks": s.Acks,
	} {
		b, err := json.Marshal(v)
		if err != nil {
			panic(err)
		}
		m[name] = strings.ReplaceAll(string(b), "[]", "null")
	}
	return m
}
