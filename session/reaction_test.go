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
	"rinseby/session/safety"
)

var (
	itch      = session.PainReported{Reaction: session.Itching}
	mildItch  = session.PainReported{Reaction: session.Itching, LookAgain: true}
	emergency = session.PainReported{Reaction: session.Emergency}
	inEye     = session.PainReported{Reaction: session.InEye}
	hives     = session.PainReported{Reaction: session.Hives}
)

func looked(how session.HowWord) session.ReactionNoted {
	return session.ReactionNoted{When: session.AskLook, How: how}
}

func leaving(how session.HowWord, note string) session.ReactionNoted {
	return session.ReactionNoted{When: session.AskLeaving, How: how, Note: note}
}

// in opens the same service as lightening, in a region.
func inRegion(t testing.TB, r safety.Region) *chair {
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "Tove A.", Station: "Ferry Stairs 2", Region: r}, session.ConsultationNoted{},
		session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{
			{Name: "Fringe", Pieces: 3, Bands: []session.PlanBand{root30}}, {Name: "Crown", Pieces: 3, Bands: []session.PlanBand{root30}},
		}}, row(root30, 20, 45), bowl(root30, 30, 60))
	c.do(answered()...)
	return c
}

func TestAnEmergencyIsCalledBeforeAllElse(t *testing.T) {
	c := inRegion(t, safety.UK)
	c.at(0).do(place("z1", 3))
	c.at(4).do(place("z2", 1))
	c.at(44).do(session.RinseBegan{Zones: []string{"z1"}}) // one is at the basin
	c.at(44.5).do(emergency)
	a := c.nextIs(session.DoCall, "Call 999, say anaphylaxis")
	assert.Contains(t, a.Why, "no walking")
	w := c.board().Warnings[0]
	assert.Equal(t, "HELP. EMERGENCY: call 999, say anaphylaxis", w.Text)
	assert.True(t, w.Fixed)
	refuses(t, c, []refusal{
		no("pass it over", session.WarningAcknowledged{Warning: w.Key, Reason: "she looks well"}, "can't be passed over"),
		no("place", place("z2", 1), "call for help first"),
		no("mix", bowl(root30, 20, 40), "call for help first"),
		no("clear", session.PainCleared{Note: "well"}, "say first that help has come"),
		no("close", session.ServiceClosed{}, "note what was found"),
		no("ask", leaving(session.HowWell, ""), "still open"),
	})
	require.NoError(t, c.try(a.Commands...), "off where they sit: both, in one press")
	assert.False(t, c.state().Zone("z1").Holding() || c.state().Zone("z2").Holding())
	assert.Nil(t, c.state().OpenTrip())
	a = c.at(46).nextIs(session.DoCall, "Call 999, say anaphylaxis")
	assert.True(t, c.board().Reaction.Calling)
	require.NoError(t, c.try(a.Commands...))
	assert.Equal(t, c.zero.Add(46*time.Minute), c.state().Pains[0].Helped)
	c.nextIs(session.DoClear, "Note what was found")
	assert.Nil(t, c.state().Calling())
	refuses(t, c, []refusal{no("go on", session.PainCleared{Note: "well", GoesOn: true}, "say that the colour work ends here")})
	c.do(session.PainCleared{Note: "taken to hospital"})
	assert.True(t, c.state().Ended())
	c.nextIs(session.DoAsk, "Ask how it is now")
	refuses(t, c, []refusal{
		no("close", session.ServiceClosed{}, "ask how it is now before the client leaves"),
		no("no reason", leaving(session.HowGone, "gone"), "why the client could not be asked"),
	})
	c.do(leaving(session.HowGone, "taken to hospital at once"), session.ServiceClosed{})
}

// Help may come before the product is off: then it comes off where they are.
func TestHelpMayComeFirst(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(5).do(emergency, session.ReactionNoted{When: session.AskHelp})
	c.nextIs(session.DoPain, "Take all off, where they are")
	assert.True(t, c.board().Warnings[0].Fixed)
	refuses(t, c, []refusal{
		no("clear", session.PainCleared{Note: "well"}, "product is still on"),
		no("help twice", session.ReactionNoted{When: session.AskHelp}, "no emergency is waiting for help"),
	})
}

func TestWithoutARegionAllNumbersAreTold(t *testing.T) {
	c := inRegion(t, safety.AnyRegion)
	c.do(emergency)
	a := c.nextIs(session.DoCall, "Call for help, say anaphylaxis")
	for _, number := range []string{"112", "999", "911", "000", "111"} {
		assert.Contains(t, a.Why, number)
		assert.Contains(t, strings.Join(safety.Call(c.board().Reaction.Number), "\n"), number)
	}
}

// Whatever else there is, an open emergency is what is next.
func TestAnOpenEmergencyIsAlwaysNext(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := ready(t)
		d := draws{T: rt, c: c, since: c.last()}
		for range rapid.IntRange(0, 25).Draw(rt, "before") {
			d.pass(true)
			_ = c.try(session.Do(d.data()))
		}
		if !c.state().Live() {
			return
		}
		c.reboot(c.now.Sub(c.zero).Minutes()+1, 0)
		require.NoError(rt, c.try(session.Do(emergency)), "it is always taken")
		for range rapid.IntRange(0, 10).Draw(rt, "after") {
			next := d.data()
			switch next.(type) {
			case session.EventVoided, session.ReactionNoted:
				continue
			}
			d.pass(true)
			_ = c.try(session.Do(next))
			b := c.board()
			require.Equal(rt, session.DoCall, b.Next.Verb)
			require.True(rt, b.Reaction.Calling)
			require.NotEmpty(rt, b.Warnings)
			require.Contains(rt, b.Warnings[0].Text, "HELP. EMERGENCY")
		}
	})
}

func TestAMildItchIsLookedAtAgain(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(10).do(mildItch)
	limit := c.zone("z1").LimitAt
	assert.Equal(t, session.DoLook, c.nextIs(session.DoLook, "Itch: look again at 09:13").Verb)
	assert.Equal(t, limit, c.zone("z1").LimitAt, "clock and limit go on")
	assert.True(t, c.board().Pain.IsZero())
	refuses(t, c, []refusal{
		no("heat", session.HeatOn{Zones: []string{"z1"}}, "use no heat"),
		no("place", place("z2", 1), "look at it again before anything more is put on"),
		no("well too early", looked(session.HowWell), "once 3 minutes have gone by"),
		no("again", mildItch, "a reaction is already open"),
		no("close", session.ServiceClosed{}, "look at it again"),
		no("cleared as pain is", session.PainCleared{Note: "well"}, "no pain was reported"),
		no("no word", looked(""), "well, same or worse"),
	})
	c.reboot(13, 0) // a clock that is not confirmed has to wait
	a := c.nextIs(session.DoLook, "Itch: look again NOW")
	assert.Contains(t, a.Why, "all off with cool running water")
	assert.True(t, c.board().Warnings[0].Fixed)
	c.do(looked(session.HowWell))
	assert.NotEqual(t, session.DoLook, c.board().Next.Verb)
	assert.True(t, c.state().ToAsk())
	c.do(place("z2", 1))

	c.at(14).do(itch) // a second time
	a = c.nextIs(session.DoPain, "STOP. Rinse all with cool running water now")
	assert.Contains(t, a.Why, "20 minutes or more, then medical help")
	require.NoError(t, c.try(a.Commands...))
	require.NoError(t, c.try(c.at(20).board().Next.Commands...))
	refuses(t, c, []refusal{no("early", session.PainCleared{Note: "red", GoesOn: true}, "cool water has run for 6 of 20 minutes")})
	c.at(34).do(session.PainCleared{Note: "red", GoesOn: true})
	refuses(t, c, []refusal{
		no("more of it", place("z3", 1), "the client reacted to Chalk: nothing more of it touches hair in this visit"),
	})
	other := root30
	other.Product = "Rime"
	c.do(row(other, 20, 45), bowl(other, 30, 60), session.PlanChanged{Change: session.ChangeBands, Zone: "z3", Bands: []session.PlanBand{other}})
	c.do(place("z3", 1))
}

func TestAnItchThatStaysBurns(t *testing.T) {
	for _, how := range []session.HowWord{session.HowSame, session.HowWorse} {
		c := lightening(t)
		c.at(0).do(place("z1", 4))
		c.at(10).do(mildItch)
		c.at(11).do(looked(how)) // that it is worse is taken at once
		c.nextIs(session.DoPain, "STOP. Rinse all with cool running water now")
		assert.Equal(t, "PAIN: cool running water at once, 20 min or more; medical help", c.board().Warnings[0].Text)
		refuses(t, c, []refusal{no("look once more", looked(session.HowWell), "no itch to look at again")})
	}
}

func TestWhatIsNeverLeftOnToBeLookedAtAgain(t *testing.T) {
	scalp := root30
	scalp.Contact = formula.OnScalp
	onScalp := func(t *testing.T) *chair {
		c := newChair(t)
		allowed := row(scalp, 20, 45)
		allowed.ScalpAllowed = true
		c.do(session.ServiceOpened{Service: "s1", Client: "June L."}, session.ConsultationNoted{},
			session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{{Name: "Nape", Pieces: 4, Bands: []session.PlanBand{scalp}}}},
			allowed, bowl(scalp, 30, 60))
		c.do(answered()...)
		c.do(place("z1", 4))
		return c
	}
	heated := func(t *testing.T) *chair {
		c := ready(t)
		c.do(place("z1", 4), session.HeatOn{Zones: []string{"z1"}})
		return c
	}
	after := func(first session.PainReported) func(t *testing.T) *chair {
		return func(t *testing.T) *chair {
			c := lightening(t)
			c.do(first)
			c.at(21).do(session.PainCleared{Note: "well", GoesOn: true})
			return c
		}
	}
	for name, tt := range map[string]struct {
		chair func(t *testing.T) *chair
		data  session.PainReported
		want  string
	}{
		"lightener at the scalp": {onScalp, mildItch, "lightener is at the scalp of Nape"},
		"heat":                   {heated, mildItch, "heat was on Nape"},
		"a second itch":          {after(itch), mildItch, "not the first reaction of this visit"},
		"after pain":             {after(session.PainReported{}), mildItch, "not the first reaction of this visit"},
		"severe":                 {lighteningT, session.PainReported{Reaction: session.Itching, LookAgain: true, Severe: true}, "only a mild itch"},
		"pain":                   {lighteningT, session.PainReported{LookAgain: true}, "only a mild itch"},
		"severe hives":           {lighteningT, session.PainReported{Reaction: session.Hives, Severe: true}, "only an itch"},
		"no such reaction":       {lighteningT, session.PainReported{Reaction: "rash"}, "not a reaction that rinseby knows"},
	} {
		t.Run(name, func(t *testing.T) {
			assert.ErrorContains(t, tt.chair(t).try(session.Do(tt.data)), tt.want)
		})
	}
}

func lighteningT(t *testing.T) *chair { return lightening(t) }

// Heat is ended by the report, and the key's bare report does not hide that it
// was on.
func TestAReactionEndsHeat(t *testing.T) {
	c := ready(t)
	c.do(place("z1", 4), session.HeatOn{Zones: []string{"z1"}})
	c.at(3).do(session.PainReported{})
	assert.False(t, c.state().Zone("z1").Heated())
	assert.ErrorContains(t, c.try(c.log.React(c.reading(), mildItch)...), "heat was on Nape")
	require.NoError(t, c.try(c.log.React(c.reading(), itch)...))
	require.Len(t, c.state().Pains, 1)
	c.undo()
	assert.Empty(t, c.state().Pains)

	c = ready(t)
	c.do(place("z1", 4))
	c.at(3).do(session.HeatOn{Zones: []string{"z1"}})
	c.ago(2, session.PainReported{}) // before the heat
	assert.NotNil(t, c.state().OpenPain())
}

// What the key reported is put right by what is chosen, at its own moment.
func TestTheBareReportIsPutRight(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(10).do(session.PainReported{})
	c.skew = time.Hour // the wall clock is moved meanwhile
	c.at(11)
	require.NoError(t, c.try(c.log.React(c.reading(), inEye)...))
	p := c.state().Pains
	require.Len(t, p, 1)
	assert.Equal(t, session.InEye, p[0].Reaction)
	assert.WithinDuration(t, c.zero.Add(10*time.Minute), p[0].At, 2*time.Second)
	assert.Len(t, c.log.React(c.reading(), emergency), 1, "what was chosen stays")
	require.NoError(t, c.try(c.log.React(c.reading(), emergency)...))
	assert.Len(t, c.state().Pains, 2)

	c = lightening(t)
	c.at(0).do(place("z1", 4), session.PainReported{})
	assert.Empty(t, c.log.React(c.reading(), session.PainReported{}), "it is pain")
	c.do(session.RinseBegan{Zones: []string{"z1"}})
	assert.Len(t, c.log.React(c.reading(), hives), 1, "work has followed from it")
}

func TestAnItchThatIsTakenOff(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(10).do(itch)
	a := c.nextIs(session.DoPain, "STOP. Rinse all with cool running water now")
	assert.Contains(t, a.Why, "it itches")
	require.NoError(t, c.try(a.Commands...))
	require.NoError(t, c.try(c.at(14).nextIs(session.DoCool, "Rinse clean: Nape").Commands...))
	c.nextIs(session.DoClear, "Note what was found")
	c.do(session.PainCleared{Note: "the skin is calm", GoesOn: true})
	assert.False(t, c.state().Ended())
	refuses(t, c, []refusal{no("the same again", place("z2", 1), "the client reacted to Chalk")})

	c = lightening(t)
	c.do(place("z1", 4))
	c.do(session.PainReported{Reaction: session.Itching, Severe: true})
	require.NoError(t, c.try(c.board().Next.Commands...))
	require.NoError(t, c.try(c.at(5).board().Next.Commands...))
	c.nextIs(session.DoCool, "Cool water until 09:20")
	refuses(t, c, []refusal{no("early", session.PainCleared{Note: "x"}, "5 of 20 minutes")})
}

func TestHivesEndTheColourWork(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(10).do(hives)
	a := c.nextIs(session.DoPain, "STOP. Rinse all with cool running water now")
	assert.Contains(t, a.Why, "medical advice")
	require.NoError(t, c.try(a.Commands...))
	require.NoError(t, c.try(c.at(16).board().Next.Commands...))
	c.nextIs(session.DoClear, "Watch them; note what was found")
	refuses(t, c, []refusal{
		no("place", place("z2", 1), "hives, as reported: rinse all"), no("go on", session.PainCleared{Note: "gone", GoesOn: true}, "after hives or an emergency nothing more is put on"),
	})
	c.do(session.PainCleared{Note: "on the neck; sent to the pharmacist"})
	assert.True(t, c.state().Ended())
	refuses(t, c, []refusal{no("place", place("z2", 1), "nothing is mixed or put on any more")})
}

func TestAnEyeKeepsWhatIsOnAndItsLimits(t *testing.T) {
	c := lighteningIn(t, row(root30, 10, 25), row(end20, 10, 25))
	c.at(0).do(place("z1", 4))
	c.at(8).do(place("z2", 6))
	c.at(9).do(inEye)
	a := c.nextIs(session.DoEye, "Eye under water until 09:29")
	assert.Empty(t, a.Commands)
	assert.Equal(t, c.zero.Add(25*time.Minute), a.By, "what is on stays on")
	r := c.board().Reaction
	assert.Equal(t, []session.Held{
		{Name: "Nape", LimitAt: c.zero.Add(25 * time.Minute), Over: true}, {Name: "Crown", LimitAt: c.zero.Add(33 * time.Minute)},
	}, r.Held, "the first that must be off first")
	refuses(t, c, []refusal{
		no("place", place("z2", 1), "product is in the eye"),
		no("early", session.PainCleared{Note: "x", GoesOn: true}, "water over the eye has run for 0 of 20 minutes"),
	})
	a = c.at(21).nextIs(session.DoRinse, "Rinse Nape")
	assert.Equal(t, "the eye stays under the water", a.Why)
	require.NoError(t, c.try(a.Commands...))
	require.NoError(t, c.try(c.at(25).nextIs(session.DoOff, "Rinse clean: Nape").Commands...))
	assert.Len(t, c.board().Reaction.Held, 1)
	c.at(28).nextIs(session.DoRinse, "Rinse Crown")
	b := c.at(29).board()
	assert.Equal(t, "EYE: the water has run for 20 min; eye care now, with the container", b.Warnings[0].Text)
	c.do(session.PainCleared{Note: "red, sent to eye care with Chalk, 20 minutes", GoesOn: true})
	assert.Equal(t, 20*time.Minute, c.state().Cooled(c.state().Pains[0], c.now))
	assert.True(t, c.state().Zone("z2").Holding(), "it may stay on while the note is made")
}

func TestPainAndEyeTogetherTakeAllOffToo(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 4))
	c.at(2).do(inEye)
	c.at(3).do(session.PainReported{Text: "the brow burns"})
	c.nextIs(session.DoPain, "STOP. Rinse all with cool running water now")
	c.do(emergency)
	c.nextIs(session.DoCall, "Call for help, say anaphylaxis")
}

func TestAfterTheVisitAReactionIsTaken(t *testing.T) {
	c := lightening(t)
	later := session.ReactionNoted{When: session.AskLater, Reaction: session.Hives, Note: "itchy neck since the evening"}
	refuses(t, c, []refusal{no("live", later, "the visit is not over")})
	c.do(session.ServiceClosed{})
	refuses(t, c, []refusal{
		no("no words", session.ReactionNoted{When: session.AskLater}, "type what was reported"),
		no("asked before leaving", leaving(session.HowWell, ""), "the service is closed"),
		no("pain", session.PainReported{}, "the service is closed"),
	})
	c.do(later)
	assert.Equal(t, later, c.state().Asked[0].ReactionNoted)
	assert.False(t, c.state().Closed.IsZero())
	c.undo()
	assert.Empty(t, c.state().Asked)
}

// A service of the time before the question was closed without it, and stays
// whole.
func TestServicesClosedBeforeTheQuestionStayReadable(t *testing.T) {
	c := lightening(t)
	c.do(session.PainReported{})
	c.at(20).do(session.PainCleared{Note: "well", GoesOn: true})
	e := c.log.Events()[c.last()-1]
	e.Seq++
	e.Data = session.ServiceClosed{}
	require.NoError(t, c.log.Append(e))
	c.at(30).do(session.NoteAdded{Text: "a note"})
	c.undo()
	c.do(session.EventVoided{Seq: e.Seq})
	assert.ErrorContains(t, c.try(session.Do(session.ServiceClosed{})), "ask how it is now")
}

func TestWhatTheClientItchedUnderIsNotPutOnAgain(t *testing.T) {
	for name, report := range map[string][]session.Command{
		"taken off at once": {session.Do(itch)},
		"still there":       {session.Do(mildItch), session.Do(looked(session.HowSame))},
	} {
		t.Run(name, func(t *testing.T) {
			c := inRegion(t, safety.UK)
			c.at(0).do(place("z1", 1))
			c.at(5)
			require.NoError(t, c.try(report...))
			c.do(session.RinseBegan{Zones: []string{"z1"}})
			c.at(30).do(session.RinseEnded{}, session.PainCleared{Note: "nothing to see", GoesOn: true})
			c.at(31).do(bowl(root30, 31, 60))
			for _, again := range []session.Command{
				session.Do(place("z2", 1)),
				session.DoAt(c.now.Add(-15*time.Minute), place("z2", 1)),
			} {
				require.Error(t, c.try(again))
			}
			require.ErrorContains(t, c.try(session.Do(place("z2", 1))), "the client reacted to "+root30.Product)
		})
	}
	c := inRegion(t, safety.UK)
	c.at(0).do(place("z1", 1))
	c.at(5).do(mildItch)
	c.at(9).do(looked(session.HowWell))
	c.at(10).do(place("z1", 1))
}

func TestAnItchThatIsLoggedLateCanBeCleared(t *testing.T) {
	c := inRegion(t, safety.UK)
	c.at(0).do(place("z1", 1))
	c.at(6).do(place("z1", 1))
	require.NoError(t, c.try(session.DoAt(c.zero.Add(3*time.Minute), itch)))
	c.do(session.RinseBegan{Zones: []string{"z1"}})
	c.at(30).do(session.RinseEnded{}, session.PainCleared{Note: "nothing to see", GoesOn: true})
	assert.Nil(t, c.state().OpenPain())
	require.ErrorContains(t, c.try(session.Do(place("z2", 1))), "the client reacted to")
}

func TestProductTakenOffInAnEmergencyTeachesNoRinse(t *testing.T) {
	c := inRegion(t, safety.UK)
	c.at(0).do(place("z1", 3))
	c.at(4).do(emergency)
	require.NoError(t, c.try(c.board().Next.Commands...))
	require.NotEmpty(t, c.state().Trips)
	assert.Equal(t, session.TripRinse, session.RinseTime(c.state()))
}

func TestTheMachinesRegionNamesTheNumberWhereTheServiceHasNone(t *testing.T) {
	for _, own := range []safety.Region{safety.AnyRegion, safety.UK} {
		c := inRegion(t, own)
		c.at(0).do(place("z1", 1))
		c.at(4).do(emergency)
		b := c.board()
		b.CallIn(safety.Australia)
		want := map[safety.Region]string{safety.AnyRegion: "000", safety.UK: "999"}[own]
		assert.Equal(t, want, b.Reaction.Number)
		assert.Equal(t, "Call "+want+", say anaphylaxis", b.Next.Text)
		assert.Equal(t, "HELP. EMERGENCY: call "+want+", say anaphylaxis", b.Warnings[0].Text)
		assert.Len(t, b.Next.Zones, 1)
		assert.Equal(t, own, c.state().Region, "no rule changes")
	}
}

func TestARefusalNamesTheReactionThatEndedTheWork(t *testing.T) {
	c := inRegion(t, safety.UK)
	c.at(0).do(place("z1", 3))
	c.at(4).do(hives, session.RinseBegan{Zones: []string{"z1"}})
	c.at(6).do(session.RinseEnded{}, session.PainCleared{Note: "hives on the neck"})
	require.ErrorContains(t, c.try(session.Do(place("z2", 1))), "the colour work was ended after hives")
}
