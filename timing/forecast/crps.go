package forecast

// CRPS is the continuous ranked probability score of sorted samples, whose
// weights sum to 1, for what came true: E|X − x| − E|X − X'|/2 (Gneiting and
// Raftery 2007), in minutes. Smaller is better; it rewards ranges that hold
// and are narrow.
func CRPS(sorted []Sample, came float64) float64 {
	// The second term by one pass: of two samples the later in order takes the
	// weight that lies before it.
	near, apart, before, sum := 0.0, 0.0, 0.0, 0.0
	for _, s := range sorted {
		d := s.Minutes - came
		if d < 0 {
			d = -d
		}
		near += s.Weight * d
		apart += s.Weight * (s.Minutes*before - sum)
		before += s.Weight
		sum += s.Weight * s.Minutes
	}
	return near - apart
}
