package session_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/timing"
)

// last is the number of the last entry.
func (c *chair) last() int { return c.state().Seq }

func (c *chair) undo() session.Event {
	c.t.Helper()
	cmd, e, ok := c.log.Undo()
	require.True(c.t, ok)
	require.NoError(c.t, c.try(cmd))
	return e
}

func (c *chair) redo() session.Event {
	c.t.Helper()
	cmd, e, ok := c.log.Redo()
	require.True(c.t, ok)
	require.NoError(c.t, c.try(cmd))
	return e
}

func TestLateAndBatchLogging(t *testing.T) {
	c := lightening(t)
	c.at(10).ago(3, place("z1", 2))
	c.ago(8, place("z1", 1))
	assert.Equal(t, 8*time.Minute, c.timed("z1").Oldest)
	assert.Equal(t, 3*time.Minute, c.timed("z1").Newest)
	assert.Equal(t, 37.0, c.offBy("z1"))
	e := c.log.Events()[c.last()-1]
	assert.Equal(t, 8*time.Minute, e.Late())
	z := c.state().Zone("z1")
	assert.True(t, z.Placed[0].At.Before(z.Placed[1].At), "oldest first, in whatever order they were logged")
	c.ago(10, session.StepBegan{Step: "drying"})
	c.ago(9, session.StepEnded{Step: "drying"})
	assert.Equal(t, time.Minute, c.state().Step("drying").Spans[0].To.Sub(c.zero))
}

func TestLoggedAfterTheRinse(t *testing.T) {
	c := lightening(t)
	c.at(5).do(place("z1", 2))
	c.rinse(20, 22, "z1")
	c.at(30).ago(28, place("z1", 1)) // at minute 2
	assert.Equal(t, 20*time.Minute, c.timed("z1").Oldest, "from 2 to 22")
	assert.Equal(t, timing.Rinsed, c.timed("z1").Phase)
	c.ago(20, session.CoatRefreshed{Zone: "z1"})
	assert.Len(t, c.state().Zone("z1").Coats[0].Refreshed, 1)
	c.ago(8, session.CoatRefreshed{Zone: "z1"}) // as the rinse ended
	assert.ErrorContains(t, c.try(session.DoAt(c.now.Add(-7*time.Minute), session.CoatRefreshed{Zone: "z1"})), "nothing on Nape to refresh")

	weak := root30
	weak.Strength = 6
	c.at(31).do(row(weak, 10, 30))
	c.at(32).do(session.EventMoved{Seq: 7, To: c.zero}) // bowls as they were
	c.ago(30, session.BowlMixed{Bowl: "w", Product: "Chalk", Family: formula.PowderLightener, Mix: bowl(end20, 20, 40).Mix})
	c.ago(29, session.PiecePlaced{Zone: "z1", Coats: coats(session.Root, "w")})
	z := c.state().Zone("z1")
	assert.Equal(t, c.zero.Add(22*time.Minute), z.Coats[len(z.Coats)-1].Off, "the rinse took off what was logged only later")
	assert.False(t, z.Holding())
}

func TestVoidOfEachKindTakesItsEffectBack(t *testing.T) {
	left := 5.0
	finished := func(c *chair) { c.do(session.ZoneFinished{Zone: "z1"}) }
	for _, tt := range []struct {
		name  string
		ready func(c *chair)
		data  session.Data
	}{
		{"consultation", nil, session.ConsultationNoted{NaturalDepth: 3}},
		{"safety", nil, session.SafetyAnswered{Question: safety.Scalp, Answer: "sensitive"}},
		{"pain", nil, session.PainReported{Text: "burning"}},
		{"eye", nil, session.PainReported{Reaction: session.InEye}},
		{"itch looked at", func(c *chair) { c.do(mildItch) }, looked(session.HowSame)},
		{"help has come", func(c *chair) { c.do(session.PainReported{Reaction: session.Emergency}) }, session.ReactionNoted{When: session.AskHelp}},
		{"pain cleared", func(c *chair) { finished(c); c.rinse(20, 20, "z1"); c.do(session.PainReported{}) }, session.PainCleared{Note: "well", Early: "it was nothing", GoesOn: true}},
		{"plan", nil, again("Second", over("a", "z1"))},
		{"add", nil, session.PlanChanged{Change: session.ChangeAdd, Round: "r1", Add: &session.PlanZone{Name: "x", Pieces: 1, Bands: []session.PlanBand{root30}}}},
		{"drop", nil, change(session.ChangeDrop, "z2")},
		{"split", nil, split("z1", 2)},
		{"order", nil, session.PlanChanged{Change: session.ChangeOrder, Round: "r1", Order: []string{"z2", "z1"}}},
		{"rename", nil, session.PlanChanged{Change: session.ChangeRename, Zone: "z1", Name: "n"}},
		{"pieces", nil, session.PlanChanged{Change: session.ChangePieces, Zone: "z1", Pieces: 9}},
		{"bands", nil, session.PlanChanged{Change: session.ChangeBands, Zone: "z1", Bands: []session.PlanBand{end20}}},
		{"window", nil, row(root30, 1, 2)},
		{"bowl", nil, bowl(end20, 20, 40)},
		{"bowl emptied", nil, session.BowlEmptied{Bowl: "b1", LeftGrams: &left}},
		{"piece", nil, place("z1", 2)},
		{"finished", nil, session.ZoneFinished{Zone: "z1"}},
		{"coat", nil, session.CoatApplied{Zone: "z1", Coats: coats(session.Root, "b1")}},
		{"refreshed", nil, session.CoatRefreshed{Zone: "z1"}},
		{"heat on", nil, session.HeatOn{Zones: []string{"z2"}}},
		{"heat off", func(c *chair) { c.do(session.HeatOn{Zones: []string{"z2"}}) }, session.HeatOff{Zones: []string{"z2"}}},
		{"check", nil, session.ZoneChecked{Zone: "z1", Depth: 7}},
		{"rinse", finished, session.RinseBegan{Zones: []string{"z1"}}},
		{"rinse ended", func(c *chair) { finished(c); c.do(session.RinseBegan{Zones: []string{"z1"}}) }, session.RinseEnded{}},
		{"step", nil, session.StepBegan{Step: "drying"}},
		{"step ended", func(c *chair) { c.do(session.StepBegan{Step: "drying"}) }, session.StepEnded{Step: "drying"}},
		{"pause", nil, session.PauseBegan{}},
		{"pause ended", func(c *chair) { c.do(session.PauseBegan{}) }, session.PauseEnded{}},
		{"helper", nil, session.HelperJoined{Name: "Ines"}},
		{"helper left", func(c *chair) { c.do(session.HelperJoined{Name: "Ines"}) }, session.HelperLeft{Name: "Ines"}},
		{"warning", nil, session.WarningAcknowledged{Warning: "ahead:z1"}},
		{"note", nil, session.NoteAdded{Zone: "z1", Text: "x"}},
		{"cut", nil, session.CutNoted{Section: "nape", Guide: session.GuideTravelling}},
		{"cut again", func(c *chair) { c.do(session.CutNoted{Section: "Nape", Guide: session.GuideNone}) }, session.CutNoted{Section: "nape", Texture: "blunt"}},
		{"promise", nil, promise(150, "the front desk")},
		{"promise again", func(c *chair) { c.do(promise(150, "")) }, session.PromiseChanged{}},
		{"closed", func(c *chair) { finished(c); c.rinse(20, 20, "z1") }, session.ServiceClosed{}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := lightening(t)
			c.at(10).do(place("z1", 1))
			if tt.ready != nil {
				tt.ready(c)
			}
			before := fields(c.state())
			c.at(30).do(tt.data)
			after := fields(c.state())
			require.NotEqual(t, before, after, "it has an effect")
			seq := c.last()

			if _, closing := tt.data.(session.ServiceClosed); !closing {
				to := c.now.Add(-5 * time.Minute)
				require.NoError(t, c.try(session.Do(session.EventMoved{Seq: seq, To: to})))
				if moved := fields(c.state()); !timeless(tt.data) {
					assert.NotEqual(t, after, moved, "its moment counts")
				}
				c.undo()
				assert.Equal(t, after, fields(c.state()), "the moving taken back")
			}
			c.do(session.EventVoided{Seq: seq})
			assert.Equal(t, before, fields(c.state()))
			assert.True(t, c.log.Voided(seq))
			assert.ErrorContains(t, c.try(session.Do(session.EventVoided{Seq: seq})), "taken back already")
			assert.Error(t, c.try(session.Do(session.EventMoved{Seq: seq, To: c.now})))
			if _, closing := tt.data.(session.ServiceClosed); closing {
				return // bringing a closing back is its own matter
			}
			c.do(session.EventVoided{Seq: c.last()})
			assert.Equal(t, after, fields(c.state()), "the voiding taken back")
			c.do(session.EventVoided{Seq: c.last()})
			assert.Equal(t, before, fields(c.state()), "and that again")
		})
	}
}

// promise is that the client is out of the chair so many minutes after nine.
func promise(minutes float64, told string) session.PromiseChanged {
	at := newChair(nil).at(minutes).now
	return session.PromiseChanged{Promised: &at, Told: told}
}

// timeless reports whether the moment of an event leaves no trace.
func timeless(d session.Data) bool {
	switch d.(type) {
	case session.ConsultationNoted, session.SafetyAnswered, session.PlanSet, session.PlanChanged, session.WindowConfirmed, session.ZoneFinished:
		return true
	}
	return false
}

func TestMovingAFirstContactMovesItsLimit(t *testing.T) {
	c := lightening(t)
	c.at(10).do(place("z1", 4))
	piece := c.last()
	c.at(12).do(session.EventMoved{Seq: piece, To: c.zero.Add(4 * time.Minute)})
	assert.Equal(t, 39.0, c.offBy("z1"))
	c.at(13).do(session.EventMoved{Seq: piece, To: c.zero.Add(7 * time.Minute)})
	assert.Equal(t, 42.0, c.offBy("z1"), "the last moving counts")
	c.undo()
	assert.Equal(t, 39.0, c.offBy("z1"))
	refuses(t, c, []refusal{
		no("before the opening", session.EventMoved{Seq: piece, To: c.zero.Add(-time.Hour)}, "before the service was opened; give a later time"),
		no("in the future", session.EventMoved{Seq: piece, To: c.now.Add(time.Hour)}, "in the future"),
		no("no such entry", session.EventMoved{Seq: 99, To: c.now}, "no event 99"),
		no("the opening", session.EventMoved{Seq: 1, To: c.now}, "opening of a service can't be moved"),
		no("a moving", session.EventMoved{Seq: piece + 1, To: c.now}, "take it back instead"),
		no("void the opening", session.EventVoided{Seq: 1}, "close the service instead"),
		no("void no entry", session.EventVoided{Seq: 99}, "no event 99"),
		no("void a bowl in use", session.EventVoided{Seq: 6}, "later entries rest on it"),
		no("void a plan in use", session.EventVoided{Seq: 3}, "later entries rest on it"),
		no("void the limit of what is on", session.EventVoided{Seq: 5}, "would be left without a time limit"),
		no("a bowl mixed after its product went on", session.EventMoved{Seq: 6, To: c.zero.Add(12 * time.Minute)}, "before bowl b1 was mixed"),
	})
	c.rinse(20, 22, "z1")
	ended := c.last()
	c.at(30)
	refuses(t, c, []refusal{
		no("rinsed before it was on", session.EventMoved{Seq: ended, To: c.zero.Add(time.Minute)}, "would be rinsed before its last piece went in"),
		no("a piece after the rinse", session.EventMoved{Seq: piece, To: c.now}, "would be rinsed before"),
		no("a rinse that was ended", session.EventVoided{Seq: ended - 1}, "later entries rest on it"),
	})
	c.at(40).do(session.EventMoved{Seq: ended, To: c.zero.Add(30 * time.Minute)})
	assert.Equal(t, 26*time.Minute, c.timed("z1").Oldest, "the rinse ended later than was said")
}

func TestAClosedServiceTakesNotesAndTheirUndo(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 1))
	c.rinse(10, 12, "z1")
	c.do(session.ServiceClosed{})
	closing := c.last()
	c.do(session.NoteAdded{Text: "a warm tone"})
	refuses(t, c, []refusal{
		no("a piece", place("z2", 1), "take the closing back to go on"),
		no("what came before", session.EventVoided{Seq: closing - 1}, "take the closing back to go on"),
	})
	assert.IsType(t, session.NoteAdded{}, c.undo().Data)
	assert.Empty(t, c.state().Notes)
	assert.IsType(t, session.NoteAdded{}, c.redo().Data)
	assert.Len(t, c.state().Notes, 1)
	c.undo()
	assert.IsType(t, session.ServiceClosed{}, c.undo().Data)
	require.True(t, c.state().Live())
	reopened := c.last()
	c.do(place("z2", 1))
	assert.ErrorContains(t, c.try(session.Do(session.EventVoided{Seq: reopened})), "Crown still holds product",
		"a closing is not brought back over what is on")
}

func TestUndoAndRedo(t *testing.T) {
	c := lightening(t)
	start := c.last()
	_, _, ok := c.log.Redo()
	assert.False(t, ok, "nothing was taken back")
	c.at(1).do(place("z1", 1))
	c.at(2).do(place("z1", 2))
	c.undo()
	c.undo()
	assert.Zero(t, c.zone("z1").Done)
	assert.Equal(t, session.PiecePlaced{Zone: "z1", Count: 1, Coats: c.redo().Data.(session.PiecePlaced).Coats}, c.log.Events()[start].Data)
	assert.Equal(t, 1, c.zone("z1").Done)
	c.redo()
	assert.Equal(t, 3, c.zone("z1").Done)
	_, _, ok = c.log.Redo()
	assert.False(t, ok, "all was brought back")
	c.undo()
	c.do(session.NoteAdded{Text: "x"})
	_, _, ok = c.log.Redo()
	assert.False(t, ok, "something else was logged since")
	for range start + 1 { // the opening stays, and two are to be undone
		c.undo()
	}
	_, _, ok = c.log.Undo()
	assert.False(t, ok, "the opening stays")
}

// What would put a rinse before the first contact is refused also when that
// rinse is over: else it could not be taken back any more.
func TestNoRinseBeforeTheFirstContact(t *testing.T) {
	c := lightening(t)
	c.at(0).do(place("z1", 1))
	first := c.last()
	c.at(5).do(place("z1", 1))
	c.ago(1, session.RinseBegan{Zones: []string{"z1"}})
	c.at(9).do(session.RinseEnded{})
	require.ErrorContains(t, c.try(session.Do(session.EventVoided{Seq: first})), "would be rinsed before anything was on it")
	c.undo()
	c.undo()
	require.NoError(t, c.try(session.Do(session.EventVoided{Seq: first})))
}
