//go:build unix

package main

import (
	"flag"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session/journal"
)

var races = flag.Int("races", 5, "how often eight processes race for one live service")

// TestEightChairsRaceForOneService starts eight processes, which take up one
// live service at the same moment: one runs it, the others say who. When it is
// killed, one of the others can have it.
func TestEightChairsRaceForOneService(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.owns("zones/three.toml", threeZones)
	path := s.opens()
	began := time.Now()
	for n := range *races {
		chairs := make([]*teller, 8)
		for i := range chairs {
			chairs[i] = s.tells("--station", station(i))
		}
		for _, c := range chairs {
			require.NotEmpty(t, c.waitFor("Tove A."), c.all())
		}
		before := len(kinds(t, path))
		together(chairs, "1")
		for _, c := range chairs {
			c.waitFor("Tove A., with")
		}
		winner := oneRuns(t, chairs)
		for i, c := range chairs {
			if i == winner {
				continue
			}
			said := fmt.Sprintf("service is being run by %s (process %d ", station(winner), chairs[winner].cmd.Process.Pid)
			assert.NotZero(t, c.said(said), "race %d: %s does not say who runs it:\n%s", n, station(i), c.all())
		}
		require.Len(t, kinds(t, path), before+1, "race %d: one entry by one writer", n)

		chairs[winner].kill()
		chairs = slices.Delete(chairs, winner, winner+1)
		oneTakesOver(t, chairs, path)
		for _, c := range chairs {
			c.kill()
		}
		rep := s.must("verify", path)
		assert.Contains(t, rep, "whole")
	}
	t.Logf("%d races of 8 processes in %v", *races, time.Since(began).Round(time.Second))
}

func station(i int) string { return fmt.Sprintf("station %d", i+1) }

// together sends all the same line at one moment.
func together(chairs []*teller, line string) {
	start := make(chan struct{})
	var all sync.WaitGroup
	for _, c := range chairs {
		all.Go(func() {
			<-start
			c.types(line)
		})
	}
	close(start)
	all.Wait()
}

const (
	runs    = "Logged: pause"
	watches = "This service is only watched here; nothing can be logged."
	took    = "Nobody ran this service any more: it is run here now."
)

// oneRuns presses a key that logs an entry at all chairs, and returns the one
// that runs the service.
func oneRuns(t *testing.T, chairs []*teller) int {
	t.Helper()
	together(chairs, "p")
	winner := -1
	for i, c := range chairs {
		switch c.waitFor(runs, watches, took) {
		case runs:
			require.Equal(t, -1, winner, "two processes log to one service")
			winner = i
		case "":
			t.Fatalf("it ended:\n%s", c.all())
		}
	}
	require.NotEqual(t, -1, winner, "no process runs the service")
	return winner
}

// oneTakesOver presses a key at all chairs once the one that ran the service is
// gone: one takes it.
func oneTakesOver(t *testing.T, chairs []*teller, path string) {
	t.Helper()
	watched := make([]int, len(chairs))
	for i, c := range chairs {
		watched[i] = c.said(watches)
	}
	together(chairs, "p")
	heirs := 0
	for i, c := range chairs {
		c.waitUntil("an answer to the key", func() bool { return c.said(took)+c.said(watches) > watched[i] })
		heirs += c.said(took)
	}
	require.Equal(t, 1, heirs, "of seven chairs one takes the service over")
	var busy *journal.Busy
	_, _, err := journal.Open(path)
	require.ErrorAs(t, err, &busy)
	pids := make([]int, len(chairs))
	for i, c := range chairs {
		pids[i] = c.cmd.Process.Pid
	}
	assert.Contains(t, pids, busy.Holder.PID)
}
