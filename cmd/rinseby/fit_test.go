package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/timing/floor"
)

// at is a moment of the 2nd of March 2026, in UTC.
func onTheDay(hour, minute int) time.Time {
	return time.Date(2026, 3, 2, hour, minute, 0, 0, time.UTC)
}

// wallClock is what the clock on the wall shows.
func wallClock(at time.Time) string { return at.In(time.Local).Format("15:04") }

func (d *desk) clockAt(at time.Time) *desk {
	d.e.clock = stopped(at)
	return d
}

// fits prints where a walk-in fits as JSON and reads it.
func (d *desk) fits(code int, args ...string) fitAnswer {
	d.t.Helper()
	require.Equal(d.t, code, d.run(append([]string{"fit", "--json"}, args...)...), "%s%s", d.out.String(), d.err.String())
	return readFit(d.t, d.out.Bytes())
}

func readFit(t *testing.T, text []byte) fitAnswer {
	t.Helper()
	text = regexp.MustCompile(`"verdict": "[^"]*"`).ReplaceAllFunc(text, func(b []byte) []byte {
		for v := floor.Unproven; v <= floor.Cannot; v++ {
			if bytes.Contains(b, []byte(`"`+v.String()+`"`)) {
				return fmt.Appendf(nil, `"verdict": %d`, v)
			}
		}
		t.Fatalf("%s is no verdict", b)
		return nil
	})
	var f fitAnswer
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	require.NoError(t, dec.Decode(&f))
	return f
}

// Ten pieces of 2 minutes are in by 9:25; they open at 9:35, and must be off 90
// minutes after the first, at 10:37. The client was promised 11:00.
func TestFitBesideALiveService(t *testing.T) {
	d := newDesk(t).clockAt(onTheDay(9, 26))
	d.imports(plainService("live", "Ines", 0, 2, false))
	f := d.fits(0, "--minutes", "25")
	assert.Equal(t, floor.Fits, f.Verdict)
	assert.Equal(t, onTheDay(9, 26), *f.From, "at once, as what is on may wait")
	assert.Equal(t, onTheDay(9, 51), *f.To)
	assert.True(t, f.Earliest)
	assert.Equal(t, "Ines", f.Stylist)
	assert.Equal(t, []fitService{{"live", "June L."}}, f.Services)
	assert.Nil(t, f.Collision)
	require.Zero(t, d.run("fit", "--minutes", "25"))
	assert.True(t, strings.HasPrefix(d.out.String(), "fits from "+wallClock(onTheDay(9, 26))+" to "+wallClock(onTheDay(9, 51))+"\n"), d.out.String())
	assert.Contains(t, d.out.String(), "with 1 live service of Ines, each thing at its median")
	assert.Contains(t, d.out.String(), "no closed service tells of this stylist's times yet")

	between := wallClock(onTheDay(10, 10)) + "-" + wallClock(onTheDay(10, 40))
	f = d.fits(0, "--minutes", "20", "--between", between)
	assert.Equal(t, onTheDay(10, 10), *f.From)
	assert.Equal(t, onTheDay(10, 40), f.Before)
}

// A walk-in of 85 minutes fits neither before the rinse, which ends by 10:37,
// nor after it by the end of the window.
func TestFitThatCollides(t *testing.T) {
	d := newDesk(t).clockAt(onTheDay(9, 26))
	d.imports(plainService("live", "Ines", 0, 2, false))
	between := wallClock(onTheDay(9, 20)) + "-" + wallClock(onTheDay(10, 51))
	f := d.fits(2, "--minutes", "85", "--between", between)
	assert.Equal(t, floor.Cannot, f.Verdict)
	assert.Nil(t, f.From)
	require.NotNil(t, f.Collision)
	c := f.Collision
	assert.False(t, c.Before)
	assert.ElementsMatch(t, []fitTask{{"live", "June L.", "rinse Nape"}, {"", "walk-in", "walk-in"}}, []fitTask{c.A, c.B})
	// If it comes first, until 10:51, the trip that must begin by 10:31 is 20
	// minutes late. If it comes after that trip, which takes from 9:33 to 9:39, it
	// ends at 11:04, 13 minutes late; the finish, by 11:00, is then late, too. With
	// the five minutes of the finish before it, it ends at 11:09.
	assert.Equal(t, []float64{13, 13}, []float64{c.Minutes, c.All})
	assert.True(t, c.Proved)
	require.NotNil(t, c.Gap)
	assert.Equal(t, fitGap{"", "walk-in", "over by " + wallClock(onTheDay(10, 51)), 18}, *c.Gap)
	require.Equal(t, 2, d.run("fit", "--minutes", "85", "--between", between))
	assert.Regexp(t, `^cannot: .*"rinse Nape" of June L\..* collide by \d+ min`, d.out.String())
	assert.Contains(t, d.out.String(), "the walk-in")
	assert.Empty(t, d.err.String())

	f = d.fits(0, "--minutes", "85")
	assert.True(t, f.From.After(onTheDay(9, 35)), "after the rinse")
}

// Two trips of 6 minutes must both be over by 10:37, whoever comes in.
func TestFitWhereTheFloorCollidesAlready(t *testing.T) {
	d := newDesk(t).clockAt(onTheDay(10, 27))
	d.imports(plainService("one", "Ines", 0, 2, false))
	d.imports(strings.ReplaceAll(plainService("two", " INES", 0, 2, false), "June L.", "Tove A."))
	f := d.fits(2, "--minutes", "10")
	assert.True(t, f.Collision.Before)
	assert.ElementsMatch(t, []fitTask{{"one", "June L.", "rinse Nape"}, {"two", "Tove A.", "rinse Nape"}}, []fitTask{f.Collision.A, f.Collision.B})
	assert.Equal(t, 2., f.Collision.Minutes)
	assert.Nil(t, f.Collision.Gap, "chemistry is never asked to give way")
	require.Equal(t, 2, d.run("fit", "--minutes", "10"))
	assert.Regexp(t, `^cannot: even without a walk-in, "rinse Nape" of .* and "rinse Nape" of .* collide by 2 min\n`, d.out.String())

	d.clockAt(onTheDay(10, 33))
	require.Equal(t, 2, d.run("fit", "--minutes", "10"))
	assert.Regexp(t, `^cannot: even without a walk-in, "rinse Nape" of .* is 2 min too late by itself\n`, d.out.String())
}

func TestFitAsksWhoseHands(t *testing.T) {
	d := newDesk(t).clockAt(onTheDay(9, 26))
	f := d.fits(0, "--minutes", "10")
	assert.Equal(t, []fitService{}, f.Services)
	assert.Equal(t, onTheDay(9, 26), *f.From, "nothing is live")
	d.imports(plainService("one", "Ines", 0, 2, false))
	d.imports(plainService("two", "Sam", 0, 2, false))
	d.clockAt(onTheDay(12, 0)).imports(plainService("done", "Kim", 0, 2, true))
	d.clockAt(onTheDay(9, 26))
	require.Equal(t, 1, d.run("fit", "--minutes", "10"))
	assert.Contains(t, d.err.String(), "say whose hands are meant, with --stylist NAME")
	f = d.fits(0, "--minutes", "10", "--stylist", "sam")
	assert.Equal(t, []fitService{{"two", "June L."}}, f.Services)
	f = d.fits(0, "--minutes", "10", "--stylist", "Kim")
	assert.Empty(t, f.Services)
}

func TestFitThatIsAskedWrongly(t *testing.T) {
	d := newDesk(t).clockAt(onTheDay(14, 0))
	soon := wallClock(onTheDay(15, 0)) + "-" + wallClock(onTheDay(15, 20))
	gone := wallClock(onTheDay(11, 0)) + "-" + wallClock(onTheDay(13, 0))
	for _, tt := range []struct {
		args []string
		want string
	}{
		{nil, "--minutes 0: give how long"},
		{[]string{"--minutes", "NaN"}, "--minutes NaN: give how long"},
		{[]string{"--minutes", "5000"}, "1 to 1440 minutes"},
		{[]string{"--minutes", "25", "--between", "eleven"}, "--between eleven: give two times of the day, as 11:00-13:00"},
		{[]string{"--minutes", "25", "--between", "11:00-25:00"}, "give two times of the day"},
		{[]string{"--minutes", "25", "--between", gone}, "that is over, it is " + wallClock(onTheDay(14, 0))},
		{[]string{"--minutes", "25", "--between", soon}, "25 min are longer than the time from"},
		{[]string{"x"}, "takes nothing after it but flags"},
	} {
		assert.Equal(t, 1, d.run(append([]string{"fit"}, tt.args...)...), tt.want)
		assert.Contains(t, d.err.String(), tt.want)
		assert.Empty(t, d.out.String())
	}
}

func TestFitWindowPastMidnight(t *testing.T) {
	w := walkIn{at: time.Date(2026, 3, 2, 23, 0, 0, 0, time.UTC), place: time.UTC, takes: 1800}
	require.NoError(t, w.window("23:30-00:30"))
	assert.Equal(t, []int{1800, 3600}, []int{w.from, w.to})
	require.NoError(t, w.window(" 22:00 - 00:10 "))
	assert.Equal(t, []int{0, 40 * 60}, []int{w.from, w.to})
}

func TestFitSaysWhatIsNotProven(t *testing.T) {
	w := walkIn{at: onTheDay(9, 0), place: time.UTC, takes: 1500, start: floor.None, verdict: floor.Unproven}
	assert.Equal(t, "not proven in time", w.sentence())
	w.start, w.verdict = 1200, floor.Fits
	assert.Equal(t, "fits from 09:20 to 09:45; whether any earlier could not be told in time", w.sentence())
	w.earliest = true
	assert.Equal(t, "fits from 09:20 to 09:45", w.sentence())
	w.start, w.verdict = floor.None, floor.Cannot
	w.services = []fitService{{"a", "June L."}, {"b", "Tove A."}, {"", walkInName}}
	w.problem = &floor.Problem{Chains: []floor.Chain{
		{Tasks: []floor.Task{{Name: "place Tone"}}, Links: []floor.Link{{Name: "promised 11:00"}}},
		{Tasks: []floor.Task{{Name: "rinse Nape"}, {Name: "finish"}}}, {Tasks: []floor.Task{{Name: walkInName}}, Links: []floor.Link{{}}}}}
	for want, c := range map[string]*floor.Collision{
		`cannot: "place Tone" of June L. and "rinse Nape" of Tove A. collide by 6 min`:                                                           {A: 0, B: 1, By: 355, Slack: 355, Soft: floor.None},
		"cannot: June L. and Tove A. can't both be out as promised; all would fit if everything that was promised were 7 min later":              {A: 0, B: 1, By: 355, Slack: 355, Soft: 390},
		"cannot: not all clients can be out as promised; all would fit if everything that was promised were 2 min later":                         {A: 0, B: 1, Slack: 61, Soft: 61},
		`cannot: "place Tone" of June L. and the walk-in collide by 6 min; all would fit if what June L. has, promised 11:00, were 8 min later`:  {A: 0, B: 2, By: 360, Slack: 360, Gap: &floor.Gap{By: 480}},
		`cannot: the walk-in and "rinse Nape" of Tove A. collide by 1 min; all would fit if the end of the time for it, 09:25, were 2 min later`: {A: 2, B: 1, By: 5, Slack: 5, Gap: &floor.Gap{Chain: 2, By: 120}},
		`cannot: all together are 2 min too much; closest are "place Tone" of June L. and "rinse Nape" of Tove A.`:                               {A: 0, B: 1, Slack: 61, Soft: floor.None},
		`cannot: Tove A. can't be kept to: from "rinse Nape" to "finish" it is 3 min too much`:                                                   {A: 1, B: 1, TaskB: 1, By: 180, Slack: 180},
		`cannot: what stands in the way could not be told in time`:                                                                               nil,
	} {
		w.collision = c
		assert.Equal(t, want, w.sentence())
	}
}

func TestReferenceOfTheFit(t *testing.T) {
	chapter := chapterOf(t, "11. The walk-in")
	want, got := map[string]bool{}, map[string]bool{}
	fitFields(reflect.TypeFor[fitAnswer](), "", want)
	for _, m := range regexp.MustCompile("(?m)^\\| `([^`]+)` \\|").FindAllStringSubmatch(chapter, -1) {
		assert.False(t, got[m[1]], "%s is documented twice", m[1])
		got[m[1]] = true
	}
	assert.Equal(t, slices.Sorted(maps.Keys(want)), slices.Sorted(maps.Keys(got)))
	for code, says := range map[int]string{0: "it fits", 1: "something typed is wrong", doesNotFit: "it does not fit", fitNotProven: "that could not be proved"} {
		assert.Contains(t, chapter, fmt.Sprintf("| %d | %s", code, says))
	}

	_, example, found := strings.Cut(chapter, "\n```json fit\n")
	require.True(t, found)
	example, _, _ = strings.Cut(example, "```")
	d := newDesk(t).clockAt(onTheDay(9, 25))
	lines := strings.SplitAfter(exampleService(t), "\n")
	lines = lines[:slices.IndexFunc(lines, func(l string) bool { return strings.Contains(l, "09:45:00Z") })]
	d.imports(strings.Join(lines, ""))
	printed := d.fits(0, "--minutes", "25")
	shown := readFit(t, []byte(example))
	assert.WithinDuration(t, *printed.From, *shown.From, time.Minute)
	assert.WithinDuration(t, *printed.To, *shown.To, time.Minute)
	shown.From, shown.To = printed.From, printed.To
	assert.Equal(t, printed, shown)
}

// fitFields lists the fields as the reference writes them.
func fitFields(typ reflect.Type, prefix string, out map[string]bool) {
	for i := range typ.NumField() {
		f := typ.Field(i)
		path, ft := prefix+f.Tag.Get("json"), f.Type
		if ft.Kind() == reflect.Pointer {
			ft = ft.Elem()
		}
		switch {
		case ft.Kind() == reflect.Slice && ft.Elem().Kind() == reflect.Struct:
			fitFields(ft.Elem(), path+"[].", out)
		case ft.Kind() == reflect.Struct && ft != reflect.TypeFor[time.Time]():
			fitFields(ft, path+".", out)
		default:
			out[path] = true
		}
	}
}
