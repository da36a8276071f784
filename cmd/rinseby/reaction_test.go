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

// What is reported after the visit is added to a closed service, which stays
// closed, and goes on its card.
func TestReactionAfterTheVisit(t *testing.T) {
	s := newSalon(t)
	in := &script{start: time.Now().Add(-30 * time.Hour).Truncate(time.Second)}
	in.at(0, "service.opened", `{"service":"tove","client":"Tove A.","invented":true}`)
	in.at(60, "service.closed", `{}`)
	s.must("import", s.file("tove.jsonl", in.String()))
	assert.Contains(t, s.must("reaction", "tove", "red ears since last night", "--what", "hives"), "reported after the visit: hives")
	assert.Contains(t, s.must("reaction", "tove a.", "sore crown"), "tove of Tove A.: reported after the visit: pain or burning: sore crown")
	card := s.must("card", "tove")
	assert.Contains(t, card, "reported after the visit: hives: red ears since last night")
	assert.Contains(t, card, "reported after the visit: pain or burning: sore crown")
	assert.NotContains(t, s.must("list"), "live")
	s.must("verify", "tove")

	in = &script{start: time.Now().Add(-time.Hour).Truncate(time.Second)}
	in.at(0, "service.opened", `{"service":"june","client":"June L.","invented":true}`)
	s.must("import", s.file("june.jsonl", in.String()))
	for _, args := range [][]string{{"june", "sore"}, {"nobody", "sore"}, {"tove", " "}, {"tove", "sore", "--what", "rash"}, {"tove"}} {
		assert.NotZero(t, s.run(append([]string{"reaction"}, args...)...).code, args)
	}
}
