package tui_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/tui"
)

// fails makes the disk of a service fail until the answer is called.
func (d *desk) fails(id string) (mends func()) {
	d.t.Helper()
	log := filepath.Join(d.dir, "live", id+".jsonl")
	require.NoError(d.t, os.Rename(log, log+".away"))
	d.app.Break()
	return func() { require.NoError(d.t, os.Rename(log+".away", log)) }
}

// turn lets the clock face turn after so long.
func (d *desk) turn(after time.Duration) {
	d.pass(after)
	d.send(tui.Tick(d.Read()))
}

func placedOf(l *session.Log) int { return l.State().Zone("z1").Done() }

func TestWhatCantBeSavedCountsAndIsSavedByItself(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	d.press("space")
	mends := d.fails(id)
	d.press("space")
	d.sees("NOT SAVED, 1 entry to be saved")
	require.NotContains(t, d.view(), "Logged")
	d.press("n", "h", "i", "ctrl+s")
	d.sees("NOT SAVED, 2 entries to be saved")
	d.sees("2/6")
	d.turn(20 * time.Minute)
	d.sees("NOT SAVED")
	oldest := d.app.Board().Zones[0].Oldest
	require.Equal(t, 20*time.Minute, oldest.Truncate(time.Second), "the clocks go on")

	mends()
	d.turn(time.Second)
	d.sees("NOT SAVED")
	require.Equal(t, 1, placedOf(d.logged(id)))
	d.turn(5 * time.Second)
	d.sees("Logged: 2 entries that waited for the disk")
	require.Equal(t, 2, placedOf(d.logged(id)))
	d.press("space")
	d.sees("Logged: Nape, a piece placed")
	require.Equal(t, 3, placedOf(d.logged(id)))
	events := d.logged(id).Events()
	require.Equal(t, "hi", events[len(events)-2].Data.(session.NoteAdded).Text)
	require.Equal(t, 20*time.Minute+6*time.Second, events[len(events)-1].When.Sub(events[len(events)-2].When), "each at its own time")
}

func TestWhatCouldNotBeSavedIsSavedWithTheNextKey(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	mends := d.fails(id)
	d.press("space", "space", "u")
	d.sees("NOT SAVED, 3 entries to be saved")
	mends()
	d.press("space")
	d.sees("Logged: Nape, a piece placed, and before it 3 entries that waited")
	require.Equal(t, 2, placedOf(d.logged(id)))
}

// A handle that is dead is opened anew at once where the disk lets it.
func TestAHandleThatFailedIsOpenedAnew(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	d.app.Break()
	d.press("space")
	d.sees("Logged: Nape, a piece placed")
	require.Equal(t, 1, placedOf(d.logged(id)))
}

func TestLeavingSaysWhatIsNotSaved(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	mends := d.fails(id)
	d.press("space", "q")
	d.sees("NOT SAVED, 1 entry to be saved")
	d.sees("leave once more")
	require.False(t, d.quit)
	d.press("space", "q")
	require.False(t, d.quit, "there is more now than was told")
	d.press("q")
	require.True(t, d.quit)
	require.ErrorContains(t, d.app.Err(), "Nape, a piece placed")
	mends()

	d.open(func(o *tui.Options) { o.Resume = id })
	require.Zero(t, placedOf(d.logged(id)))
	mends = d.fails(id)
	d.press("space")
	mends()
	d.press("q")
	require.True(t, d.quit)
	require.NoError(t, d.app.Err())
	require.Equal(t, 1, placedOf(d.logged(id)), "saved on leaving")
}

func TestNothingIsWrittenOverWhatWasLoggedElsewhere(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	mends := d.fails(id)
	d.press("space")
	mends()
	other, err := d.st.Resume(d.Read(), id, "station 2")
	require.NoError(t, err)
	_, err = other.Do(d.Read(), session.Do(session.NoteAdded{Text: "from elsewhere"}))
	require.NoError(t, err)
	require.NoError(t, other.Close())
	d.press("space")
	d.sees("NOT SAVED")
	require.Zero(t, placedOf(d.logged(id)))
	d.press("space")
	d.sees("Logged: Nape, a piece placed")
	require.Equal(t, 1, placedOf(d.logged(id)))
}

func TestAServiceThatIsNotSavedIsNotLeftToOthers(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	mends := d.fails(id)
	d.press("space", "w")
	d.sees("NOT SAVED (Tove A.)")
	mends()
	d.turn(5 * time.Second)
	d.sees("Logged (Tove A.): 1 entry that waited for the disk")
	require.Equal(t, 1, placedOf(d.logged(id)))
}

// TestASignalAsksNobody leaves by a message of the system with an entry that
// can't be saved, and with one that can by then.
func TestASignalAsksNobody(t *testing.T) {
	for _, mended := range []bool{false, true} {
		d := newDesk(t, nil)
		id := d.seat()
		mends := d.fails(id)
		d.press("space")
		d.sees("NOT SAVED")
		if mended {
			mends()
		}
		d.send(tui.Leave{})
		require.True(t, d.quit)
		if mended {
			require.NoError(t, d.app.Err())
			require.Equal(t, 1, placedOf(d.logged(id)))
			continue
		}
		require.ErrorContains(t, d.app.Err(), "not saved of the service of Tove A.")
	}
}

// TestNothingIsTakenOnceServicesAreLetGoOf presses keys after the program was
// told to leave: nothing takes the service up again.
func TestNothingIsTakenOnceServicesAreLetGoOf(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	d.send(tui.Leave{})
	require.True(t, d.quit)
	d.press("space", "p")
	d.turn(time.Minute)
	require.Zero(t, placedOf(d.logged(id)))
	live, err := d.st.Resume(d.Read(), id, "another chair")
	require.NoError(t, err)
	require.NoError(t, live.Close())
}
