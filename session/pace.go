package session

import (
	"slices"
	"time"
)

// Pace is how long one piece takes today: the median of the last pieces of
// the round under way, so that one interruption counts for little. It is zero
// until three pieces tell.
func (s *State) Pace() time.Duration { return s.paceAt(0.5) }

// paceAt is how long the slowest piece takes of that share of the last pieces
// of the round under way that went in fastest. It is zero until three tell.
func (s *State) paceAt(share float64) time.Duration {
	const enough, recent = 3, 12
	var each []time.Duration
	for _, r := range s.Rounds {
		if s.roundOver(r) {
			continue
		}
		var in []Batch
		for _, z := range s.RoundZones(r) {
			in = append(in, z.Placed...)
		}
		slices.SortFunc(in, func(a, b Batch) int { return a.At.Compare(b.At) })
		for i := 1; i < len(in); i++ {
			d := in[i].At.Sub(in[i-1].At) / time.Duration(in[i].Count)
			each = append(each, slices.Repeat([]time.Duration{d}, min(in[i].Count, recent))...)
		}
		break
	}
	each = each[max(len(each)-recent, 0):]
	if len(each) < enough {
		return 0
	}
	slices.Sort(each)
	return each[min(int(share*float64(len(each))), len(each)-1)]
}

// perPiece is how long a piece of the zone takes: today's pace, else what the
// plan says, else zero for not known.
func (z *Zone) perPiece(pace time.Duration) time.Duration {
	if pace > 0 {
		return pace
	}
	return minutes(z.MinutesPerPiece)
}

// pieceInHand is how long the next piece of the round under way takes; zero if
// none is to come, or if it is not known.
func (s *State) pieceInHand(pace time.Duration) time.Duration {
	for _, r := range s.Rounds {
		if s.roundOver(r) {
			continue
		}
		for _, z := range s.RoundZones(r) {
			if !z.Full() {
				return z.perPiece(pace)
			}
		}
		break
	}
	return 0
}

// ahead walks through the pieces that are still to come in the round under
// way. It stops where visit answers false, and answers false itself when the
// time of a piece is not known.
func (s *State) ahead(now time.Time, pace time.Duration, visit func(z *Zone, until time.Time) bool) bool {
	at := now
	for _, r := range s.Rounds {
		if s.roundOver(r) {
			continue
		}
		for _, z := range s.RoundZones(r) {
			if z.Full() {
				continue
			}
			each := z.perPiece(pace)
			if each <= 0 {
				return false
			}
			at = at.Add(time.Duration(z.Pieces-z.Done()) * each)
			if !visit(z, at) {
				return true
			}
		}
		break
	}
	return true
}

// allInAt is when the last piece of the round under way goes in at the pace;
// zero if nothing is to come or the pace is not known.
func (s *State) allInAt(now time.Time, pace time.Duration) (last time.Time) {
	known := s.ahead(now, pace, func(_ *Zone, until time.Time) bool { last = until; return true })
	if !known {
		return time.Time{}
	}
	return last
}

// zoneAt names the zone that is being applied at the moment at.
func (s *State) zoneAt(now, at time.Time, pace time.Duration) string {
	name := "the last piece"
	s.ahead(now, pace, func(z *Zone, until time.Time) bool {
		name = z.Name
		return until.Before(at)
	})
	return name
}
