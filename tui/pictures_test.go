package tui_test

import (
	"encoding/xml"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rinseby/tui"
	"rinseby/tui/theme"
)

// pictures are the scenes that the README shows.
var pictures = []struct {
	scene string
	w, h  int
	about string
}{
	{"safety", 80, 24, "The form of the safety questions"},
	{"mix", 80, 24, "The form in which a bowl is mixed"},
	{"limit", 80, 24, "The form that asks how long a product may work"},
	{"chair-placing", 80, 24, "The chair while pieces are placed"},
	{"chair-warned", 80, 24, "The chair with a warning: a zone must be off in five minutes"},
	{"chair-weak", 80, 24, "The chair with hair that was found weakened"},
	{"chair-rinsing", 120, 40, "The chair at the basin, in a large terminal"},
	{"call", 80, 24, "The screen that says whom to call, and what to do"},
	{"card", 80, 24, "The card after the service"},
	{"floor", 80, 24, "The floor with two clients who need the same hands"},
	{"replay", 80, 24, "A replay"},
}

// TestPictures draws the pictures of the README from the program's own screens,
// and holds those that are there to them.
func TestPictures(t *testing.T) {
	byName := map[string]scene{}
	for _, s := range scenes() {
		byName[s.name] = s
	}
	for _, p := range pictures {
		t.Run(p.scene, func(t *testing.T) {
			d := byName[p.scene].build(t, invented, func(o *tui.Options) { o.Theme = theme.Dark() })
			d.size(p.w, p.h)
			got := draw(d.app.View(), p.w, p.h, p.about+" (invented clients and products)")
			require.NoError(t, xml.Unmarshal([]byte(got), new(struct{ XMLName xml.Name })), "well-formed")
			file := filepath.Join("..", "testdata", "pictures", p.scene+".svg")
			if *update {
				require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
				require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
			}
			want, err := os.ReadFile(file)
			require.NoError(t, err)
			require.True(t, string(want) == got, "%s is another picture: draw it anew with -update, and look at it", file)
		})
	}
}

// A cell of a picture, in units of the picture.
const cellWide, cellHigh = 9, 19

// palette is how a picture shows the 16 colours; a terminal shows its user's.
var palette = [16]string{
	"#1b2430", "#d05a5a", "#5fa86b", "#c79a3f", "#5f8fce", "#b070b8", "#4fa6a6", "#cfd6dd",
	"#66727f", "#f08080", "#8bd39a", "#f0cc70", "#8fb8f0", "#dba0e0", "#82d4d4", "#ffffff",
}

const ground, inkless = "#141a22", "#d5dbe2"

// A pen is how the cells of a run are shown.
type pen struct {
	fg, bg                        string
	bold, faint, under, backwards bool
}

// with takes a parameter of a Select Graphic Rendition sequence in.
func (p pen) with(n int) pen {
	switch {
	case n == 0:
		return pen{}
	case n == 1:
		p.bold = true
	case n == 2:
		p.faint = true
	case n == 4:
		p.under = true
	case n == 7:
		p.backwards = true
	case n >= 30 && n <= 37:
		p.fg = palette[n-30]
	case n >= 90 && n <= 97:
		p.fg = palette[n-90+8]
	case n >= 40 && n <= 47:
		p.bg = palette[n-40]
	}
	return p
}

func (p pen) colours() (fg, bg string) {
	fg, bg = p.fg, p.bg
	if fg == "" {
		fg = inkless
	}
	if p.backwards {
		if bg == "" {
			bg = ground
		}
		fg, bg = bg, fg
	}
	return fg, bg
}

// draw makes a picture of a screen.
func draw(view string, w, h int, about string) string {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" width="%[1]d" role="img" font-family="ui-monospace, monospace" font-size="15" xml:space="preserve">`+"\n",
		w*cellWide+16, h*cellHigh+16)
	fmt.Fprintf(&b, "<title>%s</title>\n<rect width=\"100%%\" height=\"100%%\" rx=\"6\" fill=\"%s\"/>\n<g transform=\"translate(8 8)\">\n", about, ground)
	for y, line := range strings.Split(view, "\n") {
		x, p := 0, pen{}
		for len(line) > 0 {
			if rest, sgr := strings.CutPrefix(line, "\x1b["); sgr {
				parameters, after, _ := strings.Cut(rest, "m")
				for _, text := range strings.Split(parameters, ";") {
					n, _ := strconv.Atoi(text) // empty is 0
					p = p.with(n)
				}
				line = after
				continue
			}
			end := strings.IndexByte(line, 0x1b)
			if end < 0 {
				end = len(line)
			}
			x += run(&b, []rune(line[:end]), x, y, p)
			line = line[end:]
		}
	}
	b.WriteString("</g>\n</svg>\n")
	return b.String()
}

// run draws cells of one pen: letters as text, shapes that must meet their
// neighbours as shapes.
func run(b *strings.Builder, cells []rune, x, y int, p pen) int {
	fg, bg := p.colours()
	if bg != "" {
		fmt.Fprintf(b, `<rect x="%d" y="%d" width="%d" height="%d" fill="%s"/>`+"\n", x*cellWide, y*cellHigh, len(cells)*cellWide, cellHigh, bg)
	}
	style := `fill="` + fg + `"`
	if p.faint {
		style += ` fill-opacity="0.65"`
	}
	if p.bold {
		style += ` font-weight="bold"`
	}
	if p.under {
		style += ` text-decoration="underline"`
	}
	for i := 0; i < len(cells); {
		n := 1 // a word, or one shape
		for word(cells[i]) && i+n < len(cells) && word(cells[i+n]) {
			n++
		}
		text := string(cells[i : i+n])
		switch parts := shapes[cells[i]]; {
		case strings.TrimSpace(text) == "":
		case parts != nil:
			for _, r := range parts {
				fmt.Fprintf(b, `<rect x="%.4g" y="%.4g" width="%.4g" height="%.4g" %s`, (float64(x+i)+r.x)*cellWide, (float64(y)+r.y)*cellHigh, r.w*cellWide, r.h*cellHigh, style)
				if r.thin > 0 {
					fmt.Fprintf(b, ` opacity="%.2g"`, r.thin)
				}
				b.WriteString("/>\n")
			}
		default:
			fmt.Fprintf(b, `<text x="%d" y="%d" textLength="%d" lengthAdjust="spacingAndGlyphs" %s>`, (x+i)*cellWide, y*cellHigh+15, n*cellWide, style)
			_ = xml.EscapeText(b, []byte(text))
			b.WriteString("</text>\n")
		}
		i += n
	}
	return len(cells)
}

func word(r rune) bool { return r > ' ' && r < 128 }

// A part of a shape, in parts of a cell. Thin is its opacity, if not 0.
type part struct{ x, y, w, h, thin float64 }

var shapes = map[rune][]part{
	'█': {{0, 0, 1, 1, 0}}, '▀': {{0, 0, 1, .5, 0}}, '▄': {{0, .5, 1, .5, 0}},
	'░': {{0, .1, 1, .8, .3}}, '▒': {{0, .1, 1, .8, .6}},
	'─': {{0, .48, 1, .06, 0}}, '═': {{0, .4, 1, .06, 0}, {0, .56, 1, .06, 0}}, '│': {{.44, 0, .12, 1, 0}},
	'╞': {{.44, 0, .12, 1, 0}, {.5, .4, .5, .06, 0}, {.5, .56, .5, .06, 0}},
	'╡': {{.44, 0, .12, 1, 0}, {0, .4, .5, .06, 0}, {0, .56, .5, .06, 0}},
}
