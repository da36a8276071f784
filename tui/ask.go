package tui

import (
	"fmt"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session/replay"
	"rinseby/tui/form"
	"rinseby/tui/page"
	"rinseby/tui/station"
	"rinseby/tui/widget"
)

// An ask is how far one has come who is asked at each decision of a replay.
type ask struct {
	on        bool
	working   bool // the questions are being worked out
	questions []replay.Question
	answered  []bool // each of them
	passed    []bool // each of them, since asking began
	at        int    // the one that is put
	sheet     replay.Sheet
}

// asking reports whether what the planner thinks is to be kept back.
func (a *App) asking() bool { return a.relive != nil && a.relive.ask.on }

// hush takes off a look what would answer a question.
func hush(l *station.Look) {
	b := &l.Board
	l.Asked, b.Next.Why, b.Plan = true, "", ""
	for i := range b.Zones {
		b.Zones[i].Lift, b.Zones[i].PlannedOff = nil, time.Time{}
	}
	l.NextBowl = ""
}

// openAsk begins to ask, or goes on to the next question. After the last it
// shows the score.
func (a *App) openAsk() tea.Cmd {
	k := &a.relive.ask
	switch {
	case k.working:
		return nil
	case k.questions == nil:
		k.on, k.working = true, true
		a.say("Working out the questions: this takes a moment.", false)
		tape := a.relive.Tape
		return tea.Batch(a.present(), func() tea.Msg { return questionsMsg{replay.Questions(tape)} })
	}
	if !k.on {
		k.on, k.passed = true, make([]bool, len(k.questions))
	}
	if i := k.next(a.relive.screen.Moment()); i >= 0 {
		return a.put(i)
	}
	return a.endAsking()
}

// beginAsking takes the questions in, and puts the first from here on.
func (a *App) beginAsking(msg questionsMsg) tea.Cmd {
	k := &a.relive.ask
	k.working, k.questions = false, msg.questions
	k.answered, k.passed = make([]bool, len(k.questions)), make([]bool, len(k.questions))
	if len(k.questions) == 0 {
		k.on = false
		a.say("This service holds nothing to ask about: no trip, check or bowl with a choice.", false)
		return a.present()
	}
	a.say(fmt.Sprintf("%d questions. Play on, or %s for the next; esc ends it.", len(k.questions), a.o.Keys.InReplay().Ask.Help().Key), false)
	if a.over != nil || !k.on {
		return nil
	}
	return a.openAsk()
}

// next is the first question from a moment on that was neither answered nor
// passed, or -1.
func (k *ask) next(from time.Time) int {
	for i, q := range k.questions {
		if !k.answered[i] && !k.passed[i] && !q.At.Before(from) {
			return i
		}
	}
	return -1
}

// put goes to the moment of a question and puts it.
func (a *App) put(i int) tea.Cmd {
	v := a.relive
	v.ask.at, v.ask.passed[i] = i, true
	q := v.ask.questions[i]
	v.screen.Pause()
	v.screen.Seek(q.At)
	cmd := a.present()
	return tea.Batch(cmd, a.show(form.Ask(a.o.Theme, q, a.known(q))))
}

// known is what is on at the moment of a question.
func (a *App) known(q replay.Question) []string {
	b, clock := a.relive.Tape.Board(q.At), a.relive.Tape.Clock(q.At)
	lines := []string{fmt.Sprintf("It is %s. Question %d of %d.", clock(q.At), a.relive.ask.at+1, len(a.relive.ask.questions))}
	for _, z := range b.Zones {
		if !z.Holding() {
			continue
		}
		off := "no limit known"
		if !z.LimitAt.IsZero() {
			off = "off by " + clock(z.LimitAt)
		}
		lines = append(lines, fmt.Sprintf("%s: %d of %d in, %s, oldest on for %s, %s", z.Name, z.Done, z.Pieces, z.Phase, widget.Clock(z.Oldest), off))
	}
	return lines
}

// stopToAsk puts a question that playing has come to since a moment.
func (a *App) stopToAsk(was time.Time) tea.Cmd {
	v := a.relive
	if !v.ask.on || a.over != nil {
		return nil
	}
	if i := v.ask.next(was); i >= 0 && !v.ask.questions[i].At.After(v.screen.Moment()) {
		return a.put(i)
	}
	return nil
}

// answered scores an answer, and shows what was done, what the planner would
// have done, and what each would have led to.
func (a *App) answered(option int) tea.Cmd {
	k := &a.relive.ask
	q := k.questions[k.at]
	verdict, err := k.sheet.Add(q, option)
	if err != nil {
		a.answer(err.Error(), true)
		return nil
	}
	k.answered[k.at] = true
	lines := []string{q.Text, "", "You: " + q.Options[option].Text + ". " + sayVerdict[verdict], ""}
	for _, o := range q.Options {
		text := o.Text
		if o.Done {
			text += " (what was done)"
		}
		if o.Planner {
			text += " (the planner)"
		}
		lines = append(lines, text+":", "  "+o.Led)
	}
	lines = append(lines, "", "So far: "+k.sheet.All().String()+".")
	return a.show(page.New(a.o.Theme, a.o.Keys.OnPage(), "Replay: your answer", fitted(lines, a.w)))
}

var sayVerdict = map[replay.Verdict]string{
	replay.Right: "Right.", replay.Wrong: "Wrong.", replay.NoGround: "There is no ground to judge that.",
}

// endAsking shows the score, and asks no more.
func (a *App) endAsking() tea.Cmd {
	k := &a.relive.ask
	k.on = false
	cmd := a.present()
	open := 0
	for _, is := range k.answered {
		if !is {
			open++
		}
	}
	if open == len(k.questions) {
		a.say("Nothing was answered.", false)
		return cmd
	}
	lines := []string{"All: " + k.sheet.All().String() + ".", ""}
	for _, kind := range []struct {
		kind replay.Kind
		name string
	}{{replay.Trip, "Trips to the basin"}, {replay.Check, "Depths"}, {replay.Mix, "Bowls"}, {replay.Strength, "Strengths"}} {
		if t := k.sheet.Of(kind.kind); t != (replay.Tally{}) {
			lines = append(lines, kind.name+": "+t.String()+".")
		}
	}
	if open > 0 {
		lines = append(lines, fmt.Sprintf("Not answered: %d.", open))
	}
	lines = append(lines, "", "Right is what the planner would do, and what would have kept every zone that was on within its limits; of a depth, what was seen. "+
		"That is a house rule. What was not done is computed, and may have come otherwise.")
	return tea.Batch(cmd, a.show(page.New(a.o.Theme, a.o.Keys.OnPage(), "Replay: your score", fitted(lines, a.w))))
}

// escAsk ends the asking by esc at the chair.
func (a *App) escAsk(msg tea.KeyMsg) bool {
	return a.asking() && a.over == nil && msg.Type == tea.KeyEsc && !a.relive.ask.working
}
