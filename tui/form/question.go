package form

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/tui/clean"
	"rinseby/tui/intent"
)

// A Kind says how a question is answered.
type Kind int

// The kinds.
const (
	Line    Kind = iota // by a line of text
	One                 // by one of the options
	Several             // by any number of the options
)

// A Question is the field in hand, to be asked where no form is drawn. Its texts
// are clean.
type Question struct {
	Title       string
	Help        string // what it is, what may be typed, and what it is used for
	Kind        Kind
	Options     []Option // One, Several
	Value       string   // Line: what is offered
	Page, Pages int      // from 1 on
	Lead        []string // what stands above the form
	Live        []string // what follows from the answers so far
	Refusal     string   // why the form was not taken as it is; may be empty
	Does        string   // what the form does once this is answered; empty if more is asked
}

// An Option is one line of a list.
type Option struct {
	Label string
	On    bool // chosen, or ticked
}

// toOptions are choices as options.
func toOptions[T comparable](choices []choice[T], on func(T) bool) []Option {
	all := make([]Option, len(choices))
	for i, o := range options(choices) {
		all[i] = Option{Label: o.Key, On: on(choices[i].value)}
	}
	return all
}

// Question describes the field in hand.
func (f *Form) Question() Question {
	p, i := f.at()
	here := f.pages[p].fields[i]
	q := Question{Title: clean.Text(here.name), Help: here.help, Refusal: f.refusal}
	q.Page, q.Pages = f.pageNumber()
	if here.offers != nil {
		q.Kind, q.Options = One, here.offers()
		if here.ticks {
			q.Kind = Several
		}
	} else if text, ok := here.huh.GetValue().(string); ok {
		q.Value = clean.Text(text)
	}
	for _, l := range f.lead {
		q.Lead = append(q.Lead, clean.Text(l))
	}
	if f.live != nil {
		for _, l := range f.live() {
			q.Live = append(q.Live, clean.Text(l))
		}
	}
	if f.last(p, i) {
		q.Does = f.does
	}
	return q
}

// Helps are the titles of the fields of the page, each with its help; at is the
// one in hand.
func (f *Form) Helps() (helps []string, at int) {
	p, at := f.at()
	for _, fd := range f.pages[p].fields {
		title := clean.Text(fd.name)
		if !strings.HasSuffix(title, "?") {
			title += ":"
		}
		helps = append(helps, title+" "+fd.help)
	}
	return helps, at
}

// Reply answers the field in hand by a line, through the keys that would have
// been pressed for it, and goes on to the next field. The last one answers the
// form's intent, as [Form.Update] does. An error says why nothing, or not all,
// was taken; the question that is then to be asked is [Form.Question].
//
// Of a list, a line is the number of an option, or its name or how that begins;
// of several, such with commas between, or "all". A number is written with # if
// names begin with digits. An empty line keeps what is offered, a - takes it
// away. The names of the keys esc, shift+tab and ctrl+s do what these keys do,
// and so does < for shift+tab; of a list, back too, unless an option begins so.
func (f *Form) Reply(line string) (intent.Intent, error) {
	line = strings.TrimSpace(line)
	q := f.Question()
	if k, ok := moves[line]; ok || q.goesBack(line) {
		if !ok {
			k = tea.KeyShiftTab
		}
		return f.press(tea.KeyMsg{Type: k})
	}
	keys, err := q.keys(line)
	if err != nil {
		f.Refuse(err)
		return nil, err
	}
	answer, err := f.press(append(keys, tea.KeyMsg{Type: tea.KeyEnter})...)
	if again := f.Question(); err != nil && q.Kind == Line && again.Title == q.Title && again.Page == q.Page {
		f.offer(q.Value) // so that an empty line does not offer what was refused
	}
	return answer, err
}

// offer puts a text into the field in hand, and keeps what was refused in sight.
func (f *Form) offer(text string) {
	refusal := f.refusal
	keys := []tea.KeyMsg{{Type: tea.KeyEnd}, {Type: tea.KeyCtrlU}}
	if text != "" {
		keys = append(keys, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(text), Paste: true})
	}
	_, _ = f.press(keys...)
	f.refusal = refusal
	f.refresh()
}

// moves are the replies that answer nothing.
var moves = map[string]tea.KeyType{
	"<": tea.KeyShiftTab, "shift+tab": tea.KeyShiftTab, "esc": tea.KeyEsc, "ctrl+s": tea.KeyCtrlS,
}

// goesBack reports whether a line is the word for the field before, and not an
// answer.
func (q Question) goesBack(line string) bool {
	if q.Kind == Line || !strings.EqualFold(line, "back") {
		return false
	}
	_, err := q.find(line)
	return err != nil
}

// press presses keys. The last one answers.
func (f *Form) press(keys ...tea.KeyMsg) (answer intent.Intent, err error) {
	for _, k := range keys {
		answer, _ = f.Update(k)
	}
	if f.refusal != "" {
		err = errors.New(f.refusal)
	}
	return answer, err
}

// Keys that lists take. A list on one line has left and right in the place of
// up and down, and lets the others alone.
var (
	toTop  = tea.KeyMsg{Type: tea.KeyHome}
	onward = []tea.KeyMsg{{Type: tea.KeyDown}, {Type: tea.KeyRight}}
	tick   = tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}}
)

// keys are those that give the answer.
func (q Question) keys(line string) ([]tea.KeyMsg, error) {
	switch {
	case line == "":
		return nil, nil
	case q.Kind == Line:
		wipe := []tea.KeyMsg{{Type: tea.KeyEnd}, {Type: tea.KeyCtrlU}}
		if line == "-" {
			return wipe, nil
		}
		return append(wipe, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(line), Paste: true}), nil
	case q.Kind == Several:
		return q.ticks(line)
	}
	i, err := q.find(line)
	if err != nil || q.Options[i].On {
		return nil, err
	}
	return q.goTo(i), nil
}

// goTo are the keys that put the cursor on an option.
func (q Question) goTo(i int) []tea.KeyMsg {
	keys := []tea.KeyMsg{toTop}
	for range i {
		keys = append(keys, onward...)
	}
	return keys
}

// ticks are the keys that tick what the line says, and nothing else.
func (q Question) ticks(line string) (keys []tea.KeyMsg, err error) {
	wanted := make([]bool, len(q.Options))
	switch {
	case line == "-":
	case strings.EqualFold(line, "all"):
		for i := range wanted {
			wanted[i] = true
		}
	default:
		for _, part := range strings.Split(line, ",") {
			i, err := q.find(strings.TrimSpace(part))
			if err != nil {
				return nil, err
			}
			wanted[i] = true
		}
	}
	for i, o := range q.Options {
		if o.On != wanted[i] {
			keys = append(append(keys, q.goTo(i)...), tick)
		}
	}
	return keys, nil
}

// Number is how an option's number is written: with # where names begin with
// digits, so that the two can't be taken for one another.
func (q Question) Number(i int) string {
	if q.digits() {
		return "#" + strconv.Itoa(i+1)
	}
	return strconv.Itoa(i + 1)
}

func (q Question) digits() bool {
	return slices.ContainsFunc(q.Options, func(o Option) bool { return o.Label != "" && o.Label[0] >= '0' && o.Label[0] <= '9' })
}

// find is the option that a line names.
func (q Question) find(line string) (int, error) {
	if len(q.Options) == 0 {
		return 0, errors.New("there is nothing to choose from: esc leaves")
	}
	number, marked := strings.CutPrefix(line, "#")
	if n, err := strconv.Atoi(number); err == nil && (marked || !q.digits()) {
		if n < 1 || n > len(q.Options) {
			return 0, fmt.Errorf("there is no %s: type a number from %s to %s", line, q.Number(0), q.Number(len(q.Options)-1))
		}
		return n - 1, nil
	}
	var begin []int
	for i, o := range q.Options {
		switch {
		case strings.EqualFold(o.Label, line):
			return i, nil
		case line != "" && len(o.Label) >= len(line) && strings.EqualFold(o.Label[:len(line)], line):
			begin = append(begin, i)
		}
	}
	switch len(begin) {
	case 0:
		return 0, fmt.Errorf("there is no %q: type a number from %s to %s, or how a name begins", clean.Text(line), q.Number(0), q.Number(len(q.Options)-1))
	case 1:
		return begin[0], nil
	}
	return 0, fmt.Errorf("%q begins %s and %s: type more of it, or the number", clean.Text(line), q.Options[begin[0]].Label, q.Options[begin[1]].Label)
}
