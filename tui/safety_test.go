package tui_test

import (
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/tui"
)

func TestOneKeyStopsForPain(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	d.press("space", "space")
	d.pass(time.Minute)
	d.press("e", "5", "enter", "x")
	d.sees("STOP. RINSE ALL WITH COOL RUNNING WATER NOW")
	s := d.logged(id).State()
	require.Len(t, s.Pains, 1)
	require.Equal(t, d.now.Wall, s.Pains[0].At, "pain is now, whatever is said of other things")
	d.sees("TAKE IT OFF NOW. What is it?")
	d.press("space")
	require.Len(t, d.logged(id).State().Pains, 1, "it is what the key has said")
	d.press("x", "end", "enter", "n", "e", "c", "k", "enter", "enter")
	require.Equal(t, "neck", d.logged(id).State().Pains[1].Text)
	d.press("a")
	d.sees("can't be passed over")
	d.press("space")
	require.NotEmpty(t, d.logged(id).State().Zone("z1").Trip)
	d.sees("COOL WATER UNTIL")
	d.press("u", "u", "u", "u") // the rinse and what it split off, and both reports
	require.Empty(t, d.logged(id).State().Pains, "a slip is taken back")
	d.sees("PLACE NAPE 3 OF 6")
}

func TestPainFromAnyScreen(t *testing.T) {
	for _, k := range []string{"n", "m", "c", "z", "d", "o", "?", "y"} {
		d := newDesk(t, nil)
		id := d.seat()
		d.press("space", k, "x")
		require.Empty(t, d.logged(id).State().Pains, "%s: an x that is typed is an x", k)
		d.sees("ctrl+p pain")
		d.send(tea.KeyMsg{Type: tea.KeyCtrlP})
		require.Len(t, d.logged(id).State().Pains, 1, k)
		d.sees("STOP. RINSE ALL")
	}
	d := newDesk(t, nil)
	d.press("n")
	d.send(tea.KeyMsg{Type: tea.KeyCtrlP})
	d.sees("page 1 of 2") // no service, and nothing to stop
}

func TestWhatWasUnaskedIsAsked(t *testing.T) {
	d := newDesk(t, nil)
	id := d.seat()
	toScalp := []string{"enter", "enter", "enter", "enter", "enter", "enter"}
	d.press("y")
	d.press(toScalp...)
	d.press("right", "right", "ctrl+s")
	require.Equal(t, "broken, sore or with a rash", d.logged(id).State().Safety[len(safety.Questions())].Answer)
	d.sees("STOPPED: FINISH WITHOUT COLOUR")
	d.press("+", "2", "enter")
	d.sees("Safety questions")
	d.sees("nothing may touch hair after the answer to scalp")
	require.Zero(t, d.logged(id).State().Zone("z1").Done())
	d.press(toScalp...)
	d.press("left", "left", "ctrl+s")
	require.True(t, d.logged(id).State().Verdict(d.now.Wall).Clear())
	require.Zero(t, d.logged(id).State().Zone("z1").Done(), "what was refused is not done by itself")
}

func TestAPlanOverACapAsksForAChangeOrAReason(t *testing.T) {
	d := newDesk(t, nil)
	plan := session.PlanBand{Band: session.Root, Product: "Chalk", Kind: formula.PowderLightener, Strength: 9, Contact: formula.OnScalp, Condition: formula.Natural}
	live, err := d.st.Create(d.now, "test", session.Do(session.ServiceOpened{Client: "Tove A."}), session.Do(session.ConsultationNoted{}),
		session.Do(session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{{Name: "Nape", Pieces: 6, Bands: []session.PlanBand{plan}}}}))
	require.NoError(t, err)
	for _, a := range append(answered(), session.SafetyAnswered{Question: safety.Scalp, Answer: "sensitive"}) {
		_, err := live.Do(d.now, session.Do(a))
		require.NoError(t, err)
	}
	require.NoError(t, live.Close())
	d.open(func(o *tui.Options) { o.Resume = live.ID })
	d.sees("CHANGE THE PLAN: NAPE")
	d.sees("Sensitive scalp: nothing on the scalp.")
	d.sees("[a] reason")
	d.press("space", "esc", "a")
	d.sees("Go on all the same?")
	d.press("c", "a", "p", "enter")
	d.sees("MIX CHALK 30 VOL")
	require.Equal(t, "cap", d.logged(live.ID).State().Acks[0].Reason)
}

func TestNoBowlIsToComeWhilePainIsOpen(t *testing.T) {
	d := newDesk(t, nil)
	plan := session.PlanBand{Band: session.Root, Product: "Chalk", Kind: formula.PowderLightener, Strength: 9, Contact: formula.OffScalp, Condition: formula.Natural}
	live, err := d.st.Create(d.now, "test", session.Do(session.ServiceOpened{Client: "Tove A."}), session.Do(session.ConsultationNoted{}),
		session.Do(session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{{Name: "Nape", Pieces: 6, MinutesPerPiece: 2, Bands: []session.PlanBand{plan}}}}))
	require.NoError(t, err)
	require.NoError(t, live.Close())
	d.open(func(o *tui.Options) { o.Resume = live.ID })
	d.sees("next bowl")
	d.press("x")
	d.sees("COOL WATER UNTIL 09:20")
	d.press("enter")
	require.NotContains(t, d.view(), "next bowl")
	d.pass(20 * time.Minute)
	d.press("space")
	d.press("w", "e", "l", "l", "enter", "right", "right", "enter")
	require.True(t, d.logged(live.ID).State().Ended())
	require.NotContains(t, d.view(), "next bowl", "nor once the colour work has ended")
}
