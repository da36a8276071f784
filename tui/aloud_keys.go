package tui

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"rinseby/tui/keys"
)

// take does what a line says: it answers the form that is open; else it is a
// key, what a key does, a number of a list, or several keys.
func (v *Aloud) take(line string) tea.Cmd {
	a, line := v.app, strings.TrimSpace(line)
	if f := v.asked(); f != nil && a.pilot == nil {
		return v.reply(f, line)
	}
	switch strings.ToLower(line) {
	case "again":
		return v.sayAll()
	case "?", "help", "f1":
		v.sayKeys()
		return nil
	}
	if a.pilot != nil { // the key that takes over does nothing else
		k, _ := v.key(line)
		return v.press(k)
	}
	if cmd, done := v.choose(line); done {
		return cmd
	}
	if k, ok := v.exact(line); ok {
		return v.press(k)
	}
	if names := strings.Fields(line); len(names) > 1 && v.areKeys(names) {
		v.lines = append(names[1:], v.lines...) // each when the one before is done
		k, _ := v.exact(names[0])
		return v.press(k)
	}
	k, why := v.key(line)
	if why != "" {
		v.say(why)
		return nil
	}
	return v.press(k)
}

// press presses a key, and says what keys are about if it has changed that.
func (v *Aloud) press(k tea.KeyMsg) tea.Cmd {
	before := v.about()
	_, cmd := v.app.Update(k)
	if after := v.about(); after != before && key.Matches(k, v.app.o.Keys.Up, v.app.o.Keys.Down, v.app.o.Keys.Back) {
		return tea.Batch(cmd, v.speak("Keys are about "+after+"."))
	}
	return cmd
}

// about is what keys are about: a zone, a client, a line of the first screen.
func (v *Aloud) about() string {
	a := v.app
	switch {
	case a.log != nil:
		if z := a.log.State().Zone(a.station.Zone()); z != nil {
			return z.Name
		}
		return "no zone"
	case a.onFloor:
		return fmt.Sprint("client ", a.wall.At()+1)
	}
	return fmt.Sprint("line ", a.start.At()+1)
}

// choose takes a number of the list of the first screen or of the floor, or
// looks in the first one for a text.
func (v *Aloud) choose(line string) (cmd tea.Cmd, done bool) {
	a := v.app
	if a.log != nil || a.relive != nil {
		return nil, false
	}
	if text, ok := strings.CutPrefix(line, "/"); ok && !a.onFloor && text != "" {
		v.find(text)
		return nil, true
	}
	n, err := strconv.Atoi(line)
	if err != nil {
		return nil, false
	}
	many := a.start.Len()
	if a.onFloor {
		many = len(a.wall.Lines())
	}
	if n < 1 || n > many {
		v.say(fmt.Sprintf("There is no %d here: the last is %d.", n, many))
		return nil, true
	}
	if a.onFloor {
		a.wall.Pick(n - 1)
	} else {
		a.start.Pick(n - 1)
	}
	return v.press(named(" ")), true
}

// bindings are the keys that can be pressed now. Those that narrow a list down
// as one types are for screens that are drawn.
func (v *Aloud) bindings() []key.Binding {
	a := v.app
	all := append(slices.Clone(a.top().Keys()), a.o.Keys.QuitHard)
	return slices.DeleteFunc(all, func(b key.Binding) bool {
		find := a.o.Keys.Finding()
		return b.Help() == find.Open.Help() || b.Help() == find.Keep.Help() || b.Help() == find.Drop.Help()
	})
}

// named is the message of the key with a name.
func named(name string) tea.KeyMsg { return keys.Message(key.NewBinding(key.WithKeys(name))) }

// exact is the key that a line names. An empty one is the key that does the
// next thing.
func (v *Aloud) exact(line string) (tea.KeyMsg, bool) {
	switch strings.ToLower(line) {
	case "", "space", "next":
		line = " "
	case "pain":
		line = v.app.o.Keys.Pain.Keys()[0]
	}
	if utf8.RuneCountInString(line) > 1 {
		line = strings.ToLower(line)
	}
	if slices.ContainsFunc(v.bindings(), func(b key.Binding) bool { return slices.Contains(b.Keys(), line) }) {
		return named(line), true
	}
	return tea.KeyMsg{}, false
}

// areKeys reports whether the words of a line are keys, all of them: of a
// sentence none is pressed. After the first one numbers may stand, as answers.
func (v *Aloud) areKeys(words []string) bool {
	for i, word := range words {
		_, err := strconv.Atoi(word)
		if _, ok := v.exact(word); !ok && (i == 0 || err != nil) {
			return false
		}
	}
	return true
}

// key is the key that a line names, or whose help begins with it; or why there
// is none.
func (v *Aloud) key(line string) (k tea.KeyMsg, why string) {
	if k, ok := v.exact(line); ok {
		return k, ""
	}
	var found []key.Binding
	for _, b := range v.bindings() {
		switch does := b.Help().Desc; {
		case strings.EqualFold(does, line):
			return named(b.Keys()[0]), ""
		case utf8.RuneCountInString(line) > 1 && len(does) >= len(line) && strings.EqualFold(does[:len(line)], line):
			found = append(found, b)
		}
	}
	switch len(found) {
	case 0:
		return tea.KeyMsg{}, fmt.Sprintf("There is no key %q here: ? says which there are.", line)
	case 1:
		return named(found[0].Keys()[0]), ""
	}
	return tea.KeyMsg{}, fmt.Sprintf("%q begins %q and %q: type more of it, or the key.", line, found[0].Help().Desc, found[1].Help().Desc)
}

// sayAll says all that there is to say.
func (v *Aloud) sayAll() tea.Cmd {
	clear(v.said)
	v.whole = true
	defer func() { v.whole = false }()
	return v.speak()
}

// sayKeys says what can be typed.
func (v *Aloud) sayKeys() {
	v.say("Keys, each with enter after it:")
	for _, b := range v.bindings() {
		name := b.Help().Key
		if strings.ContainsFunc(name, func(r rune) bool { return r >= utf8.RuneSelf }) { // an arrow
			name = b.Keys()[0]
		}
		v.readOut(name + ": " + b.Help().Desc)
	}
	if v.app.log == nil {
		v.readOut("a number: that line of the list")
	}
	if v.app.log == nil && !v.app.onFloor {
		v.readOut("/ and a text: the lines of the list with that in them")
	}
	v.readOut("nothing, or next: the same as space", "what a key does, or how that begins, such as undo: that key",
		"several keys with blanks between: one after the other", "again: all that there is to say")
}
