package card

import (
	"strings"
	"unicode"

	"rinseby/session/clean"
)

// special are the characters that may mean something to a reader of Markdown,
// wherever they stand in a line.
const special = "\\`*_[]<>#|~&@$^{}"

// escape makes one line of Markdown that reads as the text, and is nothing
// but text: no emphasis, link, address, HTML, heading, list or table.
func escape(text string) string {
	text = clean.Text(text)
	var b strings.Builder
	for i, r := range text {
		if strings.ContainsRune(special, r) || opensBlock(text, i) || opensLink(text[i:], text[:i]) {
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return b.String()
}

// opensBlock reports whether the character at i would make the line a list,
// a rule or the underline of a heading.
func opensBlock(text string, i int) bool {
	if i == 0 {
		return strings.ContainsRune("-+=", rune(text[0]))
	}
	ends := i+1 == len(text) || text[i+1] == ' '
	return ends && (text[i] == '.' || text[i] == ')') && strings.Trim(text[:i], "0123456789") == ""
}

// opensLink reports whether the character at the start of rest belongs to a
// bare address that a reader would turn into a link: the colon of "http://",
// the dot of "www.".
func opensLink(rest, before string) bool {
	if strings.HasPrefix(rest, "://") {
		return true
	}
	return rest[0] == '.' && len(before) >= 3 && strings.EqualFold(before[len(before)-3:], "www")
}

// cells is how many columns of a terminal a character takes at most. What is
// above the scripts that are known to be narrow counts as wide, so that a
// line may come out shorter than it could be, but never longer.
func cells(r rune) int {
	const wideFrom, dashes, quotes = 0x1100, 0x2010, 0x2027
	switch {
	case unicode.In(r, unicode.Mn, unicode.Me):
		return 0
	case r < wideFrom || (r >= dashes && r <= quotes):
		return 1
	}
	return 2
}

func width(text string) (n int) {
	for _, r := range text {
		n += cells(r)
	}
	return n
}

// wrap breaks a line at blanks, and where a word is too long inside it, so
// that none is wider than most; lines after the first are indented.
func wrap(line, indent string, most int) []string {
	if len(indent) >= most {
		indent = ""
	}
	var out []string
	cur, empty := "", true
	flush := func() {
		out = append(out, cur)
		cur, empty = indent, true
	}
	for _, word := range strings.Fields(line) {
		if !empty && width(cur)+1+width(word) > most {
			flush()
		}
		if !empty {
			cur += " "
		}
		for _, r := range word {
			if !empty && width(cur)+cells(r) > most {
				flush()
			}
			cur, empty = cur+string(r), false
		}
	}
	if !empty || len(out) == 0 {
		out = append(out, cur)
	}
	return out
}
