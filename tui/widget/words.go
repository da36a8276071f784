package widget

import "strings"

// Words is the longest start of plain text that ends between two words and
// takes at most w cells, and what is left of the text. It is all of the text
// where that fits, and nothing where not even the first word does.
func Words(text string, w int) (start, rest string) {
	if Width(text) <= w {
		return Fit(text, w), ""
	}
	text = harmless(text)
	end, used, from := 0, 0, 0
	for i := 1; i < len(text); i++ {
		if text[i] != ' ' || text[i-1] == ' ' {
			continue
		}
		if used += Width(text[from:i]); used > w {
			break
		}
		end, from = i, i
	}
	return text[:end], strings.TrimLeft(text[end:], " ")
}

// FitWords returns plain text cut to at most w cells between two words, with an
// ellipsis in place of what goes. Only a first word that has no room itself is
// cut within.
func FitWords(text string, w int) string {
	start, rest := Words(text, w)
	if rest == "" {
		return start
	}
	if start, _ = Words(text, w-1); strings.TrimSpace(start) == "" {
		return Fit(text, w)
	}
	return strings.TrimRight(start, " ,:;·-") + ellipsis
}

// Keep is head, name and tail in at most w cells, cut between words. The tail
// is never cut where w has room for it: the name is, down to its first word,
// then the head.
func Keep(head, name, tail string, w int) string {
	room := w - Width(tail)
	if room <= 0 {
		return Fit(tail, w)
	}
	bare := strings.TrimLeft(name, " ")
	first, _, _ := strings.Cut(bare, " ")
	keep := min(Width(name), max(leastName, Width(name)-Width(bare)+Width(first)+1), room*2/3)
	if Width(head)+keep <= room {
		keep = 0
	}
	head = FitWords(head, room-keep)
	return head + FitWords(name, room-Width(head)) + tail
}

// leastName is how much of a name is kept before what stands before it is cut.
const leastName = 12

// WrapWords breaks plain text between words into at most n lines, the first of
// at most first cells, the others of at most w; the last is cut where it must
// be.
func WrapWords(text string, first, w, n int) []string {
	if n <= 1 {
		return []string{FitWords(text, first)}
	}
	start, rest := Words(text, first)
	if start == "" && rest != "" { // a word that is longer than a line
		for part, width := range parts(rest) {
			if Width(start)+width > first {
				break
			}
			start += part
		}
		rest = rest[len(start):]
	}
	if rest == "" || start == "" {
		return []string{FitWords(start+rest, first)}
	}
	return append([]string{start}, WrapWords(rest, w, w, n-1)...)
}
