package main

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The list says which of the live services needs help, to people and to
// programs.
func TestListSaysWhereHelpIsNeeded(t *testing.T) {
	s := newSalon(t)
	for _, id := range []string{"tove", "june"} {
		in := &script{start: time.Now().Add(-25 * time.Minute).Truncate(time.Second)}
		in.at(0, "service.opened", `{"service":%q,"client":%q,"invented":true,"region":"uk"}`, id, strings.ToUpper(id))
		if id == "june" {
			in.at(60, "pain.reported", `{"reaction":"emergency"}`)
		}
		s.must("import", s.file(id+".jsonl", in.String()))
	}
	for line := range strings.Lines(s.must("list")) {
		assert.Equal(t, strings.HasPrefix(line, "june"), strings.Contains(line, "HELP, live"), line)
	}
	var all []struct {
		Service string
		Help    bool
	}
	require.NoError(t, json.Unmarshal([]byte(s.must("list", "--json")), &all))
	for _, l := range all {
		assert.Equal(t, l.Service == "june", l.Help, l.Service)
	}
	assert.Contains(t, s.must("card", "june"), "EMERGENCY")
}
