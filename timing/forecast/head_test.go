package forecast

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rinseby/timing/pace"
)

// half is the first half of a full head: six zones of eight pieces.
func half() []pace.Observation {
	r := rand.New(rand.NewPCG(3, 3))
	var out []pace.Observation
	for i := range 48 {
		out = append(out, pace.Observation{
			Step: "foil", Zone: fmt.Sprint("zone ", i/8+1), Units: 1, Took: minutes(1.5 * math.Exp(0.3*r.NormFloat64())),
		})
	}
	return out
}

// fullHead is a full head at half: the zones seven to twelve are to come, then
// a toning round and three steps.
func fullHead(tb testing.TB) (Input, *pace.Model) {
	m, err := pace.New(pace.Default().With("foil", 1.5).With("tone", 4))
	require.NoError(tb, err)
	now := 0.0
	in := Input{Rounds: make([][]Zone, 2), Walk: pace.Around(2, 0), Reseat: pace.Around(2, 0)}
	zone := Zone{
		Step: "foil", Opens: 15 * time.Minute, Limit: 50 * time.Minute,
		Rinse: around(4, 0.2), Develop: pace.Around(30, 0.2),
	}
	var starts, ends [6]float64
	for i, o := range half() {
		require.NoError(tb, m.Observe(o))
		if i%8 == 0 {
			starts[i/8] = now
		}
		now += o.Took.Minutes()
		ends[i/8] = now
	}
	for i := range 12 {
		z := zone
		z.Name = fmt.Sprint("zone ", i+1)
		if i < 6 {
			z.On, z.First, z.Last = true, minutes(now-starts[i]), minutes(now-ends[i])
		} else {
			z.Units = 8
		}
		in.Rounds[0] = append(in.Rounds[0], z)
	}
	in.Rounds[0][8].Mixes, in.Rounds[0][8].Mix = 1, around(3, 0.3)
	in.Rounds[1] = []Zone{{
		Name: "toner", Step: "tone", Units: 1, Mixes: 1, Mix: around(3, 0.3), Opens: 5 * time.Minute,
		Limit: 20 * time.Minute, Develop: pace.Around(10, 0.2), Rinse: around(4, 0.2),
	}}
	in.Steps = []Step{{Name: "dry", Usual: pace.Around(20, 0.15)}, {Name: "cut", Usual: pace.Around(30, 0.2)}, {Name: "finish", Usual: pace.Around(10, 0.3)}}
	return in, m
}

func around(minutes, spread float64) Chore { return Chore{LogNormal: pace.Around(minutes, spread)} }
