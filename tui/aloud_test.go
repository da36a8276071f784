package tui_test

import (
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/hostile"
	"rinseby/session/replay"
	"rinseby/session/store"
	"rinseby/session/template"
	"rinseby/tui"
	"rinseby/tui/clean"
	"rinseby/tui/keys"
	"rinseby/tui/practice"
	"rinseby/tui/theme"
)

// A listener is a desk at which nothing is drawn: lines go in, lines come out.
type listener struct {
	*desk
	aloud *tui.Aloud
	o     tui.Options
	out   strings.Builder
	read  int // of out, that was looked at
}

// listen opens the program on the desk's folder.
func (d *desk) listen(change func(*tui.Options)) *listener {
	l := &listener{desk: d}
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
	d.quit, l.o = false, o
	d.app = tui.New(o)
	l.aloud = tui.NewAloud(d.app, &l.out)
	d.model = l.aloud
	d.run(l.aloud.Init())
	return l
}

// types types lines.
func (l *listener) types(lines ...string) {
	var msgs []tea.Msg
	l.aloud.Listen(strings.NewReader(strings.Join(lines, "\n")+"\n"), func(m tea.Msg) { msgs = append(msgs, m) })
	for _, m := range msgs[:len(lines)] {
		l.send(m)
	}
}

// tick lets time pass, a second at a turn.
func (l *listener) tick(turns int) {
	for range turns {
		l.pass(time.Second)
		l.send(tui.Tick(l.Read()))
	}
}

// heard is what was said since it was called last.
func (l *listener) heard() string {
	text := l.out.String()[l.read:]
	l.read = l.out.Len()
	return text
}

// atChair opens the program at the chair of a service with two zones, ready for
// its first piece.
func atChair(t testing.TB, change func(*tui.Options)) (l *listener, id string) {
	d := newDesk(t, nil)
	id = d.ready()
	l = d.listen(func(o *tui.Options) {
		o.Resume = id
		if change != nil {
			change(o)
		}
	})
	return l, id
}

// says is what was said since it was called last, which must have these texts in
// it, in this order.
func (l *listener) says(texts ...string) string {
	l.t.Helper()
	heard := l.heard()
	rest := heard
	for _, text := range texts {
		_, after, ok := strings.Cut(rest, text)
		require.True(l.t, ok, "%q is not said, or not in its turn:\n%s", text, heard)
		rest = after
	}
	return heard
}

// theEnd are lines about the end, whose figures hang on the id of the service.
var theEnd = regexp.MustCompile(`(?m)^.*The end: .*\n`)

// TestAServiceInWords works a whole service by lines.
func TestAServiceInWords(t *testing.T) {
	l, id := atChair(t, nil)
	l.types("", "next", "+", "3", "bogus", "undo", "again", "space space")
	for _, step := range []struct {
		minutes int
		lines   []string
	}{
		{2, []string{"note", "", "warm at the nape", "nap"}}, {2, []string{"p"}}, {1, []string{"p"}},
		{1, []string{"+", "2", ""}}, {2, []string{"pieces", "+ 3"}}, {10, []string{"up", "c", "springs", "7.5", "<", "ctrl+s"}}, {11, nil}, {2, []string{"a", ""}},
		{1, []string{""}}, {1, []string{""}}, {1, []string{"x", "burns", "x", "say where", "at the nape", ""}}, {2, []string{"u", "u", "finish"}}, {1, []string{"", "it went well", "q"}},
	} {
		l.tick(60 * step.minutes)
		l.types(step.lines...)
	}
	require.True(t, l.quit, l.out.String())
	l.aloud.Farewell()
	require.NoError(t, l.app.Err())
	require.False(t, l.logged(id).State().Live())
	got := theEnd.ReplaceAllString(l.out.String(), "")
	file := filepath.Join("testdata", "aloud.txt")
	if *update {
		require.NoError(t, os.WriteFile(file, []byte(got), 0o600))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(want), got)
}

func TestSecondsAreNotSaid(t *testing.T) {
	l, _ := atChair(t, nil)
	l.types("")
	l.heard()
	l.tick(110)
	require.Empty(t, theEnd.ReplaceAllString(l.heard(), ""), "nothing has changed but the time")
}

func TestWarningsThatNobodySeesAreSaidAgain(t *testing.T) {
	called := 0
	l, _ := atChair(t, func(o *tui.Options) { o.Alert = func(tui.Alert) tea.Cmd { called++; return nil } })
	l.types("+", "6")
	l.tick(31 * 60)
	l.says("09:30 WARNING: Nape must be off in 9 min", "09:30 Nape: closing")
	require.Equal(t, 1, called)
	l.tick(2 * 60)
	l.says("09:32 STILL: Nape must be off in 7 min")
	l.tick(7*60 + 10)
	l.says("09:40 ALARM: Nape is 1 s over its limit: rinse it now (a: seen, with a reason)", "Nape: over, 6 of 6 in, to be off since 09:40.")
	l.tick(30)
	require.Equal(t, 1, strings.Count(l.says("09:40 ALARM, STILL: Nape is 31 s over"), "ALARM"), "it calls every half minute")
	l.types("a", "the client is at the basin")
	l.says("Question: Reason to go on", "Seen: Nape is 40 s over")
	l.tick(60)
	require.NotContains(t, l.heard(), "STILL")
}

func TestTheSameAnswerIsSaidAgain(t *testing.T) {
	l, _ := atChair(t, nil)
	l.types("", "")
	l.says("Logged: Nape, a piece placed", "Logged: Nape, a piece placed")
	l.types("U", "U")
	l.says("There is nothing to do that to.", "There is nothing to do that to.")
}

func TestLinesWaitForTheDisk(t *testing.T) {
	l, id := atChair(t, nil)
	l.hold = true
	l.types("space", "r", "esc", "")
	require.NotContains(t, l.heard(), "Question", "nothing is asked before the piece is on the disk")
	l.send(tui.Tick(l.Read()))
	l.says("Not saved yet")
	l.release()
	l.says("Logged: Nape, a piece placed", "Question: Which zones", "Logged: Nape, a piece placed")
	require.Equal(t, 2, l.logged(id).State().Zone("z1").Done())
}

func TestTheFirstScreenIsChosenFromByNumber(t *testing.T) {
	d := newDesk(t, nil)
	d.ready()
	d.pass(time.Minute)
	l := d.listen(nil)
	l.says("09:01 What to do: type a number.", "  1: Go on with Tove A., since 2 Mar 09:00", "  2: New service")
	l.types("3", "/NEW", "down", "nonsense", "2", "June L.", "", "", "", "half")
	l.says("There is no 3 here: the last is 2.", "With NEW:\n  2: New service", "Keys are about line 2.", `There is no key "nonsense" here`,
		"09:01 New service.\n09:01 Question: Client", "Question: Stylist: Ines is offered", "Question: Zones to start from", "June L., with Ines.", "Next: Consult and note it.")
	l.types("esc", "q")
	require.True(t, l.quit)
	l.aloud.Farewell()
	l.says("Left. The service of June L. stays live.")

	l = d.listen(nil)
	l.types("go on with tove")
	l.says("There is no key")
	l.types("2")
	l.says("Tove A.", "Next: Place Nape 1 of 6.")
}

func TestTheEndOfTheInputLeaves(t *testing.T) {
	d := newDesk(t, nil)
	id := d.ready()
	l := d.listen(func(o *tui.Options) { o.Resume = id })
	l.aloud.Listen(strings.NewReader("\n\nl\nd"), l.send)
	require.True(t, l.quit)
	require.NoError(t, l.aloud.Err())
	l.says("Logged: Nape, a piece placed", "Plan of the trips", "The end, by what is seen today", "Card.", "TO MATCH NEXT VISIT")
	s := l.logged(id).State()
	require.True(t, s.Live())
	require.Equal(t, 2, s.Zone("z1").Done())

	l = d.listen(nil)
	l.aloud.Listen(strings.NewReader(strings.Repeat("x", 1<<17)), l.send)
	require.True(t, l.quit)
	require.ErrorContains(t, l.aloud.Err(), "too long")
}

// A shut writer takes nothing any more.
type shut struct{}

func (shut) Write([]byte) (int, error) { return 0, errors.New("nobody listens") }

func TestItLeavesWhenNobodyListens(t *testing.T) {
	d := newDesk(t, nil)
	l := d.listen(nil)
	l.aloud = tui.NewAloud(tui.New(l.o), shut{})
	l.model = l.aloud
	l.run(l.aloud.Init())
	l.send(tui.Tick(l.Read()))
	require.True(t, l.quit)
	require.ErrorContains(t, l.aloud.Err(), "nobody listens")
}

func TestFormsAreAskedInWords(t *testing.T) {
	l, id := atChair(t, nil)
	l.types("change the plan", "9", "2", "?", "<", "crown", "change the number", "0", "7")
	l.says("Change the plan.", "Question: Zone\n  1: Nape (offered)\n  2: Crown", "Not taken: there is no 9: type a number from 1 to 2", "Question: What changes\n  1: add",
		"What to change. A piece is what is placed at once", "In a form:", "Question: What changes", "Question: Zone\n  1: Nape\n  2: Crown (offered)", "Not taken: 0 is out of bounds", "Logged: Plan changed", "Crown: waiting, 0 of 7 in.")
	l.types("n", "of the nape", "ctrl+p", "esc", "u")
	l.says("Question: About", "Logged: pain or burning", "ALARM: PAIN", "Logged: taken back")
	l.types("mix", "30", "esc", "mix", "")
	l.says("Mix Chalk for the root", "Question: Product, grams", "  30 g Chalk", "Question: Ratio", "Mix Chalk for the root", "Question: Ratio", "Question: To be mixed with")
	require.Equal(t, 7, l.logged(id).State().Zone("z2").Pieces)
}

func TestKeysBySeveralNames(t *testing.T) {
	l, id := atChair(t, nil)
	l.types("SPACE", "next", "f13", "do the next thing", "Undo", "u u", "log", "4")
	require.Equal(t, 4+1, l.logged(id).State().Zone("z1").Done())
	l.heard()
	l.types("zone", "what was", "help", "watch tv", "Z")
	l.says(`"zone" begins "zone finished" and "zone above": type more of it, or the key.`, "What was logged.", "  11 09:00:00", "Keys, each with enter after it:\n  space: do the next thing", "up: zone above",
		`There is no key "watch tv" here`, `There is no key "Z" here`)
}

func TestTheFloorInWords(t *testing.T) {
	d := newDesk(t, nil)
	first, second := d.due("Tove A.", 30), d.due("June L.", 25)
	watch := make(chan store.Watched)
	close(watch) // all comes by hand
	l := d.listen(func(o *tui.Options) { o.Floor, o.Watch = true, watch })
	l.types("1")
	l.show(first, second)
	require.Empty(t, l.heard(), "it is not known yet what is live, so nothing is said of it, and no line is taken")
	l.send(tui.Seen(store.Watched{All: true}))
	l.says("1: June L., ", "; Nape off by 09:25;", "2: Tove A., ", "June L., with Ines.")
	l.types("w", "x of pain")
	l.says("1: June L.", `There is no key "x of pain" here`)
	l.tick(30)
	require.Empty(t, l.heard())
	l.types("again", "2", "w", "9")
	l.says("1: June L.", "2: Tove A.", "Tove A., with Ines.", "1: June L.", "There is no 9 here: the last is 2.")
	l.tick(16 * 60)
	l.says("1: June L., closing: now: Rinse Nape")
}

func TestAnEmptyFloorInWords(t *testing.T) {
	l := newDesk(t, nil).listen(func(o *tui.Options) { o.Floor = true })
	l.says("No service is live.")
}

func TestAReplayInWords(t *testing.T) {
	d := newDesk(t, nil)
	tape := replay.New(ordinary(t))
	l := d.listen(func(o *tui.Options) { o.Store, o.Replay = nil, &tui.Replay{Tape: tape, At: tape.From().Add(time.Hour)} })
	first := l.says("Entry ", "Replay paused, times ")
	require.Equal(t, 1, strings.Count(first, "Entry "), first)
	l.types("e", "e")
	heard := l.heard()
	require.Equal(t, 3, strings.Count(heard, "Entry "), "two are of one moment:\n%s", heard)
	l.types("+ + + +", "space")
	l.tick(30)
	require.Greater(t, strings.Count(l.says("Replay paused, times", "Replay playing, times"), "Entry "), 1)
	l.types("said and came", "F", "j", "+45", "f", "q")
	l.says("Replay: said at", "The end", "How the end was forecast over time.", "  at ", "  it ended at", "Question: Time of day", `There is no key "f" here`)
	require.True(t, l.quit)
}

func TestPracticeInWords(t *testing.T) {
	d := newDesk(t, nil)
	plans, steps, err := template.Builtin()[0].Plans(formula.Starter())
	require.NoError(t, err)
	cmds := []session.Command{session.Do(practice.Opening(steps))}
	for _, p := range plans {
		cmds = append(cmds, session.Do(p))
	}
	live, err := d.st.Create(d.now, "practice", cmds...)
	require.NoError(t, err)
	require.NoError(t, live.Close())
	l := d.listen(func(o *tui.Options) {
		o.Resume, o.Pilot, o.Theme = live.ID, practice.New(formula.Starter(), 1), theme.Pick(true, true, true)
	})
	for range 240 {
		l.pass(15 * time.Second)
		l.send(tui.Tick(l.Read()))
	}
	linesOnly(t, l.says("June L. (invented), with Ines", "Logged: consultation noted", "Logged: ", "Nape", ": applying, 1 of "), true)
	l.types("anything", "q")
	l.says("You have taken over.")
	require.True(t, l.quit)
	l.aloud.Farewell()
	require.Empty(t, l.heard(), "nothing of practice is kept")
}

// linesOnly checks that text is lines as they are promised.
func linesOnly(t require.TestingT, text string, ascii bool) {
	for _, line := range strings.Split(strings.TrimSuffix(text, "\n"), "\n") {
		require.Regexp(t, `^(\d\d:\d\d \S|  \S)`, line)
		require.Equal(t, clean.Text(line[2:]), line[2:])
		for _, r := range line {
			require.False(t, r < ' ' || r >= 0x7f && r < 0xa0 || ascii && r > '~', "%q in %q", r, line)
		}
	}
}

func TestHostileTextIsSaidInPlainLines(t *testing.T) {
	l := &listener{}
	more := rapid.OneOf(rapid.String(), rapid.Just("\uff9e")) // a mark that stands on a blank
	rapid.Check(t, func(r *rapid.T) {
		typed := rapid.SampledFrom(hostile.Samples()).Draw(r, "text").Text + more.Draw(r, "more")
		text := hostile.Name(typed, 150)
		ascii := rapid.Bool().Draw(r, "ascii")
		d := newDesk(t, nil)
		id := d.lives(hostileNames(text), "T"+text, moment(rapid.IntRange(int(opened), int(finished)).Draw(r, "moment")))
		l = d.listen(func(o *tui.Options) {
			o.Resume, o.Stylist, o.Theme = id, text, theme.Pick(true, true, ascii)
		})
		l.types("again", "o", "d", "c", typed, "esc", "n", typed, text, text, "zone above", "w", "again", "?")
		linesOnly(r, l.heard(), ascii)
	})
}
