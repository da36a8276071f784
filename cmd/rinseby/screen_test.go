//go:build unix

package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/cmd/internal/screentest"
)

// TestWatching runs a service from one process and looks at it from another.
func TestWatching(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.owns("zones/three.toml", threeZones)
	c := &chair{salon: s, client: "Tove A.", flags: []string{"--station", "Ferry Stairs 1"}} // invented
	c.sit("Three", 0, "service.opened", "plan.set", "plan.set")

	other := s.open()
	other.WaitFor("Watch Tove A.")
	other.WaitFor("run by Ferry Stairs 1")
	other.Keys("enter")
	other.WaitFor("WATCHING ONLY")
	other.WaitFor("Ferry Stairs 1")
	for _, keys := range [][]string{{"f"}, {"p"}, {"u"}, {"n", "x", "ctrl+s", "esc"}, {"space", "ctrl+s", "esc"}} {
		other.Keys(keys...)
	}
	other.WaitFor("WATCHING ONLY")
	c.x.Keys("v")
	c.x.WaitFor("page 1 of 3")
	c.log("consultation.noted", 0, "ctrl+s", "Consultation noted")
	other.WaitFor("ASK THE SAFETY QUESTIONS")
	c.log("pause.began", 0, "p", "pause begun")
	other.WaitFor("PAUSED")
	c.whole()

	c.x.Kill()
	other.Keys("q")
	code, err := other.Wait()
	require.NoError(t, err)
	assert.Zero(t, code)
	c.whole()
	c.x = s.open()
	c.x.WaitFor("Go on with Tove A.")
	c.x.Keys("enter")
	c.x.WaitFor("do: End the pause")
	c.log("pause.ended", 0, "space", "pause ended")
	c.whole()
}

// TestSilentTerminal starts on a terminal that answers nothing. A wait for its
// answers would take seconds.
func TestSilentTerminal(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	x := screentest.Start(t, s.bin, screentest.Options{Args: s.args(), Silent: true})
	x.WaitFor("New service")
	assert.NotContains(t, string(x.Raw()), "]11;?", "the terminal is not asked for its background")
	x.Keys("q")
	code, err := x.Wait()
	require.NoError(t, err)
	assert.Zero(t, code)
}

// given checks that the terminal was given back as it was: the other screen
// left, the cursor shown, pasting and the title as they were.
func given(t *testing.T, x *screentest.Terminal) {
	t.Helper()
	assert.Empty(t, x.NotGiven())
	assert.Empty(t, x.Parting(), "nothing is drawn after that")
}

func TestLeaving(t *testing.T) {
	t.Parallel()
	for name, leave := range map[string]func(*screentest.Terminal){
		"q":         func(x *screentest.Terminal) { x.Keys("q") },
		"ctrl+c":    func(x *screentest.Terminal) { x.Keys("ctrl+c") },
		"in a form": func(x *screentest.Terminal) { x.Keys("n", "q", "ctrl+c") },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newSalon(t)
			s.owns("zones/three.toml", threeZones)
			c := &chair{salon: s, client: "Mr. Okpara"} // invented
			c.sit("Three", 0, "service.opened", "plan.set", "plan.set")
			c.log("pause.began", 0, "p", "pause begun")
			leave(c.x)
			code, err := c.x.Wait()
			require.NoError(t, err)
			assert.Zero(t, code)
			given(t, c.x)
			c.whole()
			c.left()
		})
	}
}

// TestClosedTerminal closes the terminal under the program, as a window does;
// also under one that was started to outlive its shell, which is not to hold
// its service for ever.
func TestClosedTerminal(t *testing.T) {
	t.Parallel()
	for name, start := range map[string]string{"window": "", "hang-ups ignored": "trap '' HUP;"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			closesTerminal(t, start)
		})
	}
}

func closesTerminal(t *testing.T, start string) {
	s := newSalon(t)
	s.owns("zones/three.toml", threeZones)
	c := &chair{salon: s, client: "June L."} // invented
	c.sit("Three", 0, "service.opened", "plan.set", "plan.set")
	c.x.Keys("q")
	_, err := c.x.Wait()
	require.NoError(t, err)

	p := exec.Command("/bin/sh", append([]string{"-c", start + ` exec "$0" "$@"`, s.bin}, s.args()...)...)
	p.Env = append(os.Environ(), "HOME="+t.TempDir(), "TERM=xterm-256color")
	master, err := pty.StartWithSize(p, &pty.Winsize{Cols: 80, Rows: 24})
	require.NoError(t, err)
	defer master.Close()
	late := time.AfterFunc(20*time.Second, func() { _ = p.Process.Kill() })
	defer late.Stop()
	var all []byte
	waitFor := func(text string) {
		buf := make([]byte, 32<<10)
		for !bytes.Contains(all, []byte(text)) {
			n, err := master.Read(buf)
			require.NoError(t, err, "waited for %q; the output is %q", text, all)
			all = append(all, buf[:n]...)
		}
	}
	waitFor("Go on with June L.")
	_, err = master.WriteString("\r")
	require.NoError(t, err)
	waitFor("CONSULT AND NOTE IT")
	_, err = master.WriteString("p")
	require.NoError(t, err)
	waitFor("pause begun")
	c.logged = append(c.logged, "pause.began")
	require.NoError(t, master.Close())
	_ = p.Wait()
	require.True(t, late.Stop(), "the program outlives its terminal")
	assert.Equal(t, 129, p.ProcessState.ExitCode())
	c.whole()
	c.left()
}

func TestPractice(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.owns("zones/three.toml", threeZones)
	tmp := t.TempDir()
	start := func() *screentest.Terminal {
		return screentest.Start(t, s.bin, screentest.Options{
			Args: s.args("practice", "--speed", "3600", "--zones", "Three zones"), Env: []string{"TMPDIR=" + tmp},
		})
	}
	x := start()
	// What goes by on the way is too quick to be waited for: the card tells
	// that it was done.
	x.WaitFor("THE SERVICE IS CLOSED")
	x.Keys("down")
	x.WaitFor("You have taken over")
	x.Keys("space")
	x.WaitFor("Record of a visit: June L.")
	x.WaitFor("demonstration data")
	x.WaitFor("roots: Chalk 9 % (30 vol)")
	x.WaitFor("on Nape")
	x.Keys("esc", "q")
	code, err := x.Wait()
	require.NoError(t, err)
	assert.Zero(t, code)

	x = start()
	x.WaitFor("(invented)")
	x.Keys("x")
	x.WaitFor("You have taken over")
	x.Keys("n")
	x.WaitFor("About")
	x.Keys("ctrl+c")
	_, err = x.Wait()
	require.NoError(t, err)
	left, err := filepath.Glob(filepath.Join(tmp, "*"))
	require.NoError(t, err)
	assert.Empty(t, left, "nothing is kept")
	assert.Empty(t, s.logs())
}

// TestBrokenConfiguration starts with files that are wrong. The chair starts
// all the same, and says which file it is.
func TestBrokenConfiguration(t *testing.T) {
	t.Parallel()
	for name, test := range map[string]struct{ file, text, says string }{
		"settings":         {"settings.toml", "theme = \"drak\"\n", "settings.toml:1: theme = \"drak\": give auto, dark or light"},
		"hostile settings": {"settings.toml", "\"\\u001b[2J\" = 1\n", "settings.toml:1: there is no setting"},
		"catalogue":        {"catalogue.toml", "[[product]]\nname = \"Chalk\"\nkind = \"paint\"\n", "catalogue.toml:3"},
		"no TOML":          {"catalogue.toml", "= = =\n", "catalogue.toml:1"},
		"unknown field":    {"catalogue.toml", "perm = true\n", "catalogue.toml:1"},
		"zone list":        {"zones/mine.toml", "name = \"Mine\"\n[[round]]\nname = \"Lightening\"\n", "mine.toml:2"},
		"hostile contents": {"zones/mine.toml", "name = \"\x1b[2J\u202e\"\n", "mine.toml:1"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := newSalon(t)
			dir, err := os.MkdirTemp("", "r") // a short name, to have room for what is said
			require.NoError(t, err)
			defer os.RemoveAll(dir)
			s.config = dir
			s.owns(test.file, test.text)
			x := s.open()
			x.WaitFor("New service")
			x.WaitFor(test.says)
			x.Keys("n")
			x.WaitFor("page 1 of 2") // and goes on
		})
	}
}
