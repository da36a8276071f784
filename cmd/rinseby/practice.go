package main

import (
	"fmt"
	"os"
	"slices"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"rinseby/session"
	"rinseby/session/store"
	"rinseby/session/template"
	"rinseby/timing"
	"rinseby/tui/practice"
)

func (e *edge) practiceCommand() *cobra.Command {
	var speed float64
	var seed uint64
	var list string
	var byHand bool
	const byHandSpeed = 20 // leaves time to read
	c := &cobra.Command{
		Use:   "practice",
		Short: "Watch an invented service run by itself; any key takes over",
		Long: "Practice runs an invented service of an invented client through the same screens, faster than real\n" +
			"time. Any key takes over. With --by-hand you press all the keys, from the first screen on. Nothing is kept.",
		Args: noArg,
		RunE: func(c *cobra.Command, _ []string) error {
			if byHand && !c.Flags().Changed("speed") {
				speed = byHandSpeed
			}
			if !(speed >= 1 && speed <= 3600) {
				return fmt.Errorf("speed %g: give a number from 1 (real time) to 3600", speed)
			}
			if byHand {
				return e.practiseByHand(speed)
			}
			return e.practise(speed, seed, list)
		},
	}
	c.Flags().Float64Var(&speed, "speed", 120, "how many times faster than real time (by hand: 20)")
	c.Flags().Uint64Var(&seed, "seed", 1, "another number gives another day")
	c.Flags().StringVar(&list, "zones", "Full head of weaves", "the zone list to practise")
	c.Flags().BoolVar(&byHand, "by-hand", false, "press all the keys yourself, on a clock that runs faster")
	return c
}

// practiseByHand opens an empty salon on a fast clock, in a folder that is
// thrown away.
func (e *edge) practiseByHand(speed float64) error {
	return e.thrownAway(func(st *store.Store) error {
		o := e.options()
		o.Clock = &fastClock{real: e.clock, start: e.clock.Read(), speed: speed}
		o.Store, o.Tick, o.Invented = st, tick(speed), true
		return e.show(o)
	})
}

// thrownAway lends a store that is gone afterwards.
func (e *edge) thrownAway(use func(*store.Store) error) error {
	defer e.hold()()
	sweepAway(os.TempDir())
	dir, gone, err := lend(os.TempDir())
	if err != nil {
		return err
	}
	defer gone()
	st, err := store.Open(dir)
	if err != nil {
		return err
	}
	return use(st)
}

// practise runs the invented service.
func (e *edge) practise(speed float64, seed uint64, name string) error {
	return e.thrownAway(func(st *store.Store) error {
		o := e.options()
		i := slices.IndexFunc(o.Lists, func(l *template.List) bool { return l.Name == name })
		if i < 0 {
			return fmt.Errorf("there is no zone list %q", name)
		}
		plans, steps, err := o.Lists[i].Plans(o.Catalogue)
		if err != nil {
			return err
		}
		o.Clock = &fastClock{real: e.clock, start: e.clock.Read(), speed: speed}
		cmds := []session.Command{session.Do(o.Ruled(practice.Opening(steps)))}
		for _, p := range plans {
			cmds = append(cmds, session.Do(p))
		}
		live, err := st.Create(o.Clock.Read(), "practice", cmds...)
		if err != nil {
			return err
		}
		if err := live.Close(); err != nil {
			return err
		}
		o.Store, o.Resume, o.Pilot = st, live.ID, practice.New(o.Catalogue, seed)
		o.Tick = tick(speed)
		return e.show(o)
	})
}

// tick is how often the screen moves on: so often that the invented colourist
// is seldom late for anything, but no oftener than a terminal can follow.
func tick(speed float64) time.Duration {
	const step = 12 * time.Second // of the practice's time
	return min(max(time.Duration(float64(step)/speed), 10*time.Millisecond), 100*time.Millisecond)
}

// fastClock runs faster than the real one, from the moment it was started.
type fastClock struct {
	real  timing.Clock
	start timing.Reading
	speed float64

	mu   sync.Mutex
	last time.Duration
}

// Read implements [timing.Clock].
func (c *fastClock) Read() timing.Reading {
	now := c.real.Read()
	run := now.Wall.Sub(c.start.Wall)
	if now.SameBoot(c.start) {
		run = now.Boot - c.start.Boot
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.last = max(c.last, time.Duration(float64(run)*c.speed))
	return timing.Reading{Wall: c.start.Wall.Add(c.last), Boot: c.start.Boot + c.last, BootID: c.start.BootID}
}
