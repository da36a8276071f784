package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"rinseby/session"
	"rinseby/session/journal"
	"rinseby/tui/clean"
)

// Exit codes of verify.
const (
	exitDamaged = 1
	exitTorn    = 2
)

func (e *edge) verifyCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "verify FILE",
		Short: "Check that a journal is whole",
		Long: "Verify reads a journal and tells whether it is whole (exit code 0), damaged (1, with the line and why)\n" +
			"or has a torn tail, as after a power cut, which is put aside when the service is next opened (2).",
		Args: oneArg,
		RunE: func(_ *cobra.Command, args []string) error { return e.verify(args[0]) },
	}
}

func (e *edge) verify(name string) error {
	path := name
	if st, err := e.store(); err == nil && name != "-" {
		if found, err := st.Find(name); err == nil { // an id
			path = found.Path
		}
	}
	in, err := e.open(path)
	if err != nil {
		return err
	}
	defer in.Close()
	recs, err := journal.Read(in)
	switch {
	case errors.Is(err, journal.ErrTorn):
		return &exitError{exitTorn, fmt.Sprintf("%s: %v", name, err)}
	case err != nil:
		return &exitError{exitDamaged, fmt.Sprintf("%s: %v", name, err)}
	}
	events, err := session.Events(recs)
	if err == nil {
		_, err = session.Fold(events)
	}
	if err != nil {
		return &exitError{exitDamaged, fmt.Sprintf("%s: the lines are whole, but do not make a service: %v", name, err)}
	}
	_, err = fmt.Fprintf(e.out, "%s: whole, %d events\n", clean.Text(name), len(events))
	return err
}
