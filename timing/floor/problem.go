package floor

import (
	"errors"
	"fmt"
)

const (
	// Now stands for this moment as the From of a [Link].
	Now = -1
	// None as the Least or Most of a [Link] stands for no bound on that side.
	// [Fit] returns it where there is no start.
	None = 1 << 30
	// MaxTasks is the most tasks that one worker may have, all chains together.
	MaxTasks = 128
)

// maxTime bounds every duration, in seconds: three days. maxWork bounds what
// one worker's tasks and least waits take in all.
const (
	maxTime = 1 << 18
	maxWork = 1 << 24
)

// A Task is one hands-on block that is not broken off. The tasks of a chain
// follow one another: none starts before the one ahead of it has ended.
type Task struct {
	Name string
	// Takes is how long hands are at it from its start, or from now if it has
	// begun; 0 to three days, in seconds. Not even a task of 0 seconds is done
	// in the midst of another.
	Takes int
	// Begun says that hands are at it: it starts at 0. Only the first task of a
	// chain can have begun, and of one worker's tasks one only.
	Begun bool
}

// A Link bounds a wait: Least <= start(To) - start(From) <= Most, in seconds,
// each None or within three days either way. To bound an end, take off the
// Takes of To.
type Link struct {
	// From and To are indices of tasks of the chain, From < To. With From = Now
	// the bounds count from now; a Most that has passed is then negative.
	From, To    int
	Least, Most int
	// Chemistry marks a Most that product on hair sets. It is never offered for
	// widening.
	Chemistry bool
	Name      string // in words, as "limit of Nape" or "promised 13:00"
}

// A Chain is what one service still needs of one worker's hands.
type Chain struct {
	Name, Worker string
	Tasks        []Task
	Links        []Link
}

// A Problem is all that is live. Chains with the same Worker share one pair of
// hands; the empty name is a worker as any other.
type Problem struct{ Chains []Chain }

// A Budget bounds the search.
type Budget struct {
	// Nodes is the most decisions to look into, in the whole answer; zero for a
	// default of 40,000.
	Nodes int
	// Stop is asked before every decision whether to end the search; nil for
	// never.
	Stop func() bool
}

// ErrProblem is what every error about a problem wraps.
var ErrProblem = errors.New("the floor can't be planned")

func refuse(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrProblem, fmt.Sprintf(format, args...))
}

// Check reports the first thing that is wrong with the problem. Its errors wrap
// [ErrProblem] and say which chain, task or link to correct.
func (p *Problem) Check() error {
	tasks, work, begun := map[string]int{}, map[string]int{}, map[string]string{}
	for i := range p.Chains {
		c := &p.Chains[i]
		if err := c.check(); err != nil {
			return refuse("chain %d (%s): %v", i+1, c.Name, err)
		}
		tasks[c.Worker] += len(c.Tasks)
		if tasks[c.Worker] > MaxTasks {
			return refuse("worker %q has more than %d tasks: leave the latest ones out", c.Worker, MaxTasks)
		}
		for _, t := range c.Tasks {
			work[c.Worker] += t.Takes
		}
		for _, l := range c.Links {
			if l.Least != None {
				work[c.Worker] += max(l.Least, 0)
			}
		}
		if work[c.Worker] > maxWork {
			return refuse("worker %q has more than %d seconds of work and waits: leave the latest tasks out", c.Worker, maxWork)
		}
		if len(c.Tasks) == 0 || !c.Tasks[0].Begun {
			continue
		}
		if other, ok := begun[c.Worker]; ok {
			return refuse("worker %q has begun both %s and %s: end one of them, hands can be at one only", c.Worker, other, c.title(0))
		}
		begun[c.Worker] = c.title(0)
	}
	return nil
}

// title names a task together with its chain.
func (c *Chain) title(task int) string { return fmt.Sprintf("%q of %q", c.Tasks[task].Name, c.Name) }

func (c *Chain) check() error {
	for k, t := range c.Tasks {
		switch {
		case t.Takes < 0 || t.Takes > maxTime:
			return fmt.Errorf("task %d (%s) takes %d seconds: give 0 to %d", k+1, t.Name, t.Takes, maxTime)
		case t.Begun && k > 0:
			return fmt.Errorf("task %d (%s) has begun before the tasks ahead of it ended: only a chain's first can", k+1, t.Name)
		}
	}
	within := func(t int) bool { return t == None || t >= -maxTime && t <= maxTime }
	for k, l := range c.Links {
		switch {
		case l.To < 0 || l.To >= len(c.Tasks) || l.From < Now || l.From >= l.To:
			return fmt.Errorf("link %d (%s) goes from task %d to %d: link a task, or now (%d), to a later one of %d, counted from 0", k+1, l.Name, l.From, l.To, Now, len(c.Tasks))
		case !within(l.Least) || !within(l.Most):
			return fmt.Errorf("link %d (%s) asks for %d to %d seconds: give at most %d either way, or None", k+1, l.Name, l.Least, l.Most, maxTime)
		case l.From == Now && l.To == 0 && c.Tasks[0].Begun && l.Least != None && l.Least > 0:
			return fmt.Errorf("link %d (%s) lets task 1 (%s) start after %d seconds, but it has begun: drop the link", k+1, l.Name, c.Tasks[0].Name, l.Least)
		}
	}
	return nil
}
