package formula

import (
	"fmt"
	"strings"
)

// NotForScalp reports whether a kind of product is not for the scalp at all:
// clay lightener is for open work on hair off the scalp (common practice, no
// source; the starter catalogue says the same).
func NotForScalp(k Kind) bool { return k == ClayLightener }

// Bleaches reports whether a kind is lightener in the narrower sense, of which
// one strength may be too strong for the scalp. High-lift colour is made for
// use at the scalp (common practice, no source).
func Bleaches(k Kind) bool {
	return k == PowderLightener || k == ClayLightener || k == CreamLightener
}

// StrongestForScalp is the strongest developer for which some row names the
// scalp, and serves the product of the kind. It is false if no row does. A row
// that leaves contact open does not name the scalp.
func StrongestForScalp(rows []Row, product string, k Kind) (most Percent, ok bool) {
	for _, r := range rows {
		q := Query{Product: product, Kind: k, Strength: r.Strength}
		if r.Contact == OnScalp && r.serves(q) && (!ok || r.Strength > most) {
			most, ok = r.Strength, true
		}
	}
	return most, ok
}

// A RatioRange is from the least to the most developer that a product may be
// mixed with.
type RatioRange struct{ Least, Most Ratio }

// ratioSlack forgives the weighing to the gram of a small bowl, as a share of
// the developer. House rule.
const ratioSlack = 0.03

// developer is the parts of developer to one of product.
func (r Ratio) developer() float64 { return r.Developer / r.Product }

// RatioRange is what the product's ratios span. It is false if it has none.
func (p Product) RatioRange() (RatioRange, bool) {
	if len(p.Ratios) == 0 {
		return RatioRange{}, false
	}
	out := RatioRange{p.Ratios[0], p.Ratios[0]}
	for _, r := range p.Ratios {
		if r.developer() < out.Least.developer() {
			out.Least = r
		}
		if r.developer() > out.Most.developer() {
			out.Most = r
		}
	}
	return out, true
}

// Has reports whether a ratio lies within the range, give or take 3 % of the
// developer. The zero ratio, of a mix without developer, does not.
func (s RatioRange) Has(r Ratio) bool {
	if !r.valid() {
		return false
	}
	d := r.developer()
	return d >= s.Least.developer()*(1-ratioSlack) && d <= s.Most.developer()*(1+ratioSlack)
}

// String is the range as [ParseRatioRange] reads it: "1:1 to 1:2", or "1:2".
func (s RatioRange) String() string {
	if s.Least == s.Most {
		return s.Least.String()
	}
	return s.Least.String() + " to " + s.Most.String()
}

// ParseRatioRange reads "1:1 to 1:2", the least developer first, or "1:2".
func ParseRatioRange(text string) (RatioRange, error) {
	left, right, two := strings.Cut(text, " to ")
	if !two {
		right = left
	}
	least, err := ParseRatio(strings.TrimSpace(left))
	if err != nil {
		return RatioRange{}, err
	}
	most, err := ParseRatio(strings.TrimSpace(right))
	if err != nil {
		return RatioRange{}, err
	}
	if least.developer() > most.developer() {
		return RatioRange{}, fmt.Errorf(`ratios %q: write the one with less developer first, as "1:1 to 1:2"`, text)
	}
	return RatioRange{least, most}, nil
}

// Short is the ratio with at most two decimals: "1:1.67".
func (r Ratio) Short() string {
	round := func(f float64) float64 { return float64(int64(f*100+0.5)) / 100 }
	return trim(round(r.Product)) + ":" + trim(round(r.Developer))
}
