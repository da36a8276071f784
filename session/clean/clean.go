package clean

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// MaxMarks is how many combining marks may sit on one character. Vietnamese
// needs 2, pointed Hebrew 3; what goes beyond 4 climbs into other lines. The
// numbers are from memory.
const MaxMarks = 4

// Text returns s as one line that is safe to show.
//
//   - Escape sequences are taken out whole: those of ECMA-48 from ESC or from
//     their C1 characters, with the text of a control string. Of a control
//     string without an end only the introducer goes.
//   - Other control characters are taken out, and so are bidirectional
//     controls, zero-width and other invisible characters, tags, variation
//     selectors, emoji modifiers and enclosing marks. The joiners of Persian
//     and Indic scripts are among them: letters may look less well connected.
//   - Line breaks, tabs and all kinds of space become one space; runs of them
//     too. None is left at the ends.
//   - Invalid UTF-8, and characters that are private or unassigned, become
//     U+FFFD, the replacement character.
//   - Combining marks beyond [MaxMarks] go, as do those with nothing to sit
//     on. Regional indicators, which pair up as flags, become Latin letters.
//
// Text(Text(s)) is Text(s). It takes time in proportion to the length of s.
func Text(s string) string {
	if isPlain(s) {
		return s
	}
	c := cleaner{text: s}
	return c.all()
}

// all is the text as it is safe to show.
func (c *cleaner) all() string {
	c.out.Grow(len(c.text))
	for c.at < len(c.text) {
		r, size := utf8.DecodeRuneInString(c.text[c.at:])
		if length := c.sequence(r, size); length > 0 {
			c.at += length
			continue
		}
		c.at += size
		if c.layout && (r == ' ' || r == '\t' || r == '\n') {
			c.space, c.base, c.marks = false, false, 0
			c.out.WriteRune(r)
			continue
		}
		c.add(r)
	}
	return c.out.String()
}

// isPlain says that s is printable ASCII with single spaces inside, as nearly
// all text is.
func isPlain(s string) bool {
	afterSpace := true
	for i := range len(s) {
		switch c := s[i]; {
		case c == ' ':
			if afterSpace {
				return false
			}
			afterSpace = true
		case c < ' ' || c > '~':
			return false
		default:
			afterSpace = false
		}
	}
	return s == "" || !afterSpace
}

type cleaner struct {
	text   string
	at     int
	out    strings.Builder
	layout bool // blanks, tabs and line feeds stay as they are

	space bool // a space is due before the next character
	base  bool // a mark may follow
	marks int  // on the last character

	// endless says that no control string ends behind at, so that it is not
	// looked for again and again.
	endless bool
}

// sequence is the length of the escape sequence that starts with the character
// r, or 0 if r starts none.
func (c *cleaner) sequence(r rune, size int) int {
	rest := c.text[c.at+size:]
	if r == 0x1b {
		if rest == "" {
			return size
		}
		second := rest[0]
		switch {
		case second >= 0x40 && second < 0x60: // the 7-bit form of a C1 character
			r, size, rest = rune(second)+0x40, size+1, rest[1:]
		default:
			n := parameters(rest, 0x20, 0x2f)
			if n < len(rest) && rest[n] >= 0x30 && rest[n] < 0x7f {
				n++
			}
			return size + n
		}
	}
	switch r {
	case 0x9b: // control sequence introducer
		n := parameters(rest, 0x30, 0x3f)
		n += parameters(rest[n:], 0x20, 0x2f)
		if n < len(rest) && rest[n] >= 0x40 && rest[n] < 0x7f {
			n++
		}
		return size + n
	case 0x90, 0x98, 0x9d, 0x9e, 0x9f: // control strings
		return size + c.controlString(rest)
	case 0x84, 0x85: // index and next line, which break lines
		c.space = true
		return size
	}
	if r >= 0x80 && r < 0xa0 {
		return size
	}
	return 0
}

// parameters counts the bytes from low to high at the start of text.
func parameters(text string, low, high byte) int {
	n := 0
	for n < len(text) && text[n] >= low && text[n] <= high {
		n++
	}
	return n
}

// controlString is the length of a control string's text and its end: BEL, or
// the string terminator in any form.
func (c *cleaner) controlString(rest string) int {
	if c.endless {
		return 0
	}
	for i := range len(rest) {
		switch {
		case rest[i] == 0x07:
			return i + 1
		case i+1 < len(rest) && (rest[i:i+2] == "\x1b\\" || rest[i:i+2] == "\u009c"):
			return i + 2
		}
	}
	c.endless = true
	return 0
}

// add puts one character out, or what stands for it.
func (c *cleaner) add(r rune) {
	switch {
	case isSpace(r):
		c.space = true
		return
	case isInvisible(r):
		return
	case unicode.Is(unicode.M, r):
		if !c.base || c.space || c.marks >= MaxMarks {
			return
		}
		c.marks++
		c.out.WriteRune(r)
		return
	case unicode.Is(unicode.Regional_Indicator, r):
		r = 'A' + r - 0x1f1e6
	case !unicode.IsGraphic(r):
		r = utf8.RuneError
	}
	if c.space && c.base {
		c.out.WriteByte(' ')
	}
	c.space, c.base, c.marks = false, true, 0
	c.out.WriteRune(r)
}

func isSpace(r rune) bool {
	switch r {
	case '\u2800', '\u3164', '\uffa0': // Braille blank, Hangul fillers
		return true
	}
	return unicode.IsSpace(r) || unicode.Is(unicode.Z, r)
}

func isInvisible(r rune) bool {
	switch {
	case r == utf8.RuneError:
		return false
	case r >= 0x1f3fb && r <= 0x1f3ff: // emoji modifiers
		return true
	}
	return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Me,
		unicode.Other_Default_Ignorable_Code_Point, unicode.Variation_Selector)
}
