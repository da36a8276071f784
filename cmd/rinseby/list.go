package main

import (
	"bufio"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"rinseby/session/store"
	"rinseby/tui/clean"
	"rinseby/tui/widget"
)

// listed is one service as list --json prints it.
type listed struct {
	Service  string     `json:"service"`
	Client   string     `json:"client"`
	Stylist  string     `json:"stylist,omitempty"`
	ZoneList string     `json:"zone_list,omitempty"`
	Opened   time.Time  `json:"opened"`
	Closed   *time.Time `json:"closed"`         // null while live
	Help     bool       `json:"help,omitempty"` // an emergency to which help has not come
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
			help := func(n *store.Entry) bool { return n.Live && calling(st, n.ID) }
			if !asJSON {
				return e.printList(entries, help)
			}
			out := make([]listed, 0, entries.Len())
			for n := range entries.All {
				l := listed{Service: n.ID, Client: n.Client, Stylist: n.Stylist, ZoneList: n.ZoneList, Opened: n.Opened, File: n.Path, Help: help(&n)}
				if n.Busy != nil {
					l.RunBy = n.Busy.Station
				}
				if !n.Live {
					l.Closed = &n.Closed
				}
				out = append(out, l)
			}
			return e.encode(out)
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print as JSON")
	return c
}

// calling reports whether a live service is an emergency to which help has not
// come.
func calling(st *store.Store, id string) bool {
	l, err := st.Read(id)
	return err == nil && l.State().Calling() != nil
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

// printList prints the services in columns, a line each.
func (e *edge) printList(all *store.Listing, help func(*store.Entry) bool) error {
	const moment = "2006-01-02 15:04"
	place := e.place()
	head := [...]string{"service", "client", "opened", "closed", "zone list"}
	wide := [...]int{len(head[0]), len(head[1]), len(moment), len(moment)} // the last one needs none
	type row struct {
		id, client, live, list string
		opened, closed         time.Time
	}
	rows := make([]row, 0, all.Len())
	for n := range all.All {
		r := row{id: n.ID, client: clean.Text(n.Client), list: clean.Text(n.ZoneList), opened: n.Opened, closed: n.Closed}
		if n.Live {
			r.live = "live"
			if help(&n) {
				r.live = "HELP, live"
			}
			if n.Busy != nil && n.Busy.Station != "" {
				r.live += ", run by " + clean.Text(n.Busy.Station)
			}
			wide[3] = max(wide[3], widget.Width(r.live))
		}
		wide[0], wide[1] = max(wide[0], widget.Width(r.id)), max(wide[1], widget.Width(r.client))
		rows = append(rows, r)
	}
	w := bufio.NewWriter(e.out)
	write := func(cells [5]string) {
		for i, cell := range cells {
			if i < len(wide) {
				cell = widget.PadRight(cell, wide[i]+2)
			}
			_, _ = w.WriteString(cell) // told by Flush
		}
		_ = w.WriteByte('\n')
	}
	when := func(t time.Time) string { return t.In(place).Format(moment) }
	write(head)
	for _, r := range rows {
		closed := r.live
		if closed == "" {
			closed = when(r.closed)
		}
		write([5]string{r.id, r.client, when(r.opened), closed, r.list})
	}
	return w.Flush()
}
