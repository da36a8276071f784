//go:build unix

package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/cmd/internal/screentest"
)

func TestSettings(t *testing.T) {
	t.Setenv("RINSEBY_MOUSE", "true")
	s := newSalon(t)
	file := filepath.Join(s.config, "settings.toml")
	out := s.must("settings")
	assert.Contains(t, out, "file: "+file+" (not there; rinseby settings --print")
	assert.Regexp(t, `(?m)^mouse +true +RINSEBY_MOUSE$`, out)

	s.owns("settings.toml", s.must("settings", "--print"))
	assert.Equal(t, strings.Replace(out, " (not there; rinseby settings --print writes one to begin with)", "", 1), s.must("settings"), "as it is printed it changes nothing")

	s.owns("settings.toml", "stylist = \"Ines\"\nstation = \"Chair 2\"\nmouse = false\n")
	out = s.must("settings", "--station", "Chair 3")
	assert.Regexp(t, `(?m)^stylist +"Ines" +`+file+`:1$`, out)
	assert.Regexp(t, `(?m)^station +"Chair 3" +--station$`, out)

	s.owns("settings.toml", "theme = \"drak\"\nstylist = \"\u202eIn\\u001bes\"\nhints = \"never\"\n")
	r := s.run("settings", "--format", "json")
	assert.Equal(t, 1, r.code)
	var shown settingsShown
	require.NoError(t, json.Unmarshal([]byte(r.out), &shown))
	assert.True(t, shown.Found)
	require.Len(t, shown.Problems, 2)
	assert.Equal(t, file+`:1: theme = "drak": give auto, dark or light`, shown.Problems[0])
	assert.Contains(t, shown.Problems[1], file+":2: stylist = ")
	for _, p := range shown.Problems {
		assert.Contains(t, r.err, "rinseby: "+p+"\n")
	}
	assert.NotContains(t, r.err+s.run("settings").out, "\u202e")
	assert.Equal(t, 1, s.run("settings").code)
	assert.Contains(t, s.run("settings", "--format", "xml").err, "give text or json")
}

// TestPlaceOfTheSalon shows times where the salon is.
func TestPlaceOfTheSalon(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	day := newScript() // at 9:00 UTC
	day.at(0, "service.opened", `{"service":"mine","client":"Tove A.","invented":true}`)
	s.must("import", s.file("day.jsonl", day.String()))
	assert.Contains(t, s.must("list"), "2025-03-03 09:00")
	s.owns("settings.toml", `place = "Asia/Kathmandu"`)
	assert.Contains(t, s.must("list"), "2025-03-03 14:45")
	s.owns("settings.toml", `place = "Ys"`)
	r := s.run("list")
	assert.Zero(t, r.code)
	assert.Contains(t, r.out, "2025-03-03 09:00")
	assert.Equal(t, 1, strings.Count(r.err, "settings.toml:1: place = "), r.err)
}

// TestSettingsAtTheChair opens the chair as the file has it.
func TestSettingsAtTheChair(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.owns("zones/three.toml", threeZones)
	s.owns("settings.toml", "stylist = \"Ines\"\nstation = \"Ferry Stairs 2\"\npedal = \"f12\"\nmouse = true\n")
	c := &chair{salon: s, client: "Tove A."} // invented
	c.sit("Three", 0, "service.opened", "plan.set", "plan.set")
	raw := string(c.x.Raw())
	assert.Contains(t, raw, "\x1b[22;2t", "the title is kept")
	assert.Contains(t, raw, "\x1b[?1002h", "the mouse is listened to")
	c.x.Keys("f12")
	c.x.WaitFor("page 1 of 3") // the next thing was to note the consultation
	text, err := os.ReadFile(s.logs()[0])
	require.NoError(t, err)
	assert.Contains(t, string(text), `"stylist":"Ines"`)
	assert.Contains(t, string(text), `"station":"Ferry Stairs 2"`)

	c.x.Kill()
	s.owns("settings.toml", "title = false\n")
	for _, test := range []struct {
		env   string
		title string // how the key to press stands at the foot
	}{
		{"COLORFGBG=15;0", "\x1b[1;33m"}, {"COLORFGBG=0;15", "\x1b[1;35m"}, {"NO_COLOR=1", "\x1b[1m"},
	} {
		x := screentest.Start(t, s.bin, screentest.Options{Args: s.args(), Env: []string{test.env}})
		x.WaitFor("New service")
		raw := string(x.Raw())
		assert.Contains(t, raw, test.title, test.env)
		assert.NotContains(t, raw, "\x1b[22;2t")
		assert.NotContains(t, raw, "\x1b[?1002h")
		x.Kill()
	}
}

// TestPlain opens the screens in words, by the flag and by the settings. A bell
// and a notification would be no words.
func TestPlain(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.owns("settings.toml", "bell = true\nnotify = true\nmouse = true\n")
	day := s.file("day.jsonl", s.journal())
	for _, test := range []struct{ command, says string }{
		{"", "New service"}, {"floor", "No service is live"}, {"replay " + day, "Replay at the start"}, {"practice", "(invented)"},
	} {
		args := strings.Fields(test.command)
		r := s.runWith("again\nq\n", append(args, "--plain")...)
		assert.Zero(t, r.code, r.err)
		assert.Contains(t, r.out, test.says, test.command)
		assert.NotRegexp(t, `[\x00-\x09\x0b-\x1f\x7f]`, r.out, test.command)
	}
	s.owns("settings.toml", "plain = true\n")
	assert.Contains(t, s.runWith("q\n").out, "New service")
	r := s.runWith("q\n", "--plain=false")
	assert.Equal(t, 1, r.code)
	assert.Contains(t, r.err, "give --plain for lines of text")
}
