//go:build unix

package main

import (
	"fmt"
	"math/rand/v2"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/cmd/internal/screentest"
)

// mixing brings a service to where the first bowl is to be mixed.
func mixing(t *testing.T) *chair {
	s := newSalon(t)
	s.owns("zones/three.toml", threeZones)
	c := &chair{salon: s, client: "June L."} // invented
	c.sit("Three", 0, "service.opened", "plan.set", "plan.set")
	c.x.WaitFor("do: Consult and note it")
	c.x.Keys("space")
	c.x.WaitFor("page 1 of 3")
	c.log("consultation.noted", 0, "ctrl+s", "Consultation noted")
	c.answer()
	return c
}

// TestKeysInOneBurst presses many keys in one go: none is lost, none counts
// twice.
func TestKeysInOneBurst(t *testing.T) {
	t.Parallel()
	c := mixing(t)
	c.x.WaitFor("do: Mix")
	c.x.Type(strings.Repeat("pu", 10))
	for range 10 {
		c.logged = append(c.logged, "pause.began", "event.voided")
	}
	c.x.Keys("n", "x")
	c.x.WaitFor("> x")
	c.log("note.added", 0, "ctrl+s", "Note added") // comes after all that waits
	c.whole()
}

// TestPaste pastes text: in a form it is typed, with what could not be shown
// left out; at the chair it is no key.
func TestPaste(t *testing.T) {
	t.Parallel()
	c := mixing(t)
	paste := func(text string) { c.x.Type("\x1b[200~" + text + "\x1b[201~") }
	paste("pppq xu") // would pause, leave and take back
	c.x.Keys("n")
	c.x.WaitFor("About")
	paste("ends \u202efeel\u200b dry \x1b]0;x\a")
	c.x.WaitFor("> ends feel dry")
	c.log("note.added", 0, "ctrl+s", "Note added")
	c.whole()
	require.Contains(t, s(c), "ends feel dry", "what was pasted is noted")
}

// s is the card of the chair's service.
func s(c *chair) string { return c.must("card", c.logs()[0]) }

// TestManySizes changes the size of the terminal faster than it can be drawn.
// What stays is right.
func TestManySizes(t *testing.T) {
	t.Parallel()
	c := mixing(t)
	c.x.Keys("n", "h", "i") // with a form open
	c.x.WaitFor("> hi")
	before := c.x.Lines()[2:]
	sizes := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		c.x.Resize(10+sizes.IntN(190), 3+sizes.IntN(57))
	}
	c.x.Resize(80, 24)
	c.x.WaitForFunc("the form as it was", func(string) bool {
		return strings.Join(c.x.Lines()[2:], "\n") == strings.Join(before, "\n")
	})
	c.x.Keys("esc")
	c.whole()
}

// TestAside puts the program aside by ctrl+z from a shell with jobs, and brings
// it back.
func TestAside(t *testing.T) {
	t.Parallel()
	sh, err := exec.LookPath("bash")
	if err != nil {
		t.Skip("no shell with jobs")
	}
	s := newSalon(t)
	x := screentest.Start(t, sh, screentest.Options{Args: []string{"--norc", "--noprofile", "-i"}, Env: []string{"PS1=ready> "}})
	x.WaitFor("ready>")
	x.Type(fmt.Sprintf("%s --data %s --config %s\n", s.bin, s.data, s.config))
	x.WaitFor("New service")
	x.Keys("n", "T", "o")
	x.WaitFor("> To")
	x.Keys("ctrl+z")
	x.WaitFor("Stopped")
	x.Type("echo $((6*7))\n")
	x.WaitFor("42")
	x.Type("fg\n")
	x.WaitFor("> To")
	x.Keys("v", "e")
	x.WaitFor("> Tove")
	x.Keys("esc", "q")
	x.WaitFor("ready>")
	x.Type("stty -a | grep -c -- -echo; exit\n")
	_, err = x.Wait()
	require.NoError(t, err)
}

// TestNowhereToGoAside presses ctrl+z where no shell waits: the program stays.
func TestNowhereToGoAside(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	x := s.open()
	x.WaitFor("New service")
	start := time.Now()
	x.Keys("ctrl+z")
	x.WaitFor("no shell waits behind this screen")
	require.Less(t, time.Since(start), 15*time.Second)
	x.Keys("q")
	code, err := x.Wait()
	require.NoError(t, err)
	require.Zero(t, code)
	given(t, x)
}
