package theme

import (
	"strings"

	"rinseby/timing"
)

// A Theme names every style and glyph that a screen may use. It is made once
// and only read from then on.
type Theme struct {
	Text          Style // ordinary text
	Strong        Style // what stands out within text
	Dim           Style // what may be overlooked
	Title         Style // the name of a screen or part
	Frame         Style // lines around parts
	Digits        Style // the big digits while all is well
	DigitsClosing Style // the same when a limit is near
	DigitsOver    Style // the same when one is past, or for pain

	Key     Style // a key that can be pressed
	KeyHint Style // what the key does

	Good      Style // done, in time
	Warn      Style // a warning ahead of harm
	Bad       Style // an error
	Band      Style // the full-width warning that waits to be acknowledged
	BandAcked Style // the same once it is acknowledged

	Selected Style // the chosen line of a list
	Input    Style // text being typed
	Cursor   Style // the cell under the cursor

	Now   Style // the present moment on a time axis
	Opens Style // the moment a window opens
	Limit Style // the moment a coat must be off
	Ahead Style // the way to a moment that is still to come

	Glyphs Glyphs
	// ASCII says that the terminal shows nothing but ASCII.
	ASCII bool

	phases [timing.Rinsed + 1]Phase
}

// A Phase is how one phase of a coat or zone is shown.
type Phase struct {
	Style Style
	Glyph string // one cell wide
	Word  string
}

// Label is the phase's glyph and word in its style, such as "● open".
func (p Phase) Label() string { return p.Style.Render(p.Glyph + " " + p.Word) }

// Mark is the phase's glyph in its style.
func (p Phase) Mark() string { return p.Style.Render(p.Glyph) }

// Phase is how p is shown. A phase that does not exist is shown as "? unknown".
func (t *Theme) Phase(p timing.Phase) Phase {
	if p < 0 || int(p) >= len(t.phases) {
		return Phase{Style: t.Bad, Glyph: "?", Word: p.String()}
	}
	return t.phases[p]
}

// Glyphs are the shapes a theme draws with. Each is one cell wide.
type Glyphs struct {
	// The border of a part.
	TopLeft, TopRight, BottomLeft, BottomRight, Across, Down string

	// The bar of one zone on the time axis: what has been, then what is to
	// come, then the moments.
	Applying, Working, Open, Over, Rinsed string
	ToOpen, ToLimit                       string
	OpensMark, LimitMark, NowMark         string
	PlannedMark                           string

	Tick    string // on the time axis
	NowTick string // the present moment on the time axis
	Pointer string // before the chosen line of a list
	Yes, No string // a tick box
	Dot     string // between two things on one line

	phases [timing.Rinsed + 1]string
}

// All non-ASCII glyphs are of the old PC character set (code page 437), which
// is in practically every terminal font; none has an emoji form (from memory).
var unicodeGlyphs = Glyphs{
	TopLeft: "┌", TopRight: "┐", BottomLeft: "└", BottomRight: "┘", Across: "─", Down: "│",
	Applying: "░", Working: "▒", Open: "█", Over: "!", Rinsed: "≈",
	ToOpen: "─", ToLimit: "═", OpensMark: "╞", LimitMark: "╡", NowMark: "│", PlannedMark: "↓",
	Tick: "│", NowTick: "▼", Pointer: "»", Yes: "■", No: "□", Dot: "·",
	phases: [...]string{
		timing.Waiting: "·", timing.Applying: "►", timing.Working: "○", timing.Open: "●",
		timing.Closing: "▲", timing.Over: "!", timing.Rinsed: "≈",
	},
}

var asciiGlyphs = Glyphs{
	TopLeft: "+", TopRight: "+", BottomLeft: "+", BottomRight: "+", Across: "-", Down: "|",
	Applying: ":", Working: "%", Open: "#", Over: "!", Rinsed: "~",
	ToOpen: "-", ToLimit: "=", OpensMark: "[", LimitMark: "]", NowMark: "|", PlannedMark: "v",
	Tick: "|", NowTick: "V", Pointer: ">", Yes: "x", No: "_", Dot: "-",
	phases: [...]string{
		timing.Waiting: ".", timing.Applying: "+", timing.Working: "o", timing.Open: "*",
		timing.Closing: "^", timing.Over: "!", timing.Rinsed: "~",
	},
}

// Dark is the theme for light text on a dark ground.
func Dark() *Theme {
	return (&Theme{
		Strong: newStyle("1"), Dim: newStyle("2"), Title: newStyle("1;36"), Frame: newStyle("2;36"),
		Digits: newStyle("1;97"), DigitsClosing: newStyle("1;93"), DigitsOver: newStyle("1;91"),
		Key:  newStyle("1;33"),
		Good: newStyle("32"), Warn: newStyle("1;33"), Bad: newStyle("1;91"),
		Band: newStyle("1;97;41"), BandAcked: newStyle("91"),
		Selected: newStyle("1;30;46"), Input: newStyle("4"), Cursor: newStyle("7"),
		Now: newStyle("1;97"), Opens: newStyle("1;32"), Limit: newStyle("1;91"), Ahead: newStyle("36"),
	}).with(unicodeGlyphs, "2", "95", "96", "1;92", "1;30;43", "1;97;41", "34")
}

// Light is the theme for dark text on a light ground.
func Light() *Theme {
	return (&Theme{
		Strong: newStyle("1"), Dim: newStyle("2"), Title: newStyle("1;34"), Frame: newStyle("2;34"),
		Digits: newStyle("1;30"), DigitsClosing: newStyle("1;31"), DigitsOver: newStyle("1;31"),
		Key:  newStyle("1;35"),
		Good: newStyle("32"), Warn: newStyle("1;30;43"), Bad: newStyle("1;31"),
		Band: newStyle("1;97;41"), BandAcked: newStyle("31"),
		Selected: newStyle("1;97;44"), Input: newStyle("4"), Cursor: newStyle("7"),
		Now: newStyle("1;30"), Opens: newStyle("1;32"), Limit: newStyle("1;31"), Ahead: newStyle("34"),
	}).with(unicodeGlyphs, "2", "35", "34", "1;32", "1;30;43", "1;97;41", "36")
}

// Mono is the theme without colour, for users who set NO_COLOR: bold,
// underline and reverse only.
func Mono() *Theme {
	return (&Theme{
		Strong: newStyle("1"), Title: newStyle("1"), Digits: newStyle("1"), DigitsClosing: newStyle("1"), DigitsOver: newStyle("1"),
		Key:  newStyle("1"),
		Warn: newStyle("1;4"), Bad: newStyle("1;4"),
		Band: newStyle("1;7"), BandAcked: newStyle("4"),
		Selected: newStyle("7"), Input: newStyle("4"), Cursor: newStyle("7"),
		Now: newStyle("1"), Opens: newStyle("1"), Limit: newStyle("1"),
	}).with(unicodeGlyphs, "", "4", "", "1", "1;4", "1;7", "")
}

// Pick makes the theme for a terminal: its ground, whether colour is
// unwanted, and whether it shows nothing but ASCII.
func Pick(dark, noColor, ascii bool) *Theme {
	t := Light()
	switch {
	case noColor:
		t = Mono()
	case dark:
		t = Dark()
	}
	if ascii {
		t.ASCII = true
		t.setGlyphs(asciiGlyphs)
	}
	return t
}

// FromEnvironment tells from the environment whether colour is unwanted
// (NO_COLOR is set and not empty, or TERM is "dumb"), and whether the locale
// says that the terminal shows nothing but ASCII. Of LC_ALL, LC_CTYPE and
// LANG the first that is set decides, as POSIX has it; where none is set,
// UTF-8 is taken for granted.
func FromEnvironment(getenv func(string) string) (noColor, ascii bool) {
	noColor = getenv("NO_COLOR") != "" || getenv("TERM") == "dumb"
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if locale := strings.ToLower(getenv(name)); locale != "" {
			return noColor, !strings.Contains(locale, "utf-8") && !strings.Contains(locale, "utf8")
		}
	}
	return noColor, false
}

// with sets the glyphs, and the phases' styles in the order of the phases.
func (t *Theme) with(g Glyphs, phases ...string) *Theme {
	for p, parameters := range phases {
		t.phases[p] = Phase{Style: newStyle(parameters), Word: timing.Phase(p).String()}
	}
	t.setGlyphs(g)
	return t
}

func (t *Theme) setGlyphs(g Glyphs) {
	t.Glyphs = g
	for p := range t.phases {
		t.phases[p].Glyph = g.phases[p]
	}
}
