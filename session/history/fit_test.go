package history_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/history"
	"rinseby/timing/pace"
)

var opened = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

// A maker makes up services one stint after the other.
type maker struct {
	history.Service
	at time.Time
}

func newMaker(n int) *maker {
	at := opened.AddDate(0, 0, n)
	return &maker{history.Service{ID: fmt.Sprintf("s%03d", n), Opened: at, Pieces: map[string]float64{}, Steps: map[string]float64{}}, at}
}

func (m *maker) add(kind session.StintKind, name, zone string, units int, minutes float64) {
	took := time.Duration(minutes * float64(time.Minute))
	m.Stints = append(m.Stints, session.Stint{Kind: kind, Name: name, Zone: zone, Units: units, From: m.at, To: m.at.Add(took), Took: took})
	m.at = m.at.Add(took)
}

// A stylist takes so many minutes, each time a little more or less.
type stylist struct {
	piece, rinse, drying float64
	level, noise         float64
	r                    *rand.Rand
}

func (s *stylist) around(minutes float64) float64 {
	return minutes * math.Exp(s.noise*s.r.NormFloat64())
}

// service makes up a service of four zones of six pieces.
func (s *stylist) service(n int) *maker {
	m := newMaker(n)
	today := math.Exp(s.level * s.r.NormFloat64())
	m.add(session.StintPrepare, "", "", 1, s.around(6))
	for z := range 4 {
		for range 6 {
			m.add(session.StintPlace, "weave", fmt.Sprint("z", z), 1, s.around(s.piece*today))
		}
		m.add(session.StintWalk, "", "", 1, s.around(1.5))
		m.add(session.StintRinse, "", fmt.Sprint("z", z), 1, s.around(s.rinse))
	}
	m.add(session.StintStep, "drying", "", 1, s.around(s.drying))
	m.add(session.StintClose, "", "", 1, s.around(3))
	return m
}

func (s *stylist) services(n int) (all []history.Service) {
	for i := range n {
		all = append(all, s.service(i).Service)
	}
	return all
}

func newStylist(seed uint64) *stylist {
	return &stylist{piece: 1.5, rinse: 3, drying: 17, level: 0.1, noise: 0.2, r: rand.New(rand.NewPCG(seed, 1))}
}

func fit(t testing.TB, services []history.Service) history.Known {
	t.Helper()
	k, err := history.Fit(services)
	require.NoError(t, err)
	return k
}

func TestFitOfNone(t *testing.T) {
	k := fit(t, nil)
	assert.Equal(t, pace.Default(), k.Pace)
	assert.Empty(t, k.Others)
	assert.Empty(t, k.Rows())
	assert.Zero(t, k.Services)
	assert.True(t, k.First.IsZero())
}

func TestFitFindsTheUsualTimes(t *testing.T) {
	s := newStylist(1)
	k := fit(t, s.services(40))
	assert.Equal(t, 40, k.Services)
	assert.Equal(t, 40, k.Pace.Services)
	assert.Equal(t, opened, k.First)
	assert.Equal(t, opened.AddDate(0, 0, 39), k.Last)
	assert.InEpsilon(t, s.piece, k.Pace.Steps["weave"].Minutes, 0.06)
	assert.InDelta(t, s.noise, k.Pace.Steps["weave"].Noise, 0.03)
	assert.InDelta(t, s.level, k.Pace.Level, 0.04)
	for key, want := range map[string]float64{"prepare": 6, "walk": 1.5, "rinse": 3, "step drying": 17, "close": 3} {
		l := k.Others[key]
		assert.InEpsilon(t, want, l.Median(), 0.1, key)
		assert.InDelta(t, s.noise, l.Sigma, 0.08, key)
	}
	assert.Equal(t, history.Count{Services: 40, Units: 960}, k.Seen["place weave"])
	assert.Equal(t, history.Count{Services: 40, Units: 160}, k.Seen["rinse"])
	assert.Equal(t, history.Count{Services: 40, Units: 40}, k.Seen["step drying"])
}

// TestExpectHolds draws stylists as the house figure has them, and checks that
// the next time lies in the 80 % range about as often as that, however few
// were seen.
func TestExpectHolds(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	const house, spread = 4, 0.34 // of a rinse, as expected without any seen: 0.5
	for _, n := range []int{1, 3, 10, 50} {
		held := 0
		const trials = 1500
		for range trials {
			noise := spread * math.Sqrt(2/-math.Log(r.Float64()*r.Float64())) // an inverse gamma of shape 2
			middle := math.Log(house) + noise/math.Sqrt2*r.NormFloat64()
			draw := func() float64 { return math.Exp(middle + noise*r.NormFloat64()) }
			m := newMaker(0)
			for range n {
				m.add(session.StintRinse, "", "z1", 1, draw())
			}
			l, known := fit(t, []history.Service{m.Service}).Others["rinse"]
			if next := draw(); known && l.Quantile(0.1) <= next && next <= l.Quantile(0.9) {
				held++
			}
		}
		assert.InDelta(t, 0.8, float64(held)/trials, 0.04, "%d times", n)
	}
}

func TestFitWithNonsense(t *testing.T) {
	s := newStylist(3)
	services := s.services(10)
	sane := fit(t, services)
	for name, spoil := range map[string]func(m *maker){
		"a rinse of 3 seconds":      func(m *maker) { m.add(session.StintRinse, "", "z1", 1, 0.05) },
		"a rinse of 11 seconds":     func(m *maker) { m.add(session.StintRinse, "", "z1", 1, 0.19) },
		"a rinse of 5 hours":        func(m *maker) { m.add(session.StintRinse, "", "z1", 1, 300) },
		"a rinse of 3.9 hours":      func(m *maker) { m.add(session.StintRinse, "", "z1", 1, 234) },
		"closed on the next day":    func(m *maker) { m.add(session.StintClose, "", "", 1, 20*60) },
		"a piece of 3 seconds":      func(m *maker) { m.add(session.StintPlace, "weave", "z1", 1, 0.05) },
		"a piece of 11 seconds":     func(m *maker) { m.add(session.StintPlace, "weave", "z1", 1, 0.19) },
		"a piece of 5 hours":        func(m *maker) { m.add(session.StintPlace, "weave", "z1", 1, 300) },
		"a piece of 3.9 hours":      func(m *maker) { m.add(session.StintPlace, "weave", "z1", 1, 234) },
		"a step of nothing":         func(m *maker) { m.add(session.StintStep, "drying", "", 1, 0) },
		"a step of less":            func(m *maker) { m.add(session.StintStep, "drying", "", 1, -5) },
		"no units":                  func(m *maker) { m.add(session.StintRinse, "", "z1", 0, 5) },
		"a kind that nobody knows":  func(m *maker) { m.add("juggle", "", "", 1, 5) },
		"pieces logged after a day": func(m *maker) { m.add(session.StintPlace, "weave", "z1", 2, 24*60) },
	} {
		t.Run(name, func(t *testing.T) {
			bad := newMaker(25)
			spoil(bad)
			k := fit(t, append(services[:len(services):len(services)], bad.Service))
			was, is := sane.Pace.Steps["weave"], k.Pace.Steps["weave"]
			assert.InEpsilon(t, was.Minutes, is.Minutes, 0.05)
			assert.InDelta(t, was.Noise, is.Noise, 0.05)
			assert.InDelta(t, sane.Pace.Level, k.Pace.Level, 0.06)
			assert.Less(t, k.Pace.Gaps.Length.Mean(), 3*sane.Pace.Gaps.Length.Mean())
			for key, l := range sane.Others {
				assert.InEpsilon(t, l.Median(), k.Others[key].Median(), 0.07, key)
				assert.InDelta(t, l.Sigma, k.Others[key].Sigma, 0.06, key)
			}
			assert.Len(t, k.Others, len(sane.Others))
		})
	}
}

// TestOneNonsenseAlone has nothing sane to hold on to but the house figure.
func TestOneNonsenseAlone(t *testing.T) {
	for _, minutes := range []float64{0.2, 230} {
		m := newMaker(0)
		m.add(session.StintRinse, "", "z1", 1, minutes)
		l := fit(t, []history.Service{m.Service}).Others["rinse"]
		assert.Greater(t, l.Quantile(0.9), 4.0, "the house figure is still within what may be")
		assert.Less(t, l.Quantile(0.1), 4.0)
	}
}

func TestFitKnowsNoOrder(t *testing.T) {
	services := newStylist(4).services(5)
	want := fit(t, services)
	r := rand.New(rand.NewPCG(4, 4))
	for range 3 {
		r.Shuffle(len(services), func(i, j int) { services[i], services[j] = services[j], services[i] })
		assert.Equal(t, want, fit(t, services))
	}
}

func TestFitStartsFromWhatPlansState(t *testing.T) {
	old, recent := newMaker(0), newMaker(1)
	old.Pieces["slice"], old.Steps["cut"] = 9, 60
	recent.Pieces["slice"], recent.Steps["cut"] = 3, 30
	recent.add(session.StintStep, "cut", "", 1, 30)
	k := fit(t, []history.Service{recent.Service, old.Service})
	assert.Equal(t, 3.0, k.Pace.Steps["slice"].Minutes, "as the newest states it")
	assert.InEpsilon(t, 30, k.Others["step cut"].Median(), 1e-9)
	assert.NotContains(t, k.Others, "step drying")
	recent.add(session.StintStep, "cut", "", 1, 40)
	assert.Greater(t, fit(t, []history.Service{recent.Service}).Others["step cut"].Median(), 30.5)
}

func TestUnitsCount(t *testing.T) {
	one, both := newMaker(0), newMaker(0)
	for range 8 {
		one.add(session.StintRinse, "", "z1", 1, 5)
		both.add(session.StintRinse, "", "z1", 2, 10)
	}
	assert.Equal(t, fit(t, []history.Service{one.Service}).Others, fit(t, []history.Service{both.Service}).Others, "two zones in ten minutes are five each")
}

// TestLongServicesArePutTogether has more pieces than a fit takes in one by one.
func TestLongServicesArePutTogether(t *testing.T) {
	s := newStylist(5)
	var services []history.Service
	for n := range 8 {
		m := newMaker(n)
		today := math.Exp(s.level * s.r.NormFloat64())
		for z := range 5 {
			for range 60 {
				m.add(session.StintPlace, "weave", fmt.Sprint("z", z), 1, s.around(s.piece*today))
			}
		}
		services = append(services, m.Service)
	}
	k := fit(t, services)
	assert.InEpsilon(t, s.piece, k.Pace.Steps["weave"].Minutes, 0.12)
	assert.InDelta(t, s.noise, k.Pace.Steps["weave"].Noise, 0.05)
	assert.Equal(t, 8*5*60, k.Seen["place weave"].Units)
}

func TestRows(t *testing.T) {
	rows := fit(t, newStylist(6).services(4)).Rows()
	var names []string
	for _, r := range rows {
		names = append(names, string(r.Kind)+" "+r.Name)
		assert.Less(t, r.Low, r.Usual)
		assert.Less(t, r.Usual, r.High)
		assert.Equal(t, 4, r.Seen.Services)
	}
	assert.Equal(t, []string{"place weave", "prepare ", "walk ", "rinse ", "step drying", "close "}, names)
}

func BenchmarkFit(b *testing.B) {
	s := newStylist(7)
	var services []history.Service
	for n := range history.Most {
		m := newMaker(n)
		for i := range 100 {
			m.add(session.StintPlace, "weave", fmt.Sprint("z", i*8/100), 1, s.around(s.piece))
		}
		services = append(services, m.Service)
	}
	for b.Loop() {
		_, err := history.Fit(services)
		require.NoError(b, err)
	}
}
