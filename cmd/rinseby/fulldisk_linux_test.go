package main

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"rinseby/session/journal"
)

// TestADiskThatHasRoomAgain runs a service whose log may not grow. What is
// entered counts, is said not to be saved, and is saved by itself once there is
// room, with all that was typed.
func TestADiskThatHasRoomAgain(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.owns("zones/three.toml", threeZones)
	c := &chair{salon: s, client: "Tove A."} // invented
	c.sit("Three", 0, "service.opened", "plan.set", "plan.set")
	path := s.logs()[0]
	info, err := os.Stat(path)
	require.NoError(t, err)
	mayGrow := c.limits(path, uint64(info.Size()))
	c.x.Keys("p")
	c.x.WaitFor("NOT SAVED, 1 entry to be saved: pause begun (file too large)")
	c.x.Keys("n")
	c.x.WaitFor("About")
	c.x.Type("she likes it cool")
	c.x.Keys("ctrl+s")
	c.x.WaitFor("NOT SAVED, 2 entries to be saved: Note added (file too large)")
	c.whole()
	c.x.Keys("q")
	c.x.WaitFor("NOT SAVED, 2 entries to be saved: leave once more to lose")

	mayGrow()
	c.x.WaitFor("Logged: 2 entries that waited for the disk")
	c.logged = append(c.logged, "pause.began", "note.added")
	c.whole()
	log, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Contains(t, string(log), "she likes it cool")
	c.log("pause.ended", 0, "p", "pause ended")
	c.whole()
}

// limits keeps the files of the process that runs a service from growing beyond
// a size, until the answer is called.
func (c *chair) limits(path string, size uint64) (ends func()) {
	c.t.Helper()
	var who journal.Holder
	text, err := os.ReadFile(path + journal.LockSuffix)
	require.NoError(c.t, err)
	require.NoError(c.t, json.Unmarshal(text, &who))
	set := func(to uint64) (was unix.Rlimit) {
		require.NoError(c.t, unix.Prlimit(who.PID, unix.RLIMIT_FSIZE, nil, &was))
		require.NoError(c.t, unix.Prlimit(who.PID, unix.RLIMIT_FSIZE, &unix.Rlimit{Cur: to, Max: was.Max}, nil))
		return was
	}
	was := set(size)
	return func() { set(was.Cur) }
}
