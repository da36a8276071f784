package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"rinseby/session/card"
	"rinseby/tui/clean"
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
			text, err := cardAs(made, format)
			if err != nil {
				return err
			}
			_, err = e.out.Write(text)
			return err
		},
	}
	c.Flags().StringVar(&format, "format", "md", "md, json or html (a page to look at in a browser or to print)")
	return c
}

// cardAs is a card in a format.
func cardAs(c card.Card, format string) ([]byte, error) {
	switch format {
	case "md":
		return []byte(c.Markdown()), nil
	case "json":
		text, err := c.JSON()
		return clean.JSON(text), err
	case "html":
		return c.HTML()
	}
	return nil, fmt.Errorf("there is no card in format %q: give md, json or html", format)
}
