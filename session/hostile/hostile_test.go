package hostile_test

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session/hostile"
)

// harmless are samples of which nothing is wrong with the text by itself: what
// they try is another thing.
var harmless = map[string]bool{"wide": true, "long": true, "markup": true, "Markdown": true, "template": true, "TOML": true}

func TestSamplesAreFound(t *testing.T) {
	for _, s := range hostile.Samples() {
		assert.Equal(t, harmless[s.Name], hostile.Check(s.Text) == nil && hostile.CheckScreen(s.Text) == nil, s.Name)
	}
}

func TestEachThingIsFound(t *testing.T) {
	for name, text := range map[string]string{
		"escape": "a\x1b[2Jb", "C1": "\u009b", "C1 byte": "\x9b", "bell": "\a", "return": "a\r\n", "delete": "\x7f", "bidi": "\u202e", "isolate": "\u2066",
		"zero width": "\u200b", "byte order": "\ufeff", "tag": "\U000e0041", "selector": "\ufe0f", "separator": "\u2028", "private": "\ue000",
		"marks": "e\u0301\u0301\u0301\u0301\u0301", "cut character": "\xe2\x82", "forged": "ok\n" + hostile.Forged,
	} {
		assert.Error(t, hostile.Check(text), name)
		assert.Error(t, hostile.CheckScreen("\x1b[1mok\x1b[m"+text), name)
	}
	require.Error(t, hostile.Check(hostile.Forged), "at the very beginning")
	require.NoError(t, hostile.Check("Åsa\tshe said: “30 vol” … e\u0301\uFFFD 日本\n | ok "+hostile.Forged+"\n"))
	require.Error(t, hostile.Check("\x1b[1m"), "styles are for screens")
	require.NoError(t, hostile.CheckScreen("\x1b[1;38;5;7mbold\x1b[m"))
	require.Error(t, hostile.CheckScreen("\t"))
}

func TestName(t *testing.T) {
	for _, s := range hostile.Samples() {
		name := hostile.Name(s.Text, 40)
		assert.LessOrEqual(t, len(name), 40)
		assert.True(t, utf8.ValidString(name))
	}
	assert.Equal(t, "日本", hostile.Name("日本語", 8))
	assert.True(t, strings.HasPrefix(hostile.Name("\x1b[2J", 40), "\x1b"))
}
