package main

import (
	"fmt"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/timing/floor"
	"rinseby/tui/clean"
)

// text is the answer for people to read.
func (w *walkIn) text() string {
	var b strings.Builder
	fmt.Fprintln(&b, clean.Text(w.sentence()))
	n := len(w.services)
	if w.collision != nil && !w.before {
		n-- // the walk-in
	}
	live := fmt.Sprintf("%d live services", n)
	if n == 1 {
		live = "1 live service"
	}
	if w.stylist != "" {
		live += " of " + w.stylist
	}
	fmt.Fprintln(&b, clean.Text(fmt.Sprintf("Reckoned at %s with %s, each thing at its median: with even chance it takes longer.", w.clock(0), live)))
	for _, note := range w.notes {
		fmt.Fprintln(&b, clean.Text(note))
	}
	return b.String()
}

// sentence is where it fits, or what stands in the way.
func (w *walkIn) sentence() string {
	switch w.verdict {
	case floor.Fits:
		text := fmt.Sprintf("fits from %s to %s", w.clock(w.start), w.clock(w.start+w.takes))
		if !w.earliest {
			text += "; whether any earlier could not be told in time"
		}
		return text
	case floor.Cannot:
		return "cannot: " + w.clash()
	}
	return w.verdict.String()
}

// clash says what collides, by how much, and what single change would do.
func (w *walkIn) clash() string {
	c := w.collision
	if c == nil {
		return "what stands in the way could not be told in time"
	}
	text := ""
	if w.before {
		text = "even without a walk-in, "
	}
	a, b := w.said(c.A, c.TaskA), w.said(c.B, c.TaskB)
	promises := c.A != c.B && c.Soft != floor.None && w.services[c.A].Service != "" && w.services[c.B].Service != ""
	switch {
	case promises && c.By == 0:
		text += "not all clients can be out as promised"
	case promises:
		text += fmt.Sprintf("%s and %s can't both be out as promised", w.services[c.A].Client, w.services[c.B].Client)
	case c.A == c.B && c.TaskA == c.TaskB:
		text += fmt.Sprintf("%s is %s too late by itself", a, session.WholeMinutes(c.By))
	case c.A == c.B:
		text += fmt.Sprintf("%s can't be kept to: from %q to %q it is %s too much", w.services[c.A].Client, w.task(c.A, c.TaskA), w.task(c.B, c.TaskB), session.WholeMinutes(c.By))
	case c.By == 0:
		text += fmt.Sprintf("all together are %s too much; closest are %s and %s", session.WholeMinutes(c.Slack), a, b)
	default:
		text += fmt.Sprintf("%s and %s collide by %s", a, b, session.WholeMinutes(c.By))
	}
	if g := c.Gap; g != nil {
		text += fmt.Sprintf("; all would fit if %s were %s later", w.bound(g), session.WholeMinutes(g.By))
	} else if promises {
		text += fmt.Sprintf("; all would fit if everything that was promised were %s later", session.WholeMinutes(c.Soft))
	}
	return text
}

// bound says the bound that would have to give way.
func (w *walkIn) bound(g *floor.Gap) string {
	name := w.problem.Chains[g.Chain].Links[g.Link].Name
	if w.services[g.Chain].Service == "" {
		return "the end of the time for it, " + w.clock(w.to+w.takes) + ","
	}
	return fmt.Sprintf("what %s has, %s,", w.services[g.Chain].Client, name)
}

func (w *walkIn) task(chain, task int) string { return w.problem.Chains[chain].Tasks[task].Name }

// said names a task.
func (w *walkIn) said(chain, task int) string {
	if w.services[chain].Service == "" {
		return "the walk-in"
	}
	return fmt.Sprintf("%q of %s", w.task(chain, task), w.services[chain].Client)
}

// answer is the answer for scripts.
func (w *walkIn) answer(minutes float64) fitAnswer {
	moment := func(s int) time.Time { return w.moment(s).UTC().Round(time.Second) }
	out := fitAnswer{
		Verdict: w.verdict, Stylist: w.stylist, At: moment(0), Minutes: minutes, After: moment(w.from), Before: moment(w.to + w.takes),
		Earliest: w.earliest, Services: []fitService{}, Notes: append([]string{}, w.notes...),
	}
	for _, s := range w.services {
		if s.Service != "" {
			out.Services = append(out.Services, s)
		}
	}
	if w.start != floor.None {
		from, to := moment(w.start), moment(w.start+w.takes)
		out.From, out.To = &from, &to
	}
	if c := w.collision; c != nil {
		side := func(chain, task int) fitTask {
			s := w.services[chain]
			return fitTask{s.Service, s.Client, w.task(chain, task)}
		}
		out.Collision = &fitCollision{
			Before: w.before, A: side(c.A, c.TaskA), B: side(c.B, c.TaskB),
			Minutes: inTenths(c.By), All: inTenths(c.Slack), Proved: c.Proved,
		}
		if g := c.Gap; g != nil {
			s := w.services[g.Chain]
			out.Collision.Gap = &fitGap{s.Service, s.Client, w.problem.Chains[g.Chain].Links[g.Link].Name, inTenths(g.By)}
		}
	}
	return out
}

// inTenths are seconds in minutes, rounded up to a tenth.
func inTenths(s int) float64 { return float64((s+5)/6) / 10 }
