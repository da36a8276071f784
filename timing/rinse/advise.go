package rinse

import "slices"

// A Wish is what a head should be done in, besides its limits.
type Wish struct {
	// Trips is the most walks to the basin; 0 for any number.
	Trips int
	// Finish is the latest moment of the finish; 0 for any.
	Finish int
}

// InOneGo is the wish to apply all, and then to rinse all in one trip.
var InOneGo = Wish{Trips: 1}

// Advice says whether a head can be done as wished by one pair of hands, and
// what would make it possible. Each way is tried alone.
type Advice struct {
	// Fits says that it can, with each zone's strongest strength that is
	// allowed.
	Fits bool
	// Sure is false if the budget was spent on some question before its answer
	// was certain: then what is said not to fit may do so.
	Sure bool
	// Faster is the least pace, in percent of the ordinary one and in steps of
	// 10, at which it fits: a helper's share. Zero if not even 300 is enough.
	Faster int
	// Weaker holds for each zone the index in Allowed of a strength, none
	// weaker than that of a zone before it, with which it fits. Nil if there
	// are none.
	Weaker []int
	// Zones is how many zones fit, counted from the first on; all of them if
	// the head fits.
	Zones int
	// Split is how many zones to do in the first of two visits so that both
	// fit; zero if no split will do, or if it takes none.
	Split int
}

// maxPace is the fastest pace that is tried, in percent.
const maxPace = 300

// Advise answers, for the problem before its start or at any moment of it,
// whether it can be done as wished. Its Strengths and Rates are not looked at:
// each question sets its own. The budget holds for each question.
func Advise(p *Problem, w Wish, b Budget) (*Advice, error) {
	check := *p
	check.Strengths, check.Rates = Free, nil
	if err := check.Check(); err != nil {
		return nil, err
	}
	a := &adviser{wish: w, budget: b, sure: true}
	strongest := a.strongest(p)
	n := len(p.Zones)
	out := &Advice{Zones: n, Fits: a.fits(strongest)}
	if !out.Fits {
		for percent := 110; percent <= maxPace && out.Faster == 0; percent += 10 {
			q := *strongest
			q.Rates = []Rate{{From: p.Now, To: p.Now + maxTime, Percent: percent}}
			if a.fits(&q) {
				out.Faster = percent
			}
		}
		out.Weaker = a.weaker(p)
		for out.Zones > 0 && !a.fits(only(strongest, 0, out.Zones)) {
			out.Zones--
		}
		if !slices.ContainsFunc(p.Zones, func(z Zone) bool { return z.On }) {
			for k := out.Zones; k > 0 && out.Split == 0; k-- {
				if a.fits(only(strongest, k, n)) {
					out.Split = k
				}
			}
		}
	}
	out.Sure = a.sure
	return out, nil
}

type adviser struct {
	wish   Wish
	budget Budget
	sure   bool
}

// strongest is the problem with one strength for each zone.
func (a *adviser) strongest(p *Problem) *Problem {
	q := *p
	q.Strengths, q.Rates = Given, nil
	q.Zones = slices.Clone(p.Zones)
	for i := range q.Zones {
		z := &q.Zones[i]
		best := -1
		for k, s := range z.Allowed {
			fits := z.On || !z.Capped || s.Level <= z.Strongest
			if fits && (best < 0 || s.Level > z.Allowed[best].Level) {
				best = k
			}
		}
		z.Allowed = z.Allowed[best : best+1]
	}
	return &q
}

// weaker looks for strengths that never fall.
func (a *adviser) weaker(p *Problem) []int {
	q := *p
	q.Strengths, q.Rates = Rising, nil
	m := newModel(&q)
	steps, ok := a.find(m)
	if !ok {
		return nil
	}
	out := make([]int, m.n)
	for _, st := range steps {
		if st.kind == Apply {
			out[st.zone] = m.variants[st.zone][st.variant].strength
		}
	}
	return out
}

func only(p *Problem, from, to int) *Problem {
	q := *p
	q.Zones = p.Zones[from:to]
	return &q
}

func (a *adviser) fits(p *Problem) bool {
	_, ok := a.find(newModel(p))
	return ok
}

// find looks for any plan that keeps all limits and the wish.
func (a *adviser) find(m *model) ([]step, bool) {
	most := anyCost
	if a.wish.Trips > 0 {
		most.trips = int32(a.wish.Trips)
	}
	w := aim{even: anyTarget, most: most, any: true}
	if a.wish.Finish != 0 {
		if a.wish.Finish <= m.p.Now {
			return nil, m.n == 0
		}
		w.by = int32(min(a.wish.Finish-m.p.Now, int(anyCost.finish)))
	}
	s := m.search(w, newMeter(a.budget))
	if !s.run() {
		a.sure = false
		return nil, false
	}
	if s.found < 0 {
		return nil, false
	}
	return s.steps(s.found), true
}
