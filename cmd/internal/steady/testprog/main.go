// Command testprog runs the screens with one live service, and breaks where it
// is told to: its tests look at what is left then. It is given a folder for
// its services.
//
// Keys beside those of the screens: f5 breaks what -breaks names; f6 puts the
// wall clock on by an hour.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"sync/atomic"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/cmd/internal/steady"
	"rinseby/cmd/internal/sysclock"
	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/store"
	"rinseby/session/template"
	"rinseby/timing"
	"rinseby/tui"
	"rinseby/tui/keys"
	"rinseby/tui/theme"
)

// secret is what no crash file may hold: the client, who is invented.
const secret = "Tove A."

// A clock is the machine's, with a wall clock that can be set.
type clock struct {
	*sysclock.Clock
	ahead atomic.Int64
}

func (c *clock) Read() timing.Reading {
	r := c.Clock.Read()
	r.Wall = r.Wall.Add(time.Duration(c.ahead.Load()))
	return r
}

// A breaker is the model, which breaks.
type breaker struct {
	tea.Model
	where string
	now   bool          // it breaks as soon as it is drawn
	free  chan struct{} // closed when goroutines are to break
	clock *clock
}

// Update implements [tea.Model].
func (b *breaker) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	_, cmd := b.Model.Update(msg)
	k, ok := msg.(tea.KeyMsg)
	switch {
	case !ok:
	case k.Type == tea.KeyF6:
		b.clock.ahead.Add(int64(time.Hour))
	case k.Type == tea.KeyF5:
		return b, tea.Batch(cmd, b.fail())
	}
	return b, cmd
}

// fail breaks.
func (b *breaker) fail() tea.Cmd {
	broken := func() tea.Msg { panic(secret) }
	switch b.where {
	case "update":
		panic(secret)
	case "view":
		b.now = true
	case "command":
		return broken
	case "batch":
		return tea.Batch(func() tea.Msg { return nil }, broken)
	case "hang":
		select {}
	default:
		close(b.free)
	}
	return nil
}

// View implements [tea.Model].
func (b *breaker) View() string {
	if b.now {
		panic(errors.New(secret))
	}
	return b.Model.View()
}

// A reader breaks when it is freed.
type reader struct{ free chan struct{} }

func (r reader) Read([]byte) (int, error) {
	<-r.free
	panic(secret)
}

// run runs the screens. Unguarded, nothing of what is tried is there.
func run(dir, where string, guarded bool, patience time.Duration) error {
	r := steady.New()
	r.Patience = patience
	defer r.Close()
	free := make(chan struct{})
	c := &clock{Clock: sysclock.New()}
	st, err := store.Open(dir)
	if err != nil {
		return err
	}
	o := tui.Options{
		Clock: c, Place: time.UTC, Store: st, Catalogue: formula.Starter(), Lists: template.Builtin(),
		Theme: theme.Mono(), Keys: keys.Default(""), Stylist: "Ines",
	}
	if o.Resume, err = seated(st, c); err != nil {
		return err
	}
	start := r.Go
	if !guarded {
		r.Close()
		start = func(f func()) { go f() }
	}
	if where == "alert" {
		o.Alert = func(tui.Alert) tea.Cmd { return func() tea.Msg { panic(secret) } }
	}
	watch := start
	if where == "watcher" {
		watch = func(f func()) { start(func() { <-free; panic(secret) }) }
	}
	if o.Watch, err = st.Watch(context.Background(), store.WatchOptions{Go: watch}); err != nil {
		return err
	}
	app := tui.New(o)
	b := &breaker{Model: app, where: where, free: free, clock: c}
	if where == "reader" {
		aloud := tui.NewAloud(app, io.Discard)
		start(func() { aloud.Listen(reader{free}, r.Send) })
	}
	if !guarded {
		_, err = tea.NewProgram(b, tea.WithAltScreen()).Run()
		return err
	}
	return errors.Join(r.Run(b, app.Close, tea.WithAltScreen()), app.Err())
}

// seated makes the live service, unless there is one.
func seated(st *store.Store, c timing.Clock) (string, error) {
	live, err := st.Create(c.Read(), "test", session.Do(session.ServiceOpened{Client: secret}), session.Do(session.ConsultationNoted{}))
	if err != nil {
		return "", err
	}
	return live.ID, live.Close()
}

func main() {
	where := flag.String("breaks", "", "what f5 breaks")
	guarded := flag.Bool("guarded", true, "whether that is guarded against")
	patience := flag.Duration("patience", time.Minute, "how long it may take to leave")
	flag.Parse()
	dir := flag.Arg(0)
	err := run(dir, *where, *guarded, *patience)
	var crash *steady.Crash
	var ended *steady.Ended
	switch {
	case err == nil:
		return
	case errors.As(err, &crash):
		path, kept := crash.Keep(dir, time.Now())
		fmt.Fprintln(os.Stderr, crash, "see", path, kept)
		os.Exit(1)
	case errors.As(err, &ended):
		fmt.Fprintln(os.Stderr, err)
		os.Exit(ended.Code)
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}
