package session_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/timing"
)

var veil10 = session.PlanBand{Band: session.End, Product: "Veil", Kind: formula.Demi, Strength: 3, Contact: formula.OffScalp, Condition: formula.Lightened}

// twoRounds plans lightening and, over the same hair, a toner.
func twoRounds(zones ...session.PlanZone) []session.Command {
	tone := session.PlanZone{ID: "tone", Name: "All", Pieces: 1, MinutesPerPiece: 4, Bands: []session.PlanBand{veil10}}
	for _, z := range zones {
		tone.SameHairAs = append(tone.SameHairAs, z.ID)
	}
	return []session.Command{
		session.Do(session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: zones}),
		session.Do(session.PlanSet{Name: "Toning", Action: formula.Colour, Zones: []session.PlanZone{tone}}),
	}
}

func commands(data []session.Data) (cmds []session.Command) {
	for _, d := range data {
		cmds = append(cmds, session.Do(d))
	}
	return cmds
}

// starterRow is the starter's window that a query asks for.
func starterRow(t testing.TB, q formula.Query) session.WindowConfirmed {
	r, ok := formula.Match(formula.Starter().Windows(), q)
	require.True(t, ok, "the starter has no row for %+v", q)
	return session.WindowConfirmed{Row: r, Basis: session.BasisStarter}
}

func TestNextThroughAServiceOfTwoRounds(t *testing.T) {
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L.", Steps: []session.PlanStep{{Name: "sectioning", Before: true}, {Name: "cut"}}})
	later := root30
	later.Later = true
	plan := twoRounds(
		session.PlanZone{ID: "nape", Name: "Nape", Pieces: 2, MinutesPerPiece: 2, Bands: []session.PlanBand{end20, later}},
		session.PlanZone{ID: "crown", Name: "Crown", Pieces: 1, MinutesPerPiece: 2, Bands: []session.PlanBand{end20}})
	for i, s := range []struct {
		at   float64
		verb session.Verb
		text string
		form []session.Command // what a form answers; nil means that the key does it
	}{
		{0, session.DoConsult, "Consult and note it", []session.Command{session.Do(session.ConsultationNoted{NaturalDepth: 6})}},
		{3, session.DoSafety, "Ask the safety questions", commands(answered())},
		{5, session.DoBegin, "Begin: sectioning", nil},
		{6, session.DoEnd, "End: sectioning", nil},
		{10, session.DoPlan, "Plan the zones", plan},
		{12, session.DoMix, "Mix Chalk 20 vol", []session.Command{session.Do(bowl(end20, 20, 40))}},
		{14, session.DoWindow, "Set the limit of Chalk 20 vol", []session.Command{session.Do(row(end20, 10, 35))}},
		{15, session.DoPlace, "Place Nape 1 of 2", nil},
		{17, session.DoPlace, "Place Nape 2 of 2", nil},
		{19, session.DoPlace, "Place Crown 1 of 1", nil},
		{20, session.DoMix, "Mix Chalk 30 vol", []session.Command{session.Do(bowl(root30, 20, 40))}},
		{22, session.DoWindow, "Set the limit of Chalk 30 vol", []session.Command{session.Do(row(root30, 10, 45))}},
		{23, session.DoCoat, "Coat the root of Nape", nil},
		{24, session.DoWait, "Wait for Crown", nil},
		{29, session.DoReady, "Check, then rinse Crown", nil},
		{30, session.DoOff, "Rinse clean: Crown", nil},
		{32, session.DoWait, "Wait for Nape", nil},
		{33, session.DoReady, "Check, then rinse Nape", nil},
		{34, session.DoOff, "Rinse clean: Nape", nil},
		{36, session.DoMix, "Mix Veil 10 vol", []session.Command{session.Do(bowl(veil10, 40, 40))}},
		{38, session.DoWindow, "Set the limit of Veil 10 vol", []session.Command{session.Do(row(veil10, 5, 20))}},
		{39, session.DoPlace, "Place All 1 of 1", nil},
		{40, session.DoWait, "Wait for All", nil},
		{44, session.DoReady, "Check, then rinse All", nil},
		{45, session.DoOff, "Rinse clean: All", nil},
		{47, session.DoBegin, "Begin: cut", nil},
		{60, session.DoEnd, "End: cut", nil},
		{61, session.DoFinish, "Finish the service", []session.Command{session.Do(session.ServiceClosed{})}},
		{62, session.DoNothing, "The service is closed", nil},
	} {
		a := c.at(s.at).board().Next
		require.Equal(t, []any{s.verb, s.text}, []any{a.Verb, a.Text}, "stage %d, minute %g", i, s.at)
		switch {
		case s.form != nil:
			assert.Empty(t, a.Commands, "a form asks for more")
			require.NoError(t, c.try(s.form...))
		case a.Verb == session.DoWait:
			assert.Empty(t, a.Commands)
			assert.True(t, a.From.After(c.now), "it says until when")
		case a.Verb == session.DoNothing:
			assert.Empty(t, a.Commands)
		default:
			require.NotEmpty(t, a.Commands, "one key does it")
			require.NoError(t, c.try(a.Commands...))
		}
	}
}

func TestNextSaysByWhenAndWhy(t *testing.T) {
	c := lightening(t)
	assert.Zero(t, c.board().Next.By, "nothing is on")
	c.at(0).do(place("z1", 3))
	a := c.at(2).board().Next
	assert.Equal(t, c.zero.Add(35*time.Minute), a.By)
	assert.Equal(t, []session.Command{session.Do(session.PiecePlaced{Zone: "z1", Count: 1,
		Coats: []session.CoatOn{{Band: session.Root, Bowl: "b1"}, {Band: session.End, Bowl: "b2"}}})}, a.Commands)
	c.do(session.BowlEmptied{Bowl: "b2"})
	a = c.at(3).board().Next
	assert.Equal(t, session.DoMix, a.Verb)
	assert.Equal(t, "for the end of Nape", a.Why)
	assert.Equal(t, end20, *a.Plan)
	c.do(bowl(end20, 20, 40), session.PauseBegan{})
	assert.Equal(t, session.DoResume, c.board().Next.Verb)
	a = c.at(27).board().Next
	assert.Equal(t, []any{session.DoRinse, "Rinse Nape", "its limit is near"}, []any{a.Verb, a.Text, a.Why}, "a limit does not wait for a pause")
	a = c.at(36).board().Next
	assert.Equal(t, "it is past its limit", a.Why)
	require.NoError(t, c.try(a.Commands...))
	assert.Equal(t, session.DoOff, c.board().Next.Verb)
	assert.Equal(t, []string{"z1"}, c.board().Next.Zones)
	c.at(40).do(session.RinseEnded{}, session.PauseEnded{})
	assert.Equal(t, "Place Nape, rest 1 of 1", c.board().Next.Text, "what was still to come is not forgotten")
}

// hands follows what is to be done next, and nothing else, until the service
// is closed. It says how late anything was.
type hands struct {
	*chair
	t     *testing.T
	plan  []session.Command
	piece float64 // minutes
}

// planned is the board with the plan of the trips.
func (h *hands) planned() session.Board {
	b := h.board()
	if q, ok := h.state().AskTrips(b.Now, b.Pace); ok {
		plan, err := q.Answer(nil)
		require.NoError(h.t, err)
		b.Follow(h.state(), plan)
	}
	return b
}

func (h *hands) follow() (over time.Duration) {
	m := 0.0
	pass := func(d float64) { m += d; h.at(m) }
	for range 2000 {
		a := h.planned().Next
		if a.Verb == session.DoNothing {
			for _, z := range h.state().Zones {
				over = max(over, h.timed(z.ID).Over)
			}
			return over
		}
		if slices.ContainsFunc(h.state().Zones, (*session.Zone).Started) { // an ordinary service asks nothing unbidden any more
			require.NotContains(h.t, []session.Verb{session.DoClock, session.DoConsult, session.DoSafety, session.DoPlan}, a.Verb, a.Text)
		}
		cmds := a.Commands
		switch a.Verb {
		case session.DoConsult:
			cmds = []session.Command{session.Do(session.ConsultationNoted{})}
		case session.DoSafety:
			cmds = commands(answered())
		case session.DoPlan:
			require.NotNil(h.t, h.plan, "planned twice: %s", a.Text)
			cmds, h.plan = h.plan, nil
		case session.DoMix:
			pass(2)
			cmds = []session.Command{session.Do(bowl(*a.Plan, 20, 40))}
		case session.DoWindow:
			cmds = []session.Command{session.Do(starterRow(h.t, *a.Query))}
		case session.DoPlace, session.DoCoat:
			pass(h.piece)
		case session.DoOff:
			pass(session.TripRinse.Minutes())
		case session.DoFinish:
			cmds = []session.Command{session.Do(session.ServiceClosed{})}
		case session.DoWait:
			require.True(h.t, a.From.After(h.now), "a wait must have an end: %s", a.Text)
			pass(0.5)
		default:
			require.NotEmpty(h.t, cmds, "%s: nothing that the key could do", a.Verb)
			pass(0.25)
		}
		require.NoError(h.t, h.try(cmds...), "%s: %s", a.Verb, a.Text)
		switch {
		case a.Verb == session.DoRinse || a.Verb == session.DoReady:
			pass(session.TripWalk.Minutes())
		case a.Verb == session.DoOff && h.state().OpenTrip() == nil:
			pass(session.TripReseat.Minutes())
		}
	}
	h.t.Fatalf("not done after 2000 keys: %+v", h.board().Next)
	return 0
}

// Every walk, rinse and way back takes what a plan reckons with.
func TestFollowingNextAloneFinishesAndNothingIsOver(t *testing.T) {
	zones := func(n, pieces int, bands ...session.PlanBand) (zs []session.PlanZone) {
		for i := range n {
			zs = append(zs, session.PlanZone{ID: fmt.Sprintf("z%d", i), Name: fmt.Sprintf("Zone %d", i), Pieces: pieces, MinutesPerPiece: 2, Bands: bands})
		}
		return zs
	}
	later := root30
	later.Later = true
	for _, tt := range []struct {
		name  string
		zones []session.PlanZone
		piece float64
	}{
		{"one zone", zones(1, 5, root30, end20), 2},
		{"a few", zones(4, 6, root30, end20), 2},
		{"a full head", zones(10, 5, root30, end20), 2},
		{"one zone of 50 pieces", zones(1, 50, root30, end20), 2},
		{"hands 30 % slower than planned", zones(10, 5, root30, end20), 2.6},
		{"slow hands", zones(5, 5, root30, end20), 4},
		{"roots later", zones(3, 3, end20, later), 2.5},
		{"many zones of one piece", zones(12, 1, root30), 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := newChair(t)
			c.do(session.ServiceOpened{Service: "s1", Client: "June L.", Steps: []session.PlanStep{{Name: "consultation", Before: true}, {Name: "cut"}}})
			pieces := 0
			for _, z := range tt.zones {
				pieces += z.Pieces
			}
			h := &hands{chair: c, t: t, plan: twoRounds(tt.zones...), piece: tt.piece}
			assert.Zero(t, h.follow())
			placed := 0
			for _, z := range c.state().RoundZones(c.state().Rounds[0]) {
				placed += z.Done()
				assert.Equal(t, timing.Rinsed, c.timed(z.ID).Phase)
			}
			assert.Equal(t, pieces, placed, "every piece that was planned went in")
		})
	}
}
