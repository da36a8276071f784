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
