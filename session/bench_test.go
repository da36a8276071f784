package session_test

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
)

// busy is a service of 12 zones and 96 pieces, all in by minute 96, of which
// each was logged by itself.
func busy(t testing.TB) *chair {
	c := newChair(t)
	plan := session.PlanSet{Name: "Lightening", Action: formula.Lighten}
	for i := range 12 {
		plan.Zones = append(plan.Zones, session.PlanZone{Name: fmt.Sprintf("Zone %d", i+1), Pieces: 8, MinutesPerPiece: 1, Bands: []session.PlanBand{root30, end20}})
	}
	c.do(session.ServiceOpened{Service: "s1", Client: "Tove A."}, session.ConsultationNoted{}, plan,
		row(root30, 20, 45), row(end20, 15, 35), bowl(root30, 60, 90), bowl(end20, 60, 90))
	c.do(answered()...)
	for i := range 96 {
		c.at(float64(i)).do(place(fmt.Sprintf("z%d", i/8+1), 1))
	}
	return c
}

func BenchmarkFold(b *testing.B) {
	events := busy(b).log.Events()
	for b.Loop() {
		if _, err := session.Fold(events); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N*len(events))/b.Elapsed().Seconds(), "events/s")
}

func BenchmarkDecide(b *testing.B) {
	c := busy(b)
	for b.Loop() {
		if _, err := session.Decide(c.log, c.reading(), session.Do(session.NoteAdded{Text: "x"})); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLook(b *testing.B) {
	c := busy(b)
	now := c.state().Line.Now(c.reading())
	clock := func(at time.Time) string { return at.Format("15:04") }
	for b.Loop() {
		session.Look(c.state(), now, clock)
	}
}

// BenchmarkAskForecast is the part that holds up the screen; the answer is
// worked out beside it.
func BenchmarkAskForecast(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	l := drawService(b, r, drawHidden(r), "s", 0)
	at := momentsOf(l)[2]
	then, err := l.Until(at)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		then.State().AskForecast(at, session.Usuals{})
	}
}

func BenchmarkAnswerForecast(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	l := drawService(b, r, drawHidden(r), "s", 0)
	at := momentsOf(l)[2]
	then, err := l.Until(at)
	if err != nil {
		b.Fatal(err)
	}
	q, _ := then.State().AskForecast(at, session.Usuals{})
	for b.Loop() {
		if _, err := q.Answer(); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkTrips is the plan of the trips for six zones that are on and six to
// come, from the question on.
func BenchmarkTrips(b *testing.B) {
	c := newChair(b)
	plan := session.PlanSet{Name: "Lightening", Action: formula.Lighten}
	for i := range 12 {
		plan.Zones = append(plan.Zones, session.PlanZone{Name: fmt.Sprintf("Zone %d", i+1), Pieces: 8, MinutesPerPiece: 1, Bands: []session.PlanBand{root30}})
	}
	c.do(session.ServiceOpened{Service: "s1", Client: "Tove A."}, session.ConsultationNoted{}, plan, row(root30, 20, 45), bowl(root30, 60, 90))
	c.do(answered()...)
	for i := range 48 {
		c.at(float64(i)).do(place(fmt.Sprintf("z%d", i/8+1), 1))
	}
	for b.Loop() {
		q, ok := c.state().AskTrips(c.now, c.state().Pace())
		if !ok {
			b.Fatal("there is nothing to plan")
		}
		if _, err := q.Answer(nil); err != nil {
			b.Fatal(err)
		}
	}
}

// Folding allocates in proportion to the events, and a look does not grow with
// what was logged of the zones before.
func TestFoldingAndLookingStayLight(t *testing.T) {
	notes := func(n int) *chair {
		c := busy(t)
		for range n {
			c.do(session.NoteAdded{Text: "x"})
		}
		return c
	}
	few, many := notes(200), notes(1800)
	fold := func(c *chair) float64 {
		events := c.log.Events()
		return testing.AllocsPerRun(3, func() {
			if _, err := session.Fold(events); err != nil {
				t.Fatal(err)
			}
		}) / float64(len(events))
	}
	if x, y := fold(few), fold(many); y > 2*x {
		t.Errorf("folding allocates %.1f times an event in a short log, %.1f in a long one", x, y)
	}
	look := func(c *chair) float64 {
		now := c.state().Line.Now(c.reading())
		return testing.AllocsPerRun(5, func() { session.Look(c.state(), now, func(at time.Time) string { return "" }) })
	}
	if x, y := look(few), look(many); y > 1.5*x || x > 2000 {
		t.Errorf("a look allocates %.0f times after a short log, %.0f after a long one", x, y)
	}
}
