package main

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"github.com/spf13/cobra"

	"rinseby/session"
	"rinseby/session/store"
	"rinseby/tui/clean"
)

// reactionWords are what a reaction may be called. The first is pain, which has
// no word in the log.
var reactionWords = []string{"burning", string(session.Itching), string(session.Hives), string(session.Emergency), string(session.InEye)}

func (e *edge) reactionCommand() *cobra.Command {
	var what string
	c := &cobra.Command{
		Use:   "reaction SERVICE WORDS",
		Short: "Add to a closed service what the client reported after the visit",
		Long: `Reaction adds to a closed service what its client has reported since: dye allergy and burns can show hours or days
later. SERVICE is the id of a service, or a client's name for that client's last closed one. WORDS, in quotes, say
what it is like and since when. They go on the card. While the service is live, press x at the chair instead.`,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) != 2 {
				return fmt.Errorf("%s takes a service and, in quotes, what was reported: see %[1]s --help", c.CommandPath())
			}
			return e.reaction(args[0], args[1], what)
		},
	}
	c.Flags().StringVar(&what, "what", reactionWords[0], strings.Join(reactionWords, ", "))
	return c
}

func (e *edge) reaction(name, words, what string) (err error) {
	d := session.ReactionNoted{When: session.AskLater, Reaction: session.Reaction(what), Note: words}
	if what == reactionWords[0] {
		d.Reaction = session.Burning
	}
	st, err := e.store()
	if err != nil {
		return err
	}
	entry, err := st.Find(name)
	if errors.Is(err, store.ErrNotFound) || errors.Is(err, fs.ErrNotExist) { // or the client whose last one it is
		if last, ok, found := st.LastOf(name); found == nil && ok {
			entry, err = last, nil
		}
	}
	switch {
	case err != nil:
		return err
	case entry.Live:
		return fmt.Errorf("the service %s is live: report it at the chair (x)", entry.ID)
	}
	now := e.clock.Read()
	live, err := st.Reopen(now, entry.ID, "reaction")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, live.Close()) }()
	if _, err := live.Do(now, session.Do(d)); err != nil {
		return err
	}
	_, err = fmt.Fprintf(e.out, "%s of %s: %s\n", entry.ID, clean.Text(entry.Client), clean.Text(d.Says()))
	return err
}
