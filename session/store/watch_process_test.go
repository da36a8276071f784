package store

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"os/exec"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
)

// chairFolder tells this test's own binary, started anew, to be a chair: it
// opens a service there, logs a note for each line that it reads, and leaves
// the service only when its input ends.
const chairFolder = "RINSEBY_TEST_CHAIR"

func TestMain(m *testing.M) {
	if dir := os.Getenv(chairFolder); dir != "" {
		if err := beChair(dir); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

func beChair(dir string) error {
	s, err := Open(dir)
	if err != nil {
		return err
	}
	l, err := s.Create(at(0), "station 7", opening("Mr. Okpara"))
	if err != nil {
		return err
	}
	fmt.Println(l.ID)
	in := bufio.NewScanner(os.Stdin)
	for in.Scan() {
		if _, err := l.Do(at(1), session.Do(session.NoteAdded{Text: in.Text()})); err != nil {
			return err
		}
	}
	return l.Close()
}

// startChair starts a chair in a process of its own.
func startChair(t *testing.T, dir string) (c *exec.Cmd, id string, notes io.WriteCloser) {
	t.Helper()
	c = exec.Command(os.Args[0])
	c.Env = append(os.Environ(), chairFolder+"="+dir)
	c.Stderr = os.Stderr
	notes, err := c.StdinPipe()
	require.NoError(t, err)
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	_, err = fmt.Fscanln(out, &id)
	require.NoError(t, err)
	return c, id, notes
}

// Another process is followed as it writes, and seen to be killed.
func TestWatchFollowsAnotherProcessUntilItIsKilled(t *testing.T) {
	eachWay(t, func(t *testing.T, o WatchOptions) {
		s := newStore(t)
		w := watch(t, s, o)
		c, id, notes := startChair(t, s.Dir())
		n := w.until(id, func(n Watched) bool { return events(1)(n) && n.RunBy != nil })
		assert.Equal(t, c.Process.Pid, n.RunBy.PID)
		for i := range 3 {
			_, err := fmt.Fprintln(notes, "note", i)
			require.NoError(t, err)
			w.until(id, events(2+i))
		}
		require.NoError(t, c.Process.Kill())
		require.Error(t, c.Wait())
		n = w.until(id, func(n Watched) bool { return n.Gone != nil })
		assert.Nil(t, n.RunBy)
		assert.Equal(t, "station 7", n.Gone.Station)
		assert.Len(t, n.Log.Events(), 4, "nothing is lost")
	})
}

func TestWatchSeesAnotherProcessLeave(t *testing.T) {
	s := newStore(t)
	w := watch(t, s, WatchOptions{})
	c, id, notes := startChair(t, s.Dir())
	w.until(id, func(n Watched) bool { return n.RunBy != nil })
	require.NoError(t, notes.Close())
	require.NoError(t, c.Wait())
	n := w.until(id, func(n Watched) bool { return n.RunBy == nil })
	assert.Nil(t, n.Gone)
}
