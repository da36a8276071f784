package clean

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// JSON is a JSON text that says the same and stays as it is in [Lines]: what
// would not is written as \u and four digits. Nothing is lost but bytes that
// are no UTF-8, which become U+FFFD.
func JSON(text []byte) []byte {
	if Lines(string(text)) == string(text) {
		return text
	}
	out := make([]byte, 0, len(text)+len(text)/8)
	for len(text) > 0 {
		r, size := utf8.DecodeRune(text)
		switch {
		case r < utf8.RuneSelf && r != 0x7f:
			out = append(out, byte(r))
		case r == utf8.RuneError || Lines(string(r)) == string(r):
			out = utf8.AppendRune(out, r)
		case r > 0xffff:
			high, low := utf16.EncodeRune(r)
			out = fmt.Appendf(out, `\u%04x\u%04x`, high, low)
		default:
			out = fmt.Appendf(out, `\u%04x`, r)
		}
		text = text[size:]
	}
	return out
}

// A Writer passes lines on to another writer, as [Lines] makes them. Each write
// is taken by itself.
type Writer struct{ To io.Writer }

// Write implements [io.Writer].
func (w Writer) Write(b []byte) (int, error) {
	if _, err := io.WriteString(w.To, Lines(string(b))); err != nil {
		return 0, err
	}
	return len(b), nil
}

// Indented is an error's text, of which the lines after the first are set in,
// so that none passes for another message.
func Indented(err error) string { return strings.ReplaceAll(err.Error(), "\n", "\n  ") }
