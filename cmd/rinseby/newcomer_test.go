//go:build unix

package main

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/cmd/internal/screentest"
)

// A newcomer has never seen the program. All it knows is how to read what the
// screen says of its keys, how to answer a question in the way that the question
// gives as its example, and that an answer which is refused needs another.
type newcomer struct {
	t       *testing.T
	x       *screentest.Terminal
	pressed []string
	asked   string // the question that was answered last
	tried   int    // how often
}

func (n *newcomer) press(key string) {
	n.pressed = append(n.pressed, key)
	n.x.Keys(key)
}

var (
	// does is what the foot of the chair says of its one key.
	does = regexp.MustCompile(`(?m)^ (\S+) (do: .+|begin a service|show the card|nothing to press yet|note what was found)$`)
	// firstHint is the key that the foot of a form names first, and what it does.
	firstHint = regexp.MustCompile(`(?m)^ (enter) (next|save|answer)\b.*`)
	// example is the way in which a question wants to be answered.
	example = regexp.MustCompile(`(?: as | or )([^:,()]+)$`)
	// question is the field in hand.
	question = regexp.MustCompile(`(?m)^ │ (.+)$`)
	// begins is the hint of the first screen.
	begins = regexp.MustCompile(`New here\? (\S+) begins a service`)
)

// reads reads the screen, once it stands still for a moment: half a frame says
// nothing.
func (n *newcomer) reads() string {
	for was := ""; ; time.Sleep(15 * time.Millisecond) {
		now := n.x.Screen()
		if now == was {
			return now
		}
		was = now
	}
}

// answers are the parts of a screen that answer a key, and not the clock: the
// field in hand, and what stands at the foot.
func answers(screen string) string {
	lines := strings.Split(screen, "\n")
	parts := lines[len(lines)-4:]
	for _, l := range lines {
		if strings.HasPrefix(l, " │") {
			parts = append(parts, l)
		}
	}
	return strings.Join(parts, "\n")
}

// step does what the screen says, and answers whether there was anything.
func (n *newcomer) step(screen string) bool {
	if m := begins.FindStringSubmatch(screen); m != nil {
		n.press(m[1])
		return true
	}
	if m := firstHint.FindStringSubmatch(screen); m != nil {
		n.answer(screen, m[0])
		return true
	}
	if m := does.FindStringSubmatch(screen); m != nil {
		if m[2] == "nothing to press yet" {
			return false
		}
		n.press(m[1])
		return true
	}
	return false
}

// answer answers the question in hand: what is offered, unless it was refused or
// says that nothing was chosen.
func (n *newcomer) answer(screen, foot string) {
	q := question.FindAllStringSubmatch(screen, -1)
	require.NotEmpty(n.t, q, "a form shows which question is in hand:\n%s", screen)
	asked := q[0][1]
	if asked != n.asked {
		n.asked, n.tried = asked, 0
	}
	n.tried++
	require.Less(n.t, n.tried, 6, "stuck on %q:\n%s", asked, screen)
	switch refused := strings.Contains(screen, "\n ! "); {
	case strings.Contains(foot, "left/right choose") && (refused || strings.Contains(screen, "│ < not ")):
		n.press("right")
		return
	case refused && strings.Contains(foot, "up/down choose"):
		n.press("down")
	case refused && strings.Contains(screen, "\n │ >"):
		text := "Tove A." // an invented name
		if m := example.FindStringSubmatch(asked); m != nil {
			text = m[1]
		} else if strings.Contains(asked, "minutes") {
			text = "30"
		}
		n.pressed = append(n.pressed, text)
		n.x.Type(text)
	}
	n.press("enter")
}

// TestANewcomerRunsAServiceByTheHintsOnTheScreen starts with nothing and ends
// with a card. The clock runs faster, so that hair is ready sooner.
func TestANewcomerRunsAServiceByTheHintsOnTheScreen(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	x := screentest.Start(t, s.bin, screentest.Options{Args: append(s.args(), "practice", "--by-hand", "--speed", "300")})
	x.WaitFor("New here?")
	n := &newcomer{t: t, x: x}
	deadline := time.Now().Add(90 * time.Second)
	for !strings.Contains(x.Screen(), "THE SERVICE IS CLOSED") {
		require.True(t, time.Now().Before(deadline), "pressed %v, and then:\n%s", n.pressed, x.Screen())
		before := n.reads()
		if !n.step(before) {
			time.Sleep(50 * time.Millisecond)
			continue
		}
		// The screen answers, if only by the line that says what was logged.
		for asked := time.Now(); answers(n.reads()) == answers(before) && time.Since(asked) < 3*time.Second; {
			time.Sleep(5 * time.Millisecond)
		}
	}
	x.WaitFor("show the card") // the form that closed it is gone, too
	x.Keys("space")
	t.Logf("%d keys: %s", len(n.pressed), strings.Join(n.pressed, " "))
	x.WaitFor("TO MATCH NEXT VISIT")
	require.Contains(t, x.Screen(), "Invented", "a practice is about nobody, and says so")
}
