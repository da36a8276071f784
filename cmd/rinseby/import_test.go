//go:build unix

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session/card"
	"rinseby/session/safety"
)

// A script is a service in plain lines, as they are written by hand.
type script struct {
	start time.Time
	b     strings.Builder
}

func newScript() *script { return &script{start: time.Date(2025, 3, 3, 9, 0, 0, 0, time.UTC)} }

// at adds a line of what happened so many seconds after the start.
func (s *script) at(seconds int, kind, data string, args ...any) {
	fmt.Fprintf(&s.b, "{\"when\":%q,\"kind\":%q,\"data\":%s}\n",
		s.time(seconds).Format(time.RFC3339), kind, fmt.Sprintf(data, args...))
}

// answers adds the answers of one who may go on without a cap.
func (s *script) answers(seconds int) {
	for _, q := range safety.Questions() {
		a := q.Answers[0].Word
		if q.Kind == safety.Day {
			a = s.start.AddDate(0, 0, -2).Format(time.DateOnly)
		}
		s.at(seconds, "safety.answered", `{"question":%q,"answer":%q}`, q.ID, a)
	}
}

func (s *script) time(seconds int) time.Time {
	return s.start.Add(time.Duration(seconds) * time.Second)
}

func (s *script) String() string { return s.b.String() }

const (
	openedLine = `{"client":"Tove A.","invented":true}`
	bands      = `[{"band":"root","product":"Chalk","product_kind":"powder lightener","strength_pct":9,"contact":"off","condition":"natural"},` +
		`{"band":"end","product":"Chalk","product_kind":"powder lightener","strength_pct":6,"contact":"off","condition":"lightened"}]`
	windowLine = `{"row":{"kind":"powder lightener","strength_pct":%d,"contact":"off","heat":"no","opens_s":600,"limit_s":%d,"origin":"invented"},` +
		`"basis":"the product's instructions, typed by the user"}`
	bowlLine = `{"bowl":%q,"product":"Chalk","product_kind":"powder lightener","mix":{"products":[{"product":"Chalk","grams":30}],` +
		`"developers":[{"strength_pct":%d,"grams":60}]}}`
)

// The schedule of the day with twelve zones, in seconds from the start. Piece
// n of the head, counted from 0, goes in at firstPiece + n perPiece; zone z
// is at the basin for the last atBasin seconds of its exposure, which is
// shortest + z longer.
const (
	zones, pieces = 12, 8
	firstPiece    = 900
	perPiece      = 65
	shortest      = 2400
	longer        = 37
	atBasin       = 180
	limitRoot     = 2700
	limitEnd      = 3000
)

// twelveZones writes the day. The last three zones go over their limit.
func twelveZones() *script {
	s := newScript()
	s.at(0, "service.opened", openedLine)
	s.at(60, "consultation.noted", `{"natural_depth":6}`)
	var plan []string
	for z := range zones {
		plan = append(plan, fmt.Sprintf(`{"id":"zone-%d","name":"Zone %d","pieces":%d,"bands":%s}`, z, z, pieces, bands))
	}
	s.answers(100)
	s.at(120, "plan.set", `{"name":"Lightening","action":"lighten","zones":[%s]}`, strings.Join(plan, ","))
	s.at(180, "window.confirmed", windowLine, 9, limitRoot)
	s.at(180, "window.confirmed", windowLine, 6, limitEnd)
	s.at(240, "bowl.mixed", bowlLine, "strong", 9)
	s.at(240, "bowl.mixed", bowlLine, "weak", 6)
	rinsed := 0
	rinseBefore := func(now int) {
		for ; rinsed < zones && offAt(rinsed)-atBasin <= now; rinsed++ {
			s.at(offAt(rinsed)-atBasin, "rinse.began", `{"zones":["zone-%d"]}`, rinsed)
			s.at(offAt(rinsed), "rinse.ended", `{}`)
		}
	}
	for n := range zones * pieces {
		rinseBefore(firstPiece + n*perPiece)
		s.at(firstPiece+n*perPiece, "piece.placed", `{"zone":"zone-%d"}`, n/pieces)
	}
	rinseBefore(1 << 30)
	s.at(offAt(zones-1)+60, "service.closed", `{"outcome":"even"}`)
	return s
}

// offAt is when a zone is rinsed clean.
func offAt(zone int) int { return firstPiece + zone*pieces*perPiece + shortest + zone*longer }

func TestImportTwelveZones(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	day := twelveZones()
	plain := s.file("day.jsonl", day.String())

	journal := s.must("import", "--stdout", plain)
	assert.Empty(t, s.logs(), "nothing goes into the store")
	path := s.file("journal.jsonl", journal)
	s.must("verify", path)
	checkDay(t, day, s.card(path))
	assert.Equal(t, journal, s.runWith(day.String(), "import", "--stdout", "-").out, "the same lines make the same journal")

	kept := strings.TrimSpace(s.must("import", plain))
	assert.Equal(t, []string{kept}, s.logs())
	text, err := os.ReadFile(kept)
	require.NoError(t, err)
	assert.Equal(t, journal, string(text))
	checkDay(t, day, s.card(strings.TrimSuffix(filepath.Base(kept), ".jsonl")))

	again := s.run("import", plain)
	assert.Equal(t, 1, again.code)
	assert.Contains(t, again.err, "is here already, and stays as it is")
}

// checkDay compares a card with the sums that the schedule makes.
func checkDay(t *testing.T, day *script, got card.Card) {
	t.Helper()
	require.Len(t, got.Zones, zones)
	over := 0
	for i, z := range got.Zones {
		on := shortest + i*longer
		assert.Equal(t, fmt.Sprintf("Zone %d", i), z.Name)
		assert.Equal(t, pieces, z.Pieces, z.Name)
		assert.Equal(t, on, z.OldestS, z.Name)
		assert.Equal(t, on-(pieces-1)*perPiece, z.NewestS, z.Name)
		assert.Equal(t, limitRoot, *z.LimitS, z.Name)
		assert.EqualValues(t, "root", z.LimitBand, z.Name)
		assert.Equal(t, max(on-limitRoot, 0), *z.OverS, z.Name)
		assert.Equal(t, day.time(offAt(i)), z.RinsedAt.UTC(), z.Name)
		assert.Equal(t, day.time(firstPiece+i*pieces*perPiece+limitRoot), z.LimitAt.UTC(), z.Name)
		require.Len(t, z.Coats, 2, z.Name)
		assert.Equal(t, limitEnd, *z.Coats[1].LimitS, z.Name)
		assert.Equal(t, max(on-limitEnd, 0), *z.Coats[1].OverS, z.Name)
		if on > limitRoot {
			over++
		}
	}
	assert.Equal(t, 3, over, "the schedule has zones on both sides of the limit")
	assert.Equal(t, over, got.Totals.Over)
	assert.Equal(t, zones*pieces, got.Totals.Pieces)
	assert.Equal(t, offAt(zones-1)+60, got.Totals.OpenS)
	require.Len(t, got.Trips, zones)
	for i, trip := range got.Trips {
		assert.Equal(t, day.time(offAt(i)-atBasin), trip.Began.UTC(), trip.ID)
		assert.Equal(t, day.time(offAt(i)), trip.Ended.UTC(), trip.ID)
	}
}

// TestImportOrdinaryDay imports a day that was written by hand: ten zones of
// five weaves each, two minutes to a weave, each zone off 44 minutes after its
// first weave but for one, which is three minutes over.
func TestImportOrdinaryDay(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	got := s.card(strings.TrimSpace(s.must("import", "../../testdata/ordinary-day.jsonl")))
	assert.True(t, got.Invented)
	require.Len(t, got.Zones, 11)
	for _, z := range got.Zones[:10] {
		oldest, over := 44*60, 0
		if z.Name == "Side right" {
			oldest, over = 48*60, 3*60
		}
		assert.Equal(t, []int{oldest, oldest - 8*60, over, 45 * 60}, []int{z.OldestS, z.NewestS, *z.OverS, *z.LimitS}, z.Name)
	}
	assert.Equal(t, []int{15 * 60, 0}, []int{got.Zones[10].OldestS, *got.Zones[10].OverS})
	assert.Equal(t, 51, got.Totals.Pieces)
	assert.Equal(t, 238*60, got.Totals.OpenS)
}
