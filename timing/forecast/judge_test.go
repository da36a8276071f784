package forecast

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"rinseby/timing/pace"
)

// judged is how many services of each world the forecast is judged by.
var judged = flag.Int("judge", 0, "judge the forecast by so many services of each world; 0: a short version")

// Seeds by which the forecast was made better, and by which it is judged, are
// apart: the former were below 100.
const judgeSeed = 20260301

// moments are how much of the pieces is done when it is asked.
var moments = []float64{0.10, 0.25, 0.50, 0.75, 0.90}

// A score is how one forecaster did at one moment of the services.
type score struct {
	hits   int
	errors []float64 // of the middle, in minutes
	crps   []float64
}

func (s *score) add(o Outcome, came float64) {
	if e := minutes(came); e >= o.P10 && e <= o.P90 {
		s.hits++
	}
	s.errors = append(s.errors, math.Abs(o.P50.Minutes()-came))
	s.crps = append(s.crps, CRPS(o.Samples, came))
}

func (s *score) merge(o *score) {
	s.hits += o.hits
	s.errors = append(s.errors, o.errors...)
	s.crps = append(s.crps, o.crps...)
}

func (s *score) mae() float64      { return stat.Mean(s.errors, nil) }
func (s *score) coverage() float64 { return float64(s.hits) / float64(len(s.errors)) }

// forecasters in the order of the table.
const (
	raw = iota
	scaled
	narrowed // by a fifth: a fault put in on purpose
	best
	naive
	conjugate
	all
)

var names = [all]string{"rinseby", "  scaled", "  narrowed", "oracle", "rule of three", "conjugate"}

// What is forecast.
const (
	ends  = iota // the end of the service
	piece        // the last piece, without what follows it
	both
)

// scores are those of one world: what is forecast, by whom, at which moment.
type scores [both][all][]score

func newScores() *scores {
	s := &scores{}
	for what := range s {
		for f := range s[what] {
			s[what][f] = make([]score, len(moments))
		}
	}
	return s
}

// A trial is one world with so many stylists, each with as many closed services
// to learn from, as many to scale by, and then as many to be judged on.
type trial struct {
	w                             world
	stylists, learn, scale, judge int
	draws                         int
	onlyUs                        bool // without the oracle and the baselines
}

// run judges, with one stylist on each core at a time.
func (t trial) run(tb testing.TB) *scores {
	parts := make([]*scores, t.stylists)
	var wg sync.WaitGroup
	turns := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i := range parts {
		wg.Go(func() {
			turns <- struct{}{}
			defer func() { <-turns }()
			parts[i] = t.stylist(tb, uint64(i))
		})
	}
	wg.Wait()
	sum := newScores()
	for _, p := range parts {
		for what := range sum {
			for f := range sum[what] {
				for k := range moments {
					sum[what][f][k].merge(&p[what][f][k])
				}
			}
		}
	}
	return sum
}

// stylist lets one work, learn, and be judged.
func (t trial) stylist(tb testing.TB, i uint64) *scores {
	b := newScores()
	r := rand.New(rand.NewPCG(judgeSeed, i))
	s := newStylist(r)
	var closed []pace.Past
	for range t.learn {
		closed = append(closed, pace.Past{Observations: t.w.visit(&s, r).at(1).seen})
	}
	prior, err := pace.Fit(s.stated(r), closed)
	if !assert.NoError(tb, err) {
		return b
	}
	var widths [both]Conformal
	for n := range t.scale + t.judge {
		v := t.w.visit(&s, r)
		o := oracle{v: v, r: rand.New(rand.NewPCG(judgeSeed+1, i*1000+uint64(n)))}
		next := widths
		m, err := pace.New(prior)
		assert.NoError(tb, err)
		seen := 0
		for k, share := range moments {
			at := v.at(share)
			for ; seen < len(at.seen); seen++ {
				assert.NoError(tb, m.Observe(at.seen[seen]))
			}
			t.one(tb, b, m, &o, &at, k, &widths, &next, n >= t.scale)
		}
		widths = next
	}
	return b
}

// one forecasts a visit at the moment k.
func (t trial) one(tb testing.TB, b *scores, m *pace.Model, o *oracle, at *cut, k int, widths, next *[both]Conformal, count bool) {
	v, share := o.v, moments[k]
	came := [both]float64{v.end - at.now, v.lastPiece(*at)}
	result, err := Run(at.in, m, t.draws, o.r.Uint64())
	assert.NoError(tb, err)
	for what, plain := range [both]Outcome{result.End, result.Applied} {
		wide := plain.Scaled(widths[what].At(share))
		next[what] = next[what].Learn(share, wide.Range, minutes(came[what]))
		if count {
			b[what][raw][k].add(plain, came[what])
			b[what][scaled][k].add(wide, came[what])
			b[what][narrowed][k].add(plain.Scaled(0.8), came[what])
		}
	}
	if !count || t.onlyUs {
		return
	}
	last, end := o.forecast(at, t.draws)
	for f, s := range map[int][2][]Sample{best: {last, end}, naive: extrapolate(v, at), conjugate: plainConjugate(v, at, t.draws, o.r)} {
		b[ends][f][k].add(Outcome{Samples: s[1]}.Scaled(1), came[ends])
		b[piece][f][k].add(Outcome{Samples: s[0]}.Scaled(1), came[piece])
	}
}

// table prints what a world gave, in the order: mean error as a multiple of the
// oracle's, coverage of the 80 % range, and CRPS in minutes.
func (b *scores) table(name string, what int) string {
	var s strings.Builder
	fmt.Fprintf(&s, "%-14s", name)
	for _, m := range moments {
		fmt.Fprintf(&s, " | %11.0f %%   ", 100*m)
	}
	s.WriteString("\n")
	for f := range b[what] {
		if len(b[what][f][0].errors) == 0 {
			continue
		}
		fmt.Fprintf(&s, "%-14s", names[f])
		for k := range moments {
			x, o := &b[what][f][k], &b[what][best][k]
			ratio := math.NaN()
			if len(o.errors) > 0 {
				ratio = x.mae() / o.mae()
			}
			cover := fmt.Sprintf("%3.0f %%", 100*x.coverage())
			if f == naive {
				cover = "  -  " // it has no range
			}
			fmt.Fprintf(&s, " | %4.2f %s %4.1f", ratio, cover, stat.Mean(x.crps, nil))
		}
		s.WriteString("\n")
	}
	return s.String()
}

// over reports whether errors are more than bound times those of the best
// possible, beyond what luck explains: the mean of the paired differences lies
// three standard errors above nothing.
func over(us, best []float64, bound float64) bool {
	d := make([]float64, len(us))
	for i := range us {
		d[i] = us[i] - bound*best[i]
	}
	mean, sd := stat.MeanStdDev(d, nil)
	return mean > 3*sd/math.Sqrt(float64(len(d)))
}

// outside reports whether so many hits of n tell that the share of hits is
// outside low to high: by the binomial distribution, a thousandth of all luck
// gives so few, or so many.
func outside(hits, n int, low, high float64) bool {
	few := distuv.Binomial{N: float64(n), P: low}.CDF(float64(hits))
	many := 1 - distuv.Binomial{N: float64(n), P: high}.CDF(float64(hits)-1)
	return few < 0.001 || many < 0.001
}

// check holds the scores of a world against its bounds.
func (b *scores) check(w world) (faults []string) {
	for k, m := range moments {
		bound := w.middle
		switch {
		case m < 0.5:
			bound = w.earliest
		case m > 0.8:
			bound = w.late
		}
		us, o, s := &b[ends][raw][k], &b[ends][best][k], &b[ends][scaled][k]
		n := len(us.errors)
		if len(o.errors) > 0 && over(us.errors, o.errors, bound) {
			faults = append(faults, fmt.Sprintf("%s at %g: error %.3f of the oracle's, bound %g", w.name, m, us.mae()/o.mae(), bound))
		}
		if outside(us.hits, n, w.low, w.high) {
			faults = append(faults, fmt.Sprintf("%s at %g: covers %.3f, bounds %g to %g", w.name, m, us.coverage(), w.low, w.high))
		}
		if outside(s.hits, n, 0.78, 0.82) {
			faults = append(faults, fmt.Sprintf("%s at %g: covers %.3f when scaled", w.name, m, s.coverage()))
		}
		if wide, narrow := stat.Mean(s.crps, nil), stat.Mean(us.crps, nil); wide > 1.03*narrow {
			faults = append(faults, fmt.Sprintf("%s at %g: scaling costs sharpness, CRPS %.2f instead of %.2f", w.name, m, wide, narrow))
		}
	}
	return faults
}

// size is the trial of a world: of so many services in all.
func size(w world) trial {
	t := trial{w: w, stylists: 4, learn: 40, scale: 30, judge: 20, draws: 200}
	if *judged > 0 {
		t = trial{w: w, stylists: (*judged + 19) / 20, learn: 40, scale: 60, judge: 20, draws: 400}
	}
	if racing { // ten times as slow, and no better
		t.stylists, t.judge, t.learn, t.scale = 2, 2, 5, 0
	}
	return t
}

// In worlds that the forecaster does not know, against one that does.
func TestJudge(t *testing.T) {
	for _, w := range worlds {
		t.Run(w.name, func(t *testing.T) {
			b := size(w).run(t)
			assert.Empty(t, b.check(w))
			if *judged > 0 {
				t.Log("\n" + b.table("end", ends) + b.table("last piece", piece))
			}
		})
	}
}

// The judge must see a fault: ranges narrower by a fifth don't hold.
func TestJudgeSeesNarrowRanges(t *testing.T) {
	if racing {
		t.Skip("slow")
	}
	tr := trial{w: base, stylists: 20, learn: 15, judge: 50, draws: 100, onlyUs: true}
	b := tr.run(t)
	seen := 0
	for k := range moments {
		whole, narrow := &b[ends][raw][k], &b[ends][narrowed][k]
		require.False(t, outside(whole.hits, len(whole.errors), base.low, base.high), "at %g: %g", moments[k], whole.coverage())
		if outside(narrow.hits, len(narrow.errors), base.low, base.high) {
			seen++
		}
	}
	assert.GreaterOrEqual(t, seen, 3, "moments at which the narrow ranges were found out")
}

// BenchmarkJudge prints the whole table: 2,000 services of each world.
func BenchmarkJudge(b *testing.B) {
	*judged = max(*judged, 2000)
	for _, w := range worlds {
		b.Run(w.name, func(b *testing.B) {
			for b.Loop() {
				s := size(w).run(b)
				fmt.Printf("\n%s, %d services\n%s\n%s", w.name, len(s[ends][raw][0].errors), s.table("end", ends), s.table("last piece", piece))
				for _, f := range s.check(w) {
					b.Error(f)
				}
			}
		})
	}
}
