package theme_test

import (
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/timing"
	"rinseby/tui/theme"
)

var all = map[string]*theme.Theme{
	"dark":        theme.Pick(true, false, false),
	"light":       theme.Pick(false, false, false),
	"mono":        theme.Pick(true, true, false),
	"dark ASCII":  theme.Pick(true, false, true),
	"light ASCII": theme.Pick(false, false, true),
	"mono ASCII":  theme.Pick(false, true, true),
}

// styles are all the styles of a theme, by name, each as it renders "x".
func styles(t *theme.Theme) map[string]string {
	out := map[string]string{}
	v := reflect.ValueOf(*t)
	for i := range v.NumField() {
		if f := v.Type().Field(i); f.IsExported() && f.Type == reflect.TypeFor[theme.Style]() {
			out[f.Name] = v.Field(i).Interface().(theme.Style).Render("x")
		}
	}
	for p := timing.Waiting; p <= timing.Rinsed; p++ {
		out[p.String()] = t.Phase(p).Style.Render("x")
	}
	return out
}

// glyphs are all the shapes of a theme, by name.
func glyphs(t *theme.Theme) map[string]string {
	out := map[string]string{}
	v := reflect.ValueOf(t.Glyphs)
	for i := range v.NumField() {
		if f := v.Type().Field(i); f.IsExported() {
			out[f.Name] = v.Field(i).String()
		}
	}
	for p := timing.Waiting; p <= timing.Rinsed; p++ {
		out[p.String()] = t.Phase(p).Glyph
	}
	return out
}

func TestStylesKeepToTheirMeans(t *testing.T) {
	colour := regexp.MustCompile(`^(\x1b\[(([1247]|3[0-7]|9[0-7]|4[0-7])(;|m))+x\x1b\[m|x)$`)
	mono := regexp.MustCompile(`^(\x1b\[([147](;|m))+x\x1b\[m|x)$`)
	for name, th := range all {
		for style, text := range styles(th) {
			assert.Regexp(t, colour, text, "%s: %s", name, style)
			if strings.HasPrefix(name, "mono") {
				assert.Regexp(t, mono, text, "%s: %s", name, style)
			}
		}
	}
}

func TestGlyphsAreOneCell(t *testing.T) {
	for name, th := range all {
		for glyph, text := range glyphs(th) {
			assert.Equal(t, 1, ansi.StringWidth(text), "%s: %s", name, glyph)
			assert.Len(t, []rune(text), 1, "%s: %s", name, glyph)
			if th.ASCII {
				assert.Len(t, text, 1, "%s: %s", name, glyph)
			}
		}
	}
}

// A phase is told by its glyph and by its word, without any colour. What a
// bar draws is told by its shape.
func TestStateIsToldWithoutColour(t *testing.T) {
	for name, th := range all {
		words, shapes := map[string]bool{}, map[string]bool{}
		for p := timing.Waiting; p <= timing.Rinsed; p++ {
			assert.Equal(t, p.String(), th.Phase(p).Word)
			words[th.Phase(p).Word], shapes[th.Phase(p).Glyph] = true, true
		}
		assert.Len(t, words, 7, name)
		assert.Len(t, shapes, 7, name)
		g := th.Glyphs
		bar := map[string]bool{}
		for _, s := range []string{g.Applying, g.Working, g.Open, g.Over, g.Rinsed, g.ToOpen, g.ToLimit,
			g.OpensMark, g.LimitMark, g.NowMark, g.PlannedMark} {
			bar[s] = true
		}
		assert.Len(t, bar, 11, name)
	}
}

func TestPressingPhasesStandOut(t *testing.T) {
	for name, th := range all {
		s := styles(th)
		for _, p := range []timing.Phase{timing.Closing, timing.Over} {
			for q := timing.Waiting; q <= timing.Rinsed; q++ {
				if q != p {
					assert.NotEqual(t, s[q.String()], s[p.String()], "%s: %s and %s", name, p, q)
				}
			}
		}
		assert.NotEqual(t, s["Band"], s["BandAcked"], name)
		assert.NotEqual(t, s["Band"], "x", name)
	}
}

func TestPhaseOutOfRange(t *testing.T) {
	for _, p := range []timing.Phase{-1, timing.Rinsed + 1} {
		assert.Equal(t, "? unknown", ansi.Strip(theme.Dark().Phase(p).Label()))
	}
}

func TestRender(t *testing.T) {
	th := theme.Dark()
	assert.Equal(t, "\x1b[1;32mok\x1b[m", th.Opens.Render("ok"))
	assert.Equal(t, "", th.Opens.Render(""))
	assert.Equal(t, "ok", theme.Style{}.Render("ok"))
	var b strings.Builder
	th.Opens.WriteRun(&b, "=", 3)
	th.Opens.WriteRun(&b, "=", 0)
	th.Opens.WriteRun(&b, "=", -1)
	th.Opens.WriteRun(&b, "", 2)
	theme.Style{}.WriteRun(&b, "-", 2)
	assert.Equal(t, "\x1b[1;32m===\x1b[m--", b.String())
}

func TestFromEnvironment(t *testing.T) {
	for _, c := range []struct {
		env            map[string]string
		noColor, ascii bool
	}{
		{map[string]string{}, false, false},
		{map[string]string{"LANG": "en_GB.UTF-8"}, false, false},
		{map[string]string{"LANG": "C.utf8"}, false, false},
		{map[string]string{"LANG": "C"}, false, true},
		{map[string]string{"LANG": "en_GB"}, false, true},
		{map[string]string{"LANG": "en_GB.UTF-8", "LC_CTYPE": "POSIX"}, false, true},
		{map[string]string{"LANG": "C", "LC_CTYPE": "C", "LC_ALL": "sv_SE.UTF-8"}, false, false},
		{map[string]string{"NO_COLOR": "1"}, true, false},
		{map[string]string{"NO_COLOR": ""}, false, false},
		{map[string]string{"TERM": "dumb"}, true, false},
	} {
		noColor, ascii := theme.FromEnvironment(func(name string) string { return c.env[name] })
		assert.Equal(t, c.noColor, noColor, "%v", c.env)
		assert.Equal(t, c.ascii, ascii, "%v", c.env)
	}
}

func TestPick(t *testing.T) {
	require.Equal(t, theme.Dark(), theme.Pick(true, false, false))
	require.Equal(t, theme.Light(), theme.Pick(false, false, false))
	require.Equal(t, theme.Mono(), theme.Pick(true, true, false))
	require.Equal(t, theme.Mono(), theme.Pick(false, true, false))
	require.True(t, theme.Pick(true, false, true).ASCII)
}
