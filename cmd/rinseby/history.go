package main

import (
	"fmt"
	"math"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"rinseby/session"
	"rinseby/session/history"
	"rinseby/session/store"
	"rinseby/tui/clean"
)

// Usual times as history --json prints them.
type (
	pastPiece struct {
		Technique string  `json:"technique"`
		Minutes   float64 `json:"minutes"`
		Low       float64 `json:"low_minutes"`
		High      float64 `json:"high_minutes"`
		Services  int     `json:"services"`
		Pieces    int     `json:"pieces"`
	}
	pastOther struct {
		Kind     session.StintKind `json:"kind"`
		Name     string            `json:"name"`
		Minutes  float64           `json:"minutes"`
		Low      float64           `json:"low_minutes"`
		High     float64           `json:"high_minutes"`
		Services int               `json:"services"`
		Times    int               `json:"times"`
	}
	pastStylist struct {
		Name     string `json:"name"`
		Services int    `json:"services"`
	}
	pastTimes struct {
		Stylist  string        `json:"stylist"`
		Services int           `json:"services"`
		First    *time.Time    `json:"first"`
		Last     *time.Time    `json:"last"`
		Invented bool          `json:"invented"`
		Pieces   []pastPiece   `json:"pieces"`
		Others   []pastOther   `json:"others"`
		Stylists []pastStylist `json:"stylists"`
	}
)

func (e *edge) historyCommand() *cobra.Command {
	var asJSON bool
	var folder string
	c := &cobra.Command{
		Use:   "history",
		Short: "Show what your closed services tell of your times",
		Long: fmt.Sprintf("History shows how long things take you, learned from the last %d closed services of the stylist\n"+
			"(--stylist NAME; without it, of all stylists together): minutes per piece by technique, steps, mixing,\n"+
			"the way to the basin, rinses. Demonstration data count only where there is nothing else.", history.Most),
		Args: noArg,
		RunE: func(*cobra.Command, []string) error {
			known, err := e.past(folder)
			if err != nil {
				return err
			}
			out := pastOf(e.stylist, known)
			if !asJSON {
				return e.printHistory(out)
			}
			return e.encode(out)
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print as JSON")
	c.Flags().StringVar(&folder, "history", "", "data folder, or folder of journals, to learn from, in which nothing is written (default: the store)")
	return c
}

// past is what is known of the stylist, from a folder or the store.
func (e *edge) past(folder string) (store.Learned, error) {
	if folder == "" {
		st, err := e.store()
		if err != nil {
			return store.Learned{}, err
		}
		return st.Learned(e.stylist)
	}
	known, problems, err := store.Past(folder, e.stylist)
	e.passedOver(problems)
	return known, err
}

func pastOf(stylist string, known store.Learned) pastTimes {
	out := pastTimes{
		Stylist: strings.TrimSpace(stylist), Services: known.Services, Invented: known.Invented,
		Pieces: []pastPiece{}, Others: []pastOther{}, Stylists: []pastStylist{},
	}
	if known.Services > 0 {
		out.First, out.Last = &known.First, &known.Last
	}
	for _, s := range known.Stylists {
		out.Stylists = append(out.Stylists, pastStylist(s))
	}
	hundredth := func(minutes float64) float64 { return math.Round(minutes*100) / 100 }
	for _, r := range known.Rows() {
		m, low, high := hundredth(r.Usual), hundredth(r.Low), hundredth(r.High)
		if r.Kind == session.StintPlace {
			if r.Seen.Units > 0 { // a technique that plans only state tells nothing of hands
				out.Pieces = append(out.Pieces, pastPiece{r.Name, m, low, high, r.Seen.Services, r.Seen.Units})
			}
			continue
		}
		out.Others = append(out.Others, pastOther{r.Kind, r.Name, m, low, high, r.Seen.Services, r.Seen.Units})
	}
	return out
}

// whatIsLearned is what history will show.
const whatIsLearned = "Run services at the chair and close them, and this shows from them: the minutes per piece of each technique,\n" +
	"of each step, of mixing, coating, walking to the basin, rinsing and going on, and how far each varies."

func (e *edge) printHistory(p pastTimes) error {
	who := "all stylists together"
	if p.Stylist != "" {
		who = clean.Text(p.Stylist)
	}
	if p.Services == 0 {
		fmt.Fprintf(e.out, "Nothing is known of the times of %s: there is no closed service to learn from.\n", who)
		if _, err := fmt.Fprintln(e.out, whatIsLearned); err != nil || len(p.Stylists) == 0 {
			return err
		}
		return e.printStylists(p.Stylists)
	}
	day := func(t *time.Time) string { return t.In(e.place()).Format("2 January 2006") }
	fmt.Fprintf(e.out, "Times of %s, from %s closed, %s to %s.\n", who, services(p.Services), day(p.First), day(p.Last))
	if p.Invented {
		fmt.Fprintln(e.out, "These are demonstration data, about nobody: there is nothing else to learn from.")
	}
	w := tabwriter.NewWriter(e.out, 0, 0, 2, ' ', 0)
	if len(p.Pieces) > 0 {
		fmt.Fprintln(w, "\nminutes per piece\tusual\t8 of 10 services\tservices\tpieces")
		for _, r := range p.Pieces {
			fmt.Fprintf(w, "%s\t%.2f\t%.2f to %.2f\t%d\t%d\n", clean.Text(r.Technique), r.Minutes, r.Low, r.High, r.Services, r.Pieces)
		}
	}
	if len(p.Others) > 0 {
		fmt.Fprintln(w, "\nminutes\tusual\t8 of 10 times\tservices\ttimes")
		for _, r := range p.Others {
			fmt.Fprintf(w, "%s\t%.1f\t%.1f to %.1f\t%d\t%d\n", nameOf(r), r.Minutes, r.Low, r.High, r.Services, r.Times)
		}
	}
	if err := w.Flush(); err != nil || p.Stylist != "" {
		return err
	}
	return e.printStylists(p.Stylists)
}

// printStylists says of whom there are closed services.
func (e *edge) printStylists(all []pastStylist) error {
	names := make([]string, len(all))
	for i, s := range all {
		name := clean.Text(s.Name)
		if name == "" {
			name = "no name"
		}
		names[i] = fmt.Sprintf("%s (%s)", name, services(s.Services))
	}
	_, err := fmt.Fprintf(e.out, "\nClosed services are there of: %s. For one of them alone: --stylist NAME\n", strings.Join(names, ", "))
	return err
}

func services(n int) string {
	if n == 1 {
		return "1 service"
	}
	return fmt.Sprintf("%d services", n)
}

// nameOf is what a stint is called to people.
func nameOf(r pastOther) string {
	switch r.Kind {
	case session.StintStep:
		return clean.Text(r.Name)
	case session.StintPrepare:
		return "until the first bowl"
	case session.StintMix:
		return "mixing a bowl"
	case session.StintCoat:
		return "coating a band of a zone later (" + r.Name + ")"
	case session.StintDevelop:
		return "left on after the last contact (" + r.Name + ")"
	case session.StintWalk:
		return "to the basin, between pieces"
	case session.StintRinse:
		return "rinsing a zone"
	case session.StintReseat:
		return "from the basin to the next piece"
	case session.StintClose:
		return "from the last of it to the closing"
	}
	return string(r.Kind)
}
