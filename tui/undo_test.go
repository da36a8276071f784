package tui_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/session"
)

// zoneNames are the zones of all rounds, in order.
func zoneNames(s *session.State) (names []string) {
	for _, r := range s.Rounds {
		for _, z := range s.RoundZones(r) {
			names = append(names, r.Name+": "+z.Name)
		}
	}
	return names
}

func TestAWrongZoneListIsChangedForAnother(t *testing.T) {
	d := newDesk(t, nil)
	d.press("n", "T", "o", "v", "e", "enter", "enter", "enter", "enter", "ctrl+s")
	d.sees("CONSULT AND NOTE IT")
	id := firstLive(t, d)
	full := zoneNames(d.logged(id).State())
	require.Greater(t, len(full), 10)
	first := d.logged(id).State().ZoneList
	require.NotEqual(t, "Half head of weaves", first)

	d.pass(time.Minute)
	d.press("z", "enter", "end")
	d.sees("another zone list instead of all that is planned")
	d.sees("All zones that are planned give way to those of the list. u takes it back.")
	d.press("enter", "down", "enter")
	d.sees("Logged: zones planned: Half head")
	half := zoneNames(d.logged(id).State())
	require.NotEqual(t, full, half)
	require.NotEmpty(t, half)
	require.Equal(t, "Half head of weaves", d.logged(id).State().ZoneList, "that is in force now")

	d.press("u")
	d.sees(" planned, ")
	d.sees("and what was planned with it")
	require.Equal(t, full, zoneNames(d.logged(id).State()), "one key takes all of it back")
	require.Equal(t, first, d.logged(id).State().ZoneList)
	d.press("U")
	require.Equal(t, half, zoneNames(d.logged(id).State()), "and one key brings it back")
	d.press("u", "U", "u")
	require.Equal(t, full, zoneNames(d.logged(id).State()))
}

func TestAnotherZoneListIsNotOfferedOnceProductIsOn(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	d.press("space")
	d.press("z", "enter", "end")
	require.NotContains(t, d.view(), "another zone list")
	d.press("esc", "u")
	require.Zero(t, d.logged(id).State().Zone("z1").Done())
	d.press("z", "enter", "end")
	d.sees("another zone list")
}

func TestEntriesThatWereLoggedApartAreTakenBackApart(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	for _, name := range []string{"low", "high"} {
		d.pass(time.Second)
		d.press("z", "enter", "down", "down", "enter", "ctrl+u", name, "enter")
		require.Equal(t, name, d.logged(id).State().Zone("z1").Name)
	}
	d.press("u")
	require.Equal(t, "low", d.logged(id).State().Zone("z1").Name)
	d.press("u")
	require.Equal(t, "Nape", d.logged(id).State().Zone("z1").Name)
	d.press("U", "U")
	require.Equal(t, "high", d.logged(id).State().Zone("z1").Name)
}
