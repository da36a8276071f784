package session_test

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/timing"
)

// ready is a service in which heat may be put on.
func ready(t testing.TB) *chair {
	c := lightening(t)
	for _, b := range []session.PlanBand{root30, end20} {
		w := row(b, 5, 25)
		w.Row.Heat = formula.WithHeat
		c.do(w)
	}
	for _, z := range []string{"z1", "z2", "z3", "z4"} {
		c.do(heatMeant(z))
	}
	return c
}

// draws yields random data that mostly make sense at a chair.
type draws struct {
	*rapid.T
	c     *chair
	since int // corrections are drawn of entries after this one
}

func (d draws) zone() string {
	return d.one("zone", d.ids(func(s *session.State) (ids []string) {
		for _, z := range s.Zones {
			ids = append(ids, z.ID)
		}
		return ids
	}))
}

func (d draws) bowl() string {
	return d.one("bowl", d.ids(func(s *session.State) (ids []string) {
		for _, b := range s.Bowls {
			ids = append(ids, b.ID)
		}
		return ids
	}))
}

func (d draws) ids(list func(*session.State) []string) []string {
	return append(list(d.c.state()), "none")
}

func (d draws) one(what string, of []string) string { return rapid.SampledFrom(of).Draw(d.T, what) }

func (d draws) count(least, most int) int { return rapid.IntRange(least, most).Draw(d.T, "count") }

func (d draws) entry() int { return d.since + d.count(1, max(d.c.last()-d.since, 1)) }

func (d draws) plan() session.PlanBand {
	b := rapid.SampledFrom([]session.PlanBand{root30, end20, {Band: session.Mid, Product: "Chalk", Kind: formula.PowderLightener, Strength: 6, Contact: formula.OnScalp, Condition: formula.Coloured}}).Draw(d.T, "band")
	return b
}

// data draws one command's data.
func (d draws) data() session.Data {
	z := d.zone()
	switch kind := d.count(0, 41); kind {
	case 0, 1, 2, 3, 4, 5, 6:
		return place(z, d.count(1, 3))
	case 7, 8:
		return session.RinseBegan{Zones: []string{z}}
	case 9, 10:
		return session.RinseEnded{}
	case 11:
		return session.CoatRefreshed{Zone: z}
	case 12:
		return session.CoatApplied{Zone: z, Coats: coats(d.plan().Band, d.bowl())}
	case 13:
		return session.ZoneFinished{Zone: z}
	case 14:
		return session.HeatOn{Zones: []string{z}}
	case 15:
		return session.HeatOff{Zones: []string{d.one("heated", d.ids(func(s *session.State) (ids []string) {
			for _, z := range s.Zones {
				if z.Heated() {
					ids = append(ids, z.ID)
				}
			}
			return ids
		}))}}
	case 16:
		feel := d.one("feel", []string{"", "", "", "springs back", session.FeelWeak, session.FeelMushy})
		return session.ZoneChecked{Zone: z, Depth: float64(d.count(1, 10)), Feel: feel}
	case 17, 18:
		b := d.plan()
		b.Strength = formula.Percent(d.count(2, 4) * 3)
		return bowl(b, 20, 40)
	case 19:
		return session.BowlEmptied{Bowl: d.bowl()}
	case 20:
		w := row(d.plan(), 5, float64(d.count(10, 60)))
		w.Row.Heat = rapid.SampledFrom([]formula.HeatRule{formula.AnyHeat, formula.NoHeat, formula.WithHeat}).Draw(d.T, "heat")
		return w
	case 21:
		return again("Again", session.PlanZone{Name: "Over", Pieces: d.count(1, 5), Bands: []session.PlanBand{d.plan()}, SameHairAs: []string{z}})
	case 22, 23, 24, 25:
		return d.change(z)
	case 26:
		return session.PauseBegan{}
	case 27:
		return session.PauseEnded{}
	case 28:
		return session.StepBegan{Step: "drying"}
	case 29:
		return session.StepEnded{Step: "drying"}
	case 30:
		return session.HelperJoined{Name: "Ines"}
	case 31:
		return session.HelperLeft{Name: "Ines"}
	case 32:
		return session.EventVoided{Seq: d.entry()}
	case 33:
		return session.EventMoved{Seq: d.entry(), To: d.c.reading().Wall.Add(-time.Duration(d.count(0, 600)) * time.Second)}
	case 34:
		return d.reaction(z)
	case 41:
		return d.asked()
	case 35:
		return session.PainCleared{Note: "well", Early: d.one("early", []string{"", "it was an itch"}), GoesOn: d.count(0, 3) > 0}
	case 38:
		deg := float64(d.count(0, 4) * 45)
		return session.CutNoted{Section: d.one("section", []string{"nape", "Nape ", "fringe"}), Guide: rapid.SampledFrom(session.Guides).Draw(d.T, "guide"), Elevation: &deg}
	case 39:
		if d.count(0, 2) == 0 {
			return session.PromiseChanged{Told: d.one("told", []string{"", "the desk"})}
		}
		at := d.c.reading().Wall.Add(time.Duration(d.count(-5, 90)) * time.Minute)
		return session.PromiseChanged{Promised: &at}
	case 36, 37:
		q := rapid.SampledFrom(safety.Questions()).Draw(d.T, "question")
		a := rapid.SampledFrom(q.Answers).Draw(d.T, "answer")
		return session.SafetyAnswered{Question: q.ID, Answer: a.Word, Reason: d.one("reason", []string{"", "asked"})}
	}
	return session.NoteAdded{Zone: z, Text: "x"}
}

func (d draws) reaction(z string) session.Data {
	r := rapid.SampledFrom(session.Reactions()).Draw(d.T, "reaction")
	itches := r == session.Itching
	return session.PainReported{Zone: z, Reaction: r, LookAgain: itches && d.count(0, 1) == 0, Severe: itches && d.count(0, 3) == 0}
}

func (d draws) asked() session.Data {
	return session.ReactionNoted{
		When: rapid.SampledFrom([]session.AskWord{session.AskLook, session.AskHelp, session.AskLeaving, session.AskLater}).Draw(d.T, "when"),
		How:  rapid.SampledFrom(session.HowWords()).Draw(d.T, "how"), Note: "as it is",
	}
}

func (d draws) change(z string) session.Data {
	p := session.PlanChanged{Zone: z, Round: "r1", Keep: d.count(1, 4), Name: "n", Pieces: d.count(1, 9), Bands: []session.PlanBand{d.plan()}}
	p.Change = rapid.SampledFrom([]session.Change{session.ChangeAdd, session.ChangeDrop, session.ChangeSplit, session.ChangeOrder, session.ChangeRename, session.ChangePieces, session.ChangeBands, session.ChangeTechnique}).Draw(d.T, "change")
	p.Add = &session.PlanZone{Name: "More", Pieces: 2, Bands: []session.PlanBand{d.plan()}}
	if r := d.c.state().Round("r1"); r != nil {
		p.Order = slices.Clone(r.Order)
		slices.Reverse(p.Order)
	}
	return p
}

// pass lets time pass, and the clock step now and then.
func (d draws) pass(reboots bool) {
	d.c.now = d.c.now.Add(time.Duration(d.count(0, 240_000)) * time.Millisecond)
	switch n := d.count(0, 39); {
	case n == 0:
		d.c.skew = time.Duration(d.count(-90, 90)) * time.Minute
	case n == 1 && reboots:
		d.c.boot += "x"
	}
}

func (d draws) command() session.Command {
	cmd := session.Do(d.data())
	if d.count(0, 3) == 0 {
		cmd.When = d.c.reading().Wall.Add(-time.Duration(d.count(0, 420)) * time.Second)
	}
	return cmd
}

func TestAnyServiceFoldsTheSameEachTime(t *testing.T) {
	taken := map[string]int{}
	rapid.Check(t, func(rt *rapid.T) {
		c := ready(t)
		d := draws{rt, c, 1}
		for range d.count(15, 40) {
			d.pass(true)
			cmd := d.command()
			n, known := c.last(), c.board().Next.Verb != session.DoWindow
			if err := c.try(cmd); err != nil {
				require.NotEmpty(rt, err.Error())
				require.Equal(rt, n, len(c.log.Events()))
				continue
			}
			taken[cmd.Data.Kind()]++
			first, err := session.Fold(c.log.Events())
			require.NoError(rt, err)
			require.Equal(rt, first.State(), c.state(), "folded one by one and all at once")
			holds(rt, c, known)
		}
		events := readBack(rt, c.log.Events())
		again, err := session.Fold(events)
		require.NoError(rt, err)
		require.Equal(rt, again.State(), c.state())
	})
	for _, kind := range []string{"piece.placed", "rinse.ended", "plan.changed", "heat.on", "event.voided", "safety.answered", "pain.reported"} {
		require.NotZero(t, taken[kind], "%s was never taken, so nothing was shown of it", kind)
	}
}

func readBack(t require.TestingT, events []session.Event) []session.Event {
	recs, err := session.Records(events)
	require.NoError(t, err)
	read, err := session.Events(recs)
	require.NoError(t, err)
	return read
}

// holds checks what must hold at any chair.
func holds(t require.TestingT, c *chair, known bool) {
	s, now := c.state(), c.state().Line.Now(c.reading())
	for _, z := range s.Zones {
		zt := s.ZoneTiming(z, now)
		require.GreaterOrEqual(t, zt.Oldest, zt.Newest)
		require.True(t, !zt.Unknown || !known, "product is on %s without a limit", z.ID)
		for _, co := range z.Coats {
			ct := s.CoatTiming(co)
			require.False(t, ct.Last.Before(ct.First))
			require.False(t, ct.Fresh.Before(ct.Last))
			require.GreaterOrEqual(t, ct.Carried, time.Duration(0))
			if !ct.On(now) || !ct.Window.Known() {
				continue
			}
			require.GreaterOrEqual(t, zt.Oldest, now.Sub(co.First()), "never less than since first contact")
			require.False(t, ct.LimitAt().After(co.First().Add(ct.Window.Limit)), "a limit is never later than its window from first contact")
			require.False(t, zt.LimitAt.After(ct.LimitAt()), "no coat's limit is later than its zone's")
		}
	}
}

func TestUndoingAllLeadsBackToTheStart(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := ready(t)
		start, n := fields(c.state()), c.last()
		d := draws{rt, c, n}
		for range d.count(10, 30) {
			d.pass(false)
			_ = c.try(d.command())
		}
		end, undone := fields(c.state()), 0
		for {
			cmd, e, ok := c.log.Undo()
			if !ok || e.Seq <= n {
				break
			}
			require.NoError(rt, c.try(cmd), "undo of %s", e.Data.Kind())
			undone++
		}
		require.Equal(rt, start, fields(c.state()))
		for range undone {
			cmd, e, ok := c.log.Redo()
			require.True(rt, ok)
			require.NoError(rt, c.try(cmd), "redo of %s", e.Data.Kind())
		}
		require.Equal(rt, end, fields(c.state()))
	})
}

// wild draws data that need not make sense at all.
func (d draws) wild() session.Data {
	id := func() string {
		return d.one("id", []string{"", "z1", "z2", "z3", "z4", "a", "r1", "r2", "b1", "b2", "t1"})
	}
	n := rapid.OneOf(rapid.IntRange(-2, 40), rapid.SampledFrom([]int{math.MinInt, math.MaxInt, 1 << 40, -1 << 40})).Draw(d.T, "n")
	f := rapid.SampledFrom([]float64{0, -1, 1, 2.5, 1e9, 1e300, -1e300, math.NaN(), math.Inf(1)}).Draw(d.T, "f")
	at := time.Unix(int64(n), 0)
	b := d.plan()
	b.Band, b.Later = session.Band(d.one("band", []string{"", "root", "mid", "end", "tip"})), d.count(0, 1) == 0
	z := session.PlanZone{ID: id(), Name: id(), Pieces: n, MinutesPerPiece: f, Bands: []session.PlanBand{b}, SameHairAs: []string{id(), id()}[:d.count(0, 2)]}
	on := []session.CoatOn{{Band: b.Band, Bowl: id()}, {Band: session.Root, Bowl: id()}}[:d.count(0, 2)]
	ids := []string{id(), id()}[:d.count(0, 2)]
	p := session.PlanChanged{Change: session.Change(d.one("change", []string{"", "add", "drop", "split", "order", "rename", "pieces", "bands", "technique"})),
		Round: id(), Zone: id(), Before: id(), Keep: n, NewZone: id(), Name: id(), Order: ids, Pieces: n, Bands: z.Bands, MinutesPerPiece: f}
	if d.count(0, 1) == 0 {
		p.Add = &z
	}
	w := row(b, f, f)
	w.Row.Strength = formula.Percent(f)
	mix := bowl(b, f, f)
	mix.Bowl, mix.LifeS = id(), n
	return rapid.SampledFrom([]session.Data{
		nil, session.ServiceOpened{}, session.ServiceClosed{}, session.ConsultationNoted{Scale: n}, session.SafetyAnswered{},
		session.SafetyAnswered{Question: id(), Answer: id(), Outcome: safety.Word(id()), MaxStrength: formula.Percent(f), Until: id()},
		session.SafetyAnswered{Question: safety.Scalp, Answer: "sound", Outcome: safety.Capped, MaxStrength: formula.Percent(f), OffScalp: true}, session.PainReported{Zone: id()}, session.PainCleared{},
		session.PlanSet{Round: id(), Zones: []session.PlanZone{z, z}[:d.count(0, 2)]}, p, p, w, mix, session.BowlEmptied{Bowl: id(), LeftGrams: &f},
		session.PiecePlaced{Zone: id(), Count: n, Coats: on}, session.PiecePlaced{Zone: id(), Count: 1, Coats: on}, session.ZoneFinished{Zone: id()},
		session.CoatApplied{Zone: id(), Coats: on}, session.CoatRefreshed{Zone: id(), Coats: on}, session.HeatOn{Zones: ids}, session.HeatOff{Zones: ids},
		session.ZoneChecked{Zone: id(), Depth: f}, session.RinseBegan{Trip: id(), Zones: ids}, session.RinseEnded{Trip: id(), Zones: ids},
		session.StepBegan{Step: id()}, session.StepEnded{Step: id()}, session.PauseBegan{}, session.PauseEnded{}, session.HelperJoined{Name: id()},
		session.HelperLeft{Name: id()}, session.WarningAcknowledged{}, session.NoteAdded{}, session.CutNoted{Section: id(), Guide: session.Guide(id()), Elevation: &f, LengthMM: f},
		session.ClockNoted{What: session.ClockConfirmed, Gap: n, ShiftS: f},
		session.PromiseChanged{}, session.PromiseChanged{Promised: &at},
		session.ClockNoted{}, session.EventVoided{Seq: n}, session.EventMoved{Seq: n, To: at},
	}).Draw(d.T, "data")
}

// anyEvents folds events that need not make sense: errors are well, panics not.
func anyEvents(t *rapid.T) {
	c := ready(quiet{})
	d := draws{t, c, 1}
	if d.count(0, 2) == 0 {
		c.log = &session.Log{}
	}
	for range d.count(1, 25) {
		d.pass(true)
		e := session.Event{Seq: c.log.State().Seq + 1, When: c.now, Recorded: c.reading(), Data: d.wild()}
		switch d.count(0, 15) {
		case 0:
			e.Seq += d.count(-2, 2)
		case 1:
			e.Recorded, e.When = timing.Reading{}, time.Time{}
		case 2:
			e.When = time.Unix(1<<40, 0)
		}
		_, _ = session.Fold(append(slices.Clone(c.log.Events()), e))
		_ = c.log.Append(e)
		_, _ = session.Decide(c.log, c.reading(), session.Do(e.Data))
		now := c.state().Line.Now(c.reading())
		b := session.Look(c.state(), now, func(at time.Time) string { return at.String() })
		_, _ = session.Decide(c.log, c.reading(), b.Next.Commands...)
		session.Look(c.state(), time.Time{}, func(time.Time) string { return "" })
		if cmd, _, ok := c.log.Undo(); ok {
			_, _ = session.Decide(c.log, c.reading(), cmd)
		}
		c.log.Redo()
	}
}

// quiet is a test that only fails by a panic.
type quiet struct{ testing.TB }

func (quiet) Helper()                   {}
func (quiet) FailNow()                  { panic("the service could not be set up") }
func (quiet) Errorf(f string, a ...any) { panic(fmt.Sprintf(f, a...)) }

func TestAnyEventsFoldOrFailInOrder(t *testing.T) { rapid.Check(t, anyEvents) }

func FuzzFold(f *testing.F) { f.Fuzz(rapid.MakeFuzz(anyEvents)) }
