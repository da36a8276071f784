package forecast

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rinseby/timing/pace"
)

var moments = []float64{0.10, 0.25, 0.50, 0.75, 0.90}

// A score is how one forecaster did at one moment of the service.
type score struct {
	n, hits     int
	error, crps float64
}

func (s *score) add(o Outcome, came float64) {
	s.n++
	if e := minutes(came); e >= o.P10 && e <= o.P90 {
		s.hits++
	}
	s.error += math.Abs(o.P50.Minutes() - came)
	s.crps += CRPS(o.Samples, came)
}

func (s *score) mae() float64      { return s.error / float64(s.n) }
func (s *score) meanCRPS() float64 { return s.crps / float64(s.n) }
func (s *score) coverage() float64 { return float64(s.hits) / float64(s.n) }

// A trial is one world with so many stylists, each with as many closed
// services to learn from, then to scale by, then to be judged on.
type trial struct {
	w              world
	past           world // what the closed services were like
	stylists       int
	learn, scale   int
	judge          int
	draws          int
	seed           uint64
	width          float64 // a fault put in on purpose: 1 for none
	last           bool    // judge the last piece, without what follows
	onlyForecaster bool
}

// forecasters in the order of the table.
const (
	raw = iota
	scaled
	best
	naive
	conjugate
	all
)

var names = [all]string{"raw", "scaled", "oracle", "naive", "conjugate"}

type board [all][]score

func (t trial) run(tb testing.TB) *board {
	b := &board{}
	for k := range b {
		b[k] = make([]score, len(moments))
	}
	for i := range t.stylists {
		r := rand.New(rand.NewPCG(t.seed, uint64(i)))
		s := newStylist(r)
		var closed []pace.Past
		for range t.learn {
			closed = append(closed, pace.Past{Observations: t.past.visit(&s, r).at(1).seen})
		}
		prior, err := pace.Fit(s.stated(r), closed)
		require.NoError(tb, err)
		if tweak != nil {
			tweak(&prior, &s)
		}
		var c Conformal
		for k := range t.scale + t.judge {
			v := t.w.visit(&s, r)
			c = t.one(tb, b, prior, c, v, k >= t.scale, uint64(i*1000+k))
		}
	}
	return b
}

// one forecasts a visit at all moments.
func (t trial) one(tb testing.TB, b *board, prior pace.Prior, c Conformal, v *visit, count bool, seed uint64) Conformal {
	next := c
	o := oracle{v: v, r: rand.New(rand.NewPCG(t.seed+1, seed))}
	for k, share := range moments {
		at := v.at(share)
		came := v.end - at.now
		in := at.in
		if t.last {
			came, in.Steps = v.lastPiece(at), nil
		}
		m, err := pace.New(prior)
		require.NoError(tb, err)
		for _, o := range at.seen {
			require.NoError(tb, m.Observe(o))
		}
		result, err := Run(in, m, t.draws, seed)
		require.NoError(tb, err)
		plain := result.End
		if t.last {
			plain = result.Applied
		}
		wide := plain.Scaled(c.At(share))
		next = next.Learn(share, wide.Range, minutes(came))
		if !count {
			continue
		}
		b[raw][k].add(plain.Scaled(t.width), came)
		b[scaled][k].add(wide.Scaled(t.width), came)
		if t.onlyForecaster {
			continue
		}
		last, end := o.forecast(&at, t.draws)
		for f, s := range map[int][2][]Sample{best: {last, end}, naive: extrapolate(v, &at), conjugate: plainConjugate(v, &at, t.draws, o.r)} {
			samples := s[1]
			if t.last {
				samples = s[0]
			}
			b[f][k].add(Outcome{Samples: samples}.Scaled(1), came)
		}
	}
	return next
}

// table prints one trial.
func (b *board) table(title string) string {
	var s strings.Builder
	fmt.Fprintf(&s, "%s, %d services\n%-10s", title, b[raw][0].n, "")
	for _, m := range moments {
		fmt.Fprintf(&s, " | %16.0f %%   ", 100*m)
	}
	s.WriteString("\n")
	for f := range b {
		if b[f][0].n == 0 {
			continue
		}
		fmt.Fprintf(&s, "%-10s", names[f])
		for k := range moments {
			x := b[f][k]
			ratio := math.NaN()
			if b[best][k].n > 0 {
				ratio = x.error / b[best][k].error
			}
			fmt.Fprintf(&s, " | %4.2f %5.1f%% %4.1f %4.1f", ratio, 100*x.coverage(), x.mae(), x.meanCRPS())
		}
		s.WriteString("\n")
	}
	return s.String()
}

var tweak func(*pace.Prior, *stylist)
