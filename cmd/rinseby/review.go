package main

import (
	"fmt"
	"io"
	"reflect"
	"regexp"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"rinseby/session/replay"
	"rinseby/tui/clean"
)

func (e *edge) reviewCommand() *cobra.Command {
	var format, history string
	var asJSON bool
	c := &cobra.Command{
		Use:   "review FILE",
		Short: "Tell what there is to learn from a service",
		Long: `Review prints what a service tells afterwards: limits and openings that were not kept, to the second; every coat
against its window; trips to the basin, with what the plan said before each; warnings, with when they were seen and
acknowledged; what was said of the end, and what came; and bowls. FILE is a journal, or the id of a service in the
store. The plans of the trips are made anew, which takes up to a second for each. session/FORMATS.md lists every field.`,
		Args: oneArg,
		RunE: func(c *cobra.Command, args []string) error {
			if asJSON {
				if c.Flags().Changed("format") && format != "json" {
					return fmt.Errorf("--json and --format %s can't both be: leave one out", format)
				}
				format = "json"
			}
			return e.review(args[0], format, history)
		},
	}
	c.Flags().StringVar(&format, "format", "text", "text, md or json")
	c.Flags().BoolVar(&asJSON, "json", false, "the same as --format json")
	c.Flags().StringVar(&history, "history", "", "data folder, or folder of journals, with the closed services that forecasts learn from (default: those of the store)")
	return c
}

func (e *edge) review(name, format, history string) error {
	if err := known(format); err != nil {
		return err
	}
	log, err := e.service(name)
	if err != nil {
		return err
	}
	s := log.State()
	stylist := e.stylist
	if stylist == "" {
		stylist = s.Stylist
	}
	usuals, err := e.usuals(history, stylist, s.Service, s.Opened)
	if err != nil {
		return err
	}
	f, err := replay.Review(replay.New(log).In(e.place()), usuals)
	if err != nil {
		return err
	}
	cleanAll(reflect.ValueOf(f).Elem())
	return e.report(f, f.Sections, format)
}

// known refuses what is no format of a report.
func known(format string) error {
	switch format {
	case "text", "md", "json":
		return nil
	}
	return fmt.Errorf("there is no report in format %q: give text, md or json", format)
}

// report prints a report that is clean.
func (e *edge) report(report any, sections func() []replay.Section, format string) error {
	switch format {
	case "json":
		return e.encode(report)
	case "md":
		_, err := io.WriteString(e.out, markdown(sections()))
		return err
	}
	var b strings.Builder
	for i, s := range sections() {
		if i > 0 {
			b.WriteByte('\n')
		}
		fmt.Fprintln(&b, s.Title)
		for _, l := range s.Lines {
			fmt.Fprintln(&b, "  "+l)
		}
	}
	_, err := io.WriteString(e.out, b.String())
	return err
}

// cleanAll makes every text of a report safe to show, at the edge where it
// leaves the program.
func cleanAll(v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		v.SetString(clean.Text(v.String()))
	case reflect.Pointer:
		if !v.IsNil() {
			cleanAll(v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			cleanAll(v.Index(i))
		}
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[time.Time]() {
			return
		}
		for i := range v.NumField() {
			cleanAll(v.Field(i))
		}
	}
}

// markdown is a report as a list below a heading for each of its sections.
func markdown(sections []replay.Section) string {
	var b strings.Builder
	for i, s := range sections {
		mark := "##"
		if i == 0 {
			mark = "#"
		} else {
			b.WriteByte('\n')
		}
		fmt.Fprintf(&b, "%s %s\n\n", mark, escapeMarkdown(s.Title))
		for _, l := range s.Lines {
			text := strings.TrimLeft(l, " ")
			fmt.Fprintf(&b, "%s- %s\n", l[:len(l)-len(text)], escapeMarkdown(text))
		}
	}
	return b.String()
}

// special are the characters that mean something to Markdown inside a line, and
// atStart those that do at its beginning.
const (
	special = "\\`*_[]<>&|~#"
	atStart = "+-="
)

// numbered is how a line begins that Markdown takes for one of a numbered list.
var numbered = regexp.MustCompile(`^[0-9]+[.)]`)

func escapeMarkdown(s string) string {
	var b strings.Builder
	if n := len(numbered.FindString(s)); n > 0 {
		b.WriteString(s[:n-1] + "\\")
		s = s[n-1:]
	}
	for i, r := range s {
		if strings.ContainsRune(special, r) || (i == 0 && b.Len() == 0 && strings.ContainsRune(atStart, r)) {
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return b.String()
}
