//go:build unix

package main

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/cmd/internal/screentest"
)

// TestKilledAtOnce kills the program as soon as it has read a key, so that the
// entry may be saved or not. The log is whole, and the service goes on.
func TestKilledAtOnce(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.owns("zones/three.toml", threeZones)
	c := &chair{salon: s, client: "Tove A."} // invented
	c.sit("Three", 0, "service.opened", "plan.set", "plan.set")
	for range 8 {
		c.x.Keys("p")
		c.x.Kill()
		path := s.logs()[0]
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		text = text[:strings.LastIndexByte(string(text), '\n')+1] // a torn tail was never acknowledged
		ks := kinds(t, s.file("log.jsonl", string(text)))
		require.Equal(t, c.logged, ks[:min(len(c.logged), len(ks))])
		require.LessOrEqual(t, len(ks), len(c.logged)+1)
		c.logged = ks
		c.resume()
		c.whole()
	}
}

// TestTornAndDamaged resumes a service whose log was torn, as by a power cut,
// and refuses one whose log is damaged.
func TestTornAndDamaged(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	live := newScript()
	live.at(0, "service.opened", `{"service":"torn","client":"Tove A."}`)
	live.at(60, "note.added", `{"text":"first"}`)
	path := strings.TrimSpace(s.must("import", s.file("live.jsonl", live.String())))
	whole, err := os.ReadFile(path)
	require.NoError(t, err)

	require.NoError(t, os.WriteFile(path, append(whole[:len(whole):len(whole)], `{"seq":3,"kind":"note.ad`...), 0o600))
	require.Equal(t, 2, s.run("verify", path).code)
	x := s.open()
	x.WaitFor("Go on with Tove A.")
	x.Keys("enter")
	x.WaitFor("the last line of the log was unfinished")
	x.Keys("q")
	_, err = x.Wait()
	require.NoError(t, err)
	s.must("verify", path)
	assert.Equal(t, []string{"service.opened", "note.added", "clock.noted"}, kinds(t, path), "nobody knows which boot an import was in")

	damaged := []byte(strings.Replace(string(whole), "Tove", "Tave", 1))
	require.NoError(t, os.WriteFile(path, damaged, 0o600))
	x = s.open()
	x.WaitFor("New service")
	x.WaitFor("1 file needs a look. torn.jsonl: line 1 of the log (at byte 0) is damaged")
	x.WaitGone("Go on with")
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, damaged, after, "nothing is changed")
}

// TestAfterARestart resumes a service that was logged before the computer was
// started anew, and says that its clock is right.
func TestAfterARestart(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	// At half a minute, so that no moment lies where the face of the clock changes.
	began := time.Now().Add(-time.Hour).Truncate(time.Minute).Add(30 * time.Second)
	before := &script{start: began}
	before.at(0, "service.opened", `{"service":"restarted","client":"Mr. Okpara","invented":true}`)
	before.at(60, "consultation.noted", `{}`)
	before.answers(60)
	before.at(60, "plan.set", `{"name":"Lightening","action":"lighten","zones":[{"id":"nape","name":"Nape","pieces":2,"bands":%s}]}`, bands)
	before.at(120, "window.confirmed", windowLine, 9, 2700)
	before.at(120, "window.confirmed", windowLine, 6, 3000)
	before.at(120, "bowl.mixed", bowlLine, "strong", 9)
	before.at(120, "bowl.mixed", bowlLine, "weak", 6)
	before.at(1200, "piece.placed", `{"zone":"nape"}`)
	s.must("import", s.file("before.jsonl", before.String()))

	c := &chair{salon: s, client: "Mr. Okpara"}
	c.logged = kinds(t, s.logs()[0])
	c.x = s.open()
	c.x.WaitFor("Go on with Mr. Okpara")
	c.x.Keys("enter")
	c.x.WaitFor("must be off by " + before.time(1200+2700).UTC().Format("15:04"))
	c.x.WaitFor("do: Rinse Nape, if it is ") // its limit is near by that clock
	c.x.WaitFor("[a] clock")
	c.logged = append(c.logged, "clock.noted") // by itself, as soon as it is seen
	c.x.Keys("a")
	c.x.WaitFor("Is the clock right?")
	c.log("clock.noted", 0, "enter", "Time off noted")
	placed := c.piece(0, "Nape", "2/2")
	c.next("rinse.began", 0, "Rinse Nape", "rinsing Nape")
	off := c.clean("Nape")
	c.whole()

	got := s.card("restarted")
	first := before.time(1200)
	require.Len(t, got.Zones, 1)
	off.since(moment{first, first}).has(t, got.Zones[0].OldestS, "oldest")
	off.since(placed).has(t, got.Zones[0].NewestS, "newest")
	require.Len(t, got.Gaps, 1)
	assert.True(t, got.Gaps[0].Confirmed)
}

// TestLateAndRefused says of an entry that it happened before the service was
// opened. The screen says why that is not logged.
func TestLateAndRefused(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.owns("zones/three.toml", threeZones)
	c := &chair{salon: s, client: "June L."} // invented
	c.sit("Three", 10*minute, "service.opened", "plan.set", "plan.set")
	c.earlier(30 * minute)
	c.x.Keys("p")
	c.x.WaitFor("is before the service was opened")
	c.x.WaitFor(fmt.Sprintf("(%d:00 ago)", 30))
	c.x.Keys("esc")
	c.x.WaitGone("ago)")
	c.log("pause.began", 0, "p", "pause begun")
	c.whole()
}

// TestFullDiskAtTheChair runs a service whose log may not grow beyond some
// size, as on a disk that fills up. What can't be saved is said not to be, and
// the service goes on when there is room.
func TestFullDiskAtTheChair(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.owns("zones/three.toml", threeZones)
	c := &chair{salon: s, client: "Tove A."} // invented
	c.sit("Three", 0, "service.opened", "plan.set", "plan.set")
	c.x.Keys("q")
	_, err := c.x.Wait()
	require.NoError(t, err)
	info, err := os.Stat(s.logs()[0])
	require.NoError(t, err)

	const block = 512 // of ulimit -f, by POSIX
	room := fmt.Sprintf(`ulimit -f %d; exec "$0" "$@"`, info.Size()/block+2)
	c.x = screentest.Start(t, "/bin/sh", screentest.Options{Args: append([]string{"-c", room, s.bin}, s.args()...)})
	c.x.WaitFor("Go on with Tove A.")
	c.x.Keys("enter")
	c.x.WaitFor("all keys")
	full := false
	for i := 0; !full; i++ {
		kind, says := "pause.began", "pause begun"
		if i%2 == 1 {
			kind, says = "pause.ended", "pause ended"
		}
		c.x.Keys("p")
		c.x.WaitForFunc(says+", or that it is not saved", func(screen string) bool {
			full = strings.Contains(screen, "NOT SAVED")
			return full || strings.Contains(screen, says)
		})
		if !full {
			c.logged = append(c.logged, kind)
		}
		require.Less(t, i, 20, "the log never filled up")
	}
	c.x.Keys("p")
	c.x.WaitFor("NOT SAVED")
	c.x.Kill() // a line that was not answered may be there in part
	c.resume()
	c.whole()
	c.x.Keys("n")
	c.x.WaitFor("About")
	c.x.Type("there is room again")
	c.log("note.added", 0, "ctrl+s", "Note added")
	c.whole()
}
