package formula

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// ReadyCap is the most hydrogen peroxide that a hair product may hold when it
// is ready for use: 12 % (40 volumes), Regulation (EC) No 1223/2009, Annex III
// entry 12 as replaced by Regulation (EU) 2019/831. It is for the mix in the
// bowl, not for the bottle.
const ReadyCap Percent = 12

// ErrOverCap is wrapped by the error of [CheckCap] if a mix is too strong.
var ErrOverCap = errors.New("over the legal cap on peroxide")

// maxGrams is the most of one part of a mix. House bound against slips of the
// keyboard; a full bowl is some hundreds of grams.
const maxGrams = 5000

// A Part is an amount of developer, in parts, grams or millilitres, but the
// same for all parts of a blend. Water is a part of strength 0.
type Part struct {
	Strength Percent `json:"strength_pct"`
	Amount   float64 `json:"amount"`
}

// Blend is the strength of developers, and water, put together: the mean,
// weighted by amount (training texts: 1 part of 50 vol and 2 of 20 vol make
// 30 vol). Amounts are above 0, strengths from 0 to [MaxStrength].
func Blend(parts []Part) (Percent, error) {
	if len(parts) == 0 {
		return 0, errors.New("blend: nothing to blend: add a developer")
	}
	for i, p := range parts {
		if !p.Strength.finite() || !p.Strength.AtMost(MaxStrength) {
			return 0, fmt.Errorf("blend, part %d: strength must be from 0 (water) to %v: correct it", i+1, MaxStrength)
		}
		if err := checkAmount(p.Amount); err != nil {
			return 0, fmt.Errorf("blend, part %d: %w", i+1, err)
		}
	}
	return mean(parts), nil
}

// mean is the weighted mean of the strengths, kept within the weakest and the
// strongest part.
func mean(parts []Part) Percent {
	var peroxide, amount float64
	low, high := Percent(math.Inf(1)), Percent(0)
	for _, p := range parts {
		peroxide += float64(p.Strength) * p.Amount
		amount += p.Amount
		low, high = min(low, p.Strength), max(high, p.Strength)
	}
	return min(max(Percent(peroxide/amount), low), high)
}

func checkAmount(a float64) error {
	if !(a > 0 && a <= maxGrams) { // NaN fails too
		return fmt.Errorf("amount %v must be above 0 and at most %d: correct it", a, maxGrams)
	}
	return nil
}

// A Mix is what was put into one bowl, in grams. The order of parts has no
// meaning.
type Mix struct {
	Products   []ProductPart   `json:"products"`
	Developers []DeveloperPart `json:"developers,omitempty"`
	WaterGrams float64         `json:"water_grams,omitempty"`
}

// A ProductPart is the grams of one product in a mix.
type ProductPart struct {
	Product string  `json:"product"`
	Grams   float64 `json:"grams"`
}

// A DeveloperPart is the grams of one developer in a mix. Its strength is that
// of the bottle.
type DeveloperPart struct {
	Strength Percent `json:"strength_pct"`
	Grams    float64 `json:"grams"`
}

// Validate refuses a mix that can't be: one without a product, or with a
// part whose grams or strength are not above zero and within bounds. It does
// not test the legal cap, which is for [CheckCap].
func (m Mix) Validate() error {
	if len(m.Products) == 0 {
		return errors.New("mix: no product: add what goes into the bowl besides developer")
	}
	for i, p := range m.Products {
		if strings.TrimSpace(p.Product) == "" {
			return fmt.Errorf("mix, product %d: the name is missing: give it", i+1)
		}
		if err := checkAmount(p.Grams); err != nil {
			return fmt.Errorf("mix, grams of %s: %w", p.Product, err)
		}
	}
	for i, d := range m.Developers {
		if err := d.Strength.checkBottle(); err != nil {
			return fmt.Errorf("mix, developer %d: %w", i+1, err)
		}
		if err := checkAmount(d.Grams); err != nil {
			return fmt.Errorf("mix, grams of developer %d (%s): %w", i+1, Label(d.Strength), err)
		}
	}
	if m.WaterGrams != 0 {
		if err := checkAmount(m.WaterGrams); err != nil {
			return fmt.Errorf("mix, grams of water: %w", err)
		}
	}
	return nil
}

// liquid are the developers and the water.
func (m Mix) liquid() []Part {
	parts := make([]Part, 0, len(m.Developers)+1)
	for _, d := range m.Developers {
		parts = append(parts, Part{d.Strength, d.Grams})
	}
	if m.WaterGrams != 0 {
		parts = append(parts, Part{0, m.WaterGrams})
	}
	return parts
}

// Developer is the strength of the developers and the water blended, which is
// what a window is looked up by. It is 0 for a product used by itself, and NaN
// for a mix that is not valid.
func (m Mix) Developer() Percent {
	switch {
	case m.Validate() != nil:
		return Percent(math.NaN())
	case len(m.liquid()) == 0:
		return 0
	}
	return mean(m.liquid())
}

// Ready is the peroxide in the whole mix by mass, products counted as holding
// none: 12 % developer at 1:1 gives 6 %. It is NaN for a mix that is not
// valid.
func (m Mix) Ready() Percent {
	if m.Validate() != nil {
		return Percent(math.NaN())
	}
	parts := m.liquid()
	for _, p := range m.Products {
		parts = append(parts, Part{0, p.Grams})
	}
	return mean(parts)
}

// Ratio is product to developer with water, with 1 on the side of the
// product. It is zero if the mix has no liquid or is not valid.
func (m Mix) Ratio() Ratio {
	if m.Validate() != nil || len(m.liquid()) == 0 {
		return Ratio{}
	}
	product := 0.0
	for _, p := range m.Products {
		product += p.Grams
	}
	return Ratio{Product: 1, Developer: (m.Total() - product) / product}
}

// Total is the grams of everything in the bowl.
func (m Mix) Total() float64 {
	total := m.WaterGrams
	for _, p := range m.Products {
		total += p.Grams
	}
	for _, d := range m.Developers {
		total += d.Grams
	}
	return total
}

// A Law is the most peroxide that a mix may hold when it is ready for use, and
// where that holds.
type Law struct {
	Max    Percent
	Name   string // in a few words: "EU law, (EC) 1223/2009"
	Source string
}

// anyLaw is for where nobody says which region it is.
var anyLaw = Law{Max: ReadyCap, Name: "EU and UK law"}

// orAny is the law, or, of no known region, the one that is kept everywhere.
func (l Law) orAny() Law {
	if l == (Law{}) {
		return anyLaw
	}
	return l
}

// String is the law with its figure: "12 % is the most (EU law, (EC)
// 1223/2009)".
func (l Law) String() string { return fmt.Sprintf("%v is the most (%s)", l.Max, l.Name) }

// Check refuses a mix that is not valid, or that holds more peroxide than the
// law allows ready for use; the latter error wraps [ErrOverCap]. The zero Law is
// that of no known region.
func (l Law) Check(m Mix) error {
	l = l.orAny()
	if err := m.Validate(); err != nil {
		return err
	}
	ready := m.Ready()
	if ready.AtMost(l.Max) {
		return nil
	}
	// Rounded up, so that what is over never reads as the cap itself.
	shown := Percent(math.Ceil(float64(ready)*100) / 100)
	return fmt.Errorf("%w: the mix holds %v, and %v ready for use: take a weaker developer or dilute it", ErrOverCap, shown, l)
}

// CheckCap is [Law.Check] where no region is known.
func CheckCap(m Mix) error { return anyLaw.Check(m) }
