package main

import (
	"bufio"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"rinseby/session"
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
	OffBy    *offBy     `json:"must_be_off"` // null if nothing is on, or no limit is known
	File     string     `json:"file"`
}

// offBy is what must be off first in a live service, and by when.
type offBy struct {
	Zone string    `json:"zone"`
	By   time.Time `json:"by"`
}

// stands is how a live service stands now; false if it can't be read.
func (e *edge) stands(st *store.Store, id string) (session.FloorLook, bool) {
	l, err := st.Read(id)
	if err != nil {
		return session.FloorLook{}, false
	}
	s, now := l.State(), e.clock.Read()
	b := session.Look(s, s.Line.Now(now), func(at time.Time) string { return e.clockAt(s.Line.Wall(at, now)) })
	return session.LookFloor(s, &b, now, session.Beside{}), true
}

// clockAt says a moment of the wall clock.
func (e *edge) clockAt(at time.Time) string { return at.In(e.place()).Format("15:04") }

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
				return e.printList(st, entries, help)
			}
			out := make([]listed, 0, entries.Len())
			for n := range entries.All {
				l := listed{Service: n.ID, Client: n.Client, Stylist: n.Stylist, ZoneList: n.ZoneList, Opened: n.Opened, File: n.Path, Help: help(&n)}
				if n.Busy != nil {
					l.RunBy = n.Busy.Station
				}
				if !n.Live {
					l.Closed = &n.Closed
				} else if look, ok := e.stands(st, n.ID); ok && !look.RinseBy.IsZero() {
					l.OffBy = &offBy{look.RinseZone, look.RinseBy.UTC().Round(time.Second)}
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

// printList prints the services in columns, a line each. What must be off first
// has a column where product is on.
func (e *edge) printList(st *store.Store, all *store.Listing, help func(*store.Entry) bool) error {
	const moment = "2006-01-02 15:04"
	place := e.place()
	head := [...]string{"service", "client", "opened", "closed", "must be off", "zone list"}
	wide := [...]int{len(head[0]), len(head[1]), len(moment), len(moment), 0} // the last one needs none
	type row struct {
		id, client, live, off, list string
		opened, closed              time.Time
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
			if look, ok := e.stands(st, n.ID); ok {
				r.off = off(look, e.clockAt)
			}
			if r.off != "" {
				wide[4] = max(wide[4], len(head[4]), widget.Width(r.off))
			}
		}
		wide[0], wide[1] = max(wide[0], widget.Width(r.id)), max(wide[1], widget.Width(r.client))
		rows = append(rows, r)
	}
	w := bufio.NewWriter(e.out)
	write := func(cells [len(head)]string) {
		for i, cell := range cells {
			if i < len(wide) && wide[i] == 0 {
				continue
			}
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
		write([len(head)]string{r.id, r.client, when(r.opened), closed, r.off, r.list})
	}
	return w.Flush()
}

// off says what must be off first, with a mark where its time has passed.
func off(look session.FloorLook, clock session.Clockface) string {
	text, over := look.SayOff(clock)
	if over {
		text = "! " + text
	}
	return clean.Text(text)
}
