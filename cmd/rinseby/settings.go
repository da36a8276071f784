package main

import (
	"fmt"
	"io"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"rinseby/cmd/internal/settings"
	"rinseby/tui/clean"
)

// givenSettings are the settings that were given as flags, by name.
func givenSettings(c *cobra.Command) map[string]string {
	given := map[string]string{}
	for _, name := range []string{"stylist", "station", "plain"} {
		if f := c.Flags().Lookup(name); f != nil && f.Changed {
			given[name] = f.Value.String()
		}
	}
	return given
}

// settingsShown is what settings --format json prints.
type settingsShown struct {
	File     string         `json:"file"`
	Found    bool           `json:"found"`
	Settings []settings.Row `json:"settings"`
	Problems []string       `json:"problems"`
}

func (e *edge) settingsCommand() *cobra.Command {
	var empty bool
	var format string
	c := &cobra.Command{
		Use:   "settings",
		Short: "Show what rinseby is set to, and where each setting is from",
		Long: `Settings prints each setting, its value and where it is from. A flag goes before the environment, the environment
before settings.toml in the configuration folder, that before the default. In the environment the name is in capitals
behind RINSEBY_, as RINSEBY_THEME; NO_COLOR, TERM=dumb, COLORFGBG and the locale count as everywhere. What is wrong is
told, counts as not set, and makes the exit code 1; the chair opens all the same, and says so.`,
		Args: noArg,
		RunE: func(*cobra.Command, []string) error {
			if empty {
				_, err := io.WriteString(e.out, settings.File())
				return err
			}
			switch format {
			case "text":
				return e.printSettings()
			case "json":
				return e.encodeSettings()
			}
			return fmt.Errorf("there are no settings in format %q: give text or json", format)
		},
	}
	c.Flags().BoolVar(&empty, "print", false, "print a settings.toml with every setting, its default and what it is for")
	c.Flags().StringVar(&format, "format", "text", "text or json")
	return c
}

func (e *edge) printSettings() error {
	l := e.settings()
	w := tabwriter.NewWriter(e.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "setting\tvalue\tfrom")
	for _, r := range l.Rows() {
		value, from := clean.Text(r.TOML()), clean.Text(r.From)
		if r.Means != "" {
			value += " (" + r.Means + ")"
		}
		if r.By != "" {
			from += ", by " + r.By
		}
		fmt.Fprintf(w, "%s\t%s\t%s\n", r.Name, value, from)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	said := "file: " + clean.Text(l.File)
	if !l.Found {
		said += " (not there; rinseby settings --print writes one to begin with)"
	}
	if _, err := fmt.Fprintln(e.out, said); err != nil {
		return err
	}
	return e.wrongSettings()
}

func (e *edge) encodeSettings() error {
	l := e.settings()
	shown := settingsShown{File: l.File, Found: l.Found, Settings: l.Rows(), Problems: []string{}}
	for _, p := range l.Problems {
		shown.Problems = append(shown.Problems, p.Error())
	}
	if err := e.encode(shown); err != nil {
		return err
	}
	return e.wrongSettings()
}

// wrongSettings tells what is wrong with the settings.
func (e *edge) wrongSettings() error {
	l := e.settings()
	for _, p := range l.Problems {
		fmt.Fprintln(e.err, "rinseby:", p)
	}
	if len(l.Problems) > 0 {
		return &exitError{code: 1}
	}
	return nil
}
