package main

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCardAsAPage(t *testing.T) {
	lines, err := os.ReadFile("../../testdata/ordinary-day.jsonl")
	require.NoError(t, err)
	d := newDesk(t)
	d.imports(string(lines))
	require.Zero(t, d.run("list", "--json"))
	var kept []struct{ Service string }
	require.NoError(t, json.Unmarshal([]byte(d.out.String()), &kept))
	require.Len(t, kept, 1)
	id := kept[0].Service
	require.Zero(t, d.run("card", id, "--format", "html"), d.err.String())
	page := d.out.String()
	assert.True(t, strings.HasPrefix(page, "<!DOCTYPE html>\n"))
	assert.True(t, strings.HasSuffix(page, "</html>\n"))
	assert.Contains(t, page, "<title>Record of a visit: June L.</title>")
	assert.Contains(t, page, "Zones over time")

	require.NotZero(t, d.run("card", id, "--format", "pdf"))
	assert.Contains(t, d.err.String(), `there is no card in format "pdf": give md, json or html`)
}

// A service can be named by its client: the last one that was closed is meant.
func TestCardOfAClient(t *testing.T) {
	d := newDesk(t)
	d.imports(plainService("s1", "Ines", 1, 2, true))
	require.Zero(t, d.run("list", "--json"), d.err.String())
	var all []listed
	require.NoError(t, json.Unmarshal(d.out.Bytes(), &all))
	require.Zero(t, d.run("card", " "+strings.ToUpper(all[0].Client)), d.err.String())
	require.Contains(t, d.out.String(), all[0].Service)
	require.Zero(t, d.run("verify", all[0].Service), d.err.String())
	require.Equal(t, 1, d.run("card", "Nobody"))
	require.Contains(t, d.err.String(), "no such")
}
