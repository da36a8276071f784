package tui

import (
	"fmt"
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/tui/form"
	"rinseby/tui/page"
	player "rinseby/tui/replay"
)

// mostListed is how many lines of the first screen are read out.
const mostListed = 12

// startTopics is the first screen: a list to choose from by number.
func (v *Aloud) startTopics() []topic {
	status := told("status", v.app.start.Status())
	if !v.ready {
		return []topic{status}
	}
	list := topic{name: "list", text: "What to do: type a number."}
	many := v.app.start.Len()
	for i := range min(many, mostListed) {
		list.more = append(list.more, fmt.Sprintf("%d: %s", i+1, v.app.start.Line(i)))
	}
	if many > mostListed {
		list.more = append(list.more, fmt.Sprintf("and %d more; / and a part of a name finds them", many-mostListed))
	}
	list.sense = strings.Join(list.more, "\n")
	return []topic{told("help", v.app.start.Help()), status, told("call", v.app.start.CallLine()), list}
}

// find reads out the lines of the first screen that have a text in them.
func (v *Aloud) find(text string) {
	v.say("With " + text + ":")
	for i := range v.app.start.Len() {
		l := v.app.start.Line(i)
		if strings.Contains(strings.ToLower(l), strings.ToLower(text)) {
			v.readOut(fmt.Sprintf("%d: %s", i+1, l))
		}
	}
}

// floorTopics is the floor: the clients in the order in which they need hands.
func (v *Aloud) floorTopics() []topic {
	m := v.app.wall
	ts := []topic{told("status", m.Status())}
	rows := m.Lines()
	switch {
	case !v.app.around.whole:
		return ts
	case len(rows) == 0:
		return append(ts, told("none", "No service is live."))
	}
	says := m.Says()
	ts = append(ts, topic{name: "says", sense: words(strings.Join(says, "\n")), text: strings.Join(says, "; ")})
	for i, r := range rows {
		ts = append(ts, topic{name: fmt.Sprint("row ", i), sense: r.Sense, text: fmt.Sprintf("%d: %s.", i+1, r.Text)})
	}
	return ts
}

// opened says what has been opened over the chair, the floor or the first
// screen. A page is read out and closed again.
func (v *Aloud) opened() (cmd tea.Cmd) {
	if v.over != v.app.over {
		v.over = v.app.over
		switch s := v.over.(type) {
		case *form.Form:
			v.live = ""
			v.say(stopped(s.Title()))
			v.readOut(s.Question().Lead...)
			v.ask(s)
		case *page.Model:
			v.read, v.text = s, ""
			v.say(stopped(s.Title()))
			cmd = v.app.back()
		case *player.Fan:
			v.graph = v.app.relive.fan
			v.say("How the end was forecast over time.")
			cmd = v.app.back()
		}
		v.over = v.app.over
	}
	v.readPage()
	v.readFan()
	return cmd
}

// readPage reads out a page: at once what is there, and later what was still
// being worked out.
func (v *Aloud) readPage() {
	if v.read == nil {
		return
	}
	if text := strings.Join(v.read.Lines(), "\n"); text != v.text {
		v.text = text
		v.readOut(v.read.Lines()...)
	}
	if !awaited(v.read) {
		v.read = nil
	}
}

// readFan reads out how the end was forecast, once that was worked out: the
// moments at which it moved.
func (v *Aloud) readFan() {
	if v.graph == nil || len(v.graph.points) < foretellings {
		return
	}
	clock := v.app.relive.Tape.Clock(v.app.relive.Tape.To())
	var last time.Time
	for _, p := range v.graph.points {
		d := p.End.P50.Sub(last)
		if p.End.P50.IsZero() || d < endMoves && d > -endMoves {
			continue
		}
		last = p.End.P50
		v.readOut(fmt.Sprintf("at %s: end %s (80 %%: %s to %s)", clock(p.At), clock(p.End.P50), clock(p.End.P10), clock(p.End.P90)))
	}
	if s := v.app.relive.Tape.Whole().State(); !s.Closed.IsZero() {
		v.readOut("it ended at " + clock(s.Closed))
	}
	v.graph = nil
}

// ask asks for the field in hand of a form, after what follows from the answers
// so far, if that has changed.
func (v *Aloud) ask(f *form.Form) {
	q := f.Question()
	if live := strings.Join(q.Live, "\n"); live != v.live {
		v.live = live
		v.readOut(q.Live...)
	}
	if q.Refusal != "" && q.Refusal != v.said["status"] {
		v.say("Not taken: " + q.Refusal + " (? says what can be typed)")
	}
	text := q.Title
	switch {
	case q.Kind == form.Line && q.Value != "" && q.Refusal == "":
		text += ": " + q.Value + " is offered"
	case len(q.Options) == 0 && q.Kind != form.Line:
		text += ": there is nothing to choose from"
	case q.Kind == form.Several && !slices.ContainsFunc(q.Options, isOn):
		text += ": none is ticked"
	}
	if q.Does != "" {
		text += " (then: " + q.Does + ")"
	}
	v.say("Question: " + text)
	for i, o := range q.Options {
		mark := ""
		switch {
		case o.On && q.Kind == form.Several:
			mark = " (ticked)"
		case o.On:
			mark = " (offered)"
		}
		v.readOut(q.Number(i) + ": " + o.Label + mark)
	}
}

func isOn(o form.Option) bool { return o.On }

// reply answers a form.
func (v *Aloud) reply(f *form.Form, line string) tea.Cmd {
	a := v.app
	switch line = strings.TrimSpace(line); line {
	case "?", "f1":
		v.say(f.Question().Help)
		v.say("In a form:")
		v.readOut(formKeys...)
		v.live = ""
		v.ask(f)
		return nil
	case "esc", "ctrl+p", "ctrl+c":
		return v.press(named(line))
	}
	cmd := a.read(a.o.Clock.Read())
	in, _ := f.Reply(line) // what it refuses, its question says
	cmds := []tea.Cmd{cmd, a.carry(in), a.follow(), v.speak()}
	if a.over == screen(f) && !a.busy() {
		v.ask(f)
	}
	return tea.Batch(cmds...)
}

// formKeys are what can be typed in a form beside answers.
var formKeys = []string{
	"a line answers the question; of a list its number, or how the name begins",
	"of a list of several: numbers or names with commas between, or all",
	"an empty line: what is offered",
	"-: nothing",
	"<: the question before",
	"ctrl+s: the rest as it is offered",
	"esc: leave; what was typed is kept",
	"ctrl+p: pain",
	"?: what is asked, and the question again",
}
