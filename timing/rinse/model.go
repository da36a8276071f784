package rinse

import (
	"cmp"
	"math/bits"
	"slices"
	"sort"

	"rinseby/timing/dbm"
)

// A variant is one way to treat a zone: a strength, and the time that applying
// it takes if it is begun in a stretch of time. Times count from Now.
type variant struct {
	strength int   // in Zone.Allowed
	level    int   // of the strength
	lo, hi   int32 // it is begun within [lo, hi]
	dur      int32 // of the application
	opens    int32 // off >= anchor + opens
	limit    int32 // off <= anchor + limit; dbm.Inf for none
	abs      int32 // off <= abs; dbm.Inf for none
	mid      int32 // exposure = off - anchor - mid
	target   int32 // wanted exposure
}

// A set is a set of zones, by index.
type set uint64

func (s set) has(i int) bool { return s>>i&1 != 0 }
func (s set) size() int      { return bits.OnesCount64(uint64(s)) }
func (s set) first() int     { return bits.TrailingZeros64(uint64(s)) }
func one(i int) set          { return 1 << i }

// A model is a problem made ready for the search, with Now at 0. The anchor of
// a zone's window is the start of its application; that of a zone that is on as
// a whole is Now.
type model struct {
	p                 *Problem
	n                 int
	walk, reseat, cap int32
	rinse             []int32 // of each zone
	variants          [][]variant
	all, on, part     set // all zones; those on as a whole; the one partly on
	level             int // of what was applied last, if strengths must rise
	minDur            []int32
	totalDur          int32
	totalRinse        int32
}

const lowest = -1 << 62 // below every level

func newModel(p *Problem) *model {
	m := &model{p: p, n: len(p.Zones), walk: int32(p.Walk), reseat: int32(p.Reseat), cap: int32(p.IdleCap), level: lowest}
	newest := p.Now - maxTime
	for i := range p.Zones {
		z := &p.Zones[i]
		m.all |= one(i)
		switch {
		case z.partly():
			m.part |= one(i)
		case z.On:
			m.on |= one(i)
			if p.Strengths == Rising && z.Last >= newest {
				newest, m.level = z.Last, z.Allowed[0].Level
			}
		}
		vs := m.waysFor(z)
		m.variants = append(m.variants, vs)
		m.rinse = append(m.rinse, int32(z.Rinse))
		least := dbm.Inf
		for _, v := range vs {
			least = min(least, v.dur)
		}
		m.minDur = append(m.minDur, least)
		m.totalDur += least
		m.totalRinse += int32(z.Rinse)
	}
	return m
}

// waysFor lists the variants of a zone, weakest strength first.
func (m *model) waysFor(z *Zone) (vs []variant) {
	for k, s := range z.Allowed {
		if !z.On && z.Capped && s.Level > z.Strongest {
			continue
		}
		limit := int32(max(s.Limit-z.Carried, 0))
		first, last := int32(z.First-m.p.Now), int32(z.Last-m.p.Now)
		v := variant{strength: k, level: s.Level, limit: limit, abs: dbm.Inf, target: int32(s.target())}
		if z.On && z.Apply == 0 {
			v.opens, v.limit = last+int32(s.Opens), first+limit
			v.mid = last - (last-first)/2 - int32(z.Carried)
			vs = append(vs, v)
			continue
		}
		before := int32(0) // spent on it earlier
		if z.On {
			v.limit, v.abs, before = dbm.Inf, first+limit, last-first
		}
		for _, st := range m.stretches(z) {
			v.lo, v.hi, v.dur = st.lo, st.hi, st.dur
			v.opens = v.dur + int32(s.Opens)
			v.mid = v.dur - (before+v.dur)/2 - int32(z.Carried)
			vs = append(vs, v)
		}
	}
	sort.SliceStable(vs, func(a, b int) bool {
		return cmp.Or(cmp.Compare(vs[a].level, vs[b].level), cmp.Compare(vs[a].lo, vs[b].lo)) < 0
	})
	return vs
}

// A stretch is a stretch of time in which beginning a zone means that it takes
// so long.
type stretch struct{ lo, hi, dur int32 }

// stretches cuts all time from Now on into stretches for the zone.
func (m *model) stretches(z *Zone) (out []stretch) {
	changes, rates := m.paces()
	pieces := max(z.Pieces, 1)
	done := func(k, percent int) int { return k * z.Apply * 100 / (pieces * percent) }
	for lo := 0; ; {
		at, room := lo, -1 // room: how much later it may begin and take as long
		for k := range pieces {
			i := sort.SearchInts(changes, at+1)
			if i < len(changes) && (room < 0 || changes[i]-at < room) {
				room = changes[i] - at
			}
			at += done(k+1, rates[i]) - done(k, rates[i])
		}
		s := stretch{int32(lo), dbm.Inf, int32(max(at-lo, 1))}
		if room >= 0 {
			s.hi = int32(lo + room - 1)
		}
		if last := len(out) - 1; last >= 0 && out[last].dur == s.dur {
			out[last].hi = s.hi
		} else {
			out = append(out, s)
		}
		if room < 0 {
			return out
		}
		lo += room
	}
}

// paces lists the moments from Now on at which the pace changes, and the pace
// before each of them and after the last, in percent.
func (m *model) paces() (changes, percents []int) {
	now := 100
	step := func(at, percent int) {
		if at -= m.p.Now; at <= 0 {
			now = percent
			return
		}
		changes, percents = append(changes, at), append(percents, now)
		now = percent
	}
	for _, r := range m.p.Rates {
		step(r.From, r.Percent)
		step(r.To, 100)
	}
	return slices.Clip(changes), append(percents, now)
}

// A window is what a variant asks for under given limits and evenness.
type window struct{ opens, limit, abs int32 }

// anyTarget is a tolerance that leaves the exposure free.
const anyTarget = -1

// windows are those of all variants, with every limit over seconds later and
// every exposure within even of its target.
func (m *model) windows(over, even int32) [][]window {
	out := make([][]window, m.n)
	for i, vs := range m.variants {
		out[i] = make([]window, len(vs))
		for k, v := range vs {
			w := window{v.opens, v.limit, v.abs}
			if w.limit < dbm.Inf {
				w.limit += over
			}
			if w.abs < dbm.Inf {
				w.abs += over
			}
			if even != anyTarget {
				w.opens = max(w.opens, v.mid+v.target-even)
				w.limit = min(w.limit, v.mid+v.target+even)
			}
			out[i][k] = w
		}
	}
	return out
}
