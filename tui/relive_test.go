package tui_test

import (
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/plain"
	"rinseby/session/replay"
	"rinseby/tui"
	"rinseby/tui/theme"
)

var update = flag.Bool("update", false, "write the golden files anew")

// ordinary is the invented ordinary day.
func ordinary(t testing.TB) *session.Log {
	f, err := os.Open("../testdata/ordinary-day.jsonl")
	require.NoError(t, err)
	defer f.Close()
	l, err := plain.Read(f, time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC))
	require.NoError(t, err)
	return l
}

// relive opens the replay of a log at a moment after its opening.
func relive(t testing.TB, l *session.Log, after time.Duration, change func(*tui.Options)) *desk {
	tape := replay.New(l)
	return newDesk(t, func(o *tui.Options) {
		o.Store = nil // it is not used
		o.Replay = &tui.Replay{Tape: tape, At: tape.From().Add(after)}
		if change != nil {
			change(o)
		}
	})
}

func (d *desk) size(w, h int) { d.send(tea.WindowSizeMsg{Width: w, Height: h}) }

// tick lets so much time pass and tells the program.
func (d *desk) tick(by time.Duration) {
	d.pass(by)
	d.send(tui.Tick(d.Read()))
}

func TestReplayGoldens(t *testing.T) {
	l := ordinary(t)
	for _, minutes := range []int{0, 35, 90, 150, 238} {
		d := relive(t, l, time.Duration(minutes)*time.Minute, nil)
		for _, size := range []struct{ w, h int }{{80, 24}, {120, 40}} {
			d.size(size.w, size.h)
			file := filepath.Join("testdata", fmt.Sprintf("replay-minute%03d-%dx%d.golden", minutes, size.w, size.h))
			got := d.app.View() + "\n"
			if *update {
				require.NoError(t, os.MkdirAll("testdata", 0o755))
				require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
			}
			want, err := os.ReadFile(file)
			require.NoError(t, err)
			require.Equal(t, string(want), got, file)
		}
	}
}

// straight is the board of a moment from a straight fold of what was recorded
// by then, with the plan that the chair asked for last.
func straight(t require.TestingT, l *session.Log, at time.Time) session.Board {
	then, err := l.Until(at)
	require.NoError(t, err)
	s := then.State()
	recorded := then.Events()[len(then.Events())-1].Recorded
	last := s.Line.Now(recorded)
	b := session.Look(s, at, func(m time.Time) string { return recorded.Wall.Add(m.Sub(last)).UTC().Format("15:04") })
	const turn = 20 * time.Second
	if q, ok := s.AskTrips(last.Add(at.Sub(last)/turn*turn), s.Pace()); ok && s.Live() {
		plan, err := q.Answer(nil)
		require.NoError(t, err)
		b.Follow(s, plan)
	}
	return b
}

func requireSame(t require.TestingT, want, got session.Board, way []string) {
	require.Equal(t, want.Now, got.Now, way)
	require.Equal(t, want.Next, got.Next, way)
	require.Equal(t, want.OffBy, got.OffBy, way)
	require.Equal(t, want.Zones, got.Zones, way)
	require.Equal(t, want.Bowls, got.Bowls, way)
	require.Equal(t, want.Warnings, got.Warnings, way)
	require.Equal(t, want.Pain, got.Pain, way)
	require.Equal(t, want.Plan, got.Plan, way)
	require.Equal(t, want.Pace, got.Pace, way)
	require.Equal(t, want.AllInAt, got.AllInAt, way)
}

// bent is a log with what makes a log bend: an entry that was put earlier, one
// that was taken back, one that was moved, a wall clock that was moved, and a
// restart after which somebody said how long the machine was off.
func bent(t testing.TB) *session.Log {
	day := ordinary(t).Events()
	l, err := session.Fold(day[:60])
	require.NoError(t, err)
	at := day[59].Recorded
	at.Boot, at.BootID = time.Hour, "a"
	do := func(after time.Duration, cmds ...session.Command) {
		at.Wall, at.Boot = at.Wall.Add(after), at.Boot+after
		_, err := l.Commit(at, cmds...)
		require.NoError(t, err)
	}
	do(time.Minute, session.Do(session.NoteAdded{Text: "another boot"}))
	do(2*time.Minute, session.DoAt(at.Wall.Add(-time.Minute), session.NoteAdded{Text: "late"}))
	do(time.Minute, session.Do(session.PauseBegan{}))
	undo, _, ok := l.Undo()
	require.True(t, ok)
	do(30*time.Second, undo)
	do(time.Minute, session.Do(session.EventMoved{Seq: 62, To: at.Wall.Add(-4 * time.Minute)}))
	at.Wall = at.Wall.Add(time.Hour)
	do(time.Minute, session.Do(session.ClockNoted{What: session.ClockStepped, StepS: 3600}))
	at.Boot, at.BootID = time.Minute, "b"
	do(5*time.Minute, session.Do(session.ClockNoted{What: session.ClockRestarted}))
	do(time.Minute, session.Do(session.ClockNoted{What: session.ClockConfirmed, Gap: len(l.Events()), ShiftS: 120}))
	do(3*time.Minute, session.Do(session.NoteAdded{Text: "on it goes"}))
	return l
}

// Whatever is pressed, and however fast it plays, the board is that of its
// moment, and the screen is that of a replay which was opened there.
func TestReplayShowsWhatAStraightFoldGives(t *testing.T) {
	for name, l := range map[string]*session.Log{"ordinary": ordinary(t), "bent": bent(t)} {
		t.Run(name, func(t *testing.T) { walk(t, l) })
	}
}

// walk presses keys at random, and compares.
func walk(t *testing.T, l *session.Log) {
	tape := replay.New(l)
	d := relive(t, l, 0, nil)
	keys := []string{"space", "space", ">", "<", "+", "-", "right", "left", "shift+right", "shift+left", "pgdown", "pgup", "home", "end", "e", "E", "w", "W", "r", "R"}
	last := func(view string) string { // what does not answer the last key or tell how it plays
		var kept []string
		for line := range strings.Lines(view) {
			if !strings.Contains(line, "REPLAY") {
				kept = append(kept, line)
			}
		}
		return strings.Join(kept, "")
	}
	r := rand.New(rand.NewPCG(1, 2))
	for walk := range 20 { // plans and forecasts take their time
		var way []string
		d.hold = true
		for range 1 + r.IntN(8) {
			key, passes := keys[r.IntN(len(keys))], time.Duration(r.Int64N(int64(20*time.Second)))
			way = append(way, key, passes.String())
			d.press(key)
			d.tick(passes)
		}
		d.release()
		b := d.app.Board()
		require.False(t, b.Now.Before(tape.From()) || b.Now.After(tape.To()), way)
		requireSame(t, straight(t, l, b.Now), b, way)
		if walk%10 > 0 {
			continue
		}
		d.press("f") // says the same at both
		now := d.app.Board().Now
		fresh := relive(t, l, now.Sub(tape.From()), nil)
		fresh.press("f")
		require.Equal(t, last(fresh.view()), last(d.view()), way)
	}
}

func TestReplayPlaysByTheClock(t *testing.T) {
	d := relive(t, ordinary(t), time.Hour, nil)
	d.sees("REPLAY paused")
	d.sees("10:00:00  1:00:00 of 3:58:00")
	d.tick(time.Minute)
	d.sees("10:00:00")
	d.press("space")
	for range 10 {
		d.tick(100 * time.Millisecond)
	}
	d.sees("REPLAY playing")
	d.sees("10:01:00")
	d.press("+", "+", "+")
	d.sees("×600")
	d.press("+")
	d.sees("There is nothing faster.")
	d.tick(6 * time.Second)
	d.sees("11:01:00")
	d.press("<")
	d.tick(3 * time.Second)
	d.sees("REPLAY playing back")
	d.sees("10:31:00")
	d.tick(time.Hour)
	d.sees("REPLAY at the start")
	d.press(">")
	d.tick(48 * time.Hour)
	d.sees("REPLAY at the end")
	d.press("right", "pgdown", "e", "w", "r")
	d.sees("No rinse comes after this.")
	d.sees("3:58:00 of 3:58:00")
	for range 12 {
		d.press("-")
	}
	d.sees("×1 ")
	d.sees("There is nothing slower.")
}

func TestReplaySteps(t *testing.T) {
	l := ordinary(t)
	d := relive(t, l, 0, nil)
	seen := 1
	d.hold = true // what is worked out beside it is of no matter here
	for d.press("e"); !strings.Contains(d.view(), "No entry comes after"); d.press("e") {
		seen++
	}
	d.sees(fmt.Sprintf("%d/%[1]d ", len(l.Events())))
	require.Greater(t, seen, 50, "entries of one moment are one step")
	d.press("R")
	d.sees("12:")
	d.press("home", "r")
	d.sees("rinsed clean: Nape left")
	d.press("W")
	d.sees("warned: ")
	d.press("home", "W")
	d.sees("No new warning comes before this.")
}

// Whatever logs at the chair is refused, and the log stays as it is.
func TestReplayLogsNothing(t *testing.T) {
	l := ordinary(t)
	n := len(l.Events())
	d := relive(t, l, time.Hour, nil)
	for _, k := range []string{"u", "U", "x", "f", "p", "a", "m", "c", "k", "g", "t", "z", "s", "h", "v", "y", "b"} {
		d.press("home", "right") // another answer
		d.press(k)
		d.sees("This is a replay: nothing is logged.")
	}
	d.send(tea.KeyMsg{Type: tea.KeyCtrlP})
	d.sees("This is a replay: nothing is logged.")
	require.Len(t, l.Events(), n)
	d.press("q")
	require.True(t, d.quit)
}

func TestReplayGoesToATime(t *testing.T) {
	d := relive(t, ordinary(t), time.Hour, nil)
	for typed, sees := range map[string]string{
		"10:42": "10:42:00", "+45": "09:45:00", "+1:30": "10:30:00", "23:00": "REPLAY at the end", "9:00": "REPLAY at the start",
	} {
		d.press("j")
		d.sees("Replay: go to a time")
		d.press(strings.Split(typed, "")...)
		d.press("enter")
		d.sees(sees)
	}
	d.press("j", "x", "enter")
	d.sees("type a time of day, as 09:00")
}

func TestReplayMarks(t *testing.T) {
	var kept []replay.Mark
	var refuse error
	l := ordinary(t)
	tape := replay.New(l)
	d := relive(t, l, time.Hour, func(o *tui.Options) {
		o.Replay.Marks = []replay.Mark{{At: tape.From().Add(90 * time.Minute), Text: "late \x1b[2J\u202e here"}}
		o.Replay.Keep = func(all []replay.Mark) error {
			kept = all
			return refuse
		}
	})
	d.press("n")
	d.sees("Replay: mark 10:00:00")
	d.press("w", "h", "y", "enter")
	d.sees("Marked. Marks are kept beside the log, never in it.")
	require.Equal(t, []replay.Mark{{At: tape.From().Add(time.Hour), Text: "why"}, {At: tape.From().Add(90 * time.Minute), Text: "late \x1b[2J\u202e here"}}, kept)
	d.press("N")
	d.sees("10:00:00 why")
	d.sees("10:30:00 late here")
	d.press("down", "enter")
	d.sees("10:30:00  1:30:00 of 3:58:00")
	refuse = errors.New("the disk is full")
	d.press("n", "enter")
	d.sees("NOT KEPT: the disk is full")
	require.Len(t, l.Events(), tape.Len())
}

func TestReplaySaysWhatWasSaidAndWhatCame(t *testing.T) {
	d := relive(t, ordinary(t), 65*time.Minute, nil)
	d.size(120, 40)
	d.press("space", "l")
	d.sees("Replay: said at 10:05, and what came")
	d.sees("came: closed at 12:58")
	d.sees("came: at 10:14 with Back left")
	d.sees("Back left: planned off 10:15; forecast ")
	d.sees("came 10:19, 4 min later than planned")
	d.sees("drying: forecast over ")
	d.press("esc")
	d.tick(time.Minute)
	d.sees("REPLAY paused") // a page stops it
	d.press("end", "l")
	d.sees("said: nothing, for the service was over")
}

func TestReplayForecastsOverTime(t *testing.T) {
	d := relive(t, ordinary(t), 65*time.Minute, nil)
	d.size(80, 24)
	d.press("F")
	d.sees("the end as it was forecast")
	d.sees("; ended 12:58")
	d.sees("12:58│══")
	require.NotContains(t, d.view(), "working it out")
	d.press("esc", "home", "F")
	d.sees("at 09:00 nothing could be said")
}

func TestReplayBesideAnother(t *testing.T) {
	l := ordinary(t)
	d := relive(t, l, time.Hour, nil)
	d.press("C")
	d.sees("give one with --beside")
	d = relive(t, l, time.Hour, func(o *tui.Options) { o.Replay.Beside = replay.New(l) })
	d.size(120, 40)
	d.press("C")
	d.sees("Replay: beside another service")
	d.sees("Nape left")
}

func TestReplayHelpNamesItsKeys(t *testing.T) {
	d := relive(t, ordinary(t), 0, nil)
	d.size(80, 60)
	d.press("?")
	for _, k := range []string{"next warning", "play backwards", "forecasts over time", "What the timeline shows"} {
		d.sees(k)
	}
	require.NotContains(t, d.view(), "bring back")
}

// Names, notes and marks of any kind leave the screen in order at any size.
func TestReplayOfHostileTextFits(t *testing.T) {
	evil := "\x1b[2J\x1b]0;x\a\u202e" + strings.Repeat("名e\u0301\u0302\u0303", 8) + "\r\n\t"
	l := &session.Log{}
	d := newDesk(t, nil)
	at := d.Read()
	for _, data := range []session.Data{
		session.ServiceOpened{Service: "x1", Client: evil, Stylist: evil, Station: evil}, session.NoteAdded{Text: evil}, session.HelperJoined{Name: evil},
		session.NoteAdded{Text: "\u2066 x"},
	} {
		at.Wall, at.Boot = at.Wall.Add(time.Minute), at.Boot+time.Minute
		_, err := l.Commit(at, session.Do(data))
		require.NoError(t, err)
	}
	tape := replay.New(l)
	for name, th := range map[string]*theme.Theme{"mono": theme.Mono(), "dark": theme.Dark(), "ascii": theme.Pick(true, false, true)} {
		d := relive(t, l, 0, func(o *tui.Options) {
			o.Theme = th
			o.Replay.Marks = []replay.Mark{{At: tape.From().Add(time.Minute), Text: evil}}
		})
		rapid.Check(t, func(rt *rapid.T) {
			w, h := rapid.IntRange(20, 200).Draw(rt, "w"), rapid.IntRange(5, 60).Draw(rt, "h")
			d.size(w, h)
			d.press(rapid.SampledFrom([]string{"e", "E", "N", "?", "l", "o", "d", "F", "j", "esc", "space", "end", "esc"}).Draw(rt, "key"))
			view := d.app.View()
			lines := strings.Split(view, "\n")
			require.LessOrEqual(rt, len(lines), h, name)
			for _, line := range lines {
				require.LessOrEqual(rt, ansi.StringWidth(line), w, "%s: %q", name, line)
			}
			require.False(rt, strings.ContainsAny(ansi.Strip(view), "\x1b\a\r\t\u202e\u2066"), "%q", view)
			if th.ASCII {
				require.False(rt, strings.ContainsFunc(view, func(r rune) bool { return r > 126 }), "%q", view)
			}
		})
	}
}

// long is a log of so many entries: notes among those of the ordinary day.
func long(t testing.TB, entries int) *session.Log {
	day := ordinary(t).Events()
	l, err := session.Fold(day[:60]) // with much of it on the hair
	require.NoError(t, err)
	at := day[59].Recorded
	for len(l.Events()) < entries {
		at.Wall = at.Wall.Add(time.Second)
		if at.BootID != "" {
			at.Boot += time.Second
		}
		_, err := l.Commit(at, session.Do(session.NoteAdded{Text: fmt.Sprintf("note %d", len(l.Events()))}))
		require.NoError(t, err)
	}
	return l
}

// BenchmarkReplayScrub is one scrub in a log of 5,000 entries, up to what is on
// the screen: with the key at once, and settled with the plan and the forecast,
// which are worked out beside it, as well.
func BenchmarkReplayScrub(b *testing.B) {
	l := long(b, 5000)
	for _, keys := range [][]string{{"left"}, {"shift+left"}, {"E"}, {"home", "pgdown", "pgdown", "shift+left", "end", "pgup", "left", "pgup"}} {
		for name, hold := range map[string]bool{"at once": true, "settled": false} {
			b.Run(strings.Join(keys, "-")+"/"+name, func(b *testing.B) {
				d := relive(b, l, 2*time.Hour, nil)
				d.size(120, 40)
				d.hold = hold
				i := 0
				for b.Loop() {
					d.press(keys[i%len(keys)])
					_ = d.app.View()
					i++
				}
			})
		}
	}
}

func TestReplayWhatIf(t *testing.T) {
	d := relive(t, ordinary(t), 62*time.Minute, nil)
	d.size(120, 40)
	d.press("i")
	d.sees("Replay: what if, from 10:02 on")
	d.press("ctrl+s")
	d.sees(replay.Computed)
	d.sees("rinse Nape right now")
	d.press("esc", "i", "down", "enter", "enter", "1", "0", " ", "v", "o", "l", "enter")
	d.sees("Crown with 10 vol from now on")
	d.press("esc", "i", "down", "enter", "enter", "1", "2", " ", "%", "enter") // stronger
	d.sees("That can't be tried: ")
	d.press("esc", "i", "down", "down", "ctrl+s")
	d.sees("a helper for 30 min from now")
	d.press("esc", "end", "i")
	d.sees("nothing to do otherwise here")
}

// One who is asked sees no advice, answers, and is told what was done, what the
// planner would have done and what each led to; at the end comes the score.
func TestReplayAsks(t *testing.T) {
	l := ordinary(t)
	d := relive(t, l, 0, nil)
	d.size(120, 40)
	d.press("A")
	d.sees("Replay: you are asked")
	d.sees("Question 1 of")
	d.press("esc")
	d.sees("WHAT NOW?")
	require.NotContains(t, d.view(), "plan:")
	d.press(">", "+", "+", "+")
	for range 60 { // it stops by itself
		d.tick(10 * time.Second)
	}
	d.sees("Replay: you are asked")
	d.sees("Question 2 of")
	d.press("enter")
	d.sees("You: ")
	d.sees("(what was done)")
	d.sees("So far: ")
	d.press("esc")
	for n := 0; !strings.Contains(d.view(), "Replay: your score"); n++ {
		require.Less(t, n, 100)
		d.press("A")
		if strings.Contains(d.view(), "Replay: you are asked") {
			d.press("down", "enter", "esc")
		}
	}
	d.sees("Not answered: 1.")
	d.sees("Trips to the basin: ")
	d.sees("house rule")
	d.press("esc")
	require.NotContains(t, d.view(), "WHAT NOW?")
	d.press("home", "A") // again those that were passed
	d.sees("Question 1 of")
	d.press("esc", "esc")
	d.sees("Replay: your score")
	require.Len(t, l.Events(), 118)
}
