package tui_test

import (
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/session/store"
	"rinseby/session/template"
	"rinseby/timing"
	"rinseby/tui"
	"rinseby/tui/keys"
	"rinseby/tui/practice"
	"rinseby/tui/theme"
)

// A desk drives the root model without a terminal: messages go in, commands
// are run at once, time stands still until it is moved.
type desk struct {
	t      testing.TB
	app    *tui.App
	model  tea.Model  // the app, or what wraps it
	mu     sync.Mutex // guards now, which a tick that still waits may read
	now    timing.Reading
	struck timing.Reading // of the last press of a foot
	dir    string
	st     *store.Store
	held   []tea.Cmd // commands that are held back
	hold   bool
	quit   bool
	titles []string // that the terminal was given
}

func (d *desk) Read() timing.Reading {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.now
}

func (d *desk) pass(by time.Duration) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.now.Wall, d.now.Boot = d.now.Wall.Add(by), d.now.Boot+by
}

func newDesk(t testing.TB, change func(*tui.Options)) *desk {
	d := &desk{t: t, dir: t.TempDir(), now: timing.Reading{Wall: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC), Boot: time.Hour, BootID: "a"}}
	d.open(change)
	return d
}

// open starts the program on the desk's folder, as a new process would.
func (d *desk) open(change func(*tui.Options)) {
	st, err := store.Open(d.dir)
	require.NoError(d.t, err)
	d.st = st
	o := tui.Options{
		Clock: d, Place: time.UTC, Store: st, Catalogue: formula.Starter(), Lists: template.Builtin(),
		Theme: theme.Mono(), Keys: keys.Default(""), Stylist: "Ines", Tick: time.Nanosecond,
	}
	if change != nil {
		change(&o)
	}
	d.quit = false
	d.app = tui.New(o)
	d.model = d.app
	d.run(d.app.Init())
}

// run runs a command and what comes of it. Ticks are left to the test.
func (d *desk) run(cmd tea.Cmd) {
	if cmd == nil {
		return
	}
	done := make(chan tea.Msg, 1)
	go func() { done <- cmd() }()
	select {
	case msg := <-done:
		switch msg := msg.(type) {
		case nil:
		case tea.BatchMsg:
			for _, c := range msg {
				d.run(c)
			}
		case tea.QuitMsg:
			d.quit = true
		default:
			if v := reflect.ValueOf(msg); v.Kind() == reflect.String && v.Type() == reflect.TypeOf(tea.SetWindowTitle("")()) {
				d.titles = append(d.titles, v.String())
			}
			if !tui.IsTick(msg) {
				d.send(msg)
			}
		}
	case <-time.After(20 * time.Second): // what waits for nothing that a test does
	}
}

func (d *desk) send(msg tea.Msg) {
	_, cmd := d.model.Update(msg)
	if d.hold {
		d.held = append(d.held, cmd)
		return
	}
	d.run(cmd)
}

// release runs what was held back.
func (d *desk) release() {
	d.hold = false
	held := d.held
	d.held = nil
	for _, c := range held {
		d.run(c)
	}
}

func (d *desk) press(ks ...string) {
	named := map[string]tea.KeyType{"enter": tea.KeyEnter, "esc": tea.KeyEsc, "space": tea.KeySpace, "ctrl+s": tea.KeyCtrlS, "down": tea.KeyDown, "left": tea.KeyLeft, "right": tea.KeyRight, "f13": tea.KeyF13,
		"pgup": tea.KeyPgUp, "pgdown": tea.KeyPgDown, "home": tea.KeyHome, "end": tea.KeyEnd, "shift+right": tea.KeyShiftRight, "shift+left": tea.KeyShiftLeft, "ctrl+u": tea.KeyCtrlU}
	for _, k := range ks {
		if k == "space" || k == "f13" { // as a foot is: two presses of it are no burst
			if d.Read() == d.struck {
				d.pass(200 * time.Millisecond)
			}
			d.struck = d.Read()
		}
		if kt, ok := named[k]; ok {
			msg := tea.KeyMsg{Type: kt}
			if kt == tea.KeySpace {
				msg.Runes = []rune{' '}
			}
			d.send(msg)
			continue
		}
		d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(k)})
	}
}

func (d *desk) view() string { return ansi.Strip(d.app.View()) }

func (d *desk) sees(text string) {
	d.t.Helper()
	require.Contains(d.t, d.view(), text)
}

// answered answers every safety question as one does who may go on without a
// cap.
func answered() (all []session.Data) {
	for _, q := range safety.Questions() {
		a := session.SafetyAnswered{Question: q.ID, Answer: q.Answers[0].Word}
		if q.Kind == safety.Day {
			a.Answer = "2 days ago"
		}
		all = append(all, a)
	}
	return all
}

// seat opens a service with one zone, ready for its first piece.
func (d *desk) seat() string {
	id := d.ready()
	d.open(func(o *tui.Options) { o.Resume = id })
	return id
}

// ready is such a service, not open yet.
func (d *desk) ready() string {
	plan := session.PlanBand{Band: session.Root, Product: "Chalk", Kind: formula.PowderLightener, Strength: 9, Contact: formula.OffScalp, Condition: formula.Natural}
	row := formula.Row{Product: "Chalk", Kind: formula.PowderLightener, Strength: 9, Contact: formula.OffScalp, Condition: formula.Natural, Heat: formula.NoHeat,
		Window: timing.Window{Opens: 20 * time.Minute, Limit: 40 * time.Minute}, Origin: "invented for this test"}
	live, err := d.st.Create(d.now, "test",
		session.Do(session.ServiceOpened{Client: "Tove A."}), session.Do(session.ConsultationNoted{}),
		session.Do(session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{
			{Name: "Nape", Pieces: 6, Bands: []session.PlanBand{plan}}, {Name: "Crown", Pieces: 4, Bands: []session.PlanBand{plan}}}}),
		session.Do(session.WindowConfirmed{Row: row, Basis: session.BasisInstructions}),
		session.Do(session.SafetyAnswered{Question: safety.Airways, Answer: "none"}),
		session.Do(session.BowlMixed{Product: "Chalk", Family: formula.PowderLightener, Mix: formula.Mix{
			Products: []formula.ProductPart{{Product: "Chalk", Grams: 30}}, Developers: []formula.DeveloperPart{{Strength: 9, Grams: 60}}}}))
	require.NoError(d.t, err)
	for _, a := range answered() {
		_, err := live.Do(d.now, session.Do(a))
		require.NoError(d.t, err)
	}
	require.NoError(d.t, live.Close())
	return live.ID
}

func (d *desk) logged(id string) *session.Log {
	d.t.Helper()
	l, err := d.st.Read(id)
	require.NoError(d.t, err)
	return l
}

func TestNewServiceFromAZoneList(t *testing.T) {
	d := newDesk(t, nil)
	d.sees("New service")
	d.press("n", "T", "o", "v", "e", "enter", "enter", "enter", "enter", "ctrl+s")
	d.sees("CONSULT AND NOTE IT")
	d.sees("Nape")
	entries, _, err := d.st.List()
	require.NoError(t, err)
	require.Equal(t, 1, entries.Len())
	require.Equal(t, "Tove", entries.At(0).Client)
}

func TestOneKeyPlacesPieces(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	d.sees("PLACE NAPE 1 OF 6")
	d.press("space")
	d.sees("PLACE NAPE 2 OF 6")
	d.sees("Logged: Nape, a piece placed")
	d.press("f13")
	require.Equal(t, 2, d.logged(id).State().Zone("z1").Done(), "a pedal is the same key")
}

func TestKeysTypedFastAreAllTaken(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	before := len(d.logged(id).Events())
	d.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(" u p ")})
	require.Equal(t, 2, d.logged(id).State().Zone("z1").Done(), "one placed, one taken back, one placed, a pause, one placed")
	require.Len(t, d.logged(id).Events(), before+5)
}

func TestKeysWaitForTheDisk(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	d.hold = true
	d.press("space", "space", "space")
	d.sees("saving")
	require.Zero(t, d.logged(id).State().Zone("z1").Done(), "nothing is on the disk yet")
	require.NotContains(t, d.view(), "Logged")
	d.release()
	require.Equal(t, 3, d.logged(id).State().Zone("z1").Done())
}

// A form that is opened while entries wait for the disk keeps what is typed.
func TestAFormStaysOpenWhileEntriesAreSaved(t *testing.T) {
	d := newDesk(t, nil)
	d.seat()
	d.hold = true
	d.press("p", "p", "p", "n", "h", "i")
	d.sees("> hi")
	d.release()
	d.sees("> hi")
	d.press("!")
	d.sees("> hi!")
	d.press("esc")
	d.sees("PAUSED")
}

func TestEarlierCountsOnce(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	d.pass(30 * time.Minute)
	d.press("e", "1", "2", "enter")
	d.sees("counts as 12:00 ago")
	d.press("space", "space")
	placed := d.logged(id).State().Zone("z1").Placed
	require.Len(t, placed, 2)
	require.Equal(t, 12*time.Minute+200*time.Millisecond, placed[1].At.Sub(placed[0].At), "a foot takes a moment for the second press")
}

func TestWhatWasRefusedForWantOfABowlIsTriedAgain(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	d.press("b", "enter", "enter")
	require.False(t, d.logged(id).State().Bowls[0].Emptied.IsZero())
	d.pass(time.Minute)
	d.press("+", "3", "enter")
	d.sees("Mix Chalk")
	d.press("4", "0", "ctrl+s")
	require.Len(t, d.logged(id).State().Bowls, 2)
	require.Equal(t, 3, d.logged(id).State().Zone("z1").Done(), "the pieces that asked for the bowl")
}

func TestTripsArePlannedAfterEachEntry(t *testing.T) {
	d := newDesk(t, nil)
	d.seat()
	for range 5 {
		d.press("space")
		d.pass(2 * time.Minute)
	}
	d.sees("plan: place on; at")
	d.sees("to the basin: Nape")
}

func TestUndoAndRedo(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	d.press("space", "space", "u")
	d.sees("taken back: Nape, a piece placed")
	require.Equal(t, 1, d.logged(id).State().Zone("z1").Done())
	d.press("U")
	require.Equal(t, 2, d.logged(id).State().Zone("z1").Done())
}

func TestQuittingKeepsAServiceLive(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	d.press("space", "q")
	require.True(t, d.quit)
	require.NoError(t, d.app.Err())
	d.open(func(o *tui.Options) { o.Resume = id })
	d.sees("PLACE NAPE 2 OF 6")
}

func TestLeavingWaitsForTheDisk(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	d.hold = true
	d.press("space", "q")
	require.False(t, d.quit)
	d.release()
	require.True(t, d.quit)
	require.Equal(t, 1, d.logged(id).State().Zone("z1").Done())
}

func TestOverLimitNeedsAReasonToBePassedOver(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	d.press("space")
	d.pass(43 * time.Minute)
	d.send(tui.Tick(d.now))
	d.sees("Nape is 3 min over its limit")
	d.press("a")
	require.Empty(t, d.logged(id).State().Acks, "an alarm asks why first")
	d.press("s", "e", "e", "n", "enter")
	require.Equal(t, "seen", d.logged(id).State().Acks[0].Reason)
}

func TestAnotherProcessIsWatched(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	other := newDesk(t, nil)
	other.dir = d.dir
	other.open(func(o *tui.Options) { o.Resume = id })
	other.sees("WATCHING ONLY")
	other.press("space")
	require.Zero(t, d.logged(id).State().Zone("z1").Done())
	other.sees("only watched")
	d.press("q") // the one who ran it is gone
	other.press("space")
	other.sees("it is run here now")
	other.press("space")
	require.Equal(t, 1, d.logged(id).State().Zone("z1").Done())
}

// What the salon has set rules every service that is opened here.
func TestANewServiceHasTheSalonsRules(t *testing.T) {
	d := newDesk(t, func(o *tui.Options) { o.Region, o.SkinTestHours, o.SkinTestDays = safety.Canada, 12, 3 })
	d.press("n", "T", "o", "v", "e", "enter", "enter", "enter", "enter", "ctrl+s")
	all, _, err := d.st.List()
	require.NoError(t, err)
	require.Equal(t, 1, all.Len())
	s := d.logged(all.At(0).ID).State()
	require.Equal(t, []any{safety.Canada, 12, 3}, []any{s.Region, s.SkinTestHours, s.SkinTestDays})
	require.Equal(t, 12, s.Rules().TestHours.Value)
	require.Equal(t, session.ServiceOpened{Client: "June L.", Region: safety.Canada, SkinTestHours: 12, SkinTestDays: 3},
		tui.Options{Region: safety.Canada, SkinTestHours: 12, SkinTestDays: 3}.Ruled(session.ServiceOpened{Client: "June L."}))
}

func TestPracticeRunsAWholeServiceByItself(t *testing.T) {
	d := newDesk(t, nil)
	plans, steps, err := template.Builtin()[0].Plans(formula.Starter())
	require.NoError(t, err)
	cmds := []session.Command{session.Do(practice.Opening(steps))}
	for _, p := range plans {
		cmds = append(cmds, session.Do(p))
	}
	l := &session.Log{}
	opening := cmds[0].Data.(session.ServiceOpened)
	opening.Service = "practice"
	cmds[0] = session.Do(opening)
	_, err = l.Commit(d.now, cmds...)
	require.NoError(t, err)
	pilot := practice.New(formula.Starter(), 1)
	var plan *session.TripPlan
	planned := 0
	for range 8 * 60 * 6 { // eight hours in steps of ten seconds
		d.pass(10 * time.Second)
		s := l.State()
		b := session.Look(s, s.Line.Now(d.now), func(at time.Time) string { return at.Format("15:04") })
		if plan == nil || planned != s.Seq || b.Now.Sub(plan.At) > 20*time.Second {
			plan, planned = nil, s.Seq
			if q, ok := s.AskTrips(b.Now, b.Pace); ok {
				plan, err = q.Answer(nil)
				require.NoError(t, err)
			}
		}
		b.Follow(s, plan)
		for _, z := range b.Zones {
			require.Zero(t, z.Over, "%s goes over its limit at %s", z.Name, b.Now)
		}
		if cs := pilot.Next(l, b); len(cs) > 0 {
			_, err := l.Commit(d.now, cs...)
			require.NoError(t, err)
		}
	}
	require.False(t, l.State().Live(), "still live, next: %s", session.Look(l.State(), l.State().Line.Now(d.now), func(time.Time) string { return "" }).Next.Text)
}

func TestTooSmallATerminalSaysSo(t *testing.T) {
	d := newDesk(t, nil)
	d.send(tea.WindowSizeMsg{Width: 40, Height: 10})
	require.True(t, strings.HasPrefix(d.view(), "too small"))
	d.seat()
	d.press("space")
	d.send(tea.WindowSizeMsg{Width: 50, Height: 10})
	require.True(t, strings.HasPrefix(d.view(), "40:00 Nape must be off by 09:40"), "what matters most stays: %s", d.view())
}

// idle is a pilot that presses nothing.
type idle struct{}

func (idle) Next(*session.Log, session.Board) []session.Command { return nil }

func TestAnyKeyTakesOverFromThePilotButLeavingLeaves(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	require.NoError(t, d.app.Err())
	d.press("q")
	d.open(func(o *tui.Options) { o.Resume, o.Pilot = id, idle{} })
	d.press("space")
	d.sees("You have taken over")
	require.Zero(t, d.logged(id).State().Zone("z1").Done(), "the key that takes over does nothing else")
	d.press("q")
	require.True(t, d.quit)
	d.open(func(o *tui.Options) { o.Resume, o.Pilot = id, idle{} })
	d.press("q")
	require.True(t, d.quit)
}

func TestTheFirstScreenFinds(t *testing.T) {
	d := newDesk(t, nil)
	d.due("Tove A.", 30)
	d.due("June L.", 25)
	d.open(nil)
	listed := func(has, not string) {
		t.Helper()
		d.sees(has)
		require.NotContains(t, d.view(), not)
	}
	d.press("/", "T", "o")
	listed(`"To": 1 of 3`, "June")
	d.press("v", "x")
	listed(`"Tovx": 0 of 3`, "Tove")
	d.sees("Nothing here has that in it.")
	d.send(tea.KeyMsg{Type: tea.KeyBackspace})
	listed("Tove A.", "June")
	d.press("enter")
	listed("Tove A.", "keep")
	d.press("esc")
	d.sees("June L.")
	d.press("/", "j", "u", "n", "enter", "enter")
	d.sees("June L.")
	require.NotContains(t, d.view(), "What to do", "the first enter keeps what was found, the second goes there")
}
