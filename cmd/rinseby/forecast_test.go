package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/timing"
)

// A desk is the edge over folders of its own, with what it prints.
type desk struct {
	t        *testing.T
	e        *edge
	data     string
	out, err bytes.Buffer
}

// stopped is a clock that shows one moment.
type stopped time.Time

func (c stopped) Read() timing.Reading { return timing.Reading{Wall: time.Time(c)} }

func newDesk(t *testing.T) *desk {
	d := &desk{t: t, data: t.TempDir()}
	d.e = newEdge(stopped(time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC)), strings.NewReader(""), &d.out, &d.err)
	return d
}

// run carries a command line out.
func (d *desk) run(args ...string) int {
	d.out.Reset()
	d.err.Reset()
	return d.e.run(append([]string{"--data", d.data}, args...))
}

// plainService is a service of one zone of 10 pieces, on so many days after the
// 2nd of March, of which each piece took so many minutes.
func plainService(id, stylist string, day int, each float64, closed bool) string {
	zero := time.Date(2026, 3, 2+day, 9, 0, 0, 0, time.UTC)
	var b strings.Builder
	at := func(m float64, kind, data string, args ...any) {
		when := zero.Add(time.Duration(m * float64(time.Minute)))
		fmt.Fprintf(&b, `{"when":%q,"kind":%q,"data":%s}`+"\n", when.Format(time.RFC3339Nano), kind, fmt.Sprintf(data, args...))
	}
	at(0, "service.opened", `{"service":%q,"client":"June L.","stylist":%q,"promised":%q}`, id, stylist, zero.Add(2*time.Hour).Format(time.RFC3339))
	for question, answer := range map[string]string{"age": "yes", "reaction": "never", "black-henna": "never", "skin-test": zero.AddDate(0, 0, -2).Format(time.DateOnly), "health": "no", "airways": "none",
		"scalp": "sound", "history": "nothing, or colour only", "deposits": "only hard or pool water", "strand-test": "passed", "ready": "yes"} {
		at(0, "safety.answered", `{"question":%q,"answer":%q}`, question, answer)
	}
	band := `{"band":"root","product":"Chalk","product_kind":"powder lightener","strength_pct":9,"contact":"off","condition":"natural"}`
	at(0, "plan.set", `{"name":"Lightening","action":"lighten","zones":[{"name":"Nape","pieces":10,"minutes_per_piece":2,"technique":"Foil","bands":[%s]}]}`, band)
	at(0, "window.confirmed", `{"row":{"product":"Chalk","kind":"powder lightener","strength_pct":9,"contact":"off","condition":"natural","heat":"no","opens_s":600,"limit_s":5400,"origin":"invented"},"basis":"the product's instructions, typed by the user"}`)
	at(5, "bowl.mixed", `{"product":"Chalk","product_kind":"powder lightener","mix":{"products":[{"product":"Chalk","grams":80}],"developers":[{"strength_pct":9,"grams":160}]}}`)
	m := 5.0
	for range 10 {
		m += each
		at(m, "piece.placed", `{"zone":"z1"}`)
	}
	if closed {
		at(m+25, "rinse.began", `{"zones":["z1"]}`)
		at(m+29, "rinse.ended", `{}`)
		at(m+33, "service.closed", `{}`)
	}
	return b.String()
}

func (d *desk) imports(text string) {
	d.t.Helper()
	d.e.in = strings.NewReader(text)
	require.Zero(d.t, d.run("import", "-"), d.err.String())
}

// asks prints a forecast as JSON and reads it.
func (d *desk) asks(args ...string) foreseenService {
	d.t.Helper()
	require.Zero(d.t, d.run(append([]string{"forecast", "--json"}, args...)...), d.err.String())
	var f foreseenService
	dec := json.NewDecoder(bytes.NewReader(d.out.Bytes()))
	dec.DisallowUnknownFields()
	require.NoError(d.t, dec.Decode(&f))
	return f
}

func TestForecastLearnsFromWhatWasClosedByThen(t *testing.T) {
	d := newDesk(t)
	d.imports(plainService("now", "Ines", 10, 2, true))
	alone := d.asks("now", "--after", "9m")
	assert.Zero(t, alone.Known)
	d.imports(plainService("later", "Ines", 11, 9, true))
	d.imports(plainService("meanwhile", "Ines", 10, 8, true)) // opened at the same time, closed later
	d.imports(plainService("live", "Ines", 3, 8, false))
	d.imports(plainService("other", "Sam", 3, 8, true))
	assert.Equal(t, alone, d.asks("now", "--after", "9m"), "none of these was closed by then, or is of the stylist")
	d.imports(plainService("before", "INES ", 3, 4, true))
	slow := d.asks("now", "--after", "9m")
	assert.Equal(t, 1, slow.Known)
	assert.Greater(t, slow.Paces[0].Usual, 2.5)
	assert.True(t, slow.Zones[0].Applied.P50.After(alone.Zones[0].Applied.P50.Add(time.Minute)))
	assert.Equal(t, 1, d.asks("later", "--after", "9m", "--stylist", "Sam").Known)
	assert.Equal(t, 3, d.asks("later", "--after", "9m").Known)

	elsewhere := d.asks(filepath.Join(d.data, "closed", "now.jsonl"), "--after", "9m", "--history", filepath.Join(d.data, "closed"))
	assert.Equal(t, slow, elsewhere, "a folder of journals serves as well")
	require.NoError(t, os.WriteFile(filepath.Join(d.data, "closed", "broken.jsonl"), []byte("x\n"), 0o600))
	assert.Equal(t, slow, d.asks("now", "--after", "9m"))
	assert.Contains(t, d.err.String(), "broken.jsonl is left out")
	assert.Zero(t, d.asks("now", "--after", "9m", "--history", t.TempDir()).Known)
}

func TestForecastOfALiveServiceAndOfItsPast(t *testing.T) {
	d := newDesk(t)
	d.imports(plainService("live", "", 0, 2, false))
	f := d.asks("live")
	assert.Equal(t, time.Date(2026, 3, 2, 9, 25, 0, 0, time.UTC), f.At, "the last entry")
	assert.Nil(t, f.Applied)
	early := d.asks("live", "--after", "9m")
	assert.NotNil(t, early.Applied)

	require.Zero(t, d.run("forecast", "live", "--after", "9m"))
	text := d.out.String()
	for _, want := range []string{"out of the chair about ", "of 100\n", "on time: 9 in 10 that by ", "Nape: applied about ", "foil: ", "usually 2:00 min", "no closed service tells of this stylist"} {
		assert.Contains(t, text, want)
	}
}

func TestForecastThatCantBeMade(t *testing.T) {
	d := newDesk(t)
	d.imports(plainService("done", "", 0, 2, true))
	for _, tt := range []struct {
		code int
		args []string
		want string
	}{
		{2, []string{"done"}, "the service is over: give --after, as 45m"},
		{2, []string{"done", "--after", "3h"}, "the service was closed by then: give an earlier moment"},
		{1, []string{"done", "--after", "-1m"}, "--after -1m0s: give a time from the opening on"},
		{1, []string{"done", "--after", "soon"}, "invalid argument"},
		{1, []string{"done", "--after", "5m", "--history", "/no/such"}, "/no/such can't be read"},
		{1, []string{"none"}, "there is no such service"},
		{1, nil, "takes the name of one file"},
	} {
		assert.Equal(t, tt.code, d.run(append([]string{"forecast"}, tt.args...)...), tt.want)
		assert.Contains(t, d.err.String(), tt.want)
		assert.Empty(t, d.out.String())
	}
	text := strings.Replace(plainService("unsaid", "", 0, 2, false), `"minutes_per_piece":2,`, "", 1)
	d.imports(text)
	assert.Zero(t, d.run("forecast", "unsaid", "--after", "6m"))
	assert.Contains(t, d.out.String(), "no minutes per piece are known of Nape")
}

func TestReferenceOfTheForecast(t *testing.T) {
	chapter := chapterOf(t, "9. The forecast")
	want, got := map[string]bool{}, map[string]bool{}
	rangeFields(reflect.TypeFor[foreseenService](), "", want)
	for _, row := range regexp.MustCompile("(?m)^\\| (`.*?`) \\|").FindAllStringSubmatch(chapter, -1) {
		for _, name := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(row[1], -1) {
			got[name[1]] = true
		}
	}
	assert.Equal(t, slices.Sorted(maps.Keys(want)), slices.Sorted(maps.Keys(got)))

	_, example, found := strings.Cut(chapter, "\n```json forecast\n")
	require.True(t, found)
	example, _, _ = strings.Cut(example, "```")
	var shown foreseenService
	dec := json.NewDecoder(strings.NewReader(example))
	dec.DisallowUnknownFields()
	require.NoError(t, dec.Decode(&shown))
	d := newDesk(t)
	d.imports(exampleService(t))
	printed := d.asks("20260302-0900-demo", "--after", "20m")
	assert.WithinDuration(t, printed.End.P50, shown.End.P50, time.Minute)
	assert.WithinDuration(t, printed.End.P90, shown.End.P90, 2*time.Minute)
	shown.End, shown.Late, shown.Paces, shown.Steps, shown.Zones, shown.Applied = printed.End, printed.Late, printed.Paces, printed.Steps, printed.Zones, printed.Applied
	assert.Equal(t, printed, shown)
}

// rangeFields lists the fields as the reference writes them: a range that may
// be missing, and those of lists, are one field.
func rangeFields(typ reflect.Type, prefix string, out map[string]bool) {
	for i := range typ.NumField() {
		f := typ.Field(i)
		path, ft := prefix+f.Tag.Get("json"), f.Type
		switch {
		case ft.Kind() == reflect.Slice && ft.Elem().Kind() == reflect.Struct:
			rangeFields(ft.Elem(), path+"[].", out)
		case ft == reflect.TypeFor[foreseen]() && prefix == "":
			rangeFields(ft, path+".", out)
		default:
			out[path] = true
		}
	}
}
