package hostile

import (
	"fmt"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Forged begins a line that a sample tries to add to what is shown.
const Forged = "FORGED"

// A Sample is a hostile text.
type Sample struct {
	Name string
	Text string // as it may stand in a file: not always valid UTF-8
}

// Samples are hostile texts of all kinds.
func Samples() []Sample {
	return []Sample{
		{"clears the screen", "\x1b[2J\x1b[H"},
		{"colours that stay", "\x1b[31;5mred"},
		{"title", "\x1b]0;owned\a"},
		{"clipboard", "\x1b]52;c;b3duZWQ=\x1b\\"},
		{"clipboard without an end", "\x1b]52;c;b3duZWQ="},
		{"link", "\x1b]8;;http://evil.example\x1b\\text\x1b]8;;\x1b\\"},
		{"notification", "\x1b]9;owned\a"},
		{"asks the terminal", "\x1b[c\x1b[6n\x1bP$q\"p\x1b\\"},
		{"other screen", "\x1b[?1049l\x1bc"},
		{"C1 as bytes", "a\x9b31m\x9d0;owned\x9c"},
		{"C1 as characters", "a\u009b31m\u009d0;owned\u009c\u0085b"},
		{"C0", "\x00\x05\x07\x08\x0b\x0c\x0e\x0f\x11\x13\x1a\x7f"},
		{"overwrites", "harmless\rowned\b\b\b\b\bstill"},
		{"a line of its own", "x\n" + Forged + " line\r\n" + Forged + " again\v" + Forged},
		{"line separators", "x\u2028" + Forged + "\u2029" + Forged},
		{"right to left", "\u202eabc\u202c \u2066x\u2069\u200e\u200f\u061c"},
		{"zero width", "a\u200b\u200c\u200d\u2060\ufeff\u00ad\u034fb"},
		{"tags", "\U000e0001\U000e0041\U000e0042\U000e007f"},
		{"variation selectors", "a\ufe0f\ufe00\U000e0100\u180b"},
		{"10 kB of marks", "e" + strings.Repeat("\u0301", 5000)},
		{"invalid UTF-8", "\xff\xfe\xc3\xed\xa0\x80\xc0\xaf"},
		{"joined picture", "\U0001f469\u200d\U0001f469\u200d\U0001f467 \U0001f44d\U0001f3fd \U0001f1f8\U0001f1ea"},
		{"private and unassigned", "\ue000\uf8ff\U000f0000\ufffe\u0378"},
		{"fillers", "\u3164\u115f\uffa0\u2800"},
		{"wide", "日本語の名前"},
		{"long", strings.Repeat("long ", 60)},
		{"markup", "<script>alert(1)</script><img src=x onerror=alert(1)>&amp;"},
		{"Markdown", "# h\n| a | b |\n[x](javascript:alert(1)) ![i](http://evil.example/x.png) `c` **b** <http://evil.example>"},
		{"template", "{{.}} ${HOME} $(id) `id` %s%d%n %!x"},
		{"TOML", "\"\"\"\nstylist = \"owned\"\n'''"},
	}
}

// Name is a text cut to at most so many bytes and made valid UTF-8, as names
// must be.
func Name(text string, most int) string {
	if len(text) > most {
		text = text[:most]
	}
	return strings.ToValidUTF8(text, "")
}

// ours are the control sequences that screens may hold: styles.
var ours = regexp.MustCompile(`\x1b\[[0-9;:]*m`)

// maxMarks is how many combining marks may follow each other.
const maxMarks = 4

// Check says what is wrong with text that is to be shown as it is: anything but
// printable characters, blanks, tabs and line feeds; a heap of marks; or a line
// that begins with [Forged].
func Check(out string) error {
	line, marks := 1, 0
	for i, r := range out {
		switch {
		case r == '\n':
			line++
		case r == utf8.RuneError && !strings.HasPrefix(out[i:], "\uFFFD"):
			return fmt.Errorf("line %d: invalid UTF-8", line)
		case r != '\t' && harmful(r):
			return fmt.Errorf("line %d: %U", line, r)
		}
		if marks++; !unicode.Is(unicode.M, r) {
			marks = 0
		}
		if marks > maxMarks {
			return fmt.Errorf("line %d: a heap of marks", line)
		}
	}
	if strings.Contains("\n"+out, "\n"+Forged) {
		return fmt.Errorf("a line of %q", Forged)
	}
	return nil
}

// CheckScreen is Check for a screen, in which styles may stand, but no tabs.
func CheckScreen(view string) error {
	if strings.Contains(view, "\t") {
		return fmt.Errorf("a tab is on the screen")
	}
	return Check(ours.ReplaceAllString(view, ""))
}

func harmful(r rune) bool {
	switch {
	case r >= 0xe000 && r <= 0xf8ff, r >= 0xe0000 && r <= 0xe0fff: // private use; tags and selectors
		return true
	case r == '\u2028', r == '\u2029':
		return true
	}
	return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Co, unicode.Cs, unicode.Bidi_Control,
		unicode.Noncharacter_Code_Point, unicode.Variation_Selector, unicode.Other_Default_Ignorable_Code_Point)
}
