package main

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// lists is the line of a service in the list at so many minutes after nine.
func (d *desk) lists(id string, minutes float64) string {
	d.t.Helper()
	d.e.clock = stopped(time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC).Add(time.Duration(minutes * float64(time.Minute))))
	require.Zero(d.t, d.run("list"), d.err.String())
	for _, line := range strings.Split(d.out.String(), "\n") {
		if strings.HasPrefix(line, id) {
			return line
		}
	}
	return ""
}

// What is left live, as after a kill, is listed with what must be off, by when,
// and how long that is.
func TestListTellsWhatMustBeOff(t *testing.T) {
	d := newDesk(t)
	d.imports(plainService("left", "Ines", 0, 2, false)) // first contact at 9:07, off within 90 minutes
	d.imports(plainService("done", "Ines", -1, 2, true))
	for m, want := range map[float64]string{
		30: "Nape off by 10:37, in 67 min", 96.5: "Nape off by 10:37, in 30 s", 97.5: "! Nape OVER 30 s, limit 10:37", 110: "! Nape OVER 13 min, limit 10:37",
	} {
		assert.Contains(t, d.lists("left", m), "live  "+strings.Repeat(" ", len("2026-03-02 09:00")-len("live"))+want)
	}
	assert.NotContains(t, d.lists("done", 110), "Nape")
	require.Contains(t, d.out.String(), "must be off")
	require.Zero(t, d.run("list", "--json"))
	var all []listed
	require.NoError(t, json.Unmarshal(d.out.Bytes(), &all))
	require.Len(t, all, 2)
	assert.Equal(t, &offBy{"Nape", time.Date(2026, 3, 2, 10, 37, 0, 0, time.UTC)}, all[0].OffBy)
	assert.Nil(t, all[1].OffBy)
}

// The zone list that is listed is the one in force.
func TestListNamesTheZoneListInForce(t *testing.T) {
	d := newDesk(t)
	text := plainService("now", "Ines", 0, 2, false)
	before, _, _ := strings.Cut(text, `{"when":"2026-03-02T09:00:00Z","kind":"plan.set"`)
	before = strings.Replace(before, `"client":"June L."`, `"client":"June L.","zone_list":"First list"`, 1)
	set := `{"when":"2026-03-02T09:01:00Z","kind":"plan.set","data":{"round":"r1","name":"Lightening","action":"lighten","zone_list":"Second list","zones":[{"name":"Crown","pieces":3,"bands":[{"band":"root","product":"Chalk","product_kind":"powder lightener","strength_pct":9,"contact":"off","condition":"natural"}]}]}}` + "\n"
	d.imports(before + set)
	assert.Contains(t, d.lists("now", 5), "Second list")
	l, err := d.e.service("now")
	require.NoError(t, err)
	assert.Equal(t, "Second list", l.State().ZoneList)
}
