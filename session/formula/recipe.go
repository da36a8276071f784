package formula

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// A Recipe is what goes into a bowl, in parts: one product, and the liquid
// that it is mixed with.
type Recipe struct {
	Product string
	Ratio   Ratio  // product to liquid; zero: used without developer
	Liquid  []Part // developers, and water with strength 0, in parts of one measure
}

// Mix is the recipe for so many grams of product. Amounts are exact, so that
// weighing to the tenth of a gram does not change the strength on paper. The
// mix comes back with the error of [CheckCap], too.
func (r Recipe) Mix(productGrams float64) (Mix, error) {
	m := Mix{Products: []ProductPart{{Product: r.Product, Grams: productGrams}}}
	if r.Ratio == (Ratio{}) && len(r.Liquid) == 0 {
		return m, m.Validate()
	}
	switch {
	case !r.Ratio.valid():
		return m, errors.New(`recipe: the ratio is missing: give product to developer, as "1:2"`)
	case len(r.Liquid) == 0:
		return m, errors.New("recipe: the developer is missing: give its strength")
	}
	if _, err := Blend(r.Liquid); err != nil {
		return m, err
	}
	var parts float64
	for _, l := range r.Liquid {
		parts += l.Amount
	}
	for _, l := range r.Liquid {
		grams := productGrams * r.Ratio.Developer / r.Ratio.Product * l.Amount / parts
		if l.Strength == 0 {
			m.WaterGrams += grams
		} else {
			m.Developers = append(m.Developers, DeveloperPart{Strength: l.Strength, Grams: grams})
		}
	}
	return m, CheckCap(m)
}

// Weigh lists what to put into the bowl: "20 g Chalk + 40 g 30 vol".
func Weigh(m Mix, u Unit) string {
	var parts []string
	for _, p := range m.Products {
		parts = append(parts, u.Say(p.Grams)+" "+p.Product)
	}
	for _, d := range m.Developers {
		parts = append(parts, u.Say(d.Grams)+" "+Label(d.Strength))
	}
	if m.WaterGrams > 0 {
		parts = append(parts, u.Say(m.WaterGrams)+" water")
	}
	return strings.Join(parts, " + ")
}

// MixLines says what to weigh and, on a line of its own, what that makes. It
// is for a mix that passes the law; the zero Law is that of no known region.
func MixLines(m Mix, u Unit, law Law) []string {
	law = law.orAny()
	weigh := Weigh(m, u) + ": " + u.Say(m.Total()) + " in all"
	if m.Developer().AtMost(0) {
		return []string{weigh, "without developer"}
	}
	return []string{weigh, fmt.Sprintf("%s developer (%v), %v when ready; %v",
		Label(m.Developer()), m.Developer(), m.Ready(), law)}
}

// ParseBlend reads strengths with their parts: "30:1,20:1" is one part of 30
// vol and one of 20 vol, "9 %:2,water:1" two parts of 9 % and one of water. It
// takes two to four, of which one at least is no water.
func ParseBlend(text string) ([]Part, error) {
	const example = `write strengths with their parts, as "30:1,20:1" or "40:1,water:1"`
	var parts []Part
	for _, item := range strings.Split(text, ",") {
		strength, amount, ok := strings.Cut(item, ":")
		if !ok {
			return nil, fmt.Errorf("blend %q: %q has no colon: %s, with a point in decimals", text, item, example)
		}
		p := Part{}
		var err error
		if strings.TrimSpace(strings.ToLower(strength)) != "water" {
			if p.Strength, err = ParseStrength(strength); err != nil {
				return nil, fmt.Errorf("blend: %w", err)
			}
		}
		if p.Amount, err = parseDecimal(strings.TrimSpace(amount)); err != nil {
			return nil, fmt.Errorf("blend %q: %w: %s", text, err, example)
		}
		if !(p.Amount > 0 && p.Amount <= 100) {
			return nil, fmt.Errorf("blend %q: parts must be above 0 and at most 100: %s", text, example)
		}
		parts = append(parts, p)
	}
	strong, _ := Blend(parts)
	switch {
	case len(parts) < 2 || len(parts) > 4:
		return nil, fmt.Errorf("blend %q: takes two to four liquids, not %d: %s", text, len(parts), example)
	case strong.AtMost(0):
		return nil, fmt.Errorf("blend %q: all of it is water: add a developer", text)
	}
	return parts, nil
}

// round is to so many decimals, for figures that are read by people and
// scripts.
func round(f float64, decimals int) float64 {
	scale := math.Pow10(decimals)
	return math.Round(f*scale) / scale
}
