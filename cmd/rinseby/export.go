package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/spf13/cobra"

	"rinseby/session/replay"
)

func (e *edge) exportCommand() *cobra.Command {
	var redact bool
	var out string
	c := &cobra.Command{
		Use:   "export FILE --redact",
		Short: "Write a service without names, to hand out",
		Long: `Export writes a service as plain lines that tell of its work and of nobody: without names, ids, notes and answers
about health, and on an invented day. rinseby import reads it again, with the same exposures. Standing alone it is
meant for teaching; who knows the salon may still know the service by its minutes. FILE is a journal, or the id of a
service in the store. session/FORMATS.md lists what is kept.`,
		Args: oneArg,
		RunE: func(_ *cobra.Command, args []string) error {
			if !redact {
				return errors.New("a service holds names and answers about health, so that it is only exported without them: give --redact")
			}
			return e.export(args[0], out)
		},
	}
	c.Flags().BoolVar(&redact, "redact", false, "take names, notes, answers about health and the day out; needed")
	c.Flags().StringVarP(&out, "output", "o", "", "file to write, which must not be there yet (default: standard output)")
	return c
}

func (e *edge) export(name, out string) error {
	log, err := e.service(name)
	if err != nil {
		return err
	}
	text, err := replay.Redact(log)
	if err != nil {
		return err
	}
	if out == "" {
		_, err = e.out.Write(text)
		return err
	}
	f, err := os.OpenFile(out, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already: name a new file", out)
	}
	if err != nil {
		return fmt.Errorf("%s can't be written (%w): check the folder and its permissions", out, cause(err))
	}
	if _, err = f.Write(text); err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return fmt.Errorf("%s could not be written whole (%w): take it away, free some space and try again", out, cause(err))
	}
	return nil
}
