//go:build unix

package main

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/cmd/internal/screentest"
)

// due brings in an invented service of Ines: all of one zone went in twenty
// minutes ago, and it must be off within so many minutes from now.
func (s *salon) due(id, client string, minutes int) {
	s.t.Helper()
	in := &script{start: time.Now().Add(-25 * time.Minute).Truncate(time.Second)}
	in.at(0, "service.opened", `{"service":%q,"client":%q,"stylist":"Ines","invented":true}`, id, client)
	in.at(60, "consultation.noted", `{}`)
	in.answers(60)
	in.at(60, "plan.set", `{"name":"Lightening","action":"lighten","zones":[{"id":"nape","name":"Nape","pieces":2,"minutes_per_piece":2,"bands":%s}]}`, bands)
	in.at(120, "window.confirmed", windowLine, 9, (20+minutes)*60)
	in.at(120, "window.confirmed", windowLine, 6, (20+minutes)*60)
	in.at(120, "bowl.mixed", bowlLine, "strong", 9)
	in.at(120, "bowl.mixed", bowlLine, "weak", 6)
	in.at(300, "piece.placed", `{"zone":"nape","count":2}`)
	s.must("import", s.file(id+".jsonl", in.String()))
}

// goTo chooses a line of the start screen or the floor that holds the text, and
// goes there.
func goTo(x *screentest.Terminal, text string) {
	pointed := func(screen string) string {
		for line := range strings.Lines(screen) {
			if strings.Contains(line, "»") && !strings.Contains(line, "─") {
				return line
			}
		}
		return ""
	}
	x.WaitFor(text)
	for {
		was := pointed(x.Screen())
		if strings.Contains(was, text) {
			x.Keys("enter")
			return
		}
		x.Keys("down")
		x.WaitForFunc("another line than "+was, func(screen string) bool { at := pointed(screen); return at != "" && at != was })
	}
}

// take opens a chair at one of several live services, and says that the clock
// is right since the service was brought in.
func (s *salon) take(client, station string) *screentest.Terminal {
	x := s.open("--station", station)
	goTo(x, "Go on with "+client)
	x.WaitForFunc("the question of the clock", func(screen string) bool {
		return strings.Contains(screen, "do: Say if the clock is right") || strings.Contains(screen, "[a] clock")
	})
	key := "a"
	if strings.Contains(x.Screen(), "do: Say if the clock is right") {
		key = "space"
	}
	x.Keys(key)
	x.WaitFor("Is the clock right?")
	x.Keys("enter")
	x.WaitFor("Logged: Time off noted")
	return x
}

// under waits until the words are on one of the lines of a client's row.
func under(x *screentest.Terminal, client, words string) {
	x.WaitForFunc(client+" with "+words, func(screen string) bool {
		lines := strings.Split(screen, "\n")
		for i, line := range lines {
			if i > 5 && strings.Contains(line, client) && strings.Contains(strings.Join(lines[i:min(i+3, len(lines))], "\n"), words) {
				return true
			}
		}
		return false
	})
}

// TestFloor runs three chairs and the floor, each a process of its own, on one
// folder. What two of them ask of the same hands collides.
func TestFloor(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.due("tove", "Tove A.", 10)
	s.due("june", "June L.", 9)
	s.due("okpara", "Mr. Okpara", 90)
	wall := s.open("floor")
	wall.WaitFor("Tove A.")
	wall.WaitFor("June L.")
	wall.WaitFor("Mr. Okpara")

	collide := regexp.MustCompile(`June L\. \(rinse Nape\) and Tove A\. \(rinse Nape\) collide by \d+ min`)
	tove, june, okpara := s.take("Tove A.", "station 1"), s.take("June L.", "station 2"), s.take("Mr. Okpara", "station 3")
	wall.WaitForFunc("the collision", collide.MatchString)
	under(wall, "June L.", "!!")
	tove.WaitForFunc("the collision", regexp.MustCompile(`rinse Nape collides by \d+ min with June L\.'s`).MatchString)
	june.WaitForFunc("the collision", regexp.MustCompile(`rinse Nape collides by \d+ min with Tove A\.'s`).MatchString)
	assert.NotContains(t, okpara.Screen(), "collides", "it has time")
	june.Keys("a")
	june.WaitFor("warning seen")

	okpara.Keys("p") // an event in one log is on the floor
	okpara.WaitFor("pause begun")
	under(wall, "Mr. Okpara", "paused")

	june.Kill()
	under(wall, "June L.", "ITS CHAIR IS GONE")
	goTo(wall, "June L.")
	wall.WaitFor("w who is next")
	wall.WaitFor("June L. (invented)")
	wall.Keys("w")
	wall.WaitForFunc("the floor, where her chair is there again", func(screen string) bool {
		return strings.Contains(screen, "go to June L.") && !strings.Contains(screen, "ITS CHAIR IS GONE")
	})
	goTo(wall, "Tove A.")
	wall.WaitFor("WATCHING ONLY")
	wall.Keys("w", "q")
	code, err := wall.Wait()
	require.NoError(t, err)
	assert.Zero(t, code)
	for _, log := range s.logs() {
		s.must("verify", log)
	}
	assert.Contains(t, s.must("list", "--json"), `"june"`)
}

// TestFloorFromTheStart goes from the start screen to the floor and back, with
// no service at all.
func TestFloorFromTheStart(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	x := s.open()
	x.WaitFor("New service")
	x.Keys("w")
	x.WaitFor("NO SERVICE IS LIVE")
	x.Keys("?")
	x.WaitFor("What the row of a client shows")
	x.Keys("esc")
	x.WaitFor("NO SERVICE IS LIVE")
	x.Keys("w")
	x.WaitFor("New service")
	x.Keys("q")
	code, err := x.Wait()
	require.NoError(t, err)
	assert.Zero(t, code)
}
