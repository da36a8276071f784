package formula

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// GramsPerOunce is the international avoirdupois ounce: a sixteenth of the
// pound, which is exactly 453.59237 g by the agreement of 1959.
const GramsPerOunce = 28.349523125

const (
	// DeveloperDensity is what a millilitre of developer is taken to weigh, in
	// grams. From memory, no source: peroxide in water weighs about 1.01 g/ml
	// at 3 % and 1.04 at 12 %. A cream may differ: weigh where it matters.
	DeveloperDensity = 1.02
	// DeveloperDensityOrigin says on screen where the density comes from.
	DeveloperDensityOrigin = "1.02 g/ml, from memory; weighing is exact"
)

// A Unit is what an amount is measured in.
type Unit string

// The units.
const (
	Gram       Unit = "g"
	Ounce      Unit = "oz"
	Millilitre Unit = "ml" // of developer only
)

// unitSpellings are what people type for a unit.
var unitSpellings = map[string]Unit{
	"": Gram, "g": Gram, "gr": Gram, "gram": Gram, "grams": Gram,
	"oz": Ounce, "ounce": Ounce, "ounces": Ounce,
	"ml": Millilitre, "millilitre": Millilitre, "millilitres": Millilitre,
}

// OuncesToGrams is exact but for floating point.
func OuncesToGrams(ounces float64) float64 { return ounces * GramsPerOunce }

// GramsToOunces is exact but for floating point.
func GramsToOunces(grams float64) float64 { return grams / GramsPerOunce }

// DeveloperGrams is what millilitres of developer weigh, by [DeveloperDensity].
func DeveloperGrams(millilitres float64) float64 { return millilitres * DeveloperDensity }

// DeveloperMillilitres is the room that grams of developer take up, by
// [DeveloperDensity].
func DeveloperMillilitres(grams float64) float64 { return grams / DeveloperDensity }

// An Amount is a number of some unit, as it was typed.
type Amount struct {
	Value float64
	Unit  Unit
}

// ParseAmount reads "45", "45 g", "1.5 oz", "1,5 oz" or "90 ml". A number
// without a unit is grams. It refuses what is not above 0, or over 5 kg; and
// a comma with three digits behind it, which may stand for thousands.
func ParseAmount(text string) (Amount, error) {
	number, word := splitUnit(text)
	f, err := parseDecimal(number)
	_, decimals, comma := strings.Cut(number, ",")
	unit, known := unitSpellings[word]
	switch {
	case err != nil:
		return Amount{}, fmt.Errorf(`amount %q: %w: write it as "45 g", "1.5 oz" or "90 ml"`, text, err)
	case strings.HasSuffix(number, ",") || strings.HasSuffix(number, "."):
		return Amount{}, fmt.Errorf(`amount %q: no digit follows the %q: write it as "45 g" or "1.5 oz"`, text, number[len(number)-1:])
	case !known:
		return Amount{}, fmt.Errorf(`amount %q: unit %q is not known: write g, oz or ml`, text, word)
	case comma && len(decimals) > 2:
		return Amount{}, fmt.Errorf(`amount %q: the comma may mean thousands: write it with a point, or without a mark`, text)
	}
	a := Amount{f, unit}
	if grams := a.DeveloperGrams(); !(grams > 0 && grams <= maxGrams) {
		return Amount{}, fmt.Errorf("amount %q: must be above 0 and at most %d g: correct it", text, maxGrams)
	}
	return a, nil
}

// DeveloperGrams is the weight of an amount of developer.
func (a Amount) DeveloperGrams() float64 {
	switch a.Unit {
	case Ounce:
		return OuncesToGrams(a.Value)
	case Millilitre:
		return DeveloperGrams(a.Value)
	}
	return a.Value
}

// Grams is the weight of an amount of anything. It refuses millilitres: only
// for developer is a density known.
func (a Amount) Grams() (float64, error) {
	if a.Unit == Millilitre {
		return 0, fmt.Errorf(`%v: product and mix are weighed: give grams or ounces, as "45 g"`, a)
	}
	return a.DeveloperGrams(), nil
}

// String is the amount with its unit: "1.5 oz".
func (a Amount) String() string { return trim(a.Value) + " " + string(a.Unit) }

// Say is grams in words: in tenths of a gram, as a salon's scale shows them,
// in hundredths of an ounce, or in whole millilitres of developer.
func (u Unit) Say(grams float64) string {
	switch u {
	case Ounce:
		return trim(math.Round(GramsToOunces(grams)*100)/100) + " oz"
	case Millilitre:
		return trim(math.Round(DeveloperMillilitres(grams))) + " ml"
	}
	return trim(math.Round(grams*10)/10) + " g"
}

// ParseMinutes reads a length of time: "1.5" and "1,5" are minutes, "45m",
// "45 min", "90 s", "1 h" and "1h30m" say so. It refuses what is not above 0,
// or over a day.
func ParseMinutes(text string) (time.Duration, error) {
	const example = `write it as "45m", "1.5 min" or "90 s"`
	d, err := time.ParseDuration(strings.TrimSpace(text))
	if err != nil {
		number, unit := splitUnit(text)
		each, known := map[string]time.Duration{
			"": time.Minute, "m": time.Minute, "min": time.Minute, "minute": time.Minute, "minutes": time.Minute,
			"s": time.Second, "sec": time.Second, "seconds": time.Second,
			"h": time.Hour, "hour": time.Hour, "hours": time.Hour,
		}[unit]
		f, err := parseDecimal(number)
		switch {
		case err != nil:
			return 0, fmt.Errorf("time %q: %w: %s", text, err, example)
		case strings.HasSuffix(number, ",") || strings.HasSuffix(number, "."):
			return 0, fmt.Errorf("time %q: no digit follows the %q: %s", text, number[len(number)-1:], example)
		case !known:
			return 0, fmt.Errorf("time %q: unit %q is not known: %s", text, unit, example)
		}
		// Bounded before it becomes a duration, which would overflow.
		d = time.Duration(min(f*float64(each), float64(longest+1)))
	}
	if d <= 0 || d > longest {
		return 0, fmt.Errorf("time %q: must be above 0 and at most a day: correct it", text)
	}
	return d, nil
}

// longest is the most of any length of time here, against slips of the
// keyboard.
const longest = 24 * time.Hour
