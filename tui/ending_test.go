package tui_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/timing"
	"rinseby/tui"
)

// promises opens a service of the stylist Ines that is promised so many minutes
// after its opening, with one zone for which the plan says 2 minutes per piece.
func (d *desk) promises(minutes int) string {
	plan := session.PlanBand{Band: session.Root, Product: "Chalk", Kind: formula.PowderLightener, Strength: 9, Contact: formula.OffScalp, Condition: formula.Natural}
	row := formula.Row{Product: "Chalk", Kind: plan.Kind, Strength: 9, Contact: plan.Contact, Condition: plan.Condition, Heat: formula.NoHeat,
		Window: timing.Window{Opens: 10 * time.Minute, Limit: 60 * time.Minute}, Origin: "invented for this test"}
	at := d.now.Wall.Add(time.Duration(minutes) * time.Minute)
	live, err := d.st.Create(d.now, "test",
		session.Do(session.ServiceOpened{Client: "Tove A.", Stylist: "Ines", Promised: &at, Steps: []session.PlanStep{{Name: "drying", Minutes: 20}}}),
		session.Do(session.ConsultationNoted{}),
		session.Do(session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{
			{Name: "Nape", Pieces: 10, MinutesPerPiece: 2, Technique: "foil", Bands: []session.PlanBand{plan}}}}),
		session.Do(session.WindowConfirmed{Row: row, Basis: session.BasisInstructions}),
		session.Do(session.SafetyAnswered{Question: safety.Airways, Answer: "none"}),
		session.Do(session.BowlMixed{Product: "Chalk", Family: plan.Kind, Mix: formula.Mix{
			Products: []formula.ProductPart{{Product: "Chalk", Grams: 60}}, Developers: []formula.DeveloperPart{{Strength: 9, Grams: 120}}}}))
	require.NoError(d.t, err)
	for _, a := range answered() {
		_, err := live.Do(d.now, session.Do(a))
		require.NoError(d.t, err)
	}
	require.NoError(d.t, live.Close())
	d.open(func(o *tui.Options) { o.Resume = live.ID })
	return live.ID
}

func TestTheEndIsToldAndMovesOn(t *testing.T) {
	d := newDesk(t, nil)
	d.promises(180)
	d.sees("end about 10:")
	d.sees("on time: 9 in 10")
	before := d.line("end about")
	d.pass(15 * time.Minute)
	d.send(tui.Tick(d.Read()))
	assert.NotEqual(t, before, d.line("end about"), "nothing was logged, so the end moved on")
	d.press("space")
	d.sees("end about ")
	d.press("x")
	assert.NotContains(t, d.view(), "end about", "pain comes first")
}

// line is the line of the screen with the text.
func (d *desk) line(text string) string {
	for _, l := range strings.Split(d.view(), "\n") {
		if strings.Contains(l, text) {
			return strings.TrimSpace(l)
		}
	}
	return ""
}

func TestTheFrontDeskIsToBeTold(t *testing.T) {
	d := newDesk(t, nil)
	d.promises(60)
	assert.Regexp(t, `probably [^:]+ late: tell`, d.line("end "))
}

func TestTheEndIsToldWithoutStatedMinutes(t *testing.T) {
	d := newDesk(t, nil)
	d.seat()
	d.sees("out of the chair about ")
	d.press("l")
	d.sees("no minutes per piece are known of Nape")
}

func TestThePlanTellsOfTheEnd(t *testing.T) {
	d := newDesk(t, nil)
	d.promises(180)
	for range 5 {
		d.pass(3 * time.Minute)
		d.press("space")
	}
	d.press("l")
	for _, want := range []string{"The end, by what is seen today", "Nape: applied about ", "drying: over about "} {
		d.sees(want)
	}
	d.press("down", "down", "down", "down")
	d.sees("foil: ")
	d.sees(" slower)")
}

func TestAClosedServiceTeachesHowWideRangesMustBe(t *testing.T) {
	d := newDesk(t, nil)
	id := d.promises(180)
	for range 10 {
		d.pass(3 * time.Minute)
		d.press("space")
	}
	d.pass(15 * time.Minute)
	for range 6 { // rinse, dry, close
		d.send(tui.Tick(d.Read()))
		d.press("space")
		d.pass(5 * time.Minute)
	}
	d.press("ctrl+s")
	require.False(t, d.logged(id).State().Live(), d.view())
	d.press("q") // which puts it away
	require.True(t, d.quit)
	u, err := d.st.Usuals("Ines")
	require.NoError(t, err)
	assert.Equal(t, 1, u.Services)
	assert.Equal(t, [5]int{1, 1, 1, 1, 1}, u.Width.Seen)
}

// At the chair another time is promised by a key, and the end is held against
// it from then on.
func TestAnotherTimeIsPromised(t *testing.T) {
	d := newDesk(t, nil)
	id := d.promises(60)
	assert.Regexp(t, `probably [^:]+ late: tell the front desk \(j\)$`, d.line("end "))
	d.press("l")
	d.sees("tell the front desk")
	assert.NotContains(t, d.view(), "(j)", "there the key would do something else")
	d.press("esc", "j")
	d.sees("Promise another time")
	d.sees("Promised: 10:00.")
	offered := d.line("Promised for ")
	assert.Regexp(t, `^Promised for 1\d:\d[05], in .* later than promised so far$`, offered)
	d.press("enter")
	d.press(strings.Split("the front desk", "")...)
	d.press("enter")
	d.sees("Logged: promised for " + offered[len("Promised for "):][:5])
	assert.Regexp(t, `(may be late|on time)`, d.line("end "))
	s := d.logged(id).State()
	assert.Len(t, s.Promises, 2)
	assert.Equal(t, "the front desk", s.Promises[1].Told)
	assert.Equal(t, offered[len("Promised for "):][:5], s.Promised.Format("15:04"))
	assert.Zero(t, s.Promised.Sub(s.Promised.Truncate(5*time.Minute)))

	d.press("u")
	d.sees("taken back: promised for ")
	assert.Contains(t, d.line("end "), "tell the front desk (j)")
	d.press("j", "ctrl+u", "1", "0", ":", "0", "0", "enter", "d", "e", "s", "k", "ctrl+s")
	d.sees("told: desk")
	assert.Regexp(t, `probably [^:]+ late, told 09:00$`, d.line("end "), "it was told, and no other time was promised")
	d.press("u")
	assert.Contains(t, d.line("end "), "tell the front desk (j)")
	d.press("j", "enter", "enter")
	d.sees("Logged: promised for ")
	d.press("j")
	d.press("ctrl+u")
	d.press(strings.Split("none", "")...)
	d.press("ctrl+s")
	d.sees("Logged: nothing is promised any more")
	assert.NotContains(t, d.view(), "late")
	assert.NotContains(t, d.view(), "· promised 1")
}

// What is logged late was promised then, and counts from then.
func TestAPromiseThatWasMadeEarlier(t *testing.T) {
	d := newDesk(t, nil)
	id := d.promises(180)
	d.pass(20 * time.Minute)
	d.press("e")
	d.press("1", "0")
	d.press("enter", "j")
	d.press("ctrl+u")
	d.press("+", "3", "0")
	d.press("ctrl+s")
	p := d.logged(id).State().Promises
	require.Len(t, p, 2)
	assert.Equal(t, 10*time.Minute, p[1].At.Sub(p[0].At))
	assert.Equal(t, 30*time.Minute, p[1].By.Sub(p[0].By))
}

func TestTheKeyIsNotNamedWhereItDoesSomethingElse(t *testing.T) {
	d := newDesk(t, nil)
	l := d.logged(d.promises(60))
	r := relive(t, l, 0, nil)
	assert.Regexp(t, `late: tell the front desk$`, r.line("end "))
}
