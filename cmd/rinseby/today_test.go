//go:build unix

package main

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// halfHour is a service of the client that begins so many minutes after nine, and
// has lightener on a zone for half an hour.
func halfHour(client string, minute int, zone string) string {
	s := newScript()
	at := func(m int, kind, data string) { s.at((minute+m)*60, kind, "%s", data) }
	at(0, "service.opened", fmt.Sprintf(`{"client":%q,"invented":true}`, client))
	at(0, "consultation.noted", `{"natural_depth":6}`)
	s.answers(minute * 60)
	at(0, "plan.set", fmt.Sprintf(`{"name":"Lightening","action":"lighten","zones":[{"id":"z","name":%q,"pieces":2,"bands":%s}]}`, zone, bands))
	at(0, "window.confirmed", fmt.Sprintf(windowLine, 9, 2700))
	at(0, "bowl.mixed", fmt.Sprintf(bowlLine, "a", 9))
	at(0, "bowl.mixed", fmt.Sprintf(bowlLine, "b", 6))
	at(1, "piece.placed", `{"zone":"z","count":2}`)
	at(28, "rinse.began", `{"zones":["z"]}`)
	at(31, "rinse.ended", `{}`)
	at(32, "service.closed", `{}`)
	return s.String()
}

func TestImportOfASecondServiceOfTheDay(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	bring := func(name, lines string) string { return strings.TrimSpace(s.must("import", s.file(name, lines))) }
	first := halfHour("Tove A.", 0, "Nape")
	one := s.card(bring("first", first))
	assert.Zero(t, *one.Zones[0].OverS)
	two := s.card(bring("second", halfHour("TOVE  a.", 120, " nape")))
	require.Len(t, two.Zones[0].Coats, 2)
	for _, c := range two.Zones[0].Coats {
		assert.Equal(t, 30*60, c.CarriedS, "%s", c.Band)
	}
	assert.Equal(t, 15*60, *two.Zones[0].OverS, "30 and 30 are 60 of 45")

	plain := s.file("first-again", first)
	again := s.must("import", "--stdout", plain)
	assert.NotContains(t, again, `"had"`, "a service is not its own past")
	for name, lines := range map[string]string{"other client": halfHour("June L.", 121, "Nape"), "other hair": halfHour("Tove A.", 200, "Crown")} {
		got := s.card(bring(name, lines))
		assert.Zero(t, got.Zones[0].Coats[0].CarriedS, name)
	}
	third := s.run("import", s.file("third", halfHour("Tove A.", 240, "nape")))
	assert.Equal(t, 1, third.code)
	assert.Contains(t, third.err, "the root of nape has had 1h0m0s already, and its limit is 45m0s")
	assert.Contains(t, third.err, "it takes a reason first")

	red := s.must("export", strings.TrimSuffix(one.Service, ".jsonl"), "--redact")
	bring("red", red)
	bring("red2", s.must("export", two.Service, "--redact"))
}
