package tui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	player "rinseby/tui/replay"
)

// foretellings is of how many moments of a replay the forecast is asked.
const foretellings = 60

// foretellAtOnce is how many of them are worked out before the screen shows
// what there is.
const foretellAtOnce = 4

// A fan is how the end was forecast over time, as far as it was worked out.
type fan struct {
	screen *player.Fan
	asked  int
	points []foretold
}

// foretold is what was said of the end at one moment.
type foretold = player.Foretold

// openFan opens how the end was forecast over time, and has it worked out.
func (a *App) openFan() tea.Cmd {
	v := a.relive
	if !a.ending.known {
		a.say("What was known of the stylist is still being read: press the key again in a moment.", false)
		return nil
	}
	s := v.Tape.Whole().State()
	begin := v.fan == nil
	if begin {
		v.fan = &fan{screen: player.NewFan(a.o.Theme, a.o.Keys.OnPage(), v.Tape, foretellings)}
	}
	v.fan.screen.Show(v.screen.Moment(), s.Closed, s.Promised)
	cmd := a.show(v.fan.screen)
	if begin {
		return tea.Batch(cmd, a.foretell(v.fan))
	}
	return cmd
}

// foretell works out the next few moments.
func (a *App) foretell(f *fan) tea.Cmd {
	tape, usuals, first := a.relive.Tape, a.ending.usuals, f.asked
	last := min(first+foretellAtOnce, foretellings)
	f.asked = last
	return func() tea.Msg {
		msg := fanMsg{fan: f}
		for i := first; i < last; i++ {
			at := tape.From().Add(tape.To().Sub(tape.From()) / foretellings * time.Duration(i))
			p := foretold{At: at}
			if q, ok := tape.At(at).State().AskForecast(at, usuals); ok {
				answer, err := q.Answer()
				if err != nil {
					msg.err = err
					return msg
				}
				p.End = answer.End
			}
			msg.more = append(msg.more, p)
		}
		return msg
	}
}

// unfold puts what was worked out on the screen, and goes on.
func (a *App) unfold(msg fanMsg) tea.Cmd {
	if msg.err != nil {
		a.say(msg.err.Error(), true)
		return nil
	}
	f := msg.fan
	f.points = append(f.points, msg.more...)
	f.screen.SetPoints(f.points)
	if f.asked < foretellings {
		return a.foretell(f)
	}
	return nil
}
