package session

import (
	"slices"
	"strings"
	"time"

	"rinseby/timing/floor"
	"rinseby/timing/pace"
	"rinseby/timing/rinse"
)

// A WorkChain is what hands still have to do in a service.
type WorkChain struct {
	floor.Chain
	// Blocks are its tasks as early as its own links let them be, on the
	// service's time line: without regard to other services.
	Blocks []Block
	Notes  []string // what had to be guessed
}

// Chain is what hands still have to do in a service, as the tasks and links of
// package floor; false if it is not live. The worker is the stylist. All
// seconds count from now, in whose location names say times.
//
// The tasks of the round under way are those of the plan, if one is given that
// was made for this state, each trip as one task: the way, its rinses, the way
// back; or as several, where hands are free in a wait between two rinses.
// Without one, all is placed, then all is
// rinsed, or else one zone after another; so it is in the rounds that follow.
// Bands that are coated later come before the trip of their zone. Then come the
// steps, and the finish; steps that belong before the first round come first
// unless product is on.
//
// Pieces are reckoned at today's pace, or that of the forecast, which knows of
// helpers, or at the usual or a house figure; trips as they are planned; all
// else at its usual median.
// Mixing is part of the block that it is for. Like what is left of a step under
// way it counts as far as the limits leave room for it: the plan of the trips
// does not know of either.
//
// Links of chemistry hold the end of each zone's rinse at its limit, counted
// from its first contact, and not before it is open. The end is held at what
// was promised, or where that can't be kept any more, at the earliest that can:
// a promise that is broken already asks only for no more delay. A step or a
// trip under way has begun, unless there is a pause; pieces have not, as hands
// may leave between two of them.
func (s *State) Chain(now time.Time, plan *TripPlan, f *Forecast, u Usuals) (floor.Chain, bool) {
	w, ok := s.WorkAhead(now, plan, f, u)
	return w.Chain, ok
}

// WorkAhead is [State.Chain], with its blocks.
func (s *State) WorkAhead(now time.Time, plan *TripPlan, f *Forecast, u Usuals) (WorkChain, bool) {
	if !s.Live() {
		return WorkChain{}, false
	}
	c := newChainer(s, now, f, u)
	if p := s.OpenPain(); p != nil {
		c.pain(p)
		c.settle()
	} else {
		c.work(plan)
		c.fill()
		c.promise()
	}
	w := WorkChain{Chain: floor.Chain{Name: s.Client, Worker: s.Stylist, Links: c.links}}
	for i, t := range c.tasks {
		w.Tasks = append(w.Tasks, t.Task)
		w.Blocks = append(w.Blocks, Block{From: c.moment(c.starts[i]), To: c.moment(c.starts[i] + t.Takes), Name: t.Name, Rinse: t.rinse})
	}
	w.Notes = c.a.q.notes
	return w, true
}

// FloorProblem puts chains together. Workers whose names differ only in case or
// in blanks around them are one. Hands can be at one thing only: of what has
// begun in several chains of a worker, the first one counts as such, and the
// rest of the others is still to be done.
func FloorProblem(chains ...floor.Chain) *floor.Problem {
	p := &floor.Problem{}
	names, begun := map[string]string{}, map[string]bool{}
	for _, c := range chains {
		key := strings.ToLower(strings.TrimSpace(c.Worker))
		if _, known := names[key]; !known {
			names[key] = c.Worker
		}
		c.Worker = names[key]
		if len(c.Tasks) > 0 && c.Tasks[0].Begun {
			if begun[key] {
				c.Tasks = slices.Clone(c.Tasks)
				c.Tasks[0].Begun = false
			}
			begun[key] = true
		}
		p.Chains = append(p.Chains, c)
	}
	return p
}

// A handTask is a task of a chain that is being made.
type handTask struct {
	floor.Task
	rinse bool
	soft  int  // seconds that it would take more, as far as there is room
	lead  bool // soft comes before the first contact
}

// A chainer puts a chain together.
type chainer struct {
	s      *State
	now    time.Time
	f      *Forecast
	a      asker // for what things take
	tasks  []handTask
	links  []floor.Link
	starts []int // as early as can be; set by settle
}

func newChainer(s *State, now time.Time, f *Forecast, u Usuals) *chainer {
	if u.Pace.Steps == nil {
		u.Pace = pace.Default()
	}
	c := &chainer{s: s, now: now, f: f, a: asker{s: s, now: now, u: u, c: s.cut(), q: ForecastQuestion{prior: u.Pace}}}
	c.a.paces()
	c.a.supplies()
	return c
}

// pain is all that can be told while there is pain: product goes off now, and
// cool water runs.
func (c *chainer) pain(p *Pain) {
	cool := CoolWater - c.s.Cooled(*p, c.now)
	c.add(handTask{Task: floor.Task{Name: "see to the pain", Takes: atLeast(seconds(cool), 1), Begun: true}, rinse: true})
}

// work is all that is still to be done.
func (c *chainer) work(plan *TripPlan) {
	running := find(c.s.Steps, (*Step).Running)
	trip := c.s.OpenTrip()
	if running != nil && trip == nil {
		c.step(running)
		c.tasks[0].soft, c.tasks[0].Takes, c.tasks[0].Begun = c.tasks[0].Takes, 0, !c.s.Paused()
	}
	before := !c.s.holding() && trip == nil && len(c.s.openRounds()) > 0
	for _, st := range c.s.Steps {
		if before && st.Before && !st.Done() && !st.Running() {
			c.step(st)
		}
	}
	groups := c.s.openRounds()
	for i, g := range groups {
		later := i < len(groups)-1
		if i > 0 || len(g) > 1 || !c.planned(plan, later) {
			c.rounds(g, i == 0, later)
		}
	}
	for _, st := range c.s.Steps {
		if st.Running() && trip == nil || st.Done() || before && st.Before {
			continue
		}
		c.step(st)
	}
	since := time.Duration(0)
	if len(c.tasks) == 0 {
		since = c.a.since(c.a.c.cursor)
	}
	c.add(handTask{Task: floor.Task{Name: "finish", Takes: left(c.a.time(StintClose, ""), since)}})
}

// openRounds are the rounds in which something is to be done, in groups that
// follow one another. One that product is on goes on together with those before
// it.
func (s *State) openRounds() (groups [][]*Round) {
	var open []*Round
	last := 0
	for _, r := range s.Rounds {
		if s.roundOver(r) {
			continue
		}
		if slices.ContainsFunc(s.RoundZones(r), (*Zone).Holding) {
			last = len(open)
		}
		open = append(open, r)
	}
	if len(open) == 0 {
		return nil
	}
	groups = append(groups, open[:last+1])
	for _, r := range open[last+1:] {
		groups = append(groups, []*Round{r})
	}
	return groups
}

// left is the median, in seconds, of what is left of a time of which so much
// has passed; at least one.
func left(l pace.LogNormal, since time.Duration) int {
	m := longerThan(l, since.Minutes()).Median() - max(since.Minutes(), 0)
	return atLeast(seconds(minutes(m).Round(time.Second)), 1)
}

// atLeast keeps a time within what package floor takes.
func atLeast(s, least int) int { return min(max(s, least), maxAhead) }

// maxAhead is the most that package floor takes as a time: three days.
const maxAhead = 1 << 18

// add adds a task and returns its index.
func (c *chainer) add(t handTask) int {
	t.Takes = atLeast(t.Takes, 0)
	c.tasks = append(c.tasks, t)
	return len(c.tasks) - 1
}

func (c *chainer) step(st *Step) {
	since := time.Duration(0)
	if st.Running() {
		since = c.a.since(st.Spans[len(st.Spans)-1].From)
	}
	c.add(handTask{Task: floor.Task{Name: st.Name, Takes: left(c.a.step(st, 0).Usual, since)}})
}

// each is what a piece of a zone takes.
func (c *chainer) each(z *Zone, first bool) time.Duration {
	if first {
		if p := c.s.Pace(); p > 0 {
			return p
		}
	}
	if c.f != nil {
		for _, p := range c.f.Paces {
			if p.Technique == z.Technique() && p.Now > 0 {
				return minutes(p.Now)
			}
		}
	}
	return minutes(c.a.q.prior.Steps[c.a.steps[z.ID]].Minutes)
}

// A share is what of a zone is one part of the chain: all of it or, as in the
// question of the trips, what is on, or what is to come.
type share struct {
	z *Zone
	rinse.Zone
	known bool // its window is
	lead  int  // seconds of mixing before it
	place int  // index of its task; -1 if nothing is to be placed
}

// shareOf is a zone as it is placed and rinsed without a plan.
func (c *chainer) shareOf(z *Zone, first bool) share {
	sh := share{z: z, place: -1}
	each := c.each(z, first)
	if parts, ok := c.s.tripZones(z, c.now, each, false, c.s.Windows); ok {
		sh.Zone, sh.known = parts[0], true
		if c.s.Ended() {
			sh.Pieces, sh.Apply = 0, 0
		}
		return sh
	}
	sh.Zone = rinse.Zone{Name: z.Name, Rinse: seconds(c.s.rinseTime()), On: z.Holding()}
	if n := c.a.left(z); n > 0 {
		sh.Pieces, sh.Apply = n, atLeast(seconds(time.Duration(n)*each), 1)
	}
	return sh
}

// mixing is what of mixing comes before a share goes on, in seconds: before the
// first bowl, all that there is to prepare.
func (c *chainer) mixing(sh *share, at int) {
	n := c.a.mixes(sh.z, sh.Pieces, c.now.Add(time.Duration(at)*time.Second))
	if !c.a.c.mixed && sh.Apply > 0 {
		c.a.c.mixed = true
		sh.lead = left(c.a.time(StintPrepare, ""), c.a.since(c.a.c.cursor))
		n = max(n-1, 0)
	}
	sh.lead += n * left(c.a.time(StintMix, ""), 0)
}

// put adds the task of placing a share.
func (c *chainer) put(sh *share) {
	sh.place = c.add(handTask{Task: floor.Task{Name: "place " + sh.z.Name, Takes: sh.Apply}, soft: sh.lead, lead: true})
}

// hold links the rinse of a share, which is done off seconds after the trip's
// start, to its contacts.
func (c *chainer) hold(sh *share, trip, off int) {
	if !sh.known {
		c.holdUnknown(sh, trip, off)
		return
	}
	l := floor.Link{From: floor.Now, To: trip, Least: floor.None, Most: floor.None, Chemistry: true, Name: "limit of " + sh.z.Name}
	w := sh.Allowed[0]
	l.Most = sh.First + w.Limit - off
	if !sh.On {
		l.From, l.Most = sh.place, w.Limit-off
	}
	switch {
	case sh.place < 0:
		l.Least = sh.Last + w.Opens - off
	case !sh.On:
		l.Least = c.tasks[sh.place].Takes + w.Opens - off
	default: // the oldest is on, the newest is to come
		c.link(floor.Link{From: sh.place, To: trip, Least: c.tasks[sh.place].Takes + w.Opens - off, Most: floor.None, Chemistry: true, Name: sh.z.Name + " open"})
	}
	c.link(l)
}

// holdUnknown links the rinse of a share of which not all windows are known: it
// is left on as long as is usual, but not past a limit that is known.
func (c *chainer) holdUnknown(sh *share, trip, off int) {
	t := c.s.ZoneTiming(sh.z, c.now)
	if !t.LimitAt.IsZero() {
		c.link(floor.Link{From: floor.Now, To: trip, Least: floor.None, Most: seconds(t.LimitAt.Sub(c.now)) - off, Chemistry: true, Name: "limit of " + sh.z.Name})
	}
	if note := "limit not set yet: " + sh.z.Name + " is reckoned to be left on as long as is usual"; !slices.Contains(c.a.q.notes, note) {
		c.a.q.notes = append(c.a.q.notes, note)
	}
	l := floor.Link{From: floor.Now, To: trip, Most: floor.None, Name: sh.z.Name + " developed"}
	usual, known := c.a.u.Others[OtherKey(StintDevelop, string(sh.z.action))]
	if !known {
		usual = HouseTime(StintDevelop)
	}
	wait := left(usual, 0) + sh.Rinse - off
	if sh.place >= 0 {
		l.From, l.Least = sh.place, c.tasks[sh.place].Takes+wait
	} else {
		l.Least = wait - seconds(c.now.Sub(t.LastAt))
	}
	c.link(l)
}

// link adds a link, without what it can't ask for.
func (c *chainer) link(l floor.Link) {
	if l.Least != floor.None {
		if l.Least = min(l.Least, maxAhead); l.Least <= 0 || l.From == floor.Now && c.tasks[l.To].Begun {
			l.Least = floor.None
		}
	}
	if l.Most != floor.None {
		l.Most = min(max(l.Most, -maxAhead), maxAhead)
	}
	if l.Least != floor.None || l.Most != floor.None {
		c.links = append(c.links, l)
	}
}
