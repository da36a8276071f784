package widget

import (
	"strings"

	"rinseby/tui/theme"
)

// Digits draws text, of digits and the characters colon, plus, minus, dot and
// space, as large as w cells and h lines allow: 5 lines high, else 3, else as
// it is. The lines are of equal width and not styled. Any other character
// makes it stay as it is; text that does not fit even so is cut with an
// ellipsis. For a w or h of zero or less there are no lines.
//
// "12:34" takes 25 cells in the small size and 42 in the tall one.
func Digits(th *theme.Theme, text string, w, h int) []string {
	if w <= 0 || h <= 0 {
		return nil
	}
	sizes := blockDigits
	if th.ASCII {
		sizes = asciiDigits
	}
	for _, f := range sizes {
		if lines := f.draw(text, w, h); lines != nil {
			return lines
		}
	}
	return []string{Fit(text, w)}
}

// A font has the lines of each character it can draw, all of the same height.
type font struct {
	height, gap int
	glyphs      map[rune]glyph
}

type glyph struct {
	width int
	lines []string
}

// draw returns nil if the text cannot be drawn, or not in w cells and h lines.
func (f font) draw(text string, w, h int) []string {
	if f.height > h || text == "" {
		return nil
	}
	total := -f.gap
	for _, r := range text {
		g, ok := f.glyphs[r]
		if !ok {
			return nil
		}
		total += f.gap + g.width
	}
	if total > w {
		return nil
	}
	lines := make([]string, f.height)
	var b strings.Builder
	for row := range lines {
		b.Reset()
		for i, r := range text {
			if i > 0 {
				b.WriteString(spaces(f.gap))
			}
			b.WriteString(f.glyphs[r].lines[row])
		}
		lines[row] = b.String()
	}
	return lines
}

// The pixels of the characters, 6 rows each. A pixel is one cell wide and half
// a cell high, which is about square. The shapes are kept apart for reading
// from afar: 0, 6 and 9 are round and 8 square, 1 has a foot, 7 a slant.
var pixels = map[rune]string{
	'0': ".###. #...# #...# #...# #...# .###.",
	'1': "..#.. .##.. ..#.. ..#.. ..#.. .###.",
	'2': "####. ....# .###. #.... #.... #####",
	'3': "####. ....# .###. ....# ....# ####.",
	'4': "#...# #...# ##### ....# ....# ....#",
	'5': "##### #.... ####. ....# ....# ####.",
	'6': ".###. #.... ####. #...# #...# .###.",
	'7': "##### ....# ...#. ..#.. ..#.. ..#..",
	'8': "##### #...# ##### #...# #...# #####",
	'9': ".###. #...# .#### ....# ....# .###.",
	':': ". # . . # .",
	'.': ". . . . . #",
	'-': "..... ..... ##### ..... ..... .....",
	'+': "..... ..#.. ##### ..#.. ..... .....",
	' ': ".. .. .. .. .. ..",
}

// The small digits where there are no blocks: 3 lines of strokes.
var strokes = map[rune]glyph{
	'0': {3, []string{" _ ", "| |", "|_|"}},
	'1': {3, []string{"   ", "  |", "  |"}},
	'2': {3, []string{" _ ", " _|", "|_ "}},
	'3': {3, []string{" _ ", " _|", " _|"}},
	'4': {3, []string{"   ", "|_|", "  |"}},
	'5': {3, []string{" _ ", "|_ ", " _|"}},
	'6': {3, []string{" _ ", "|_ ", "|_|"}},
	'7': {3, []string{" _ ", "  |", "  |"}},
	'8': {3, []string{" _ ", "|_|", "|_|"}},
	'9': {3, []string{" _ ", "|_|", " _|"}},
	':': {1, []string{" ", "o", "o"}},
	'.': {1, []string{" ", " ", "o"}},
	'-': {3, []string{"   ", "___", "   "}},
	'+': {3, []string{"   ", "_|_", " | "}},
	' ': {2, []string{"  ", "  ", "  "}},
}

// The larger digits are the small ones with some rows and columns drawn twice,
// or left out, so that the strokes grow with the size.
var (
	tallRows    = []int{0, 0, 1, 1, 2, 2, 3, 4, 5, 5}
	tallColumns = []int{0, 0, 1, 2, 2, 3, 4, 4}
	asciiRows   = []int{0, 1, 2, 3, 5}
)

// The characters that would come out lopsided that way.
var (
	tallPixels = map[rune]string{
		':': ".. .. ## ## .. .. ## ## .. ..",
		'+': "........ ........ ...##... ...##... ######## ######## ...##... ...##... ........ ........",
	}
	asciiPixels = map[rune]string{':': ". # . # ."}
)

// The sizes of digits, tall ones first.
var (
	blockDigits = []font{
		makeFont(2, tallPixels, tallRows, tallColumns, halfBlocks),
		makeFont(1, nil, []int{0, 1, 2, 3, 4, 5}, []int{0, 1, 2, 3, 4}, halfBlocks),
	}
	asciiDigits = []font{
		makeFont(2, asciiPixels, asciiRows, []int{0, 1, 2, 3, 4}, hashes),
		{height: 3, gap: 1, glyphs: strokes},
	}
)

// makeFont draws every character from its own pixels if it has some, or else
// from the given rows and columns of the small one.
func makeFont(gap int, own map[rune]string, rows, columns []int, draw func(rows []string) []string) font {
	f := font{gap: gap, glyphs: map[rune]glyph{}}
	for r, p := range pixels {
		picture := stretch(strings.Fields(p), rows, columns)
		if p, ok := own[r]; ok {
			picture = strings.Fields(p)
		}
		lines := draw(picture)
		f.height = len(lines)
		f.glyphs[r] = glyph{Width(lines[0]), lines}
	}
	return f
}

// stretch takes the given rows and columns of a picture, each as often as it
// is named. Columns that the picture has not are left out.
func stretch(picture []string, rows, columns []int) []string {
	var out []string
	for _, row := range rows {
		var line strings.Builder
		for _, column := range columns {
			if column < len(picture[row]) {
				line.WriteByte(picture[row][column])
			}
		}
		out = append(out, line.String())
	}
	return out
}

// halfBlocks draws two rows of pixels on each line.
func halfBlocks(rows []string) []string {
	shapes := map[string]string{"..": " ", "#.": "▀", ".#": "▄", "##": "█"}
	var lines []string
	for i := 0; i+1 < len(rows); i += 2 {
		var line strings.Builder
		for column := range rows[i] {
			line.WriteString(shapes[string([]byte{rows[i][column], rows[i+1][column]})])
		}
		lines = append(lines, line.String())
	}
	return lines
}

// hashes draws one row of pixels on each line.
func hashes(rows []string) []string {
	lines := make([]string, len(rows))
	for i, row := range rows {
		lines[i] = strings.ReplaceAll(row, ".", " ")
	}
	return lines
}
