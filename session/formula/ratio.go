package formula

import (
	"fmt"
	"strings"
)

// A Ratio is parts of product to parts of developer, by mass: 1:2. Both sides
// are above 0 and at most 100.
type Ratio struct{ Product, Developer float64 }

// ParseRatio reads "1:2", "1:1.5" or "1:1,5".
func ParseRatio(text string) (Ratio, error) {
	left, right, ok := strings.Cut(text, ":")
	if !ok {
		return Ratio{}, fmt.Errorf(`ratio %q has no colon: write product to developer, as "1:2"`, text)
	}
	var r Ratio
	for _, side := range []struct {
		name, text string
		to         *float64
	}{{"product", left, &r.Product}, {"developer", right, &r.Developer}} {
		f, err := parseDecimal(strings.TrimSpace(side.text))
		if err != nil {
			return Ratio{}, fmt.Errorf(`ratio %q, %s side: %w: write it as "1:2" or "1:1.5"`, text, side.name, err)
		}
		*side.to = f
	}
	if !r.valid() {
		return Ratio{}, fmt.Errorf(`ratio %q: give each side a number above 0 and up to 100, as "1:2"`, text)
	}
	return r, nil
}

func (r Ratio) valid() bool {
	return r.Product > 0 && r.Product <= 100 && r.Developer > 0 && r.Developer <= 100
}

// String is the ratio as [ParseRatio] reads it: "1:1.5".
func (r Ratio) String() string { return trim(r.Product) + ":" + trim(r.Developer) }

// MarshalText makes a ratio its text in JSON.
func (r Ratio) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// UnmarshalText reads what MarshalText wrote.
func (r *Ratio) UnmarshalText(text []byte) error {
	got, err := ParseRatio(string(text))
	if err == nil {
		*r = got
	}
	return err
}
