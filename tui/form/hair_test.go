package form_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/tui/form"
	"rinseby/tui/intent"
)

// heatMeant is a reason for heat on lightener near the scalp.
func heatMeant(zone string) session.WarningAcknowledged {
	return session.WarningAcknowledged{Warning: "heat-scalp:" + zone, Reason: "the tub names heat"}
}

// had is what a program tells the form of zones.
func (c *chair) had(z *session.Zone, name string) (lines []string) {
	had := c.state().HadBefore(z, c.now)
	if name != "" {
		had = c.state().HadUnder(name, z, c.now)
	}
	for _, h := range had {
		lines = append(lines, string(h.Band)+" had "+h.Lasted.String()+" of "+formula.Label(h.Strength)+" at "+clock(h.From))
	}
	return lines
}

// rinsed is lightening with the nape and the crown off.
func rinsed(t *testing.T) *chair {
	c := lightening(t)
	c.do(session.RinseBegan{Zones: []string{"nape", "crown"}})
	c.now = c.now.Add(5 * time.Minute)
	c.do(session.RinseEnded{})
	c.now = c.now.Add(10 * time.Minute)
	return c
}

func data(t *testing.T, got intent.Intent) session.Data {
	t.Helper()
	l, ok := got.(intent.Log)
	require.True(t, ok, "%T", got)
	require.Len(t, l.Commands, 1)
	return l.Commands[0].Data
}

func TestANewZoneOfAKnownNameIsAskedAbout(t *testing.T) {
	c := rinsed(t)
	add := func(keys ...string) *session.PlanZone {
		f := open(form.EditZone(th, c.state(), "fringe", nil, nil, c.had))
		return data(t, press(t, f, append([]string{"enter", "enter"}, keys...)...)).(session.PlanChanged).Add
	}
	f := open(form.EditZone(th, c.state(), "fringe", nil, nil, c.had))
	press(t, f, "enter", "enter", " NAPE")
	assert.Contains(t, f.View(), "root had 15m0s of 20 vol at 10:43")
	assert.False(t, add(" NAPE", "enter", "2", "enter", "enter").OtherHair, "the same, if nothing else is said")
	other := add(" NAPE", "enter", "2", "enter", "right", "enter")
	assert.True(t, other.OtherHair)
	assert.False(t, add("side", "enter", "2", "enter").OtherHair, "a new name is not asked about")
	c.do(session.PlanChanged{Change: session.ChangeAdd, Round: "r1", Add: other})
}

func TestAZoneIsSaidToBeOtherHair(t *testing.T) {
	c := rinsed(t)
	c.do(session.PlanSet{Name: "again", Action: formula.Lighten, Zones: []session.PlanZone{
		{ID: "n2", Name: "Nape", Pieces: 2, Bands: []session.PlanBand{chalk}}, {ID: "s2", Name: "side", Pieces: 2, Bands: []session.PlanBand{chalk}}}})
	keys := append([]string{"enter"}, "down", "down", "down", "down", "down", "down", "down", "down", "down")
	f := open(form.EditZone(th, c.state(), "n2", nil, nil, c.had))
	press(t, f, keys...)
	assert.Contains(t, f.View(), "root had 15m0s of 20 vol at 10:43")
	got := press(t, f, "enter")
	assert.Equal(t, session.PlanChanged{Change: session.ChangeHair, Zone: "n2", OtherHair: true}, data(t, got))
	c.carryOut(got)
	assert.Empty(t, c.had(c.state().Zone("n2"), ""))
	for zone, why := range map[string]string{"n2": "! Nape is already noted as other hair", "s2": "! no other hair has had the name side"} {
		f := open(form.EditZone(th, c.state(), zone, nil, nil, c.had))
		assert.Nil(t, press(t, f, append(keys, "enter")...))
		assert.Contains(t, f.View(), why)
	}
}

func TestWindowAsksWhetherTheScalpIsAllowed(t *testing.T) {
	q := formula.Query{Product: "Chalk", Kind: formula.PowderLightener, Strength: 9,
		Hair: formula.Hair{Contact: formula.OnScalp, Condition: formula.Natural}}
	open30 := formula.Row{Product: "Chalk", Kind: formula.PowderLightener, Strength: 9, Window: chalkWindow.Row.Window, Origin: "o"} // names no scalp
	const asked = "Do the instructions allow it on the scalp"
	for _, row := range []*formula.Row{nil, &open30} {
		f := open(form.Window(th, q, row, "too strong for the scalp"))
		assert.Contains(t, f.View(), "too strong for the scalp.")
		assert.Contains(t, f.View(), asked)
		assert.Nil(t, press(t, f, "25", "enter", "5", "enter", "enter"), "nothing is taken as said")
		assert.Contains(t, f.View(), "! choose with left and right")
		assert.Nil(t, press(t, f, "right", "right", "enter"))
		assert.Contains(t, f.View(), "! then it is not for the scalp")
		d := data(t, press(t, f, "left", "enter")).(session.WindowConfirmed)
		assert.True(t, d.ScalpAllowed)
		assert.Equal(t, []any{session.BasisInstructions, formula.OnScalp, 25 * time.Minute}, []any{d.Basis, d.Row.Contact, d.Row.Window.Limit})
		newChair(t).do(d)
	}
	scalp := open30
	scalp.Contact = formula.OnScalp
	assert.NotContains(t, open(form.Window(th, q, &scalp)).View(), asked, "the catalogue names it")
	q.Strength = 6
	assert.NotContains(t, open(form.Window(th, q, nil)).View(), asked)
	q.Strength, q.Contact = 9, formula.OffScalp
	assert.NotContains(t, open(form.Window(th, q, nil)).View(), asked)
}

func TestWindowUnderHeatTakesARowThatNamesIt(t *testing.T) {
	q := formula.Query{Product: "Chalk", Kind: formula.PowderLightener, Strength: 6,
		Hair: formula.Hair{Contact: formula.OffScalp, Condition: formula.Natural, Heat: true}}
	row := chalkWindow.Row
	assert.Contains(t, open(form.Window(th, q, &row)).View(), "No limit is known")
	row.Heat = formula.WithHeat
	assert.Contains(t, open(form.Window(th, q, &row)).View(), "The catalogue has")
}

func TestBowlOutsideTheRatiosNeedsAYes(t *testing.T) {
	other := []string{"30", "enter", "left", "enter", "enter", "enter", "enter"} // "another" comes before the first
	f := open(form.Bowl(th, chalk, formula.Starter(), 0, nil, formula.Law{}))
	assert.Nil(t, press(t, f, append(other, "1:3")...))
	assert.Contains(t, f.View(), "CAREFUL: 1:3 is outside what the catalogue has for Chalk: 1:1 to 1:2.")
	assert.Nil(t, press(t, f, "enter", "enter"))
	assert.Contains(t, f.View(), "! the catalogue has 1:1 to 1:2 for Chalk")
	got := press(t, f, "right", "enter")
	d := data(t, got).(session.BowlMixed)
	assert.Equal(t, []any{"1:1 to 1:2", true, 90.0}, []any{d.RatioRange, d.RatioOutside, d.Mix.Developers[0].Grams})
	c := newChair(t)
	c.do(session.SafetyAnswered{Question: safety.Airways, Answer: "none"})
	c.carryOut(got)

	f = open(form.Bowl(th, chalk, formula.Starter(), 0, nil, formula.Law{}))
	d = data(t, press(t, f, append(other, "1:1.25", "enter")...)).(session.BowlMixed)
	assert.Equal(t, []any{"", false, 37.5}, []any{d.RatioRange, d.RatioOutside, d.Mix.Developers[0].Grams}, "within: nothing more is asked")
}

func TestTheDeveloperOfAZoneIsChangedOnTheScreen(t *testing.T) {
	c := newChair(t)
	to := append([]string{"enter"}, "down", "down", "down", "down", "down", "down", "down", "down", "down", "down", "enter")
	f := open(form.EditZone(th, c.state(), "nape", nil, nil, nil))
	assert.Nil(t, press(t, f, append(to, "enter", "enter")...))
	assert.Contains(t, f.View(), "! nothing is changed")
	press(t, f, "back", "10 vol", "enter")
	got := press(t, f, "right", "right", "enter")
	weak, end := chalk, chalk
	weak.Strength, weak.Contact = 3, formula.OnScalp
	end.Band, end.Later, end.Strength, end.Contact = session.End, true, 3, formula.OnScalp
	assert.Equal(t, session.PlanChanged{Change: session.ChangeBands, Zone: "nape", Bands: []session.PlanBand{weak, end}}, data(t, got))
	c.carryOut(got)
}

func TestBowlOfAProductThatIsNotForTheScalp(t *testing.T) {
	cat, err := formula.Parse("own", []byte("[[product]]\nname = \"Chalk\"\nkind = \"powder lightener\"\nratios = [\"1:2\"]\noff_scalp = true\n"))
	require.NoError(t, err)
	scalp := chalk
	scalp.Contact = formula.OnScalp
	f := open(form.Bowl(th, scalp, cat, 0, nil, formula.Law{}))
	assert.Nil(t, press(t, f, "30", "save"))
	assert.Contains(t, f.View(), "! Chalk is not for the scalp, as the catalogue says")
	assert.True(t, data(t, press(t, open(form.Bowl(th, chalk, cat, 0, nil, formula.Law{})), "30", "save")).(session.BowlMixed).OffScalp)
}
