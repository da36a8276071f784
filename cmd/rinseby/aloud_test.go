package main

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session/card"
	"rinseby/tui/clean"
)

// twoZones is a zone list. Invented for a test.
const twoZones = `name = "Two zones"
minutes_per_piece = 2

[[step]]
name = "drying"

[[round]]
name = "Lightening"
action = "lighten"

[[round.band]]
band = "root"
product = "Chalk"
strength = "30 vol"
contact = "off"
condition = "natural"

[[round.zone]]
name = "Nape"
pieces = 3

[[round.zone]]
name = "Crown"
pieces = 2
`

// aloudDesk is a desk with a folder of its own for the configuration. What the
// screens still do beside them when they are left, a process takes with it; here
// the folder of the services goes once that is over.
func aloudDesk(t *testing.T) *desk {
	d := newDesk(t)
	data, err := os.MkdirTemp("", "rinseby-aloud-")
	require.NoError(t, err)
	d.data = data
	t.Cleanup(func() {
		assert.Eventually(t, func() bool { return os.RemoveAll(data) == nil }, 10*time.Second, 10*time.Millisecond)
	})
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "zones"), 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "zones", "two.toml"), []byte(twoZones), 0o600))
	d.e.config = dir
	return d
}

// tells runs the program in words on lines of input, and gives what it said.
func (d *desk) tells(args []string, lines ...string) string {
	d.t.Helper()
	d.e.in = strings.NewReader(strings.Join(lines, "\n") + "\n")
	require.Zero(d.t, d.run(append([]string{"--config", d.e.config, "--plain"}, args...)...), d.err.String())
	for _, line := range strings.Split(strings.TrimSuffix(d.out.String(), "\n"), "\n") {
		require.Regexp(d.t, `^(\d\d:\d\d \S|  \S)`, line)
		require.Equal(d.t, clean.Text(line[2:]), line[2:])
	}
	return d.out.String()
}

// TestAWholeServiceThroughPipes works a service by lines alone, most of it
// logged late, in three sittings.
func TestAWholeServiceThroughPipes(t *testing.T) {
	d := aloudDesk(t)
	said := d.tells(nil, "began earlier", "90", "new", "Tove A.", "Ines", "", "+2h", "two zones",
		"e 85", "next", "6", "ctrl+s",
		"e 80", "next", "yes", "never", "never", "done", "no", "none", "2 days ago", "sound", "nothing", "none", "passed", "yes")
	assert.Contains(t, said, "Next: Mix Chalk 30 vol (for the root of Nape).")
	assert.True(t, strings.HasSuffix(said, "\n00:00 Left. The service of Tove A. stays live.\n"), said)

	said = d.tells(nil, "1", "e 42", "next", "ctrl+s", "next", "2", // the bowl and its limit
		"e 40", "+ 3", "e 34", "zone below", "+ 2", "what was logged")
	assert.Contains(t, said, "Nape: closing, 3 of 3 in, off by 00:05.")

	said = d.tells(nil, "1", "e 9", "r", "all", "e 5", "next", "next", "next", "next", "d", "next", "soft and even", "q")
	for _, text := range []string{"Logged: Rinsing", "Logged: rinsed clean: Nape", "Next: Begin: drying.", "Logged: drying ended", "TO MATCH NEXT VISIT", "Logged: service closed"} {
		assert.Contains(t, said, text)
	}

	require.Zero(t, d.run("list", "--json"), d.err.String())
	var entries []listed
	require.NoError(t, json.Unmarshal(d.out.Bytes(), &entries))
	require.Len(t, entries, 1)
	require.NotNil(t, entries[0].Closed)
	require.Zero(t, d.run("card", entries[0].Service, "--format", "json"), d.err.String())
	var c card.Card
	require.NoError(t, json.Unmarshal(d.out.Bytes(), &c))
	assert.Equal(t, "Tove A.", c.Client)
	assert.Equal(t, "soft and even", c.Outcome)
	require.Len(t, c.Zones, 2)

	said = d.tells([]string{"replay", entries[0].Service}, "card", "q")
	for _, text := range []string{"Entry 24, 00:00:00: service closed", "Replay at the end", "TO MATCH NEXT VISIT"} { // all was typed at one moment
		assert.Contains(t, said, text)
	}
}

func TestOtherScreensInWords(t *testing.T) {
	d := aloudDesk(t)
	assert.Contains(t, d.tells([]string{"floor"}, "?"), "No service is live.")
	assert.Contains(t, d.tells([]string{"practice", "--zones", "Two zones"}, "again", "l"), "June L. (invented), with Ines")

	d.e.in = iotest.ErrReader(errors.New("the line is broken"))
	require.Equal(t, 1, d.run("--plain"))
	require.Contains(t, d.err.String(), "the line is broken")
}
