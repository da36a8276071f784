package tui

import (
	"bufio"
	"io"
	"regexp"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/tui/clean"
	"rinseby/tui/form"
	"rinseby/tui/intent"
	"rinseby/tui/page"
	"rinseby/tui/widget"
)

// Aloud is the root model for screen readers and for logs: nothing is drawn,
// and what changes is said in lines of plain text. It takes lines in the place
// of keys, from [Aloud.Listen].
//
// A line begins with the salon's time. What is read at length, such as the
// options of a question or the text of a page, follows in lines that begin with
// two spaces. There is no control character but the line feed, and nothing but
// ASCII if the theme says so.
type Aloud struct {
	app *App
	out io.Writer
	err error // what ends the program: lines can't be written, or read

	base  string            // what is under forms and pages
	said  map[string]string // by topic, the sense of what was said of it last
	whole bool              // all is being said, and not what changed

	lines []string // typed, and not yet taken
	ended bool     // no more are to come
	ready bool     // the start screen knows what there is

	over  screen // what was open when it last spoke
	live  string // what followed from the answers of the form then
	read  *page.Model
	text  string // of that page, as far as it was said
	graph *fan   // being worked out, to be said

	waited bool      // for a plan, and a turn of the clock face has gone by
	again  []Alert   // warnings that call again
	endAt  time.Time // the end that was said last
	seq    int       // the entry that a replay was at
	entry  string    // what it was
}

// Messages of the input.
type (
	lineMsg struct{ text string }
	endMsg  struct{ err error }
)

// NewAloud makes that model of the app, which must be new. Lines go to out.
func NewAloud(a *App, out io.Writer) *Aloud {
	a.station.Typed()
	a.presses.typed = true
	v := &Aloud{app: a, out: out, said: map[string]string{}, ready: a.relive != nil}
	alert := a.o.Alert
	a.o.Alert = func(al Alert) tea.Cmd {
		if al.Again > 0 {
			v.again = append(v.again, al)
		}
		if alert == nil {
			return nil
		}
		return alert(al)
	}
	a.w, a.h = wideEnough, 0
	a.resize()
	return v
}

// wideEnough is how wide pages are made: so that none of their lines is broken.
const wideEnough = 4096

// Listen reads lines and sends them to the program, until there are no more.
// Then the program leaves, and a live service stays live.
func (v *Aloud) Listen(in io.Reader, send func(tea.Msg)) {
	lines := bufio.NewScanner(in)
	for lines.Scan() {
		send(lineMsg{lines.Text()})
	}
	send(endMsg{lines.Err()})
}

// Err is why lines could not be read or written.
func (v *Aloud) Err() error { return v.err }

// Init implements [tea.Model].
func (v *Aloud) Init() tea.Cmd {
	cmd := v.app.Init()
	return tea.Batch(cmd, v.speak())
}

// Update implements [tea.Model].
func (v *Aloud) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	if v.app.left {
		return v, nil
	}
	var cmds []tea.Cmd
	switch msg := msg.(type) {
	case tea.WindowSizeMsg: // nothing is drawn
		return v, nil
	case lineMsg:
		v.lines = append(v.lines, msg.text)
	case Leave: // lines that wait are not taken any more
		v.app.ordered, v.lines = true, nil
		if v.ended {
			return v, v.app.carry(intent.Quit{})
		}
		v.ended = true
	case endMsg:
		v.ended = true
		if msg.err != nil {
			v.err = msg.err
		}
	default:
		v.before(msg)
		saving := v.app.saving
		_, cmd := v.app.Update(msg)
		cmds = append(cmds, cmd)
		_, ticked := msg.(tickMsg)
		v.waited = v.app.planning && (v.waited || ticked)
		if ticked && saving && v.app.saving {
			cmds = append(cmds, v.speak("Not saved yet: waiting for the disk."))
		}
	}
	return v, tea.Batch(append(cmds, v.speak(), v.next())...)
}

// before gets ready for a message of the app.
func (v *Aloud) before(msg tea.Msg) {
	switch msg := msg.(type) {
	case savedMsg:
		v.hush()
	case entriesMsg:
		v.ready = true
	case fanMsg:
		if msg.err != nil {
			v.graph = nil
		}
	}
}

// View implements [tea.Model]: nothing is drawn.
func (v *Aloud) View() string { return "" }

// next takes the lines that wait, as far as what they answer is there: not
// before the last one is on the disk, and the page that was asked for was read.
func (v *Aloud) next() tea.Cmd {
	var cmds []tea.Cmd
	for len(v.lines) > 0 && v.settled() {
		line := v.lines[0]
		v.lines = v.lines[1:]
		v.hush()
		cmds = append(cmds, v.take(line), v.speak())
	}
	if v.ended && len(v.lines) == 0 && v.settled() && !v.app.going {
		v.app.doubted = true // there is nobody to ask
		cmds = append(cmds, v.app.carry(intent.Quit{}))
	}
	return tea.Batch(cmds...)
}

// hush takes the last answer away, so that the same one is said again.
func (v *Aloud) hush() {
	v.app.say("", false)
	delete(v.said, "status")
}

// settled reports whether nothing is on its way that a line may depend on.
func (v *Aloud) settled() bool {
	return v.ready && (!v.app.onFloor || v.app.around.whole) && !v.app.busy() && !v.waits() && (v.read == nil || !awaited(v.read)) && v.graph == nil
}

// waits reports whether what hangs on the plan of the trips is not said, as that
// is just being made anew: for a turn of the clock face at most.
func (v *Aloud) waits() bool { return v.app.planning && !v.waited }

// awaited reports whether the text of a page is still being worked out.
func awaited(p *page.Model) bool {
	l := p.Lines()
	return len(l) == 1 && strings.HasSuffix(l[0], "…")
}

// Farewell says what becomes of the service, once the program has ended. Of
// practice nothing is kept.
func (v *Aloud) Farewell() {
	a := v.app
	if practice := a.o.Pilot != nil || a.o.Invented; !practice && a.log != nil && a.live != nil && a.log.State().Live() {
		v.say("Left. The service of " + a.log.State().Client + " stays live.")
	}
}

// speak says texts, then all that has changed.
func (v *Aloud) speak(texts ...string) tea.Cmd {
	v.say(texts...)
	v.turn()
	v.entries()
	now, waits := map[string]string{}, v.waits()
	for _, t := range v.topics() {
		was, known := v.said[t.name]
		if t.planned && waits {
			t.text, t.sense = "", was
		}
		if t.text != "" && (!known || was != t.sense) {
			v.say(t.text)
			v.readOut(t.more...)
		}
		if t.sense != "" {
			now[t.name] = t.sense
		}
	}
	for name, was := range v.said {
		if waits && now[name] == "" && strings.HasPrefix(name, warnings) {
			now[name] = was
		}
	}
	v.callAgain(now)
	v.said = now
	cmd := v.opened()
	if v.err != nil && !v.ended {
		v.ended, v.lines = true, nil
	}
	return cmd
}

// turn forgets what was said when another screen is there.
func (v *Aloud) turn() {
	a, base := v.app, ""
	switch {
	case a.relive != nil:
		base = "replay"
	case a.log != nil:
		base = "chair " + a.log.State().Service
	case a.onFloor:
		base = "floor"
	}
	if base != v.base {
		v.base, v.endAt, v.seq = base, time.Time{}, 0
		clear(v.said)
	}
}

// A topic is something that is said anew when its sense changes; one without a
// text is not said.
type topic struct {
	name, sense, text string
	more              []string // read out after the text
	planned           bool     // hangs on the plan of the trips
}

// told is a topic whose text is all there is to it.
func told(name, text string) topic { return topic{name: name, sense: text, text: text} }

// topics is all that there is to say now, what is most pressing first.
func (v *Aloud) topics() []topic {
	switch a := v.app; {
	case a.log != nil:
		return v.chairTopics()
	case a.onFloor:
		return v.floorTopics()
	}
	return v.startTopics()
}

// figures are what changes in a text from second to second.
var figures = regexp.MustCompile(`\d+ min \d+ s\b|\d+ (min|s)\b|\d+`)

// words is a text without its figures.
func words(text string) string { return figures.ReplaceAllString(text, "#") }

// say says texts, each in a line of its own, at the salon's time. Empty ones are
// left out.
func (v *Aloud) say(texts ...string) {
	at := v.app.now.Wall.In(v.app.o.Place).Format("15:04 ")
	for _, t := range texts {
		if t = v.plain(t); t != "" {
			v.write(at + t)
		}
	}
}

// readOut says what belongs to the line before.
func (v *Aloud) readOut(texts ...string) {
	for _, t := range texts {
		if t = v.plain(t); t != "" {
			v.write("  " + t)
		}
	}
}

func (v *Aloud) write(line string) {
	if _, err := io.WriteString(v.out, line+"\n"); err != nil && v.err == nil {
		v.err = err
	}
}

// stopped is a text with a full stop at its end.
func stopped(text string) string {
	if strings.HasSuffix(text, ".") || strings.HasSuffix(text, "?") {
		return text
	}
	return text + "."
}

// plain is a text as it may be said.
func (v *Aloud) plain(text string) string {
	text = clean.Text(text)
	if v.app.o.Theme.ASCII {
		text = clean.Text(widget.ASCII(spelt.Replace(text))) // a mark on a blank leaves two
	}
	return text
}

// spelt are the signs that ASCII has other ways to write.
var spelt = strings.NewReplacer("…", "...", "–", "-", "—", "-", "·", "-", "×", "x", "±", "+-", "→", "to", "’", "'")

// asked is the form that is open, or nil.
func (v *Aloud) asked() *form.Form {
	f, _ := v.app.over.(*form.Form)
	return f
}
