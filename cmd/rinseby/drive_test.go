//go:build unix

package main

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/cmd/internal/screentest"
)

// A moment is when something was logged, as far as the one who pressed the key
// can tell: after lo, and before hi.
type moment struct{ lo, hi time.Time }

// A stretch is a length of time between two moments: at least lo, at most hi.
type stretch struct{ lo, hi time.Duration }

// since is the time from one moment to another.
func (m moment) since(from moment) stretch { return stretch{m.lo.Sub(from.hi), m.hi.Sub(from.lo)} }

// back is the moment so much earlier.
func (m moment) back(d time.Duration) moment { return moment{m.lo.Add(-d), m.hi.Add(-d)} }

// less is the stretch without a fixed length, at least nothing.
func (s stretch) less(d time.Duration) stretch { return stretch{max(s.lo-d, 0), max(s.hi-d, 0)} }

// has checks seconds of a card, which may be rounded either way.
func (s stretch) has(t *testing.T, seconds int, what string) {
	t.Helper()
	got := time.Duration(seconds) * time.Second
	if got <= s.lo-time.Second || got >= s.hi+time.Second {
		t.Errorf("%s: %v, want %v to %v", what, got, s.lo, s.hi)
	}
}

// has checks a moment of a card, which is kept to the millisecond.
func (m moment) has(t *testing.T, got *time.Time, what string) {
	t.Helper()
	require.NotNil(t, got, what)
	if got.Before(m.lo.Add(-2*time.Millisecond)) || got.After(m.hi.Add(2*time.Millisecond)) {
		t.Errorf("%s: %v, want %v to %v", what, got, m.lo.UTC(), m.hi.UTC())
	}
}

// A chair is the program at one service, and the one who presses its keys.
type chair struct {
	*salon
	x      *screentest.Terminal
	client string
	flags  []string
	logged []string // kinds of the events that were answered with "Logged"
	kills  int
	asked  moment // when it was last asked how long ago something was
}

// sit starts a new service from the zone list, opened so long ago.
func (c *chair) sit(list string, ago time.Duration, kinds ...string) moment {
	c.t.Helper()
	c.x = c.open(c.flags...)
	c.x.WaitFor("New service")
	c.earlier(ago)
	c.x.Keys("n")
	c.x.WaitFor("page 1 of 2")
	c.x.Type(c.client)
	c.x.Keys("enter", "enter", "enter", "enter", "/")
	c.x.Type(list)
	c.x.Keys("enter")
	m := moment{lo: time.Now()}
	c.x.Keys("enter")
	c.x.WaitFor("CONSULT AND NOTE IT")
	m.hi = time.Now()
	c.logged = append(c.logged, kinds...)
	if ago > 0 {
		m = c.asked
	}
	return m.back(ago)
}

// earlier says that what comes next happened so long ago.
func (c *chair) earlier(ago time.Duration) {
	c.t.Helper()
	if ago == 0 {
		return
	}
	c.asked.lo = time.Now()
	c.x.Keys("e")
	c.x.WaitFor("It happened earlier")
	c.asked.hi = time.Now()
	c.x.Type(fmt.Sprint(int(ago.Minutes())))
	c.x.Keys("enter")
	c.x.WaitForFunc("counts as … ago", func(screen string) bool { return strings.Contains(screen, "counts as") })
}

// log presses the last key of an entry that happened so long ago, and waits
// for the answer.
func (c *chair) log(kind string, ago time.Duration, key, answer string) moment {
	c.t.Helper()
	m := moment{lo: time.Now()}
	c.x.Keys(key)
	c.x.WaitFor("Logged: " + answer)
	m.hi = time.Now()
	c.logged = append(c.logged, kind)
	if ago > 0 { // "ago" is counted from when it was asked
		m = c.asked
	}
	return m.back(ago)
}

// next does the next thing, which the screen must name before.
func (c *chair) next(kind string, ago time.Duration, does, answer string) moment {
	c.t.Helper()
	c.x.WaitFor("do: " + does)
	c.earlier(ago)
	return c.log(kind, ago, "space", answer)
}

// clean says that a zone is clean though the water has just started: a first
// press asks, and a second one a moment later says that it is meant.
func (c *chair) clean(zone string) moment {
	c.t.Helper()
	c.x.WaitFor("do: Rinse clean: " + zone)
	c.x.Keys("space")
	c.x.WaitFor("Press again if it is clean.")
	time.Sleep(time.Second) // no sign tells that a pedal would have come to rest
	return c.log("rinse.ended", 0, "space", "rinsed clean: "+zone)
}

// piece logs one piece of the zone that row says, which is chosen by name.
func (c *chair) piece(ago time.Duration, zone, row string) moment {
	c.t.Helper()
	c.choose(zone)
	c.earlier(ago)
	c.x.Keys("+")
	c.x.WaitFor("Several pieces of " + zone)
	c.x.Keys("1")
	m := c.log("piece.placed", ago, "enter", zone+": 1 placed")
	c.shows(zone, row)
	return m
}

// choose moves to a zone.
func (c *chair) choose(zone string) {
	c.t.Helper()
	for range 20 {
		i := slices.IndexFunc(c.x.Lines(), func(l string) bool { return strings.HasPrefix(l, "»") })
		if i >= 0 && strings.Contains(c.x.Lines()[i], zone) {
			return
		}
		was := i
		c.x.Keys("down")
		c.x.WaitForFunc("another zone", func(screen string) bool {
			return slices.IndexFunc(strings.Split(screen, "\n"), func(l string) bool { return strings.HasPrefix(l, "»") }) != was
		})
	}
	c.t.Fatalf("there is no zone %s to choose:\n%s", zone, c.x.Screen())
}

// shows waits until the row of a zone holds the words.
func (c *chair) shows(zone string, words ...string) {
	c.t.Helper()
	row := regexp.MustCompile(`^[ »]\S ` + regexp.QuoteMeta(zone) + ` +\pL+ +\d+/\d+ `)
	c.x.WaitForFunc(fmt.Sprintf("%s with %q", zone, words), func(screen string) bool {
		for line := range strings.Lines(screen) {
			if row.MatchString(line) {
				return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(line, w) })
			}
		}
		return false
	})
}

// kill ends the program at once, looks at what it left, and starts it again at
// the same service.
func (c *chair) kill() {
	c.t.Helper()
	c.kills++
	c.x.Kill()
	c.whole()
	c.resume()
}

// resume starts the program again at the same service.
func (c *chair) resume() {
	c.t.Helper()
	c.x = c.open(c.flags...)
	c.x.WaitFor("Go on with " + c.client)
	c.x.Keys("enter")
	c.x.WaitForFunc("the chair", func(s string) bool { return strings.Contains(s, c.client) && !strings.Contains(s, "Go on with") })
}

// whole checks that the journal is whole and holds all that was logged.
func (c *chair) whole() {
	c.t.Helper()
	logs := c.logs()
	require.Len(c.t, logs, 1)
	require.Equal(c.t, c.logged, kinds(c.t, logs[0]), "what was answered with \"Logged\", and no more, is in the journal")
	c.must("verify", logs[0])
}
