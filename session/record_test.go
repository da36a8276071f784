package session_test

import (
	"bytes"
	"reflect"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/journal"
	"rinseby/session/safety"
	"rinseby/timing"
)

// everyKind is a log with every kind of event in it but the closing.
func everyKind(t testing.TB) *chair {
	c := newChair(t)
	promised, later, left := c.now.Add(3*time.Hour), c.now.Add(3*time.Hour+30*time.Minute), 12.5
	c.do(session.ServiceOpened{Service: "s1", Client: "Tove A. \u2028 <&>", Stylist: "Ines", Station: "2", ZoneList: "full head", Promised: &promised,
		Steps: []session.PlanStep{{Name: "consultation", Minutes: 10, Before: true}, {Name: "cut"}}, Invented: true},
		session.ConsultationNoted{NaturalDepth: 5.5, Undertone: "red-gold", Conditions: map[session.Band]formula.Condition{session.Root: formula.Natural, session.End: formula.Lightened}, History: "none"},
		session.SafetyAnswered{Question: safety.Scalp, Answer: "sensitive"},
		session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{over("a"), over("b", "a")}},
		session.PlanChanged{Change: session.ChangeSplit, Zone: "a", Keep: 1, Name: "a, low"},
		row(root30, 20, 45), row(end20, 15.25, 35), bowl(root30, 30, 60), bowl(end20, 20, 40),
		session.HelperJoined{Name: "June"})
	c.do(answered()...)
	warm := row(root30, 5, 20)
	warm.Row.Heat = formula.WithHeat
	warm.Row.Condition, warm.Row.Strength = formula.AnyCondition, 9
	c.at(1).do(warm, place("a", 1), place("z1", 1), place("b", 1), session.ZoneFinished{Zone: "b"})
	c.at(2).do(session.CoatApplied{Zone: "b", Coats: coats(session.Root, "b1")}, session.CoatRefreshed{Zone: "a"},
		heatMeant("b"), session.HeatOn{Zones: []string{"b"}})
	c.at(3).do(session.HeatOff{Zones: []string{"b"}}, session.ZoneChecked{Zone: "a", Band: session.End, Depth: 8.5, Undertone: "gold", Feel: "firm"},
		session.PauseBegan{Reason: "tea"}, session.WarningAcknowledged{Warning: "ahead:a", Reason: "seen"}, session.NoteAdded{Zone: "a", Text: "line one\nline two"},
		session.CutNoted{Section: "nape", Guide: session.GuideTravelling, Elevation: degrees(0), OverDirection: "none", LengthMM: 82.5, Texture: "blunt", Tool: "shears", Note: "corners left"},
		session.PromiseChanged{Promised: &later, Told: "the front desk"})
	c.at(4).do(session.PauseEnded{}, session.BowlEmptied{Bowl: "b1", LeftGrams: &left}, session.HelperLeft{Name: "June"}, session.RinseBegan{Zones: []string{"a", "b", "z1"}})
	c.at(6).do(session.RinseEnded{Zones: []string{"b"}}, session.RinseEnded{})
	c.reboot(8, 0)
	c.do(session.ClockNoted{What: session.ClockRestarted}, session.ClockNoted{What: session.ClockConfirmed, ShiftS: 0.5},
		session.StepBegan{Step: "cut"}, session.PainReported{Zone: "a", Text: "burning"}, session.PainCleared{Note: "skin is well", Early: "it was an itch", GoesOn: true})
	c.at(20).do(session.StepEnded{Step: "cut"}, session.EventMoved{Seq: c.last(), To: c.now.Add(-9 * time.Minute)},
		session.EventVoided{Seq: 3, Reason: "typed twice"},
		session.ReactionNoted{When: session.AskLeaving, How: session.HowSame, Note: "still a little red"})
	return c
}

func TestEveryKindIsReadBackAsItWasWritten(t *testing.T) {
	c := everyKind(t)
	c.do(session.ServiceClosed{Outcome: "even, warm blond"})
	recs, err := session.Records(c.log.Events())
	require.NoError(t, err)
	written, err := journal.Encode(recs)
	require.NoError(t, err)
	read, err := journal.Read(bytes.NewReader(written))
	require.NoError(t, err)
	events, err := session.Events(read)
	require.NoError(t, err)
	require.Equal(t, c.log.Events(), events)

	kinds := map[string]bool{}
	for _, e := range events {
		kinds[e.Data.Kind()] = true
		data, err := session.DecodeData(e.Data.Kind(), read[e.Seq-1].Data)
		require.NoError(t, err)
		assert.True(t, reflect.DeepEqual(e.Data, data))
	}
	for _, k := range session.Kinds() {
		assert.True(t, kinds[k], "no %s in the test", k)
	}
	again, err := session.Fold(events)
	require.NoError(t, err)
	assert.Equal(t, c.state(), again.State(), "the state does not tell whether it was folded live or read back")
}

func TestWhatCannotBeReadIsNotPassedOver(t *testing.T) {
	for _, tt := range []struct{ kind, data, says string }{
		{"piece.lost", `{}`, "newer rinseby, or misspelt"},
		{"piece.placed", `{"zone":"z1","colour":"red"}`, "unknown field"},
		{"piece.placed", `{"zone":"z1"} {}`, "more than one value"},
		{"piece.placed", `{"zone":`, "data of piece.placed"},
		{"piece.placed", ``, "data of piece.placed"},
		{"piece.placed", `{"count":"two"}`, "data of piece.placed"},
		{"window.confirmed", `{"row":{"limit_s":1e12}}`, "limit_s"},
	} {
		_, err := session.DecodeData(tt.kind, []byte(tt.data))
		assert.ErrorContains(t, err, tt.says, "%s %s", tt.kind, tt.data)
	}
	_, err := session.Events([]journal.Record{{Seq: 7, Kind: "piece.lost"}})
	assert.ErrorContains(t, err, "line 7")
	assert.True(t, slices.IsSorted(session.Kinds()))
}

func TestLogsThatDoNotFold(t *testing.T) {
	open := session.ServiceOpened{Service: "s1", Client: "J"}
	for _, tt := range []struct {
		name string
		data []session.Data
		says string
	}{
		{"no opening", []session.Data{session.NoteAdded{}}, "opened by its first event"},
		{"opened twice", []session.Data{open, open}, "opened by its first event, and by no other"},
		{"nothing in it", []session.Data{open, nil}, "event 2 (nothing): it holds no data"},
		{"no zone", []session.Data{open, place("z1", 1)}, `event 2 (piece.placed): there is no zone "z1"`},
		{"voids itself", []session.Data{open, session.EventVoided{Seq: 2}}, "speaks of event 2"},
		{"voids the opening", []session.Data{open, session.EventVoided{Seq: 1}}, "speaks of event 1"},
		{"voids what is to come", []session.Data{open, session.EventVoided{Seq: 3}, session.NoteAdded{}}, "speaks of event 3"},
		{"moves nothing", []session.Data{open, session.EventMoved{Seq: -1}}, "speaks of event -1"},
		{"confirms nothing", []session.Data{open, session.ClockNoted{What: session.ClockConfirmed}}, "speaks of event 0"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := session.Fold(numbered(tt.data))
			assert.ErrorContains(t, err, tt.says)
		})
	}
	_, err := session.Fold([]session.Event{{Seq: 2, Data: open}})
	assert.ErrorContains(t, err, "it should be event 1")
	good := lightening(t).log.Events()
	wrong := append(good, numbered(append(make([]session.Data, len(good)), session.PiecePlaced{Zone: "z1", Count: -3, Coats: coats(session.Root, "b1")}))[len(good):]...)
	_, err = session.Fold(wrong)
	assert.ErrorContains(t, err, "-3 pieces at once can't be")
}

// A coat of a whole zone before any piece of it is refused now. In a log that
// holds one it must not get lost when the zone is split.
func TestSplitOfAZoneThatWasCoatedWhole(t *testing.T) {
	c := lightening(t)
	n := c.last()
	events := append(slices.Clone(c.log.Events()), numbered(append(make([]session.Data, n),
		session.CoatApplied{Zone: "z1", Coats: coats(session.Root, "b1")}, split("z1", 2)))[n:]...)
	log, err := session.Fold(events)
	require.NoError(t, err)
	for _, id := range []string{"z1", "z1b"} {
		require.Len(t, log.State().Zone(id).Coats, 1, id)
	}
}

// numbered makes events of data, one a minute.
func numbered(data []session.Data) []session.Event {
	events := make([]session.Event, len(data))
	for i, d := range data {
		wall := time.Date(2026, 3, 2, 9, i, 0, 0, time.UTC)
		events[i] = session.Event{Seq: i + 1, When: wall, Recorded: timing.Reading{Wall: wall, Boot: time.Hour + time.Duration(i)*time.Minute, BootID: "boot-a"}, Data: d}
	}
	return events
}

func TestAppendLeavesTheLogAsItWasOnAnError(t *testing.T) {
	c := lightening(t)
	before, n := fields(c.state()), c.last()
	bad := numbered(append(make([]session.Data, n), place("z9", 1)))[n]
	good := numbered(append(make([]session.Data, n), session.NoteAdded{Text: "x"}))[n]
	void := numbered(append(make([]session.Data, n+1), session.EventVoided{Seq: 1}))[n+1]
	for _, events := range [][]session.Event{{bad}, {good, bad}, {good, void}} {
		require.Error(t, c.log.Append(events...))
		assert.Equal(t, before, fields(c.state()))
		assert.Len(t, c.log.Events(), n)
	}
	require.NoError(t, c.log.Append(good))
}

func TestSeveralCommandsAreTakenAllOrNone(t *testing.T) {
	c := lightening(t)
	before, n := fields(c.state()), c.last()
	require.Error(t, c.try(session.Do(place("z1", 4)), session.Do(session.RinseBegan{Zones: []string{"z1"}}), session.Do(place("z9", 1))))
	assert.Equal(t, before, fields(c.state()))
	assert.Equal(t, n, c.last())
	require.NoError(t, c.try(session.Do(place("z1", 2)), session.Do(session.RinseBegan{Zones: []string{"z1"}})))
	z := c.state().Zone("z1")
	assert.Equal(t, []int{2, 2}, []int{z.Done(), z.Pieces}, "the rinse takes what went in just before it")
	rest := c.state().RoundZones(c.state().Rounds[0])[1]
	assert.Equal(t, []any{"Nape, rest", 0, 2}, []any{rest.Name, rest.Done(), rest.Pieces})
}

func TestDecideFillsInWithoutTouchingWhatItWasGiven(t *testing.T) {
	c := lightening(t)
	set := again("Second", session.PlanZone{Name: "A", Pieces: 1, Bands: []session.PlanBand{root30}}, session.PlanZone{Name: "B", Pieces: 1, Bands: []session.PlanBand{root30}})
	c.do(set)
	assert.Empty(t, set.Zones[0].ID)
	assert.Equal(t, []string{"z3", "z4"}, c.state().Rounds[1].Order)
	_, err := session.Decide(c.log, c.reading())
	assert.NoError(t, err, "no commands, no events")
}
