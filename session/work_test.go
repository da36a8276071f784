package session_test

import (
	"cmp"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
)

// said writes stints as lines: what, of what, from and to in minutes, and what
// else there is to them.
func said(c *chair, stints []session.Stint) (lines []string) {
	for _, st := range stints {
		line := fmt.Sprintf("%s %g-%g", st.Kind, st.From.Sub(c.zero).Minutes(), st.To.Sub(c.zero).Minutes())
		if st.Name != "" {
			line += " " + st.Name
		}
		if st.Zone != "" {
			line += " " + st.Zone
		}
		if st.Units != 1 {
			line += fmt.Sprintf(" x%d", st.Units)
		}
		if whole := st.To.Sub(st.From); st.Took != whole {
			line += fmt.Sprintf(" took %g", st.Took.Minutes())
		}
		if st.Helpers > 0 {
			line += fmt.Sprintf(" helped %.2f", st.Helpers)
		}
		lines = append(lines, line)
	}
	return lines
}

func TestStintsOfAWholeService(t *testing.T) {
	c := newChair(t)
	later := root30
	later.Later = true
	c.do(session.ServiceOpened{Service: "s1", Client: "June L.", Steps: []session.PlanStep{{Name: "washing", Before: true}, {Name: "drying"}, {Name: "cut"}}})
	c.at(3).do(session.ConsultationNoted{NaturalDepth: 6})
	c.do(answered()...)
	c.at(5).do(session.StepBegan{Step: "washing"})
	c.at(12).do(session.StepEnded{Step: "washing"})
	c.do(session.PlanSet{Name: "Lightening", Action: "lighten", Zones: []session.PlanZone{
		{Name: "Nape", Pieces: 5, MinutesPerPiece: 2, Technique: " Slice", Bands: []session.PlanBand{end20, later}},
		{Name: "Crown", Pieces: 6, MinutesPerPiece: 2, Bands: []session.PlanBand{end20}},
	}}, row(root30, 5, 45), row(end20, 5, 35))
	c.at(14).do(bowl(end20, 30, 60))
	c.at(16).do(place("z1", 1))
	c.at(17).do(session.PauseBegan{})
	c.at(20).do(session.PauseEnded{})
	c.at(21).do(place("z1", 1))
	c.at(21.1).do(place("z1", 1)) // logged late rather than placed
	c.at(22).do(session.HelperJoined{Name: "Sam"})
	c.at(23).do(place("z1", 2))
	c.at(24).do(session.HelperLeft{Name: "Sam"})
	c.at(25).do(place("z2", 1), place("z2", 1))
	c.do(session.EventVoided{Seq: c.last()})
	c.at(28).do(place("z2", 1)) // will be put two minutes earlier
	c.at(29).do(session.EventMoved{Seq: c.last(), To: c.zero.Add(26 * time.Minute)})
	c.at(31).do(session.RinseBegan{Zones: []string{"z1"}})
	c.at(34).do(session.RinseEnded{})
	c.at(40).do(place("z2", 1)) // reseated, two minutes for the piece
	c.at(41).do(place("z2", 1))
	c.at(43).do(bowl(root30, 30, 60))
	c.at(45).do(place("z2", 2))
	c.at(60).do(session.StepBegan{Step: "drying"})
	c.at(65).do(session.StepEnded{Step: "drying"})
	c.at(66).do(session.RinseBegan{Zones: []string{"z2"}})
	c.at(70).do(session.RinseEnded{})
	c.at(71).do(session.StepBegan{Step: "cut"})
	c.at(90).do(session.StepEnded{Step: "cut"})
	c.at(91).do(session.ServiceClosed{})
	assert.Equal(t, []string{
		"prepare 0-5", "step 5-12 washing", "prepare 12-14",
		"place 14-16 slice z1", "place 16-21.1 slice z1 x2 took 2.1", "place 21.1-23 slice z1 x2 helped 0.53",
		"place 23-25 lighten z2 helped 0.50", "place 25-26 lighten z2",
		"walk 26-31", "rinse 31-34 z1",
		"reseat 34-38", "place 38-40 lighten z2 x0", "place 40-41 lighten z2",
		"mix 41-43", "place 43-45 lighten z2 x2",
		"step 60-65 drying", "develop 45-66 lighten z2", "rinse 66-70 z2",
		"step 70-90 cut", "close 90-91",
	}, said(c, c.state().Stints()))
}

func TestStintsOfBandsLeftForLaterAndOfTheBasin(t *testing.T) {
	c := newChair(t)
	later := root30
	later.Later = true
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."}, session.ConsultationNoted{NaturalDepth: 6})
	c.do(answered()...)
	c.do(session.PlanSet{Name: "Lightening", Action: "lighten", Zones: []session.PlanZone{
		{Name: "Nape", Pieces: 2, Bands: []session.PlanBand{end20, later}}, {Name: "Crown", Pieces: 2, Bands: []session.PlanBand{end20, later}},
	}}, row(root30, 5, 45), row(end20, 5, 45), bowl(end20, 30, 60))
	c.at(4).do(place("z1", 2))
	c.at(9).do(place("z2", 2))
	c.at(11).do(bowl(root30, 30, 60))
	c.at(14).do(session.CoatApplied{Zone: "z1", Coats: coats(session.Root, "b2")})
	c.at(16).do(session.CoatApplied{Zone: "z2", Coats: coats(session.Root, "b2")})
	c.at(20).do(bowl(end20, 30, 60)) // for another round, while this one develops
	c.at(30).do(session.RinseBegan{Zones: []string{"z2", "z1"}})
	c.at(33).do(session.RinseEnded{Zones: []string{"z1"}})
	want := []string{
		"prepare 0-0", "place 0-4 lighten z1 x2", "place 4-9 lighten z2 x2", "mix 9-11",
		"coat 11-14 lighten z1", "coat 14-16 lighten z2", "develop 14-30 lighten z1 x0", "develop 16-33 lighten z2", "rinse 30-33 z1",
	}
	assert.Equal(t, want, said(c, c.state().Stints()), "the second is being rinsed")
	c.at(37).do(session.RinseEnded{})
	assert.Equal(t, append(want, "rinse 33-37 z2"), said(c, c.state().Stints()))
}

// The pieces after a trip take the median time of those before, once three
// tell, and never longer than there was; a zone that was divided counts once.
func TestStintsAfterATrip(t *testing.T) {
	c := lightening(t)
	for i := range 4 {
		c.at(float64(i + 1)).do(place("z1", 1))
	}
	c.do(session.PlanChanged{Change: session.ChangeSplit, Zone: "z1", Keep: 2, Name: "Low"})
	c.at(6).do(session.RinseBegan{Zones: []string{"z1", "z3"}})
	c.at(9).do(session.RinseEnded{})
	c.at(14).do(place("z2", 2))
	c.at(15).do(session.PlanChanged{Change: session.ChangeSplit, Zone: "z2", Keep: 1, Name: "High"})
	c.at(20).do(session.RinseBegan{Zones: []string{"z2", "z4"}}) // and what was left of it stays
	c.at(22).do(session.RinseEnded{})
	c.at(22.5).do(place("z5", 3))
	assert.Equal(t, []string{
		"prepare 0-0", "mix 0-0", "place 0-1 lighten z1", "place 1-2 lighten z1", "place 2-3 lighten z3", "place 3-4 lighten z3",
		"walk 4-6", "rinse 6-9 z1 x2", "reseat 9-12", "place 12-14 lighten z2 x0",
		"walk 14-20", "rinse 20-22 z2 x2", "place 22-22.5 lighten z5 x0",
	}, said(c, c.state().Stints()))
}

func TestATechniqueIsKept(t *testing.T) {
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."}, session.ConsultationNoted{NaturalDepth: 6})
	c.do(session.PlanSet{Name: "Lightening", Action: "lighten", Zones: []session.PlanZone{
		{Name: "Nape", Pieces: 4, Technique: "Open  Section", MinutesPerPiece: 2, Bands: []session.PlanBand{root30}},
		{Name: "Crown", Pieces: 2, Bands: []session.PlanBand{root30}},
	}})
	of := func(id string) string { return c.state().Zone(id).Technique() }
	assert.Equal(t, "open section", of("z1"))
	assert.Equal(t, "lighten", of("z2"), "the action, if the plan says none")
	c.do(session.PlanChanged{Change: session.ChangeSplit, Zone: "z1", Keep: 2, Name: "Low"},
		session.PlanChanged{Change: session.ChangeBands, Zone: "z1", Bands: []session.PlanBand{end20}})
	assert.Equal(t, "open section", of("z1"))
	assert.Equal(t, "open section", of("z3"), "that of the zone it was split from")
	c.do(session.PlanChanged{Change: session.ChangeTechnique, Zone: "z2", Technique: "foil", MinutesPerPiece: 1.5},
		session.PlanChanged{Change: session.ChangeTechnique, Zone: "z1"})
	assert.Equal(t, "foil", of("z2"))
	assert.Equal(t, 1.5, c.state().Zone("z2").MinutesPerPiece)
	assert.Equal(t, "lighten", of("z1"))
	assert.Equal(t, 2.0, c.state().Zone("z1").MinutesPerPiece, "as before")
	assert.Equal(t, "Crown: how it is placed changed", c.state().Say(session.PlanChanged{Change: session.ChangeTechnique, Zone: "z2"}))
}

// lastMark is the last moment at which something ended that hands did.
func lastMark(s *session.State) time.Time {
	last := s.Opened
	later := func(at time.Time) {
		if at.After(last) {
			last = at
		}
	}
	for _, b := range s.Bowls {
		later(b.Mixed)
	}
	for _, z := range s.Zones {
		for _, b := range z.Placed {
			later(b.At)
		}
		for _, c := range z.Coats {
			later(c.Last())
		}
	}
	for _, t := range s.Trips {
		later(t.Began)
		for _, at := range t.Done {
			later(at)
		}
	}
	for _, st := range s.Steps {
		for _, sp := range st.Spans {
			later(sp.To)
		}
	}
	later(s.Closed)
	return last
}

// tiles checks that the stints cover the service from its opening to the last
// of what hands did, and that all pieces are counted.
func tiles(t require.TestingT, s *session.State) {
	stints := s.Stints()
	placed := 0
	for _, z := range s.Zones {
		placed += z.Done()
	}
	var rest []session.Stint
	units, after := 0, 0
	for _, st := range stints {
		require.GreaterOrEqual(t, st.Took, time.Duration(0))
		require.LessOrEqual(t, st.Took, st.To.Sub(st.From))
		require.GreaterOrEqual(t, st.Helpers, 0.0)
		switch {
		case st.Kind == session.StintDevelop:
			continue
		case st.Kind == session.StintPlace && st.Units == 0:
			after++
		case st.Kind == session.StintPlace:
			units += st.Units
		}
		rest = append(rest, st)
	}
	if after == 0 {
		require.Equal(t, placed, units)
	} else {
		require.LessOrEqual(t, units+after, placed, "those after a reseat have no units")
	}
	at := s.Opened
	for _, st := range rest {
		if st.From.After(at) {
			covered := slices.ContainsFunc(stints, func(d session.Stint) bool {
				return d.Kind == session.StintDevelop && !d.From.After(at) && !d.To.Before(st.From)
			})
			require.True(t, covered, "nothing from %v to %v", at, st.From)
		}
		require.False(t, st.From.Before(at), "overlap at %v", st.From)
		at = st.To
	}
	end := slices.MaxFunc(append(stints, session.Stint{To: s.Opened}), func(a, b session.Stint) int { return cmp.Compare(a.To.UnixNano(), b.To.UnixNano()) }).To
	require.Equal(t, lastMark(s), end)
}

// hands draws something that hands do.
func (d draws) hands() session.Data {
	return rapid.SampledFrom([]session.Data{
		place(d.zone(), d.count(1, 2)), place(d.zone(), 1), session.RinseBegan{Zones: []string{d.zone()}}, session.RinseEnded{},
		session.StepBegan{Step: "drying"}, session.StepEnded{Step: "drying"}, bowl(d.plan(), 20, 40), session.CoatApplied{Zone: d.zone(), Coats: coats(session.Root, "b1")},
	}).Draw(d.T, "hands")
}

func TestStintsTileAnyService(t *testing.T) {
	kinds := map[session.StintKind]int{}
	rapid.Check(t, func(rt *rapid.T) {
		c := ready(t)
		d := draws{rt, c, 1}
		for range d.count(30, 60) {
			d.pass(true)
			if d.count(0, 1) == 0 {
				_ = c.try(d.command())
			} else {
				_ = c.try(session.Do(d.hands()))
			}
		}
		tiles(rt, c.state())
		for _, st := range c.state().Stints() {
			kinds[st.Kind]++
		}
	})
	for _, k := range []session.StintKind{session.StintPlace, session.StintMix, session.StintCoat, session.StintWalk, session.StintReseat, session.StintDevelop, session.StintRinse, session.StintStep} {
		require.NotZero(t, kinds[k], "%s never came up, so nothing was shown of it", k)
	}
}
