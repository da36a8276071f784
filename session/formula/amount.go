package formula

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// What one piece takes, before the stylist's own bowls tell. House figures,
// common practice, no source: they are a start to be learned away from, which
// is why the prior spread is wide.
const (
	// gramsPerMM is grams of mix, product and developer, for each millimetre
	// of a piece of medium density: 8 g for one 250 mm long.
	gramsPerMM = 0.032
	// priorSpread is the standard deviation of a stylist's own mean around
	// the house figure, as a share of that figure.
	priorSpread = 0.4
	// pieceSpread is the standard deviation from piece to piece of one
	// stylist, as a share of the house figure.
	pieceSpread = 0.35
	// shareRoot is the root's share of a strand of which no regrowth was
	// measured; midOfRest is what the mid-lengths have of what is left.
	shareRoot, midOfRest = 0.25, 0.6
)

// A Density is how much hair there is on a head, in the trade's words.
type Density string

// The densities.
const (
	Fine          Density = "fine"
	MediumDensity Density = "medium"
	Thick         Density = "thick"
)

// Densities are all densities, the least hair first.
func Densities() []Density { return []Density{Fine, MediumDensity, Thick} }

// factor is what the density does to the grams. House figures; common
// practice, no source.
func (d Density) factor() float64 {
	return map[Density]float64{Fine: 0.75, MediumDensity: 1, Thick: 1.35}[d]
}

// lengthWords are the words for length in millimetres. House figures; common
// practice, no source.
var lengthWords = map[string]float64{"short": 120, "medium": 250, "long": 450}

// MaxLength is the longest hair that is taken, in millimetres. House bound
// against slips of the keyboard.
const MaxLength = 1500

// ParseLength reads the length of hair, in millimetres: "short", "medium",
// "long", "250", "250 mm" or "25 cm". It refuses what is not above 0, or over
// [MaxLength].
func ParseLength(text string) (mm float64, err error) {
	if mm, ok := lengthWords[strings.ToLower(strings.TrimSpace(text))]; ok {
		return mm, nil
	}
	number, unit := splitUnit(text)
	f, err := parseDecimal(number)
	each, known := map[string]float64{"": 1, "mm": 1, "cm": 10}[unit]
	switch {
	case err != nil:
		return 0, fmt.Errorf(`length %q: %w: write short, medium or long, or as "250 mm"`, text, err)
	case !known:
		return 0, fmt.Errorf(`length %q: unit %q is not known: write it as "250 mm" or "25 cm"`, text, unit)
	}
	if mm := f * each; mm > 0 && mm <= MaxLength {
		return mm, nil
	}
	return 0, fmt.Errorf("length %q: must be above 0 and at most %d mm: correct it", text, MaxLength)
}

// A Strand is the hair that a piece is made of.
type Strand struct {
	LengthMM   float64 // above 0, at most MaxLength
	Density    Density
	RegrowthMM float64 // of the root; 0 not measured
}

// Share is the part of the strand's length that a band is, from 0 to 1. Bands
// are "root", "mid" and "end". The root is the regrowth, if that was measured.
func (s Strand) Share(band string) (float64, error) {
	root := shareRoot
	if s.RegrowthMM > 0 {
		root = min(s.RegrowthMM/s.LengthMM, 1)
	}
	switch band {
	case "root":
		return root, nil
	case "mid":
		return (1 - root) * midOfRest, nil
	case "end":
		return (1 - root) * (1 - midOfRest), nil
	}
	return 0, fmt.Errorf("band %q: say %s", band, oneOf([]string{"root", "mid", "end"}))
}

func (s Strand) validate() error {
	switch {
	case !(s.LengthMM > 0 && s.LengthMM <= MaxLength):
		return fmt.Errorf("length %v mm: must be above 0 and at most %d: correct it", s.LengthMM, MaxLength)
	case s.Density.factor() == 0:
		return fmt.Errorf("density %q: say %s", s.Density, oneOf(Densities()))
	case !(s.RegrowthMM >= 0 && s.RegrowthMM <= MaxLength):
		return fmt.Errorf("regrowth %v mm: must be from 0 to %d: correct it", s.RegrowthMM, MaxLength)
	}
	return nil
}

// A Use is what is known of the grams of mix that one piece takes, on the
// average, in one stylist's hands.
type Use struct {
	Mean    float64 // grams a piece
	SD      float64 // of the mean: how well it is known
	PieceSD float64 // from one piece to another
	Bowls   int     // of the stylist's own that tell; 0 for the house figure alone
}

// HouseUse is the use before any bowl tells, on the bands of a strand, which
// are coated with the same mix. It rests on no source; see the constants.
func HouseUse(s Strand, bands ...string) (Use, error) {
	if err := s.validate(); err != nil {
		return Use{}, err
	}
	var share float64
	for _, b := range bands {
		f, err := s.Share(b)
		if err != nil {
			return Use{}, err
		}
		share += f
	}
	if share <= 0 || share > 1+1e-9 {
		return Use{}, errors.New("bands: name those that are coated, each once, and none that the regrowth leaves nothing of")
	}
	mean := gramsPerMM * s.LengthMM * s.Density.factor() * share
	return Use{Mean: mean, SD: priorSpread * mean, PieceSD: pieceSpread * mean}, nil
}

// A ClosedBowl is a bowl that is empty or put away, with what was left in it.
type ClosedBowl struct {
	MixedGrams, LeftGrams float64
	Pieces                int // coated from it
}

// On is what the bowl would have been, had its pieces been of the hair that is
// instead of the hair that was; both are from [HouseUse]. So a bowl used on
// one sort of hair tells for another.
func (b ClosedBowl) On(was, is Use) ClosedBowl {
	f := is.Mean / was.Mean
	return ClosedBowl{b.MixedGrams * f, b.LeftGrams * f, b.Pieces}
}

// After is the use after one more bowl was closed. It is the normal-normal
// conjugate update with known variance (textbooks, e.g. Gelman et al.,
// Bayesian Data Analysis; from memory). With the mean m and its deviation s,
// and a bowl of n pieces that used u grams, so that u/n is normal around the
// stylist's mean with variance PieceSD²/n:
//
//	1/s'² = 1/s² + n/PieceSD²
//	m'    = s'² · (m/s² + u/PieceSD²)
//
// The order of bowls does not matter.
func (u Use) After(b ClosedBowl) (Use, error) {
	used := b.MixedGrams - b.LeftGrams
	switch {
	case !(u.Mean > 0 && u.SD > 0 && u.PieceSD > 0):
		return Use{}, errors.New("use: nothing is known to start from: begin with the house figure")
	case b.Pieces < 1 || b.Pieces > maxPieces:
		return Use{}, fmt.Errorf("bowl: %d pieces: say how many were coated from it, 1 to %d", b.Pieces, maxPieces)
	case !(b.MixedGrams > 0 && b.MixedGrams <= maxBowl) || !(b.LeftGrams >= 0):
		return Use{}, fmt.Errorf("bowl: %v g mixed and %v g left: correct the grams", b.MixedGrams, b.LeftGrams)
	case used < 0:
		return Use{}, fmt.Errorf("bowl: %v g left of %v g mixed: more is left than was there, correct it", b.LeftGrams, b.MixedGrams)
	}
	prior, seen := 1/(u.SD*u.SD), float64(b.Pieces)/(u.PieceSD*u.PieceSD)
	variance := 1 / (prior + seen)
	return Use{
		Mean:    variance * (u.Mean*prior + used/(u.PieceSD*u.PieceSD)),
		SD:      math.Sqrt(variance),
		PieceSD: u.PieceSD,
		Bowls:   u.Bowls + 1,
	}, nil
}

// Total is the grams that so many pieces take, with the standard deviation
// both of the mean and from piece to piece: √(n²·SD² + n·PieceSD²).
func (u Use) Total(pieces int) (mean, sd float64) {
	n := float64(pieces)
	return n * u.Mean, math.Sqrt(n*n*u.SD*u.SD + n*u.PieceSD*u.PieceSD)
}
