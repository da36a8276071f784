package tui_test

import (
	"errors"
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/journal"
	"rinseby/session/safety"
	"rinseby/session/store"
	"rinseby/timing"
	"rinseby/tui"
)

// due opens a service of Ines in which all of one zone went in twenty minutes
// ago, and must be off so many minutes from now.
func (d *desk) due(client string, minutes int) string { return d.promised(client, minutes, nil) }

// promised is the same, with when the client was told to be out of the chair.
func (d *desk) promised(client string, minutes int, at *time.Time) string {
	plan := session.PlanBand{Band: session.Root, Product: "Chalk", Kind: formula.PowderLightener, Strength: 9, Contact: formula.OffScalp, Condition: formula.Natural}
	row := formula.Row{Product: "Chalk", Kind: plan.Kind, Strength: 9, Contact: plan.Contact, Condition: plan.Condition, Heat: formula.NoHeat,
		Window: timing.Window{Opens: 10 * time.Minute, Limit: time.Duration(20+minutes) * time.Minute}, Origin: "invented for this test"}
	now := d.Read()
	now.Wall, now.Boot = now.Wall.Add(-20*time.Minute), now.Boot-20*time.Minute
	live, err := d.st.Create(now, "test",
		session.Do(session.ServiceOpened{Client: client, Stylist: "Ines", Promised: at}), session.Do(session.ConsultationNoted{}),
		session.Do(session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{
			{Name: "Nape", Pieces: 2, MinutesPerPiece: 2, Bands: []session.PlanBand{plan}}}}),
		session.Do(session.WindowConfirmed{Row: row, Basis: session.BasisInstructions}),
		session.Do(session.SafetyAnswered{Question: safety.Airways, Answer: "none"}),
		session.Do(session.BowlMixed{Product: "Chalk", Family: plan.Kind, Mix: formula.Mix{
			Products: []formula.ProductPart{{Product: "Chalk", Grams: 60}}, Developers: []formula.DeveloperPart{{Strength: 9, Grams: 120}}}}))
	require.NoError(d.t, err)
	for _, a := range append(answered(), session.PiecePlaced{Zone: "z1", Count: 2}) {
		_, err := live.Do(now, session.Do(a))
		require.NoError(d.t, err)
	}
	require.NoError(d.t, live.Close())
	return live.ID
}

// The floor says that nothing is live once it has looked.
func TestTheFloorLooksBeforeItSaysThatNothingIsLive(t *testing.T) {
	watch := make(chan store.Watched)
	close(watch) // all comes by hand
	d := newDesk(t, func(o *tui.Options) { o.Floor, o.Watch = true, watch })
	require.Contains(t, d.view(), "LOOKING FOR LIVE SERVICES")
	require.NotContains(t, d.view(), "nobody waits")
	d.send(tui.Seen(store.Watched{All: true}))
	require.Contains(t, d.view(), "NO SERVICE IS LIVE")
	require.Contains(t, d.view(), "nobody waits for hands")
}

// show lets the program see services as they are in the store.
func (d *desk) show(ids ...string) {
	for _, id := range ids {
		d.send(tui.Seen(store.Watched{ID: id, Log: d.logged(id)}))
	}
}

// floorDesk opens the program on the floor, with bells counted.
func floorDesk(t testing.TB, rings *int) *desk {
	d := newDesk(t, nil)
	d.open(func(o *tui.Options) {
		o.Floor = true
		o.Alert = func(tui.Alert) tea.Cmd { *rings++; return nil }
	})
	return d
}

func TestTheFloorShowsAllAndGoesToEach(t *testing.T) {
	var rings int
	d := floorDesk(t, &rings)
	d.sees("NO SERVICE IS LIVE")
	june, tove := d.due("June L.", 25), d.due("Tove A.", 40)
	d.show(june, tove)
	d.sees("RINSE NAPE · June L.")
	d.sees("Tove A.")
	d.send(tea.WindowSizeMsg{Width: 50, Height: 10})
	require.True(t, strings.HasPrefix(d.view(), "25:00 Check, then rinse Nape, June L."), d.view())
	d.send(tea.WindowSizeMsg{Width: 80, Height: 24})
	d.sees("All 2 clients fit on Ines's hands")

	d.press("enter")
	d.sees("Nape must be off by 09:25")
	d.sees("w who is next")
	_, err := d.st.Resume(d.now, june, "another")
	require.True(t, errors.Is(err, journal.ErrBusy), "it is run here")
	d.press("space", "w")
	d.show(june)
	d.sees("at the basin")
	_, err = d.st.Resume(d.now, june, "another")
	require.True(t, errors.Is(err, journal.ErrBusy), "it is still run here")

	d.press("down", "enter")
	d.sees("Nape must be off by 09:40")
	require.Contains(t, strings.Split(d.view(), "\n")[0], "Tove A.", "of several clients, the top line says whose chair it is")
	d.press("w", "w")
	d.sees("Nape must be off by 09:40")
	d.press("w", "q")
	require.True(t, d.quit)
	require.NoError(t, d.app.Err())
	for _, id := range []string{june, tove} {
		live, err := d.st.Resume(d.now, id, "another")
		require.NoError(t, err, "both were left live, and free")
		require.NoError(t, live.Close())
	}
	require.NotNil(t, d.logged(june).State().OpenTrip(), "what was pressed was logged")
}

func TestWhoEndsLaterForWantOfHandsIsTold(t *testing.T) {
	var rings int
	d := floorDesk(t, &rings)
	for i, client := range []string{"June L.", "Tove A.", "Mr. Okpara", "A fourth"} {
		d.show(d.due(client, 40+i))
	}
	d.sees("All 4 clients fit on Ines's hands")
	require.Regexp(t, `end \d\d:\d\d after the others \(alone 09:\d\d\)`, d.view())
}

func TestGoingToTheFloorWaitsForTheDisk(t *testing.T) {
	var rings int
	d := floorDesk(t, &rings)
	id := d.due("June L.", 25)
	d.show(id)
	d.press("enter")
	d.hold = true
	d.press("space", "p", "w")
	require.NotContains(t, d.view(), "go to June L.")
	d.release()
	d.sees("go to June L.")
	l := d.logged(id).State()
	require.NotNil(t, l.OpenTrip())
	require.True(t, l.Paused(), "what waited was logged first")
}

func TestOwnClientsRingWhereverOneIs(t *testing.T) {
	var rings int
	d := floorDesk(t, &rings)
	june, tove := d.due("June L.", 25), d.due("Tove A.", 60)
	d.show(june, tove)
	d.press("enter", "w", "down", "enter")
	d.sees("Nape must be off by 10:00")
	before := rings
	d.pass(18 * time.Minute) // June's is closing
	d.send(tui.Tick(d.Read()))
	assert.Equal(t, before+1, rings)
	d.sees("June L.: Nape must be off in")
	d.press("w")
	d.send(tui.Tick(d.Read()))
	assert.Equal(t, before+1, rings, "once")
	d.sees("RINSE NAPE · June L.")
	d.pass(9 * time.Minute) // and over
	d.send(tui.Tick(d.Read()))
	assert.Equal(t, before+2, rings)
	d.sees("OVER since 09:25")
	require.Regexp(t, `June L. misses a limit or promise by \d+ min`, d.view())
}

func TestClocksAreNotedOfOwnClientsThatAreNotOnTheScreen(t *testing.T) {
	var rings int
	d := floorDesk(t, &rings)
	june := d.due("June L.", 25)
	d.show(june)
	d.press("enter", "w")
	d.mu.Lock()
	d.now.Wall = d.now.Wall.Add(time.Hour) // the clock on the wall is moved
	d.mu.Unlock()
	d.send(tui.Tick(d.Read()))
	events := d.logged(june).Events()
	require.Equal(t, session.ClockStepped, events[len(events)-1].Data.(session.ClockNoted).What)
	d.press("enter")
	d.sees("Nape must be off by 10:25")
	d.press("space")
	require.NotNil(t, d.logged(june).State().OpenTrip(), "and the log goes on")
}

func TestACollisionIsSaidOnTheFloorAndAtTheChair(t *testing.T) {
	var rings int
	d := floorDesk(t, &rings)
	june, tove := d.due("June L.", 10), d.due("Tove A.", 11)
	d.show(june, tove)
	assert.Equal(t, 1, rings)
	d.sees("June L. (rinse Nape) and Tove A. (rinse Nape) collide by ")
	d.sees("no later promise helps")
	d.press("enter")
	d.sees("rinse Nape collides by ")
	d.sees("with Tove A.'s")
	d.press("a")
	require.True(t, strings.HasPrefix(d.logged(june).State().Acks[0].Warning, "floor:"+tove))
	d.sees("warning seen")
	d.show(june)
	require.NotContains(t, d.view(), "[a] seen")
	d.press("w", "down", "enter")
	d.sees("collides by ")
	d.sees("with June L.'s")
}

func TestWhatGivesTheLeastTroubleIsSaid(t *testing.T) {
	var rings int
	d := floorDesk(t, &rings)
	at := d.Read().Wall.Add(20 * time.Minute)
	june, tove := d.promised("June L.", 60, &at), d.promised("Tove A.", 60, &at)
	d.show(june, tove)
	assert.Regexp(t, `(June L\. and Tove A\.|Tove A\. and June L\.) can't both be out as promised`, d.view())
	assert.Regexp(t, `least trouble: tell (June L\.|Tove A\.) \d+ min later than promised 09:20`, d.view())
}

func TestAServiceIsLetGoForOtherChairs(t *testing.T) {
	var rings int
	d := floorDesk(t, &rings)
	june := d.due("June L.", 25)
	d.show(june)
	d.press("g")
	d.sees("not run here")
	d.press("enter", "w", "g")
	d.sees("June L. is left to any chair")
	live, err := d.st.Resume(d.now, june, "another")
	require.NoError(t, err)
	d.press("enter")
	d.sees("WATCHING ONLY")
	d.press("w")
	d.sees("go to June L.")
	require.NoError(t, live.Close())
}

func TestAClosedServiceIsPutAwayWhenItIsLeftForTheFloor(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	l := d.logged(id)
	require.True(t, l.State().Live())
	d.press("q")
	live, err := d.st.Resume(d.now, id, "test")
	require.NoError(t, err)
	_, err = live.Do(d.now, session.Do(session.ServiceClosed{}))
	require.NoError(t, err)
	d.open(func(o *tui.Options) { o.Resume = id })
	require.NoError(t, live.Close())
	d.show(id)
	d.press("w")
	d.sees("NO SERVICE IS LIVE")
	_, err = d.st.Resume(d.now, id, "test")
	require.ErrorIs(t, err, store.ErrClosed)
}

func TestAServiceThatIsLeftOrUnreadableGoesFromTheFloor(t *testing.T) {
	var rings int
	d := floorDesk(t, &rings)
	june := d.due("June L.", 25)
	d.send(tui.Seen(store.Watched{ID: june, Log: d.logged(june), Gone: &journal.Holder{Station: "station 2"}}))
	d.sees("ITS CHAIR IS GONE")
	d.send(tui.Seen(store.Watched{ID: june, Left: true}))
	d.sees("NO SERVICE IS LIVE")
	d.send(tui.Seen(store.Watched{ID: june, Err: errors.New("line 3 of the log is damaged")}))
	d.sees("line 3 of the log is damaged")
	d.press("?", "pgdown")
	d.sees("hands are needed elsewhere at the same time")
	d.press("esc", "w")
	d.sees("New service")
	d.press("w")
	d.sees("NO SERVICE IS LIVE")
}

// BenchmarkTick looks at 200 live services on the floor and draws them, as the
// loop does once a second.
func BenchmarkTick(b *testing.B) {
	var rings int
	d := floorDesk(b, &rings)
	d.hold = true
	for range 200 {
		d.show(d.due("June L.", 25))
	}
	d.send(tea.WindowSizeMsg{Width: 200, Height: 60})
	b.ReportAllocs()
	for b.Loop() {
		d.app.Update(tui.Tick(d.now))
		d.app.View()
	}
}

// A client whom nobody runs, or who is the same stylist's, is warned of at the
// chair as loudly as at their own; it is seen there, and logged nowhere.
func TestAnotherClientsLimitIsSaidAtTheChair(t *testing.T) {
	d := newDesk(t, nil)
	tove, june := d.due("Tove A.", 60), d.due("June L.", 4)
	d.open(func(o *tui.Options) { o.Resume = tove })
	d.show(june)
	d.tick(time.Second)
	d.sees("June L.: Nape must be off in 3 min 59 s: rinse it now (w goes")
	d.press("a")
	d.sees("Seen. It is still so: w goes there.")
	require.NotContains(t, d.view(), "June L.: Nape must be off in 3 min 59 s: rinse it now (w goes there)  [a]")
	d.tick(5 * time.Minute)
	d.sees("! June L.: Nape is 1 min 1 s over its limit") // louder than what was seen
	for _, e := range d.logged(tove).Events() {
		require.NotContains(t, e.Data.Kind(), "warning", "the log of one client says nothing of another")
	}
	run := &journal.Holder{Station: "Ferry Stairs 3"}
	d.send(tui.Seen(store.Watched{ID: june, Log: d.logged(june), RunBy: run}))
	d.tick(time.Second)
	d.sees("June L.:") // the same stylist's
}

// The first screen says who has product on, the most pressing first.
func TestTheFirstScreenSaysWhoHasProductOn(t *testing.T) {
	d := newDesk(t, nil)
	d.seat()
	late, soon := d.due("Tove A.", 60), d.due("June L.", 9)
	d.open(nil)
	d.show(late, soon)
	d.tick(time.Second)
	view := d.view()
	require.Contains(t, view, "» Go on with June L.  PRODUCT ON, Nape off by 09:09, in 8 min")
	require.Less(t, strings.Index(view, "June L."), strings.Index(view, "PRODUCT ON, Nape off by 10:00"))
	d.tick(10 * time.Minute)
	d.sees("PRODUCT ON, ! Nape OVER 1 min, limit 09:09")
}

// Pain can be said on the floor and on the first screen: whose it is is asked.
func TestPainFromTheFloor(t *testing.T) {
	d := newDesk(t, func(o *tui.Options) { o.Floor = true })
	d.press("x")
	d.sees("No service is live.")
	june := d.due("June L.", 25)
	d.show(june)
	d.press("x")
	d.sees("STOP. RINSE ALL WITH COOL RUNNING WATER NOW")
	d.press("enter")
	d.sees("June L.")
	require.NotNil(t, d.logged(june).State().OpenPain())

	two := newDesk(t, nil)
	two.show(two.due("June L.", 25), two.due("Tove A.", 25))
	two.send(tea.KeyMsg{Type: tea.KeyCtrlP})
	two.sees("Who is in pain, or reacting?")
	two.press("down", "enter")
	two.sees("STOP. RINSE ALL WITH COOL RUNNING WATER NOW")
}

// Whatever is live: a floor that says that somebody is late, or over a limit,
// does not say that all fit.
func TestNothingFitsWhereAnythingIsLost(t *testing.T) {
	fit, lost := regexp.MustCompile(`\bfit\b`), regexp.MustCompile(`LATE|OVER|over its limit|over at best|min late`)
	seen := map[string]bool{}
	rapid.Check(t, func(rt *rapid.T) {
		var rings int
		d := floorDesk(t, &rings)
		var ids []string
		for _, client := range []string{"June L.", "Tove A.", "Mr. Okpara"}[:rapid.IntRange(2, 3).Draw(rt, "clients")] {
			var at *time.Time
			if m := rapid.IntRange(0, 120).Draw(rt, "promised"); m > 0 {
				promised := d.Read().Wall.Add(time.Duration(m) * time.Minute)
				at = &promised
			}
			ids = append(ids, d.promised(client, rapid.IntRange(1, 60).Draw(rt, "limit"), at))
		}
		d.show(ids...)
		for range 3 {
			view := d.view()
			says := fmt.Sprint(fit.MatchString(view), lost.MatchString(view))
			require.NotEqual(rt, "true true", says, view)
			seen[says] = true
			d.tick(time.Duration(rapid.IntRange(1, 20).Draw(rt, "minutes")) * time.Minute)
		}
	})
	require.True(t, seen["true false"] && seen["false true"], "both are met")
}
