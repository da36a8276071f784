package tui

import (
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session/card"
	"rinseby/timing"
	"rinseby/tui/form"
	"rinseby/tui/page"
	"rinseby/tui/widget"
)

// asksHelp reports whether the key asks for help: where letters are typed, a
// question mark is one of them.
func (a *App) asksHelp(msg tea.KeyMsg) bool {
	return key.Matches(msg, a.o.Keys.HelpAnywhere) || key.Matches(msg, a.o.Keys.Help) && !a.top().Typing()
}

// openHelp opens help on the screen that has the keys; back comes back to it.
// On the page of help itself it closes it.
func (a *App) openHelp() tea.Cmd {
	if a.helping() {
		return a.back()
	}
	if a.relive != nil {
		a.relive.screen.Pause()
	}
	was := a.over
	title := helpTitle
	if _, ok := a.over.(*form.Form); ok {
		title = formHelpTitle
	}
	cmd := a.show(page.New(a.o.Theme, a.o.Keys.OnPage(), title, a.helpLines()))
	a.under = was
	return cmd
}

// Titles of help.
const (
	helpTitle     = "Keys"
	formHelpTitle = "What is asked, and keys"
)

func (a *App) helping() bool {
	p, ok := a.over.(*page.Model)
	return ok && (p.Title() == helpTitle || p.Title() == formHelpTitle)
}

// back closes the screen that is open over another.
func (a *App) back() tea.Cmd {
	if a.under != nil {
		return a.show(a.under)
	}
	a.over, a.asked = nil, nil
	return nil
}

// helpLines lists the keys of the screen that has them, as its own key map has
// them, then what the screen shows.
func (a *App) helpLines() []string {
	lines := a.keyLines(a.top().Keys())
	switch {
	case a.over != nil:
		if f, ok := a.over.(*form.Form); ok {
			lines = append(a.formLegend(f), lines...)
			lines = append(lines, "", "  A form says what is wrong as you type. What was typed is kept if you leave it, until something is logged.")
		}
		if a.log != nil && a.relive == nil {
			lines = append(lines, a.keyLines([]key.Binding{a.o.Keys.PainAnywhere})...)
		}
		return lines
	case a.relive != nil:
		return append(lines, a.replayLegend()...)
	case a.log != nil:
		lines = append(lines, a.chairLegend()...)
	case a.onFloor:
		return append(lines, a.floorLegend()...)
	}
	return append(lines, a.cautions()...)
}

// keyLines says what each key does.
func (a *App) keyLines(bs []key.Binding) []string {
	wide := 0
	for _, b := range bs {
		wide = max(wide, widget.Width(a.keyName(b)))
	}
	var lines []string
	for _, b := range bs {
		lines = append(lines, "  "+a.o.Theme.Key.Render(widget.PadRight(a.keyName(b), wide))+"  "+b.Help().Desc)
	}
	return lines
}

// keyName names a key as the terminal can show it.
func (a *App) keyName(b key.Binding) string {
	k := b.Help().Key
	if a.o.Theme.ASCII && strings.ContainsFunc(k, func(r rune) bool { return r >= utf8.RuneSelf }) { // an arrow
		return b.Keys()[0]
	}
	return k
}

// told wraps a text.
func (a *App) told(text string) []string {
	lines := []string{""}
	for _, part := range widget.Wrap(text, max(a.w-4, 20)) {
		lines = append(lines, "  "+part)
	}
	return lines
}

// legend says what words and shapes mean.
func (a *App) legend(title string, words ...string) []string {
	lines := []string{"", "  " + a.o.Theme.Strong.Render(title)}
	for _, w := range words {
		lines = append(lines, "  "+w)
	}
	return lines
}

// formLegend says what the fields of a form's page are, the one in hand first,
// and heads the keys. The page wraps its lines.
func (a *App) formLegend(f *form.Form) []string {
	helps, at := f.Helps()
	here := helps[at]
	lines := a.legend("The question in hand", here)[1:]
	if others := slices.Delete(helps, at, at+1); len(others) > 0 {
		lines = append(lines, a.legend("On the same page", others...)...)
	}
	return append(lines, a.legend("Keys")...)
}

func (a *App) chairLegend() []string {
	g := a.o.Theme.Glyphs
	mark := func(p timing.Phase) string { return a.o.Theme.Phase(p).Glyph }
	lines := a.legend("What the marks and words of a zone mean",
		mark(timing.Waiting)+" waiting   nothing is on yet",
		mark(timing.Applying)+" applying  some pieces are in, more are to come",
		mark(timing.Working)+" working   all are in; the newest has not worked long enough yet",
		mark(timing.Open)+" open      may come off as soon as it looks right",
		mark(timing.Closing)+" closing   the limit is near: rinse it now",
		mark(timing.Over)+" over      past the limit: rinse it now",
		"  basin     is being rinsed",
		mark(timing.Rinsed)+" rinsed    off; +3m: it came off 3 min past its limit",
		g.Pointer+" before it: chosen by the arrows, esc lets go",
	)
	return append(lines, a.legend("What the bar of a zone shows",
		g.Applying+"  being placed, from first contact on",
		g.Working+"  working",
		g.Open+"  may come off",
		g.Over+"  past the limit",
		g.Rinsed+"  rinsed",
		g.OpensMark+"  the newest piece may come off from here on",
		g.LimitMark+"  must be off by here",
		g.PlannedMark+"  rinsed clean by the plan",
		g.NowMark+"  now",
		"*  before a name: heat is on",
	)...)
}

func (a *App) floorLegend() []string {
	g := a.o.Theme.Glyphs
	lines := a.told("The client who needs hands next is on top: pain first, then what is closing or over, " +
		"then by when hands are needed. Going to a client runs the service here if nobody runs it, else watches it. " +
		"What was left for this screen is still run here; let it go, and any chair can take it up.")
	return append(lines, a.legend("What the row of a client shows",
		g.Working+"  hands are needed: mixing, placing, a step",
		g.Rinsed+"  hands are needed at the basin",
		g.Over+"  hands are needed elsewhere at the same time",
		g.ToOpen+"  product works, or nothing is to be done",
		g.LimitMark+"  must be off by here",
		g.PlannedMark+"  promised to be out of the chair",
		g.NowMark+"  now",
		"*  after a name: an invented client",
	)...)
}

func (a *App) replayLegend() []string {
	lines := a.told("This is the chair as it was. Nothing is logged here, and the log is never changed. " +
		"What other clients asked of the same hands is not in a log, and so not in its replay.")
	return append(lines, a.legend("What the timeline shows", a.relive.screen.Legend()...)...)
}

func (a *App) cautions() []string {
	lines := []string{"", a.o.Theme.Strong.Render("  Cautions")}
	for _, c := range card.Cautions() {
		lines = append(lines, a.told(c)[1:]...)
	}
	return lines
}
