package form

import (
	"cmp"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/huh"

	"rinseby/session"
	"rinseby/tui/clean"
	"rinseby/tui/intent"
	"rinseby/tui/keys"
	"rinseby/tui/theme"
)

// A Form is one screen of questions. The constructors of this package make
// them.
type Form struct {
	th    *theme.Theme
	title string
	does  string   // what the last key does; "save" if empty
	eager bool     // the key that does the next thing goes on, as enter does
	lead  []string // shown above the questions
	pages []page
	// live is shown under the questions, computed from what is typed so far.
	live func() []string
	// submit makes the intent of what was typed, once every field is in
	// order.
	submit func() (intent.Intent, error)

	keys    keys.Form
	huh     *huh.Form
	loose   *huh.Theme // with an empty line between fields
	tight   *huh.Theme
	refusal string
	w, h    int
	margin  string // at the left of every line
	view    string
}

// A page is the fields that are shown together.
type page struct {
	fields []field
	hidden func() bool // nil: never
}

func (p page) shown() bool { return p.hidden == nil || !p.hidden() }

// start makes the form ready for its first key.
//
// The theme is given to the fields before all else: huh draws a list or a
// group as soon as it is made, in its own theme if it has none, and that one
// asks the terminal for its background.
func start(th *theme.Theme, f Form) *Form {
	f.keys = keys.InForm()
	f.th, f.title, f.does = th, clean.Text(f.title), cmp.Or(f.does, "save")
	f.loose, f.tight = look(th, "\n\n"), look(th, "\n")
	groups := make([]*huh.Group, len(f.pages))
	var mutes []*mute
	for i, p := range f.pages {
		fields := make([]huh.Field, len(p.fields))
		for j := range p.fields {
			fd := &p.fields[j]
			fd.huh.WithTheme(f.loose)
			if fd.fill != nil {
				fd.fill()
			}
			m := &mute{Field: fd.huh}
			fields[j], fd.huh = m, m
			mutes = append(mutes, m)
		}
		groups[i] = huh.NewGroup(fields...).WithShowHelp(false).WithShowErrors(false).
			WithHideFunc(func() bool { return !p.shown() })
	}
	for _, m := range mutes {
		m.speaks = true
	}
	f.huh = huh.NewForm(groups...).WithKeyMap(fieldKeys()).WithTheme(f.loose)
	f.huh.Init() // what it returns is for cursors that blink
	return &f
}

// Init starts nothing: a form needs no messages but keys.
func (f *Form) Init() tea.Cmd { return nil }

// Title is the form's title, cleaned.
func (f *Form) Title() string { return f.title }

// Refuse shows why what the form asked for was not done. It stays until the
// next key.
func (f *Form) Refuse(err error) {
	f.refusal = clean.Text(err.Error())
	f.refresh()
}

// Update takes a key; it leaves all other messages alone. Esc answers
// [intent.Back], after a list's filter was given up. Enter on the last field,
// or ctrl+s on any, answers the form's intent if every field is in order, else
// goes to the first that is not. The command is always nil: every key has done
// its work when Update returns, so that keys can't overtake each other.
func (f *Form) Update(msg tea.Msg) (intent.Intent, tea.Cmd) {
	k, ok := msg.(tea.KeyMsg)
	if !ok {
		return nil, nil
	}
	f.refusal = ""
	answer := f.key(k)
	f.refresh()
	return answer, nil
}

func (f *Form) key(k tea.KeyMsg) intent.Intent {
	p, i := f.at()
	here := f.pages[p].fields[i]
	if f.eager && k.Type == tea.KeySpace {
		k = tea.KeyMsg{Type: tea.KeyEnter}
	}
	if !here.claims(k) {
		switch {
		case key.Matches(k, f.keys.Leave):
			return intent.Back{}
		case key.Matches(k, f.keys.Next):
			if err := here.check(); err != nil {
				f.refusal = err.Error()
				return nil
			}
			if !f.next(p, i) && k.Type != tea.KeyTab {
				return f.finish()
			}
			return nil
		case key.Matches(k, f.keys.Before):
			f.previous(p, i)
			return nil
		case key.Matches(k, f.keys.Save):
			return f.finish()
		}
	}
	if k, ok := here.admit(k); ok {
		f.huh.Update(k) // its commands are only for cursors that blink
		if here.sync != nil {
			here.sync()
		}
	}
	return nil
}

// finish answers the form's intent, or goes to the field that is not in order.
func (f *Form) finish() intent.Intent {
	for p, pg := range f.pages {
		if !pg.shown() {
			continue
		}
		for i, fd := range pg.fields {
			if err := fd.check(); err != nil {
				f.goTo(p, i)
				f.refusal = err.Error()
				return nil
			}
		}
	}
	answer, err := f.submit()
	if err != nil {
		f.refusal = clean.Text(err.Error())
		return nil
	}
	return answer
}

// at tells the page and the field that keys go to.
func (f *Form) at() (p, i int) {
	now := f.huh.GetFocusedField()
	for p, pg := range f.pages {
		if i := slices.IndexFunc(pg.fields, func(fd field) bool { return fd.huh == now }); i >= 0 {
			return p, i
		}
	}
	return 0, 0
}

// next goes to the field after i of page p. It answers false on the last one.
func (f *Form) next(p, i int) bool {
	if i+1 < len(f.pages[p].fields) {
		f.huh.NextField()
		return true
	}
	if !slices.ContainsFunc(f.pages[p+1:], page.shown) {
		return false
	}
	f.pages[p].fields[i].huh.Blur()
	f.huh.NextGroup()
	f.huh.GetFocusedField().Focus()
	return true
}

// previous goes to the field before i of page p. It answers false on the
// first one.
func (f *Form) previous(p, i int) bool {
	if i > 0 {
		f.huh.PrevField()
		return true
	}
	if !slices.ContainsFunc(f.pages[:p], page.shown) {
		return false
	}
	f.pages[p].fields[i].huh.Blur()
	f.huh.PrevGroup()
	f.huh.GetFocusedField().Focus()
	return true
}

// goTo goes to field i of page p, which is shown.
func (f *Form) goTo(p, i int) {
	for {
		np, ni := f.at()
		switch {
		case np > p || np == p && ni > i:
			if !f.previous(np, ni) {
				return
			}
		case np < p || np == p && ni < i:
			if !f.next(np, ni) {
				return
			}
		default:
			return
		}
	}
}

// last reports whether nothing comes after field i of page p.
func (f *Form) last(p, i int) bool {
	return i+1 == len(f.pages[p].fields) && !slices.ContainsFunc(f.pages[p+1:], page.shown)
}

// Keys lists what can be pressed in a form, whatever the field.
func (f *Form) Keys() []key.Binding { return f.keys.All() }

// Typing reports whether letters go into the field in hand.
func (f *Form) Typing() bool {
	p, i := f.at()
	here := f.pages[p].fields[i]
	return here.fill == nil || here.filtering()
}

// claims reports whether the field has a use of its own for the key: a list
// that is being filtered, or is filtered, has one for esc and enter.
func (fd field) claims(k tea.KeyMsg) bool {
	return slices.ContainsFunc(fd.huh.KeyBinds(), func(b key.Binding) bool { return key.Matches(k, b) })
}

// logged asks for data to be logged, now.
func logged(say string, data ...session.Data) intent.Log {
	out := intent.Log{Say: clean.Text(say)}
	for _, d := range data {
		out.Commands = append(out.Commands, session.Do(d))
	}
	return out
}
