package main

import (
	"fmt"
	"reflect"

	"github.com/spf13/cobra"

	"rinseby/session/replay"
)

func (e *edge) compareCommand() *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "compare A B",
		Short: "Put two services side by side",
		Long: `Compare prints two services of one zone list side by side: minutes per piece, exposures, trips, warnings and grams.
From different zone lists it says so, and puts zones of one name side by side. A and B are journals, or ids of services
in the store. session/FORMATS.md lists every field.`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) != 2 {
				return fmt.Errorf("%s takes the names of two files, not %d: see %[1]s --help", c.CommandPath(), len(args))
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error {
			format := "text"
			if asJSON {
				format = "json"
			}
			return e.compare(args[0], args[1], format)
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print as JSON")
	return c
}

func (e *edge) compare(a, b, format string) error {
	var tapes [2]*replay.Tape
	for i, name := range []string{a, b} {
		log, err := e.service(name)
		if err != nil {
			return err
		}
		tapes[i] = replay.New(log).In(e.place())
	}
	c, err := replay.Compare(tapes[0], tapes[1])
	if err != nil {
		return err
	}
	cleanAll(reflect.ValueOf(c).Elem())
	return e.report(c, c.Sections, format)
}
