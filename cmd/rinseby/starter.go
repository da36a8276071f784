package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"rinseby/session/formula"
	"rinseby/session/template"
)

func (e *edge) starterCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "starter [ZONE LIST]",
		Short: "Print the starter catalogue, or a built-in zone list, to make your own from",
		Long: "Starter prints the catalogue that rinseby starts with, or the built-in zone list with the name. Save it as\n" +
			"catalogue.toml, or below zones, in the configuration folder, and put your own products and their makers'\n" +
			"figures in the place of the invented ones.",
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				_, err := fmt.Fprint(e.out, formula.StarterText())
				return err
			}
			name := strings.Join(args, " ")
			var names []string
			for _, l := range template.Builtin() {
				if strings.EqualFold(l.Name, name) {
					_, err := fmt.Fprint(e.out, l.Text)
					return err
				}
				names = append(names, l.Name)
			}
			return fmt.Errorf("there is no built-in zone list %q: there are %s", name, strings.Join(names, ", "))
		},
	}
}
