package widget

import (
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"

	"rinseby/timing"
	"rinseby/tui/theme"
)

// Every glyph that our screens draw with is measured the quick way: one that is
// not makes each line with it ten times as slow to draw.
func TestGlyphsAreMeasuredQuickly(t *testing.T) {
	for name, th := range map[string]*theme.Theme{"dark": theme.Dark(), "ascii": theme.Pick(true, false, true)} {
		v := reflect.ValueOf(th.Glyphs)
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() {
				w, ok := simpleWidth(v.Field(i).String())
				require.True(t, ok, "%s: %s %q", name, f.Name, v.Field(i).String())
				require.Equal(t, 1, w)
			}
		}
		for p := timing.Waiting; p <= timing.Rinsed; p++ {
			_, ok := simpleWidth(th.Phase(p).Label())
			require.True(t, ok, "%s: %s", name, p)
		}
	}
	for _, r := range "·…≈►○●▲▼■□–—’×↓↑←→«»±°µ█▀▄░▒╞╡ÄéÖß" {
		require.True(t, oneCell(r), "%c", r)
		require.Equal(t, 1, Width(string(r)), "%c", r)
	}
}
