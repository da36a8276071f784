package session

import (
	"time"

	"rinseby/timing/floor"
)

// settle finds the earliest starts that keep all links; false if there are
// none, and then those that keep each task behind the one before it, and every
// least wait.
func (c *chainer) settle() bool {
	if c.raise(true) {
		return true
	}
	c.raise(false)
	return false
}

// raise raises starts, which begin at zero, until nothing asks for more. Where
// limits count and can't all be kept it is false: there is no end to it, or a
// start is past what counts from now.
func (c *chainer) raise(limits bool) bool {
	c.starts = make([]int, len(c.tasks))
	for range len(c.tasks) + 2 {
		changed := false
		up := func(i, to int) {
			if i >= 0 && c.starts[i] < to {
				c.starts[i], changed = to, true
			}
		}
		for i := 1; i < len(c.tasks); i++ {
			up(i, c.starts[i-1]+c.tasks[i-1].Takes)
		}
		for _, l := range c.links {
			from := 0
			if l.From != floor.Now {
				from = c.starts[l.From]
			}
			if l.Least != floor.None {
				up(l.To, from+l.Least)
			}
			if !limits || l.Most == floor.None {
				continue
			}
			if l.From == floor.Now && c.starts[l.To] > l.Most {
				return false
			}
			up(l.From, c.starts[l.To]-l.Most)
		}
		if !changed {
			return len(c.tasks) == 0 || !c.tasks[0].Begun || c.starts[0] == 0
		}
	}
	return false
}

// fill lets soft times count as far as the limits leave room for them; in full
// where the limits can't be kept even without.
func (c *chainer) fill() {
	fits := c.settle()
	for k := range c.tasks {
		want := c.tasks[k].soft
		c.stretch(k, want)
		if !fits || c.settle() {
			continue
		}
		c.stretch(k, -want)
		least, most := 0, want // the first fits, the second does not
		for most-least > 1 {
			half := (least + most) / 2
			c.stretch(k, half)
			if c.settle() {
				least = half
			} else {
				most = half
			}
			c.stretch(k, -half)
		}
		c.stretch(k, least)
	}
	c.settle()
}

// stretch makes a task longer by so many seconds; if that is before the first
// contact, what counts from it moves along.
func (c *chainer) stretch(k, by int) {
	c.tasks[k].Takes += by
	for i := range c.links {
		if l := &c.links[i]; c.tasks[k].lead && l.From == k {
			if l.Least != floor.None {
				l.Least += by
			}
			if l.Most != floor.None {
				l.Most += by
			}
		}
	}
}

// promise holds the end at what was promised.
func (c *chainer) promise() {
	if c.s.Promised.IsZero() {
		return
	}
	last := len(c.tasks) - 1
	most := seconds(c.s.Promised.Sub(c.now)) - c.tasks[last].Takes
	clock := func(at time.Time) string { return at.In(c.now.Location()).Format("15:04") }
	name := "promised " + clock(ToldPromise(c.s.Promised))
	if most < c.starts[last] {
		name = "out by " + clock(c.moment(c.starts[last]+c.tasks[last].Takes)) + " at the earliest, " + name
	}
	c.link(floor.Link{From: floor.Now, To: last, Least: floor.None, Most: max(most, c.starts[last]), Name: name})
}

func (c *chainer) moment(s int) time.Time { return c.now.Add(time.Duration(s) * time.Second) }
