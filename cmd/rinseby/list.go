package main

import (
	"fmt"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"rinseby/session/store"
	"rinseby/tui/clean"
)

// listed is one service as list --json prints it.
type listed struct {
	Service  string     `json:"service"`
	Client   string     `json:"client"`
	Stylist  string     `json:"stylist,omitempty"`
	ZoneList string     `json:"zone_list,omitempty"`
	Opened   time.Time  `json:"opened"`
	Closed   *time.Time `json:"closed"` // null while live
	RunBy    string     `json:"run_by,omitempty"`
	File     string     `json:"file"`
}

func (e *edge) listCommand() *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "list",
		Short: "List the services in the store",
		Args:  noArg,
		RunE: func(*cobra.Command, []string) error {
			st, err := e.store()
			if err != nil {
				return err
			}
			entries, problems, err := st.List()
			if err != nil {
				return err
			}
			e.passedOver(problems)
			out := make([]listed, 0, len(entries))
			for _, n := range entries {
				l := listed{Service: n.ID, Client: n.Client, Stylist: n.Stylist, ZoneList: n.ZoneList, Opened: n.Opened, File: n.Path}
				if n.Busy != nil {
					l.RunBy = n.Busy.Station
				}
				if !n.Live {
					l.Closed = &n.Closed
				}
				out = append(out, l)
			}
			if asJSON {
				return e.encode(out)
			}
			return e.printList(out)
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print as JSON")
	return c
}

// mostTold is how many files that are not as they should be are named at once.
const mostTold = 20

// passedOver names the files that are not as they should be.
func (e *edge) passedOver(problems []store.Problem) {
	for _, p := range problems[:min(len(problems), mostTold)] {
		fmt.Fprintln(e.err, "rinseby:", clean.Text(p.Error()))
	}
	if n := len(problems) - mostTold; n > 0 {
		fmt.Fprintf(e.err, "rinseby: %s more like these\n", count(n, "file", "files"))
	}
}

func (e *edge) printList(out []listed) error {
	w := tabwriter.NewWriter(e.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "service\tclient\topened\tclosed\tzone list")
	for _, l := range out {
		closed := "live"
		if l.Closed != nil {
			closed = l.Closed.In(e.place()).Format("2006-01-02 15:04")
		} else if l.RunBy != "" {
			closed = "live, run by " + clean.Text(l.RunBy)
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\n", l.Service, clean.Text(l.Client), l.Opened.In(e.place()).Format("2006-01-02 15:04"), closed, clean.Text(l.ZoneList))
	}
	return w.Flush()
}
