package session_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/timing/floor"
)

// ahead is the work ahead, by the plan of the trips if there is one.
func (c *chair) ahead() (session.WorkChain, *session.TripPlan) {
	c.t.Helper()
	s := c.state()
	now := s.Line.Now(c.reading())
	var plan *session.TripPlan
	if q, ok := s.AskTrips(now, s.Pace()); ok {
		var err error
		plan, err = q.Answer(nil)
		require.NoError(c.t, err)
	}
	w, ok := s.WorkAhead(now, plan, nil, session.Usuals{})
	require.True(c.t, ok)
	return w, plan
}

func names(c floor.Chain) (all []string) {
	for _, t := range c.Tasks {
		all = append(all, t.Name)
	}
	return all
}

// fits is what package floor says of a chain that has the hands to itself.
func fits(t require.TestingT, c floor.Chain) floor.Verdict {
	plan, err := floor.Solve(session.FloorProblem(c), floor.Budget{})
	require.NoError(t, err)
	return plan.Verdict
}

func linkOf(t *testing.T, c floor.Chain, name string) floor.Link {
	t.Helper()
	for _, l := range c.Links {
		if l.Name == name {
			return l
		}
	}
	t.Fatalf("no link %q: %+v", name, c.Links)
	return floor.Link{}
}

// Nape is in, two pieces of the crown are; four are to come at 2 minutes each.
// A trip takes 2 minutes to the basin and 4 for each zone.
func TestChainOfAnOrdinaryDay(t *testing.T) {
	c := lightening(t)
	for i := range 4 {
		c.at(float64(2 * i)).do(place("z1", 1))
	}
	c.at(8).do(place("z2", 1))
	c.at(10).do(place("z2", 1))
	w, plan := c.ahead()
	require.Zero(t, plan.Over)
	assert.Equal(t, "June L.", w.Name)
	assert.Equal(t, []string{"place Crown", "rinse Nape", "rinse Crown", "drying", "finish"}, names(w.Chain))
	assert.Equal(t, 8*60, w.Tasks[0].Takes)
	assert.Equal(t, []int{6 * 60, 4 * 60}, []int{w.Tasks[1].Takes, w.Tasks[2].Takes}, "the way and a rinse, then one more: hands are free in the wait between them")
	assert.Equal(t, 20*60, w.Tasks[3].Takes, "as stated")
	for _, task := range w.Tasks {
		assert.False(t, task.Begun, "hands may leave between two pieces")
	}
	nape := linkOf(t, w.Chain, "limit of Nape")
	assert.Equal(t, floor.Now, nape.From)
	assert.True(t, nape.Chemistry)
	assert.Equal(t, (35-10-6)*60, nape.Most, "off at 35, ten of which are over, six minutes after setting out")
	crown := linkOf(t, w.Chain, "limit of Crown")
	assert.Equal(t, 2, crown.To)
	assert.Equal(t, (35+8-10-4)*60, crown.Most, "first contact at 8, and no more than its own rinse is left by then")
	assert.Equal(t, floor.Fits, fits(t, w.Chain))
	require.Len(t, w.Blocks, 5)
	assert.True(t, w.Blocks[1].Rinse)
	assert.Equal(t, c.now, w.Blocks[0].From)
	for i, b := range w.Blocks {
		assert.Equal(t, time.Duration(w.Tasks[i].Takes)*time.Second, b.To.Sub(b.From))
		assert.True(t, i == 0 || !b.From.Before(w.Blocks[i-1].To))
	}
}

// A head that takes 80 minutes to place, with limits of 35, must be rinsed in
// stages.
func TestChainOfStagedTrips(t *testing.T) {
	c := newChair(t)
	plan := session.PlanSet{Name: "Lightening", Action: formula.Lighten}
	for _, n := range []string{"Nape", "Left", "Right", "Crown"} {
		plan.Zones = append(plan.Zones, session.PlanZone{Name: n, Pieces: 10, MinutesPerPiece: 2, Bands: []session.PlanBand{end20}})
	}
	c.do(session.ServiceOpened{Service: "s1", Client: "Tove A.", Stylist: "Ines"}, session.ConsultationNoted{}, plan, row(end20, 5, 35))
	c.do(answered()...)
	w, p := c.ahead()
	require.Zero(t, p.Over)
	require.Greater(t, p.Trips, 1)
	trips, placed := 0, 0
	for i, task := range w.Tasks {
		switch {
		case strings.HasPrefix(task.Name, "rinse "):
			trips++
			assert.True(t, w.Blocks[i].Rinse)
		case strings.HasPrefix(task.Name, "place "):
			placed++
			assert.Less(t, trips, 4)
		}
	}
	assert.Equal(t, p.Trips, trips)
	assert.Equal(t, 4, placed)
	assert.Equal(t, "Ines", w.Worker)
	assert.Greater(t, w.Tasks[0].Takes, 20*60, "what there is to prepare before the first bowl is part of it")
	for _, n := range []string{"Nape", "Left", "Right", "Crown"} {
		l := linkOf(t, w.Chain, "limit of "+n)
		assert.Equal(t, "place "+n, w.Tasks[l.From].Name)
		assert.Contains(t, w.Tasks[l.To].Name, n)
	}
	assert.Equal(t, floor.Fits, fits(t, w.Chain))
}

// While the lightener works, the toner is still to come: a round of its own,
// with its wait.
func TestChainOfATonerRound(t *testing.T) {
	veil := session.PlanBand{Band: session.Root, Product: "Veil", Kind: formula.Demi, Strength: 2.1, Contact: formula.OnScalp, Condition: formula.Lightened}
	toner := func(windows ...session.Data) session.WorkChain {
		c := lightening(t)
		c.do(windows...)
		c.do(session.PlanSet{Name: "Toning", Action: formula.Colour, Zones: []session.PlanZone{{Name: "Tone", Pieces: 1, MinutesPerPiece: 5, Bands: []session.PlanBand{veil}}}})
		c.at(0).do(place("z1", 4))
		c.at(12).do(place("z2", 6))
		c.at(14)
		w, p := c.ahead()
		require.Zero(t, p.Over)
		assert.Equal(t, floor.Fits, fits(t, w.Chain))
		return w
	}
	c := toner(row(veil, 10, 25))
	require.Equal(t, []string{"rinse Nape", "rinse Crown", "place Tone", "rinse Tone", "drying", "finish"}, names(c.Chain))
	assert.Empty(t, c.Notes)
	assert.Equal(t, (5+3)*60, c.Tasks[2].Takes, "with the mixing of its bowl")
	l := linkOf(t, c.Chain, "limit of Tone")
	assert.True(t, l.Chemistry)
	assert.Equal(t, floor.Link{From: 2, To: 3, Least: (3 + 5 + 10 + 4 - 6) * 60, Most: (3 + 25 - 6) * 60, Chemistry: true, Name: "limit of Tone"}, l,
		"from the first contact after the mixing; off is 6 minutes after setting out")
	assert.Equal(t, []int{(2 + 4) * 60, (4 + 2) * 60}, []int{c.Tasks[0].Takes, c.Tasks[1].Takes}, "the way and the way back are part of the rinses")

	c = toner()
	l = linkOf(t, c.Chain, "Tone developed")
	assert.Equal(t, []string{"limit not set yet: Tone is reckoned to be left on as long as is usual"}, c.Notes)
	assert.False(t, l.Chemistry, "no limit is known, so the usual time counts, by a house rule")
	assert.Equal(t, floor.None, l.Most)
	assert.Equal(t, (3+5+25+4-6)*60, l.Least)
}

func TestChainOfARunningStep(t *testing.T) {
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L.", Steps: []session.PlanStep{{Name: "consultation", Minutes: 10, Before: true}, {Name: "drying", Minutes: 20}}})
	c.do(session.StepBegan{Step: "consultation"})
	c.at(4)
	w, plan := c.ahead()
	require.Nil(t, plan)
	require.Equal(t, []string{"consultation", "drying", "finish"}, names(w.Chain))
	assert.True(t, w.Tasks[0].Begun)
	assert.Greater(t, w.Tasks[0].Takes, 6*60-60)
	assert.Less(t, w.Tasks[0].Takes, 8*60, "about what is left of ten minutes; longer than it has run")
	early := w.Tasks[0].Takes
	c.at(30)
	w, _ = c.ahead()
	assert.Less(t, w.Tasks[0].Takes, early)
	assert.Positive(t, w.Tasks[0].Takes)
	c.do(session.StepEnded{Step: "consultation"})
	w, _ = c.ahead()
	assert.Equal(t, []string{"drying", "finish"}, names(w.Chain))
}

// What is left of a step does not keep hands from a zone that must come off.
func TestAStepUnderWayGivesWayToALimit(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4), place("z2", 6))
	c.at(22).do(session.StepBegan{Step: "drying"})
	w, plan := c.ahead()
	require.Zero(t, plan.Over)
	require.True(t, w.Tasks[0].Begun)
	assert.Equal(t, "drying", w.Tasks[0].Name)
	assert.Equal(t, (35-22-2-8)*60, w.Tasks[0].Takes, "twenty minutes, but both must be off by 35 with 10 minutes of a trip")
	assert.Equal(t, floor.Fits, fits(t, w.Chain))
}

func TestChainOfARunningTrip(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4), place("z2", 6))
	c.at(22).do(session.RinseBegan{Zones: []string{"z1", "z2"}})
	c.at(24)
	for _, planned := range []bool{true, false} {
		w, plan := c.ahead()
		if !planned {
			w, _ = c.state().WorkAhead(c.now, nil, nil, session.Usuals{})
		}
		require.Zero(t, plan.Over)
		assert.Equal(t, []string{"rinse Nape, Crown", "drying", "finish"}, names(w.Chain))
		assert.True(t, w.Tasks[0].Begun)
		assert.Equal(t, (4+4-2)*60, w.Tasks[0].Takes, "two of eight minutes are over; planned: %v", planned)
		l := linkOf(t, w.Chain, "limit of Nape")
		assert.Equal(t, floor.Link{From: floor.Now, To: 0, Least: floor.None, Most: (35 - 24 - 2) * 60, Chemistry: true, Name: "limit of Nape"}, l)
		assert.Equal(t, floor.Fits, fits(t, w.Chain))
	}
	c.at(26).do(session.RinseEnded{Zones: []string{"z1"}})
	w, _ := c.ahead()
	assert.Equal(t, "rinse Crown", w.Tasks[0].Name)
}

// A plan holds for a while; what has passed since it was made is taken off, but
// no more than the piece, or the rinse, in hand.
func TestChainOfAPlanThatIsSomeSecondsOld(t *testing.T) {
	c := lighteningIn(t, row(root30, 5, 45), row(end20, 5, 35))
	for i := range 4 {
		c.at(float64(2 * i)).do(place("z1", 1))
	}
	was, plan := c.ahead()
	after := func(passed time.Duration) floor.Chain {
		w, ok := c.state().Chain(c.now.Add(passed), plan, nil, session.Usuals{})
		require.True(t, ok)
		require.Equal(t, names(was.Chain), names(w))
		return w
	}
	require.Equal(t, "place Crown", was.Tasks[0].Name)
	w := after(20 * time.Second)
	assert.Equal(t, was.Tasks[0].Takes-20, w.Tasks[0].Takes)
	assert.Equal(t, was.Tasks[1].Takes, w.Tasks[1].Takes)
	assert.Equal(t, linkOf(t, was.Chain, "limit of Nape").Most-20, linkOf(t, w, "limit of Nape").Most)
	assert.Equal(t, was.Tasks[0].Takes-2*60, after(5 * time.Minute).Tasks[0].Takes)

	for i := range 6 {
		c.at(float64(8 + 2*i)).do(place("z2", 1))
	}
	c.at(24).do(session.RinseBegan{Zones: []string{"z1", "z2"}})
	c.at(25)
	was, plan = c.ahead()
	require.Equal(t, (8-1)*60, was.Tasks[0].Takes)
	w = after(20 * time.Second)
	assert.Equal(t, was.Tasks[0].Takes-20, w.Tasks[0].Takes)
	assert.Equal(t, linkOf(t, was.Chain, "limit of Nape").Most, linkOf(t, w, "limit of Nape").Most, "its rinse has gone on")
	assert.Equal(t, 4*60+1, after(5 * time.Minute).Tasks[0].Takes, "the rinse of the nape ought to be over")
}

func TestChainInAPause(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.do(session.StepBegan{Step: "drying"}, session.PauseBegan{})
	w, _ := c.ahead()
	for _, task := range w.Tasks {
		assert.False(t, task.Begun, "hands are away")
	}
	was := linkOf(t, w.Chain, "limit of Nape").Most
	c.at(5)
	w, _ = c.ahead()
	assert.Equal(t, was-5*60, linkOf(t, w.Chain, "limit of Nape").Most, "chemistry does not stop")
}

func TestChainWithAHelper(t *testing.T) {
	chain := func(helper bool) floor.Chain {
		c := newChair(t)
		c.do(session.ServiceOpened{Service: "s1", Client: "Tove A.", Stylist: "Ines"},
			session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{{Name: "Nape", Pieces: 20, MinutesPerPiece: 2, Bands: []session.PlanBand{root30}}}})
		if helper {
			c.do(session.HelperJoined{Name: "Sam"})
		}
		s := c.state()
		q, ok := s.AskForecast(c.now, session.Usuals{})
		require.True(t, ok)
		f, err := q.Answer()
		require.NoError(t, err)
		w, ok := s.Chain(c.now, nil, f, session.Usuals{})
		require.True(t, ok)
		return w
	}
	alone, helped := chain(false), chain(true)
	require.Equal(t, names(alone), names(helped))
	assert.Equal(t, "place Nape", alone.Tasks[0].Name)
	assert.Less(t, helped.Tasks[0].Takes, alone.Tasks[0].Takes-5*60, "the forecast knows of the second pair of hands")
}

func TestChainKeepsAPromise(t *testing.T) {
	open := func(promised float64) floor.Chain {
		c := newChair(t)
		at := c.zero.Add(time.Duration(promised * float64(time.Minute)))
		c.do(session.ServiceOpened{Service: "s1", Client: "June L.", Promised: &at, Steps: []session.PlanStep{{Name: "drying", Minutes: 20}}})
		w, ok := c.state().Chain(c.now.In(time.FixedZone("salon", 3600)), nil, nil, session.Usuals{})
		require.True(t, ok)
		assert.Equal(t, floor.Fits, fits(t, w))
		return w
	}
	w := open(60)
	l := linkOf(t, w, "promised 11:00")
	assert.Equal(t, floor.Link{From: floor.Now, To: 1, Least: floor.None, Most: (60 - 5) * 60, Name: "promised 11:00"}, l, "five minutes for the finish")
	w = open(15)
	assert.Equal(t, 20*60, linkOf(t, w, "out by 10:25 at the earliest, promised 10:15").Most, "it is broken already, and asks for no more delay")
}

func TestChainOfALaterBandAndOfPain(t *testing.T) {
	root := root30
	root.Later = true
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."}, session.ConsultationNoted{}, session.PlanSet{Name: "Lightening", Action: formula.Lighten,
		Zones: []session.PlanZone{{Name: "Nape", Pieces: 4, MinutesPerPiece: 2, Bands: []session.PlanBand{root, end20}}}}, row(root30, 10, 45), row(end20, 10, 45), bowl(end20, 20, 40))
	c.do(answered()...)
	c.at(0).do(place("z1", 4))
	w, _ := c.ahead()
	assert.Equal(t, []string{"coat Nape", "rinse Nape", "finish"}, names(w.Chain))
	assert.Equal(t, floor.Fits, fits(t, w.Chain))

	c.at(3).do(session.PainReported{Zone: "z1"})
	c.at(5)
	w, _ = c.ahead()
	assert.Equal(t, []string{"see to the pain"}, names(w.Chain))
	assert.True(t, w.Tasks[0].Begun)
	assert.LessOrEqual(t, w.Tasks[0].Takes, 20*60)

	_, ok := (&session.State{}).Chain(c.now, nil, nil, session.Usuals{})
	assert.False(t, ok)
}

func TestFloorProblemHasOnePairOfHandsForEachName(t *testing.T) {
	begun := func(worker string) floor.Chain {
		return floor.Chain{Worker: worker, Tasks: []floor.Task{{Name: "drying", Takes: 60, Begun: true}}}
	}
	ines, same, sam := begun("Ines"), begun(" INES "), begun("Sam")
	p := session.FloorProblem(ines, same, sam)
	require.NoError(t, p.Check())
	assert.Equal(t, "Ines", p.Chains[1].Worker)
	assert.Equal(t, []bool{true, false, true}, []bool{p.Chains[0].Tasks[0].Begun, p.Chains[1].Tasks[0].Begun, p.Chains[2].Tasks[0].Begun})
	assert.True(t, same.Tasks[0].Begun, "what was given stays as it is")
}

// Any service's chain fits by itself if its plan keeps every limit.
func TestAnyChainFitsAloneIfItsPlanDoes(t *testing.T) {
	kept, over := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		c := ready(t)
		d := draws{rt, c, 1}
		for range d.count(5, 30) {
			d.pass(true)
			_ = c.try(d.command())
		}
		s := c.state()
		if !s.Live() {
			return
		}
		now := s.Line.Now(c.reading())
		w, plan := c.ahead()
		again, _ := s.WorkAhead(now, plan, nil, session.Usuals{})
		require.Equal(rt, w, again)
		bounded(rt, s, now, w)
		bare, _ := s.WorkAhead(now, nil, nil, session.Usuals{})
		bounded(rt, s, now, bare)
		switch {
		case plan == nil || s.OpenPain() != nil || laterRounds(s):
		case plan.Over > 0:
			over++
		default:
			kept++
			require.Equal(rt, floor.Fits, fits(rt, w.Chain), "%+v\nplan %+v", w.Chain, plan)
		}
	})
	require.NotZero(t, kept)
	t.Logf("%d plans kept all limits, %d did not", kept, over)
}

// laterRounds reports whether rounds are to come that the plan of the trips
// does not reach.
func laterRounds(s *session.State) bool {
	n := 0
	for _, r := range s.Rounds {
		for _, z := range s.RoundZones(r) {
			if !z.Over() {
				n++
				break
			}
		}
	}
	return n > 1
}

// bounded checks that a chain is one that package floor takes, and that none of
// its links lets product stay on past the limit of its zone.
func bounded(t require.TestingT, s *session.State, now time.Time, w session.WorkChain) {
	require.NoError(t, session.FloorProblem(w.Chain).Check())
	for _, task := range w.Tasks {
		require.GreaterOrEqual(t, task.Takes, 0)
	}
	if s.OpenPain() != nil {
		return
	}
	for _, z := range s.Zones {
		zt := s.ZoneTiming(z, now)
		if !z.Holding() || zt.Unknown || zt.LimitAt.IsZero() {
			continue
		}
		held := false
		for _, l := range w.Links {
			if l.From != floor.Now || l.Name != "limit of "+z.Name {
				continue
			}
			require.True(t, l.Chemistry)
			require.Contains(t, w.Tasks[l.To].Name, z.Name)
			if latest := now.Add(time.Duration(l.Most) * time.Second); latest.Before(zt.LimitAt) || l.Most == -1<<18 {
				held = true
			}
		}
		require.True(t, held, "%s: limit %s, %+v", z.Name, zt.LimitAt, w.Chain)
	}
}
