package card

import (
	"slices"
	"time"

	"rinseby/session"
)

// Repeat returns the plans that would repeat a visit: its rounds and its
// steps, as they really went. It is for the next visit to start from; what
// the hair went through before must be asked again, as it has now been
// treated once more.
//
// A zone has the pieces that were placed, what was really put on each of its
// bands, and the time per piece that it really took; zones that nothing was
// put on are left out. Where a band had several coats, that of most pieces
// counts, of two alike the later one. Zones and rounds keep their ids, so
// that the plans go together. The links between zones on the same hair are
// kept; where the zone that others were linked to is left out, or comes later
// than they do, they are linked to the first of them.
func Repeat(l *session.Log) ([]session.PlanSet, []session.PlanStep) {
	s := l.State()
	links := linker{s: s, first: map[string]string{}}
	plans := []session.PlanSet{}
	for _, r := range s.Rounds {
		p := session.PlanSet{Round: r.ID, Name: r.Name, Action: r.Action}
		for _, z := range s.RoundZones(r) {
			if !z.Started() {
				continue
			}
			n := z.Done()
			if n == 0 { // only ever coated as a whole
				n = z.Pieces
			}
			p.Zones = append(p.Zones, session.PlanZone{
				ID: z.ID, Name: z.Name, Pieces: n, MinutesPerPiece: perPiece(z), Technique: z.Way,
				Bands: bands(z), SameHairAs: links.link(z), OtherHair: z.OtherHair,
			})
		}
		if len(p.Zones) > 0 {
			plans = append(plans, p)
		}
	}
	return plans, each(s.Steps, func(st *session.Step) session.PlanStep {
		var took time.Duration
		for _, sp := range st.Spans {
			if !sp.Open() {
				took += sp.To.Sub(sp.From)
			}
		}
		if took <= 0 || took > longestStep {
			took = st.Usual
		}
		return session.PlanStep{Name: st.Name, Minutes: min1000(took.Minutes()), Before: st.Before}
	})
}

// Bounds of what a plan takes; a time beyond them was no work but an entry
// that was forgotten.
const (
	longestStep  = 600 * time.Minute
	longestPiece = 120 * time.Minute
)

// bands is what was really put on the zone, from the scalp outwards.
func bands(z *session.Zone) []session.PlanBand {
	var out []session.PlanBand
	for _, b := range session.Bands {
		var most *session.Coat
		for _, c := range z.Coats {
			if c.Band == b && (most == nil || count(c.Batches) >= count(most.Batches)) {
				most = c
			}
		}
		if most == nil {
			continue
		}
		plan := z.Band(b)
		out = append(out, session.PlanBand{
			Band: b, Product: most.Product, Kind: most.Family, Strength: most.Strength,
			Contact: most.Contact, Condition: most.Condition, Later: plan != nil && plan.Later,
		})
	}
	return out
}

func count(bs []session.Batch) (n int) {
	for _, b := range bs {
		n += b.Count
	}
	return n
}

// perPiece is the minutes that a piece of the zone took: the median of the
// times from one entry to the next, each shared among the pieces that it is
// for. Entries of one moment count as one. Where there are not two entries,
// it is what was planned, zero for not known.
func perPiece(z *session.Zone) float64 {
	var each []float64
	pieces := 0
	for i, b := range z.Placed {
		pieces += b.Count
		if i+1 < len(z.Placed) && z.Placed[i+1].At.Equal(b.At) {
			continue
		}
		first := i - 1
		for first >= 0 && z.Placed[first].At.Equal(b.At) {
			first--
		}
		if first >= 0 {
			took := b.At.Sub(z.Placed[first].At).Minutes() / float64(pieces)
			each = append(each, slices.Repeat([]float64{took}, pieces)...)
		}
		pieces = 0
	}
	if len(each) == 0 {
		return z.MinutesPerPiece
	}
	slices.Sort(each)
	mid := len(each) / 2
	median := each[mid]
	if len(each)%2 == 0 {
		median = (each[mid-1] + each[mid]) / 2
	}
	if median > longestPiece.Minutes() {
		return z.MinutesPerPiece
	}
	return min1000(median)
}

// A linker keeps zones on the same hair together. It is fed the zones in the
// order in which they are planned, as a zone may only be linked to one before
// it.
type linker struct {
	s     *session.State
	first map[string]string // by piece of hair: the first zone on it
}

func (l linker) link(z *session.Zone) []string {
	var to []string
	hair := l.hair(z, map[string]bool{})
	for _, h := range hair {
		if id, ok := l.first[h]; ok && !slices.Contains(to, id) {
			to = append(to, id)
		}
	}
	for _, h := range hair {
		if _, ok := l.first[h]; !ok {
			l.first[h] = z.ID
		}
	}
	return to
}

// hair names the hair that a zone lies on by the zones that are linked to no
// other.
func (l linker) hair(z *session.Zone, seen map[string]bool) []string {
	seen[z.ID] = true
	if len(z.SameHairAs) == 0 {
		return []string{z.ID}
	}
	var hair []string
	for _, id := range z.SameHairAs {
		if o := l.s.Zone(id); o != nil && !seen[id] {
			hair = append(hair, l.hair(o, seen)...)
		}
	}
	return hair
}
