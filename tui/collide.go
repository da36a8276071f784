package tui

import (
	"fmt"
	"slices"
	"strings"

	"rinseby/session"
	"rinseby/timing"
	plan "rinseby/timing/floor"
	"rinseby/tui/floor"
)

// trouble says what does not fit on the stylist's hands, and what gives the
// least trouble. Clients are by service.
func (r roster) trouble(clients map[string]string) (floor.Trouble, bool) {
	c := r.plan.Collision
	if r.plan.Verdict != plan.Cannot || c == nil {
		return floor.Trouble{}, false
	}
	a, b := clients[r.ids[c.A]], clients[r.ids[c.B]]
	ta, tb := r.task(c.A, c.TaskA), r.task(c.B, c.TaskB)
	t := floor.Trouble{Help: r.help(clients)}
	switch {
	case c.A != c.B && r.onlyPromises() && c.By == 0:
		t.Text = fmt.Sprintf("%s can't get all %d clients out as promised", r.name(), len(r.ids))
	case c.A != c.B && r.onlyPromises():
		t.Text = fmt.Sprintf("%s and %s can't both be out as promised", a, b)
	case c.A == c.B:
		t.Text = fmt.Sprintf("%s: from %s to %s takes %s more than limits and promises leave, whoever else is here", a, ta, tb, session.WholeMinutes(c.By))
	case c.By == 0:
		t.Text = fmt.Sprintf("%s can't keep all %d clients in time: limits and promises are up to %s too early; closest are %s (%s) and %s (%s)", r.name(), len(r.ids), session.WholeMinutes(c.Slack), a, ta, b, tb)
	default:
		t.Text = fmt.Sprintf("%s (%s) and %s (%s) collide by %s", a, ta, b, tb, session.WholeMinutes(c.By))
	}
	return t, true
}

// here says the same as a warning of one of the two services that collide.
func (r roster) here(service string, clients map[string]string) (session.Warning, bool) {
	c := r.plan.Collision
	if r.plan.Verdict != plan.Cannot || c == nil || c.A == c.B {
		return session.Warning{}, false
	}
	own, ownTask, other, otherTask := c.A, c.TaskA, c.B, c.TaskB
	if r.ids[c.B] == service {
		own, ownTask, other, otherTask = c.B, c.TaskB, c.A, c.TaskA
	}
	if r.ids[own] != service {
		return session.Warning{}, false
	}
	key := shortKey("floor:" + r.ids[other] + ":" + r.task(own, ownTask))
	if r.onlyPromises() {
		return session.Warning{
			Key: key, Level: session.Alert,
			Text: fmt.Sprintf("%s and %s can't both be out as promised: %s", clients[service], clients[r.ids[other]], r.help(clients)),
		}, true
	}
	says := "collides by " + session.WholeMinutes(c.By) + " with"
	if c.By == 0 {
		says = fmt.Sprintf("can't be in time with all %d clients here, by up to %s; closest is", len(r.ids), session.WholeMinutes(c.Slack))
	}
	return session.Warning{
		Key: key, Level: session.Alert,
		Text: fmt.Sprintf("%s %s %s's %s: %s", r.task(own, ownTask), says, clients[r.ids[other]], r.task(other, otherTask), r.help(clients)),
	}, true
}

// warning stands for the collision where bells are sounded.
func (r roster) warning() session.Warning {
	c := r.plan.Collision
	return session.Warning{Key: r.ids[c.A] + ":" + r.task(c.A, c.TaskA) + ":" + r.ids[c.B] + ":" + r.task(c.B, c.TaskB), Level: session.Alert}
}

// onlyPromises reports whether all would fit if no time were promised: what
// product on hair asks for does not collide.
func (r roster) onlyPromises() bool { return r.plan.Collision.Soft != plan.None }

// help is what gives the least trouble.
func (r roster) help(clients map[string]string) string {
	c := r.plan.Collision
	g := c.Gap
	switch {
	case g == nil && r.onlyPromises():
		return fmt.Sprintf("least trouble: tell all clients %s later than promised, or get help", session.WholeMinutes(c.Soft))
	case g == nil:
		return "no later promise helps: get help, or rinse one early"
	}
	client, link := clients[r.ids[g.Chain]], r.problem.Chains[g.Chain].Links[g.Link]
	if strings.HasPrefix(link.Name, "promised ") {
		return fmt.Sprintf("least trouble: tell %s %s later than %s", client, session.WholeMinutes(g.By), link.Name)
	}
	return fmt.Sprintf("least trouble: tell %s %s later than with hands alone (%s)", client, session.WholeMinutes(g.By), link.Name)
}

// fits says what is known if nothing collides: where nobody is late and no limit
// is lost, and apart from that.
func (r roster) fits(clients map[string]string) (fits, apart string) {
	if r.plan.Verdict != plan.Fits {
		apart = fmt.Sprintf("Whether clients collide on %s's hands could not be told in time", r.name())
		return fmt.Sprintf("Whether all %d clients fit on %s's hands could not be told in time", len(r.ids), r.name()), apart
	}
	apart = fmt.Sprintf("Nothing collides on %s's hands", r.name())
	for c, s := range r.alone {
		if s > 0 {
			apart += fmt.Sprintf("; %s misses a limit or promise by %s", clients[r.ids[c]], session.WholeMinutes(s))
		}
	}
	if slices.Max(r.alone) > 0 {
		return apart, apart
	}
	return fmt.Sprintf("All %d clients fit on %s's hands", len(r.ids), r.name()), apart
}

func (r roster) name() string {
	if r.stylist == "" {
		return "this stylist"
	}
	return r.stylist
}

func (r roster) task(chain, task int) string { return r.problem.Chains[chain].Tasks[task].Name }

// clash marks the blocks of a service's look that collide.
func (w worked) clash(e *seen, now timing.Reading) []bool {
	for _, r := range w.rosters {
		c := r.plan.Collision
		if r.plan.Verdict != plan.Cannot || c == nil {
			continue
		}
		marks := make([]bool, len(e.look.Blocks))
		mark := func(chain, from, to int) {
			if r.ids[chain] != e.ID {
				return
			}
			line := e.Log.State().Line
			for _, b := range w.by[e.ID].blocks[from : to+1] {
				for i := range e.look.Blocks {
					marks[i] = marks[i] || e.look.Blocks[i].Name == b.Name && e.look.Blocks[i].To.Equal(line.Wall(b.To, now))
				}
			}
		}
		if c.A == c.B {
			mark(c.A, min(c.TaskA, c.TaskB), max(c.TaskA, c.TaskB))
		} else {
			mark(c.A, c.TaskA, c.TaskA)
			mark(c.B, c.TaskB, c.TaskB)
		}
		for _, m := range marks {
			if m {
				return marks
			}
		}
	}
	return nil
}

// shortKey cuts a key to what a log takes as a name.
func shortKey(key string) string {
	if len(key) <= session.MaxName {
		return key
	}
	return strings.ToValidUTF8(key[:session.MaxName], "")
}
