package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"rinseby/session/card"
)

func (e *edge) cardCommand() *cobra.Command {
	var format string
	c := &cobra.Command{
		Use:   "card FILE",
		Short: "Print the card of a service",
		Long:  "Card prints the record of a service from its journal. FILE is a journal, or the id of a service in the store.",
		Args:  oneArg,
		RunE: func(_ *cobra.Command, args []string) error {
			log, err := e.service(args[0])
			if err != nil {
				return err
			}
			s := log.State()
			at := s.Closed
			if at.IsZero() {
				at = s.Line.Now(e.clock.Read())
			}
			made := card.Make(log, at, e.place())
			switch format {
			case "json":
				text, err := made.JSON()
				if err != nil {
					return err
				}
				_, err = e.out.Write(text)
				return err
			case "md":
				_, err := fmt.Fprint(e.out, made.Markdown())
				return err
			}
			return fmt.Errorf("there is no card in format %q: give md or json", format)
		},
	}
	c.Flags().StringVar(&format, "format", "md", "md or json")
	return c
}
