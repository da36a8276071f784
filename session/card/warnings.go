package card

import "strings"

// warning says which warning was seen, when, and why the work went on.
func (c Card) warning(w Warning) string {
	text := w.What + ": seen at " + c.clock(&w.At)
	if w.Reason != "" {
		text += " (reason: " + w.Reason + ")"
	}
	return text
}

// overrules reports whether the warning with the key is about a cap, so that
// it belongs with the safety answers.
func overrules(key string) bool {
	kind, _, _ := strings.Cut(key, ":")
	return kind == "safety-cap" || kind == "safety-scalp" || kind == "over-cap"
}
