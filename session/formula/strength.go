package formula

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// A Percent is the strength of developer, or of a mix, in grams of hydrogen
// peroxide per 100 mL (% w/v). Water is 0. Where amounts are weighed it is
// used as grams per 100 g; a litre of developer weighs a little more than a
// kilogram, so that this errs to the strong side (from memory, no source).
type Percent float64

const (
	// MinStrength is the weakest developer that [ParseStrength] takes, 1 vol.
	// House rule: weaker is water for every purpose here.
	MinStrength Percent = 0.3
	// MaxStrength is the strongest, 60 vol. House rule: the trade uses up to
	// 40 vol, and 50 vol as a stock to dilute (a training text blends it
	// with 20 vol).
	MaxStrength Percent = 18
	// tolerance is what comparing forgives, in percentage points: the noise
	// of floating point, and far below what any scale or label can tell.
	tolerance Percent = 1e-6
)

const (
	// tenthsPerVolume is the trade's rounding in tenths of a percent: 10, 20,
	// 30 and 40 vol are 3, 6, 9 and 12 % (secondary pages). As a whole number it makes
	// 7 vol exactly 2.1 %.
	tenthsPerVolume = 3
	// molarMass of hydrogen peroxide in g/mol (general chemistry).
	molarMass = 34.0147
)

// Molar volumes of a gas at 0 °C in L/mol, for [FromGas].
const (
	MolarVolumeSchool = 22.4   // as general chemistry texts round it: 11.2 volumes per mol/L
	MolarVolumeAtm    = 22.414 // at 1 atm
	MolarVolumeBar    = 22.711 // at 1 bar
)

// tradeLabels are the strengths that bottles are sold by, in volumes. 10 to
// 40: the law and training texts; 50: a training text; 5 and 7: from memory.
var tradeLabels = [...]float64{5, 7, 10, 20, 30, 40, 50}

// FromVolumes is the strength that the trade means by a number of volumes: 30
// vol is 9 %.
func FromVolumes(vol float64) Percent { return Percent(vol * tenthsPerVolume / 10) }

// FromGas is the strength of a solution of which one litre gives off vol
// litres of oxygen (0 °C), by 2 H2O2 → 2 H2O + O2, for a molar volume in
// L/mol. A chemistry text page works out 30 vol to 9.11 % with
// [MolarVolumeSchool].
func FromGas(vol, molarVolume float64) Percent {
	molPerLitre := 2 * vol / molarVolume
	return Percent(molPerLitre * molarMass / 10)
}

// finite reports whether p is a number of at least zero.
func (p Percent) finite() bool { return p >= 0 && !math.IsInf(float64(p), 0) }

// AtMost reports whether p is no stronger than limit. It forgives a millionth
// of a percentage point, so that arithmetic alone neither trips nor passes a
// limit. NaN is never at most anything.
func (p Percent) AtMost(limit Percent) bool { return p <= limit+tolerance }

// Nominal is the strength that the trade writes on a bottle of p: any figure
// from the conversions of 30 vol, 8.99 to 9.11 %, gives 9. A strength
// that fits no label sold is returned as it is. Nominal never puts a stronger
// developer below a weaker one.
func (p Percent) Nominal() Percent {
	if vol, ok := p.tradeLabel(); ok {
		return FromVolumes(vol)
	}
	return p
}

// tradeLabel finds the label sold within whose conversions p lies, after
// rounding to two decimals.
func (p Percent) tradeLabel() (vol float64, ok bool) {
	const rounding = 0.005
	for _, vol := range tradeLabels {
		low, high := FromGas(vol, MolarVolumeBar)-rounding, FromGas(vol, MolarVolumeSchool)+rounding
		if low.AtMost(p) && p.AtMost(high) {
			return vol, true
		}
	}
	return 0, false
}

// Label is the strength in volumes, as the trade says it: "30 vol" for 9 % and
// for 9.11 %, "27 vol" for a blend of 8.1 %. It is for reading only; limits
// are never tested on it.
func Label(p Percent) string {
	switch vol, sold := p.tradeLabel(); {
	case !p.finite():
		return "unknown strength"
	case p.AtMost(0):
		return "water"
	case sold:
		return trim(vol) + " vol"
	case p < MinStrength:
		return "under 1 vol"
	}
	return trim(math.Round(float64(p)*10/tenthsPerVolume)) + " vol"
}

// String is the percentage with at most two decimals: "9 %".
func (p Percent) String() string {
	if !p.finite() {
		return "unknown %"
	}
	return trim(math.Round(float64(p)*100)/100) + " %"
}

func trim(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

// ParseStrength reads the strength of a developer: "30 vol", "30", "9 %",
// "9,0 %". A number without a unit means volumes, and must be 10 or above 12:
// 3, 6, 9 and 12 are as often percentages. A decimal comma needs a
// unit, and with volumes has one digit after it, because "30,20" may be two
// strengths. It refuses what lies outside [MinStrength] to [MaxStrength].
func ParseStrength(text string) (Percent, error) {
	number, unit := splitUnit(text)
	f, err := parseDecimal(number)
	if err != nil {
		return 0, fmt.Errorf(`strength %q: %w: write it as "30 vol" or "9 %%"`, text, err)
	}
	_, decimals, comma := strings.Cut(number, ",")
	var p Percent
	switch {
	case unit == "%":
		p = Percent(f)
	case unit != "" && unit != "vol":
		return 0, fmt.Errorf(`strength %q: unit %q is not known: write it as "30 vol" or "9 %%"`, text, unit)
	case comma && (unit == "" || len(decimals) > 1):
		return 0, fmt.Errorf(`strength %q may be two strengths: write one, as "30 vol", and blend in the bowl`, text)
	case unit == "" && f > 0 && f <= 12 && f != 10:
		return 0, fmt.Errorf(`strength %q may be volumes or percent: write "%s vol" or "%s %%"`, text, trim(f), trim(f))
	default:
		p = FromVolumes(f)
	}
	if err := p.checkBottle(); err != nil {
		return 0, fmt.Errorf("strength %q: %w", text, err)
	}
	return p, nil
}

// checkBottle refuses a developer outside [MinStrength] to [MaxStrength].
func (p Percent) checkBottle() error {
	switch {
	case !p.finite():
		return fmt.Errorf("not a strength: give a number from %v to %v", MinStrength, MaxStrength)
	case p.AtMost(0):
		return fmt.Errorf("0 is water: enter it as water, not as developer")
	case !MinStrength.AtMost(p):
		return fmt.Errorf("weaker than %v: check the bottle, or enter it as water", MinStrength)
	case !p.AtMost(MaxStrength):
		return fmt.Errorf("stronger than %s (%v), the most that is taken: check the bottle's label",
			Label(MaxStrength), MaxStrength)
	}
	return nil
}

// splitUnit parts a number from the unit behind it. Spellings of volumes give
// "vol".
func splitUnit(text string) (number, unit string) {
	text = strings.TrimSuffix(strings.ToLower(strings.TrimSpace(text)), ".")
	end := strings.LastIndexAny(text, "0123456789.,") + 1
	number, unit = strings.TrimSpace(text[:end]), strings.TrimSpace(text[end:])
	if number == "" {
		return text, ""
	}
	switch unit {
	case "v", "vol", "volume", "volumes":
		unit = "vol"
	}
	return number, unit
}

// parseDecimal reads a plain decimal number of at most ten characters, with a
// point or a comma. It takes no sign, exponent or word.
func parseDecimal(text string) (float64, error) {
	switch {
	case text == "":
		return 0, fmt.Errorf("the number is missing")
	case strings.HasPrefix(text, "-") || strings.HasPrefix(text, "−"):
		return 0, fmt.Errorf("a negative number cannot be")
	case strings.Trim(text, "0123456789.,") != "" || strings.Count(text, ".")+strings.Count(text, ",") > 1:
		return 0, fmt.Errorf("%q is not a plain number", text)
	case len(text) > 10:
		return 0, fmt.Errorf("%q has too many digits", text)
	}
	f, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil {
		return 0, fmt.Errorf("%q is not a plain number", text)
	}
	return f, nil
}
