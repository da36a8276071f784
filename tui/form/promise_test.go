package form_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"rinseby/session"
	"rinseby/tui/form"
	"rinseby/tui/intent"
)

// hour is a time of the day of the tests, where it is 10:42:30.
func hour(h, m int) time.Time { return time.Date(2026, 3, 2, h, m, 0, 0, time.UTC) }

// elevenOClock is a promise for 11:00 that the forecast does not let one keep.
var elevenOClock = form.Promise{Said: "11:00", By: hour(11, 0), End: "out of the chair about 11:09 (80 %: 11:01–11:18)", Offer: hour(11, 20)}

func changed(t time.Time, told string) session.PromiseChanged {
	return session.PromiseChanged{Promised: &t, Told: told}
}

func TestPromiseOffersWhatTheForecastLetsOneKeep(t *testing.T) {
	f := open(form.NewPromise(th, elevenOClock, now))
	view := f.View()
	assert.Contains(t, view, "Promised: 11:00.")
	assert.Contains(t, view, "By the forecast out of the chair about 11:09 (80 %: 11:01–11:18).")
	assert.Contains(t, view, "Promised for 11:20, in 38 min, 20 min later than promised so far")
	assert.Equal(t, saves("promised for 11:20", changed(hour(11, 20), "the front desk")), press(t, f, "enter", "the front desk", "enter"))

	known := elevenOClock
	known.Offer, known.End = time.Time{}, ""
	f = open(form.NewPromise(th, known, now))
	assert.Contains(t, f.View(), "Still promised for 11:00, in 18 min")
	assert.NotContains(t, f.View(), "forecast")
	assert.Equal(t, saves("told: the front desk", changed(hour(11, 0), "the front desk")), press(t, f, "enter", "the front desk", "enter"))

	known.By = hour(10, 30) // which has passed
	assert.Empty(t, open(form.NewPromise(th, known, now)).Question().Value)
	f = open(form.NewPromise(th, form.Promise{}, now))
	assert.Empty(t, f.Question().Value)
	assert.Contains(t, f.View(), "Promised: nothing yet.")
}

func TestTimesThatMayBePromised(t *testing.T) {
	for typed, want := range map[string]time.Time{
		"11:30": hour(11, 30), "1130": hour(11, 30), " 11:30 ": hour(11, 30), "+20": hour(11, 20), "+1:30": hour(12, 30), "+1h": hour(12, 0),
		"10:43": hour(10, 43),
	} {
		f := open(form.NewPromise(th, elevenOClock, now))
		got := press(t, f, "wipe", typed, "save").(intent.Log).Commands[0].Data.(session.PromiseChanged)
		assert.True(t, want.Equal(*got.Promised), "%s: %v", typed, got.Promised)
	}
	f := open(form.NewPromise(th, form.Promise{}, now))
	got := press(t, f, "+20", "save").(intent.Log).Commands[0].Data
	assert.Equal(t, changed(now.Add(20*time.Minute), ""), got, "of nothing, from now")

	drifted := elevenOClock
	drifted.By, drifted.Offer = hour(11, 0).Add(-3*time.Millisecond), time.Time{}
	assert.Equal(t, "11:00", form.NewPromise(th, drifted, now).Question().Value)

	exact := elevenOClock
	exact.By = hour(11, 0).Add(17 * time.Second)
	got = press(t, open(form.NewPromise(th, exact, now)), "wipe", "11:00", "save").(intent.Log).Commands[0].Data
	assert.Equal(t, changed(exact.By, ""), got, "the same promise, to the second")

	for typed, want := range map[string]string{
		"": "type a time, as 16:30; or none, if nothing is promised any more", "-": "or none, if nothing is promised any more", "10:42": "10:42 has passed",
		"25:00": "no time of day", "2500": "no time of day", "soon": "no time of day", "+": "no length of time", "+0": "after now",
	} {
		f := open(form.NewPromise(th, elevenOClock, now))
		assert.Nil(t, press(t, f, "wipe", typed, "save"), typed)
		assert.Contains(t, f.View(), want, typed)
	}
	passed := elevenOClock
	passed.By = hour(10, 0)
	f = open(form.NewPromise(th, passed, now))
	assert.Nil(t, press(t, f, "wipe", "+20", "save"))
	assert.Contains(t, f.View(), "10:20 has passed", "counted from what is promised")
}

func TestAPromiseIsTakenAwayByAWord(t *testing.T) {
	f := open(form.NewPromise(th, elevenOClock, now))
	press(t, f, "wipe", "None")
	assert.Contains(t, f.View(), "Nothing will be promised any more")
	assert.Equal(t, saves("nothing is promised any more", session.PromiseChanged{}), press(t, f, "save"))
}

func TestAPromiseInWords(t *testing.T) {
	f := form.NewPromise(th, elevenOClock, now)
	q := f.Question()
	assert.Equal(t, "11:20", q.Value)
	assert.Equal(t, []string{"Promised for 11:20, in 38 min, 20 min later than promised so far"}, q.Live)
	_, err := f.Reply("-")
	assert.ErrorContains(t, err, "or none, if nothing is promised any more")
	assert.Equal(t, "11:20", f.Question().Value, "an empty line keeps what was offered")
	assert.Nil(t, reply(t, f, "+30"))
	assert.Equal(t, "save", f.Question().Does)
	assert.Equal(t, saves("promised for 11:30", changed(hour(11, 30), "Tove knows")), reply(t, f, "Tove knows"))
	assert.Equal(t, saves("nothing is promised any more", session.PromiseChanged{}), reply(t, form.NewPromise(th, elevenOClock, now), "none", ""))
}
