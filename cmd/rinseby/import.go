package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"github.com/spf13/cobra"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/journal"
	"rinseby/session/plain"
	"rinseby/session/replay"
	"rinseby/tui/clean"
)

func (e *edge) importCommand() *cobra.Command {
	var toStdout bool
	c := &cobra.Command{
		Use:   "import PLAIN.jsonl",
		Short: "Make a journal of a service written as plain lines",
		Long: `Import reads a service written as plain lines, {"when":RFC 3339,"kind":…,"data":…}, the kinds
and data being those of the journal, and puts its journal into the store. "-" reads from standard
input. session/FORMATS.md lists every kind and field.`,
		Args: oneArg,
		RunE: func(_ *cobra.Command, args []string) error {
			in, err := e.open(args[0])
			if err != nil {
				return err
			}
			defer in.Close()
			log, err := plain.Reader{Latest: e.clock.Read().Wall, Had: e.hadToday, Catalogue: e.ratios()}.Read(in)
			if err != nil {
				return fmt.Errorf("%s: %w", args[0], err)
			}
			return e.keep(log, toStdout)
		},
	}
	c.Flags().BoolVar(&toStdout, "stdout", false, "write the journal to standard output, not into the store")
	return c
}

// ratios is the catalogue. If it is broken, that is said, and what is used
// instead.
func (e *edge) ratios() *formula.Catalogue {
	cat, notice := e.catalogue()
	if notice != nil {
		fmt.Fprintln(e.err, "rinseby:", clean.Text(notice.Error()))
	}
	return cat
}

// hadToday is what the client's hair had in services of the store earlier on
// the day. Services without names can't be told apart, so nothing is said of
// those.
func (e *edge) hadToday(client string, at time.Time) ([]session.HairHad, error) {
	if client == replay.RedactedClient {
		return nil, nil
	}
	st, err := e.store()
	if err != nil {
		return nil, err
	}
	return st.HadToday(client, at.In(e.place()))
}

// keep writes an imported log to where it is wanted.
func (e *edge) keep(log *session.Log, toStdout bool) error {
	recs, err := session.Records(log.Events())
	if err != nil {
		return err
	}
	if toStdout {
		for i := range recs {
			recs[i].Data = clean.JSON(recs[i].Data)
		}
		text, err := journal.Encode(recs)
		if err != nil {
			return err
		}
		_, err = e.out.Write(text)
		return err
	}
	st, err := e.store()
	if err != nil {
		return err
	}
	entry, err := st.Import(recs)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(e.out, entry.Path)
	return err
}

// open opens a file for reading, or standard input for "-".
func (e *edge) open(name string) (io.ReadCloser, error) {
	if name == "-" {
		return io.NopCloser(e.in), nil
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("%s can't be read (%w): check its name and its permissions", name, cause(err))
	}
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, errors.Join(fmt.Errorf("%s is a folder: name a file in it", name), f.Close())
	}
	return f, nil
}
