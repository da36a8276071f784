package clean_test

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"rinseby/tui/clean"
)

// corpus is text that tries to do harm, and what is left of it.
var corpus = []struct{ name, in, want string }{
	{"empty", "", ""},
	{"plain", "Tove A., roots only", "Tove A., roots only"},
	{"spaces", "  a \t b\u00a0\u2003c\u3000 ", "a b c"},
	{"line breaks", "a\r\nb\nc\rd\ve\ff\u0085g\u2028h\u2029i", "a b c d e f g h i"},
	{"bell and backspace", "pass\a\b\b\b\bfail", "passfail"},
	{"delete and null", "a\x7fb\x00c", "abc"},
	{"colour", "\x1b[1;31mred\x1b[0m", "red"},
	{"colour with colons", "\x1b[38:2::1:2:3mx", "x"},
	{"cursor home and erase", "\x1b[H\x1b[2Jgone", "gone"},
	{"private mode", "\x1b[?1049lx", "x"},
	{"cursor shape with a space", "\x1b[2 qx", "x"},
	{"title to BEL", "\x1b]0;evil\ax", "x"},
	{"title to ST", "\x1b]0;evil\x1b\\x", "x"},
	{"title to C1 ST", "\x1b]0;evil\u009cx", "x"},
	{"link", "\x1b]8;;http://x\x1b\\text\x1b]8;;\x1b\\", "text"},
	{"clipboard", "\x1b]52;c;ZXZpbA==\ax", "x"},
	{"device control string", "\x1bPq#0;1\x1b\\x", "x"},
	{"application command", "\x1b_Ga=T\x1b\\x", "x"},
	{"control string without an end", "\x1b]0;Mr. Okpara", "0;Mr. Okpara"},
	{"reset", "\x1bcx", "x"},
	{"character set", "\x1b(0x", "x"},
	{"next line by escape", "a\x1bEb", "a b"},
	{"escape at the end", "x\x1b", "x"},
	{"introducer at the end", "x\x1b[", "x"},
	{"unfinished", "x\x1b[31", "x"},
	{"broken off by a letter", "x\x1b[31é", "xé"},
	{"escape twice", "\x1b\x1b[31mx", "x"},
	{"sequence within a sequence", "\x1b[3\x1b[31m1mx", "1mx"},
	{"C1 introducer", "\u009b31mx", "x"},
	{"C1 control string", "\u009d0;evil\u009cx", "x"},
	{"C1 alone", "a\u0080b\u008dc\u009fd", "abcd"},
	{"C1 as bytes", "a\x9b31m\x9d0;x", "a\uFFFD31m\uFFFD0;x"},
	{"invalid UTF-8", "a\xffb\xc3", "a\uFFFDb\uFFFD"},
	{"overlong slash", "\xc0\xaf", "\uFFFD\uFFFD"},
	{"surrogate", "\xed\xa0\x80", "\uFFFD\uFFFD\uFFFD"},
	{"halves joined by what goes", "\xc3\x1b[m\xa9", "\uFFFD\uFFFD"},
	{"right-to-left override", "abc\u202egnp.exe", "abcgnp.exe"},
	{"isolates and marks", "\u2066a\u2069\u200e\u200f\u061cb\u202c", "ab"},
	{"zero width", "a\u200bb\u200cc\u200dd\ufeffe\u2060f\u00adg\u180eh", "abcdefgh"},
	{"invisible operators", "a\u2061\u2062\u2063\u2064\u206a\u206fb", "ab"},
	{"tags", "a\U000e0001\U000e0041\U000e007fb", "ab"},
	{"variation selectors", "a\ufe0f\ufe00\U000e0100\u180bb", "ab"},
	{"Hangul fillers", "a\u115f\u1160b\u3164c\uffa0d", "ab c d"},
	{"Braille blank", "a\u2800b", "a b"},
	{"grapheme joiner", "a\u034fb", "ab"},
	{"interlinear annotation", "a\ufff9b\ufffac\ufffbd", "abcd"},
	{"private use", "a\ue0b0b\U000f0000c", "a\uFFFDb\uFFFDc"},
	{"noncharacter and unassigned", "a\ufffeb\u0378c", "a\uFFFDb\uFFFDc"},
	{"heap of marks", "a" + strings.Repeat("\u0301", 50) + "b", "a\u0301\u0301\u0301\u0301b"},
	{"mark on nothing", "\u0301a", "a"},
	{"mark on a space", "a \u0301b", "a b"},
	{"enclosing mark", "1\ufe0f\u20e3", "1"},
	{"flag", "\U0001f1f8\U0001f1ea", "SE"},
	{"family", "\U0001f468\u200d\U0001f469", "\U0001f468\U0001f469"},
	{"skin tone", "\U0001f44d\U0001f3fd", "\U0001f44d"},
	{"only what goes", "\x1b[m \u200b\t", ""},
}

func TestTextCorpus(t *testing.T) {
	for _, c := range corpus {
		t.Run(c.name, func(t *testing.T) { assert.Equal(t, c.want, clean.Text(c.in)) })
	}
}

// Ordinary names and words of many scripts come through as they are.
func TestTextKeepsLetters(t *testing.T) {
	for _, s := range []string{
		"Åsa Öberg-Ngũgĩ", "Nguyễn Thị Ánh", "Nguye\u0302\u0303n", "Łódź", "Ελένη", "Наталія", "İpek Çağlar",
		"שָׁלוֹם", "مُحَمَّد", "हिन्दी", "தமிழ்", "ไทยน้ำ", "ខ្មែរ", "日本語", "한국어", "中文", "አማርኛ", "ქართული",
		"30 ml + 60 g = 1:2 (6 %)", "“quoted” – it’s £5 … ½ · 20°", "\uFFFD",
	} {
		assert.Equal(t, s, clean.Text(s))
	}
}

func TestShort(t *testing.T) {
	for _, c := range []struct {
		in   string
		max  int
		want string
	}{
		{"crown", 5, "crown"},
		{"crown", 4, "cro…"},
		{"back left", 6, "back…"},
		{"crown", 1, "…"},
		{"crown", 0, ""},
		{"crown", -3, ""},
		{"", 3, ""},
		{"日本語", 6, "日本語"},
		{"日本語", 5, "日本…"},
		{"日本語", 4, "日…"},
		{"日本語", 2, "…"},
		{"e\u0301e\u0301e\u0301", 2, "e\u0301…"},
		{"\x1b[31mred\x1b[m hair", 4, "red…"},
	} {
		assert.Equal(t, c.want, clean.Short(c.in, c.max), "%q to %d", c.in, c.max)
	}
}

// hostileText draws text from any bytes, and from pieces that are likely to work
// together.
func hostileText() *rapid.Generator[string] {
	piece := rapid.OneOf(
		rapid.SampledFrom([]string{
			"\x1b", "[", "]", "P", "\\", "\a", "31m", "\u009b", "\u009c", "\u009d", "\x9b", "\xc3", "\xa9", "\r", "\n",
			" ", "a", "é", "e\u0301", "\u0301", "\u200d", "\u202e", "\ufe0f", "日", "\U0001f468", "\U0001f1e6", "\u20e3",
		}),
		rapid.String(),
		rapid.Map(rapid.SliceOfN(rapid.Byte(), 0, 8), func(b []byte) string { return string(b) }),
	)
	return rapid.Map(rapid.SliceOfN(piece, 0, 12), func(p []string) string { return strings.Join(p, "") })
}

func TestTextIsSafe(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := hostileText().Draw(t, "text")
		checkSafe(t, s, rapid.IntRange(-1, 30).Draw(t, "cells"))
	})
}

type failer interface{ Fatalf(string, ...any) }

// checkSafe checks what must hold for every text, by rules of its own.
func checkSafe(t failer, s string, maxCells int) {
	text := clean.Text(s)
	switch {
	case !utf8.ValidString(text):
		t.Fatalf("%q gives invalid UTF-8: %q", s, text)
	case clean.Text(text) != text:
		t.Fatalf("%q gives %q, and that %q", s, text, clean.Text(text))
	case strings.TrimSpace(text) != text || strings.Contains(text, "  "):
		t.Fatalf("%q gives surplus spaces: %q", s, text)
	case ansi.Strip(text) != text:
		t.Fatalf("%q leaves a sequence: %q", s, text)
	}
	marks := clean.MaxMarks
	for _, r := range text {
		if !unicode.IsPrint(r) || unicode.In(r, unicode.Cf, unicode.Bidi_Control, unicode.Variation_Selector, unicode.Co) {
			t.Fatalf("%q leaves %U: %q", s, r, text)
		}
		switch {
		case r == ' ':
			marks = clean.MaxMarks
		case !unicode.IsMark(r):
			marks = 0
		default:
			if marks++; marks > clean.MaxMarks {
				t.Fatalf("%q leaves a mark too many, or one with no base: %q", s, text)
			}
		}
	}
	short := clean.Short(s, maxCells)
	switch {
	case ansi.StringWidth(short) > max(maxCells, 0):
		t.Fatalf("%q cut to %d cells has %d: %q", s, maxCells, ansi.StringWidth(short), short)
	case clean.Short(short, maxCells) != short:
		t.Fatalf("%q cut to %d cells twice differs: %q", s, maxCells, short)
	case ansi.StringWidth(text) <= maxCells && short != text:
		t.Fatalf("%q is cut to %q, though %d cells are enough", s, short, maxCells)
	}
}

// Text with many introducers and no end must not be searched over and over.
func TestTextIsLinear(t *testing.T) {
	assert.Equal(t, "x", clean.Text(strings.Repeat("\x1b]", 500_000)+"x"))
}

func FuzzText(f *testing.F) {
	for _, c := range corpus {
		f.Add(c.in, 10)
	}
	f.Fuzz(func(t *testing.T, s string, maxCells int) { checkSafe(t, s, maxCells) })
}

func BenchmarkTextPlain(b *testing.B) {
	for b.Loop() {
		clean.Text("Tove A., back left, 12 foils")
	}
}

func BenchmarkTextHostile(b *testing.B) {
	for b.Loop() {
		clean.Text("\x1b[31mTove\x1b[0m A.\u202e, \u200bback left")
	}
}
