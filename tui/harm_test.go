package tui_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/store"
	"rinseby/tui"
)

// weakened is a service in which the nape was found at minute 9 to be slow to
// spring back, or to stay stretched, long before it opens at minute 20; the
// crown has product on, too. It is minute 11.
func (d *desk) weakened(feel string) (id string) {
	id = d.ready()
	log := func(data ...session.Data) {
		live, err := d.st.Resume(d.Read(), id, "test")
		require.NoError(d.t, err)
		for _, a := range data {
			_, err := live.Do(d.Read(), session.Do(a))
			require.NoError(d.t, err)
		}
		require.NoError(d.t, live.Close())
	}
	log(session.PiecePlaced{Zone: "z1", Count: 6}, session.PiecePlaced{Zone: "z2", Count: 2})
	d.pass(9 * time.Minute)
	log(session.ZoneChecked{Zone: "z1", Feel: feel})
	d.pass(2 * time.Minute)
	return id
}

// nothingWaits fails where a screen lets weakened hair work on.
func nothingWaits(t require.TestingT, screen, what string) {
	low := strings.ReplaceAll(strings.ToLower(screen), " waiting ", "") // the phase of zones that nothing is on
	for _, word := range []string{"wait", "not before", "place crown", "nothing to press", "plan:"} {
		require.NotContains(t, low, word, "%s:\n%s", what, screen)
	}
}

func TestWeakenedHairOwnsEveryScreen(t *testing.T) {
	for feel, says := range map[string]string{session.FeelWeak: "Rinse Nape now", session.FeelMushy: "STOP. Rinse Nape"} {
		d := newDesk(t, nil)
		id := d.weakened(feel)
		d.open(func(o *tui.Options) { o.Resume, o.Title = id, true })
		for _, size := range [][2]int{{60, 20}, {80, 24}, {120, 40}} {
			d.size(size[0], size[1])
			d.tick(time.Second)
			view := d.view()
			first, _, _ := strings.Cut(view, "\n")
			require.Contains(t, first, strings.ToUpper(says))
			require.Contains(t, view, "Nape must come off now", "%v", size)
			require.Contains(t, view, ", since 09:09")
			require.Contains(t, view, "do: "+says)
			require.NotContains(t, view, "to the basin", "no plan stands beside it")
			nothingWaits(t, view, "the chair")
		}
		d.press("w")
		d.show(id)
		d.tick(time.Second)
		d.sees(says)
		nothingWaits(t, d.view(), "the floor")

		l := d.listen(func(o *tui.Options) { o.Resume = id })
		nothingWaits(t, l.says("Next: "+says), "in words")

		d = relive(t, d.logged(id), 11*time.Minute, nil)
		d.tick(time.Second)
		d.sees(strings.ToUpper(says))
		nothingWaits(t, d.view(), "a replay")
	}
}

// The key takes the weakened zone alone, and at the basin too nothing waits.
func TestWeakenedHairGoesAloneAndWaitsForNothingAtTheBasin(t *testing.T) {
	d := newDesk(t, nil)
	id := d.weakened(session.FeelWeak)
	d.open(func(o *tui.Options) { o.Resume = id })
	d.press("space")
	zones := d.logged(id).State().Trips[0].Zones
	require.Equal(t, []string{"z1"}, zones)
	d.sees("RINSE CLEAN: NAPE")
	nothingWaits(t, d.view(), "at the basin")
	d.pass(3 * time.Minute)
	d.press("space")
	require.False(t, d.logged(id).State().Zone("z1").Rinsed.IsZero(), "one press ends it, though it has not worked until it opens")
}

// The floor puts it above whoever is only late.
func TestWeakenedHairStandsAboveLimitsOnTheFloor(t *testing.T) {
	d := newDesk(t, nil)
	weak := d.weakened(session.FeelWeak)
	late := d.due("June L.", -1)
	watch := make(chan store.Watched)
	close(watch)
	d.open(func(o *tui.Options) { o.Floor, o.Watch = true, watch })
	d.show(late, weak)
	d.send(tui.Seen(store.Watched{All: true}))
	d.tick(time.Second)
	view := d.view()
	require.Less(t, strings.Index(view, "Tove A.  now: Rinse Nape now"), strings.Index(view, "June L.  now"), view)
}

// Whenever and wherever weakened hair is found on the ordinary day, the screen
// says one thing.
func TestNoScreenContradictsWeakenedHair(t *testing.T) {
	day := ordinary(t)
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(20, len(day.Events())-1).Draw(rt, "entries")
		l, err := session.Fold(day.Events()[:n])
		require.NoError(rt, err)
		var on []string
		for _, z := range l.State().Zones {
			if z.Holding() {
				on = append(on, z.ID)
			}
		}
		if len(on) == 0 {
			rt.Skip("nothing is on")
		}
		now := l.Events()[n-1].Recorded
		now.Wall, now.Boot = now.Wall.Add(time.Second), now.Boot+time.Second
		feel := rapid.SampledFrom([]string{session.FeelWeak, session.FeelMushy}).Draw(rt, "feel")
		events, err := session.Decide(l, now, session.Do(session.ZoneChecked{Zone: rapid.SampledFrom(on).Draw(rt, "zone"), Feel: feel}))
		require.NoError(rt, err)
		require.NoError(rt, l.Append(events...))
		d := relive(t, l, time.Duration(1<<62), nil)
		d.size(rapid.IntRange(60, 140).Draw(rt, "w"), rapid.IntRange(20, 50).Draw(rt, "h"))
		d.tick(time.Second)
		b := d.app.Board()
		require.NotNil(rt, b.Harm)
		view := d.view()
		require.Contains(rt, view, "must come off now")
		require.NotContains(rt, view, "to the basin:")
		nothingWaits(rt, view, b.Next.Text)
	})
}
