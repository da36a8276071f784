package pace

import "math"

// Today is the log pace of the last units against the usual: 0.1 is a tenth
// slower, with its standard deviation. What a zone, a helper and a usual time
// that was not well known account for is left out.
func (m *Model) Today() (mean, sd float64) {
	h := Row{At: []int{level, slope}, Value: []float64{1, m.hours}}
	square := 0.0
	for _, e := range m.experts {
		at, v := e.state.Predict(h)
		mean += e.weight * at
		square += e.weight * (at*at + v)
	}
	return mean, math.Sqrt(max(square-mean*mean, 0))
}
