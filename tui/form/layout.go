package form

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/lipgloss"

	"rinseby/tui/clean"
	"rinseby/tui/theme"
	"rinseby/tui/widget"
)

// The least that the questions are given: huh draws in it, and what is over is
// cut.
const (
	minW = 24
	minH = 3
)

// SetSize sets the cells that the form has.
func (f *Form) SetSize(w, h int) {
	f.margin = ""
	if w > 2*minW { // as the other screens have
		f.margin = " "
	}
	f.w, f.h = w-len(f.margin), h
	f.refresh()
}

// View is the form: at most as many lines, of at most as many cells, as it
// was given. The field that keys go to is always within.
func (f *Form) View() string { return f.view }

// refresh draws the form.
func (f *Form) refresh() {
	if f.w <= 0 || f.h <= 0 {
		f.view = ""
		return
	}
	foot := f.footLines()
	foot = foot[max(0, len(foot)-max(0, f.h-1-minH)):]
	head := f.headLines(min(f.h/3, f.h-1-minH-len(foot)))
	room := f.h - len(head) - len(foot)
	body := strings.Split(f.questions(max(room, minH)), "\n")
	for i, line := range body {
		body[i] = strings.TrimRight(line, " ")
	}
	f.view = f.margin + strings.ReplaceAll(widget.Screen(f.th, head, body, foot, f.w, f.h), "\n", "\n"+f.margin)
}

// headLines are the title, with the page if there are several, and at most
// most lines of the lead.
func (f *Form) headLines(most int) []string {
	title := f.th.Title.Render(widget.Fit(f.title, f.w))
	if n, of := f.pageNumber(); of > 1 && f.w >= 40 {
		number := fmt.Sprintf("page %d of %d", n, of)
		title = f.th.Title.Render(widget.PadRight(f.title, f.w-len(number)-1)) + " " + f.th.Dim.Render(number)
	}
	head := []string{title}
	head = append(head, paragraphs(f.th.Text, f.lead, f.w, most)...)
	if f.h >= 16 {
		head = append(head, "")
	}
	return head
}

// footLines are what is computed of the answers, what is wrong, and the keys.
func (f *Form) footLines() []string {
	var foot []string
	if f.live != nil {
		foot = paragraphs(f.th.Strong, f.live(), f.w, f.h/4)
	}
	if wrong := f.wrong(); wrong != "" {
		foot = append(foot, paragraphs(f.th.Bad, []string{"! " + wrong}, f.w, f.h/4)...)
	}
	if f.h < 6 {
		return foot
	}
	return append(foot, f.keyLine())
}

// wrong is what stands in the way: a refusal, else what is the matter with the
// text in the field that keys go to.
func (f *Form) wrong() string {
	if f.refusal != "" {
		return f.refusal
	}
	p, i := f.at()
	here := f.pages[p].fields[i]
	if typed, ok := here.huh.GetValue().(string); !ok || typed == "" {
		return ""
	}
	if err := here.check(); err != nil {
		return err.Error()
	}
	return ""
}

// keyLine tells the keys that the field in hand takes.
func (f *Form) keyLine() string {
	p, i := f.at()
	here := f.pages[p].fields[i]
	enter := "next"
	if f.last(p, i) {
		enter = f.does
	}
	filter := ""
	hints := []string{f.hint(f.keys.Next, enter)}
	for _, b := range here.huh.KeyBinds() {
		switch h := b.Help(); {
		case !b.Enabled():
		case h.Desc == "up":
			hints = append(hints, widget.Hint(f.th, "up/down", "choose"))
		case h.Desc == "left":
			hints = append(hints, widget.Hint(f.th, "left/right", "choose"))
		case h.Desc == "toggle":
			hints = append(hints, f.hint(f.keys.Tick, "tick"))
		case h.Desc == "filter":
			filter = f.hint(f.keys.Find, "find")
		case h.Desc == "set filter":
			return strings.Join([]string{f.hint(f.keys.Next, "keep this filter"), f.hint(f.keys.Leave, "too")}, "  ")
		case h.Desc == "clear filter":
			return strings.Join(append(hints, f.hint(f.keys.Leave, "show all")), "  ")
		}
	}
	if p+i > 0 {
		hints = append(hints, f.hint(f.keys.Before, "back"))
	}
	if enter == "next" {
		hints = append(hints, f.hint(f.keys.Save, f.does))
	}
	hints = append(hints, f.hint(f.keys.Leave, "leave"))
	line, help := strings.Join(hints, "  "), "  "+f.hint(f.keys.Help, "help")
	if filter != "" && widget.Width(line+"  "+filter+help) <= f.w {
		line += "  " + filter
	}
	if widget.Width(line+help) <= f.w {
		line += help
	}
	return line
}

func (f *Form) hint(b key.Binding, does string) string { return widget.Hint(f.th, b.Help().Key, does) }

func (f *Form) pageNumber() (n, of int) {
	at, _ := f.at()
	for p, pg := range f.pages {
		if !pg.shown() {
			continue
		}
		of++
		if p <= at {
			n++
		}
	}
	return n, of
}

// questions draws the page's fields in at most h lines, or scrolled so that
// the one in hand is within.
func (f *Form) questions(h int) string {
	p, _ := f.at()
	fields := f.pages[p].fields
	lines := 0
	f.huh.WithWidth(max(f.w-2, minW))
	for _, fd := range fields {
		fd.huh.WithHeight(0) // huh never makes a field higher again by itself
		lines += lipgloss.Height(fd.huh.View())
		if fd.settle != nil {
			fd.settle()
		}
	}
	f.huh.WithTheme(f.tight)
	if lines+len(fields)-1 <= h {
		f.huh.WithTheme(f.loose)
	}
	f.huh.WithHeight(h)
	f.huh.Update(nil) // draws
	return f.huh.View()
}

// paragraphs cleans texts, wraps them to w cells and keeps at most n lines.
func paragraphs(style theme.Style, texts []string, w, n int) []string {
	var out []string
	for _, t := range texts {
		for _, line := range widget.Wrap(clean.Text(t), w) {
			if len(out) >= n {
				return out
			}
			out = append(out, style.Render(line))
		}
	}
	return out
}
