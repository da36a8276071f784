//go:build unix

package screentest

import (
	"reflect"
	"strings"
)

// turned are what a program turns on in a terminal, and what turns it off.
var turned = []struct{ name, on, off string }{
	{"the other screen", "\x1b[?1049h", "\x1b[?1049l"},
	{"pasting in brackets", "\x1b[?2004h", "\x1b[?2004l"},
	{"the mouse", "\x1b[?1002h", "\x1b[?1002l"},
	{"all of the mouse", "\x1b[?1003h", "\x1b[?1003l"},
	{"the mouse at any column", "\x1b[?1006h", "\x1b[?1006l"},
	{"focus reports", "\x1b[?1004h", "\x1b[?1004l"},
	{"the hidden cursor", "\x1b[?25l", "\x1b[?25h"},
	{"a title of its own", "\x1b[22;2t", "\x1b[23;2t"},
}

// NotGiven waits for the program to end and lists what of the terminal it did
// not give back as it was: what it turned on, and the modes, such as raw input
// without echo.
func (x *Terminal) NotGiven() (left []string) {
	x.t.Helper()
	_, _ = x.Wait()
	raw := string(x.Raw())
	for _, t := range turned {
		if strings.LastIndex(raw, t.on) > strings.LastIndex(raw, t.off) {
			left = append(left, t.name)
		}
	}
	if !reflect.DeepEqual(x.modes, x.left) {
		left = append(left, "the modes of the terminal")
	}
	return left
}

// Parting waits for the program to end and returns what it wrote after it left
// the other screen, without sequences.
func (x *Terminal) Parting() string {
	x.t.Helper()
	_, _ = x.Wait()
	raw := string(x.Raw())
	raw = raw[max(strings.LastIndex(raw, "\x1b[?1049l"), 0):]
	for _, t := range turned {
		raw = strings.NewReplacer(t.on, "", t.off, "").Replace(raw)
	}
	return strings.TrimSpace(raw)
}
