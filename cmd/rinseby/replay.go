package main

import (
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"rinseby/session"
	"rinseby/session/replay"
	"rinseby/tui"
)

func (e *edge) replayCommand() *cobra.Command {
	var at time.Duration
	var beside string
	c := &cobra.Command{
		Use:   "replay FILE",
		Short: "Relive a logged service on the screens that the stylist had",
		Long: `Replay shows a logged service on the very screens that the stylist had, at any moment of it and at any speed, with a
timeline of its warnings and trips; what the plan and the forecast said at a moment beside what came; and how the end
was forecast over time. FILE is a journal, or the id of a service in the store. Nothing is logged: the journal is only
read. Marks and notes are kept beside it, in a file of its name that ends in .marks.jsonl; those of a service in the
store, in the store's folder marks.`,
		Args: oneArg,
		RunE: func(c *cobra.Command, args []string) error { return e.replay(args[0], beside, at) },
	}
	c.Flags().DurationVar(&at, "at", 0, "how long after the opening to begin, as 45m or 1h30m")
	c.Flags().StringVar(&beside, "beside", "", "another journal, or the id of a service, to put it side by side with")
	return c
}

// replay relives a service.
func (e *edge) replay(name, beside string, at time.Duration) error {
	if at < 0 {
		return fmt.Errorf("--at %s: give a time from the opening on, as 45m", at)
	}
	st, err := e.store()
	if err != nil {
		return err
	}
	entry, err := st.Find(name)
	if err != nil {
		return err
	}
	l, err := st.Read(entry.Path)
	if err != nil {
		return err
	}
	tape := replay.New(l).In(e.place())
	marks := marksOf(st, entry.Path)
	quiet := *e            // as it is before the screens run beside it
	quiet.err = io.Discard // the screen is drawn on
	r := &tui.Replay{
		Tape: tape, At: tape.From().Add(at),
		Past: func() (session.Usuals, []session.UsedBowl, error) { return quiet.before(l) },
		Keep: func(all []replay.Mark) error { return writeMarks(marks, all) },
	}
	if r.Marks, err = readMarks(marks); err != nil {
		return err
	}
	if beside != "" {
		other, err := st.Read(beside)
		if err != nil {
			return err
		}
		r.Beside = replay.New(other).In(e.place())
	}
	o := e.options()
	o.Store, o.Replay, o.Alert, o.Tick = st, r, nil, replayTick
	return e.screens(o)
}

// replayTick is how often a replay that plays moves on.
const replayTick = 100 * time.Millisecond

// before is what was known of the stylist when the service was opened.
func (e *edge) before(l *session.Log) (session.Usuals, []session.UsedBowl, error) {
	st, err := e.store()
	if err != nil {
		return session.Usuals{}, nil, err
	}
	s := l.State()
	past, err := e.closedBy(st, e.dataDir(), s.Stylist, s.Service, s.Opened)
	if err != nil {
		return session.Usuals{}, nil, err
	}
	var used []session.UsedBowl
	for _, p := range past {
		if !p.State().Invented {
			used = append(used, p.State().UsedBowls()...)
		}
	}
	u, err := learned(past)
	return u, used, err
}
