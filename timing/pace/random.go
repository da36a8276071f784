package pace

import (
	"hash/fnv"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"
)

// Numbers here are no stream: each is computed from what it is for, so that
// one more or one less of another kind leaves it as it is.

// mix spreads two numbers over one (the finaliser of splitmix64).
func mix(a, b uint64) uint64 {
	z := a*0x9e3779b97f4a7c15 + b + 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

func hash(s string) uint64 {
	h := fnv.New64a()
	h.Write([]byte(s))
	return h.Sum64()
}

// uniform is strictly between 0 and 1.
func uniform(key uint64, draw int, what uint64) float64 {
	return (float64(mix(mix(key, uint64(draw)), what)>>11) + 0.5) / (1 << 53)
}

// normals are as many equally likely points of the unit normal distribution:
// finer than any use of them, and quicker than working out each anew.
var normals = func() (points [1 << 12]float64) {
	for i := range points {
		points[i] = distuv.UnitNormal.Quantile((float64(i) + 0.5) / float64(len(points)))
	}
	return points
}()

func unitNormal(key uint64, draw int, what uint64) float64 {
	return normals[mix(mix(key, uint64(draw)), what)>>52]
}

// spread is one number from each of n equal parts of 0 to 1, in random order.
func spread(n int, seed uint64) []float64 {
	r := rand.New(rand.NewPCG(seed, seed))
	out := make([]float64, n)
	for i, k := range r.Perm(n) {
		out[i] = (float64(k) + r.Float64()) / float64(n)
	}
	return out
}
