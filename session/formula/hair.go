package formula

import (
	"fmt"
	"slices"
	"strings"
)

// A Kind is what sort of product something is. Percent alone sets no window:
// half an hour of bleach opened hair to dye several times more than an hour of
// 6 % peroxide (J. Soc. Cosmet. Chem. 44(6), 1993, Table III).
type Kind string

// The kinds of product.
const (
	PowderLightener Kind = "powder lightener"
	ClayLightener   Kind = "clay lightener" // for open work
	CreamLightener  Kind = "cream lightener"
	HighLift        Kind = "high-lift colour"
	Permanent       Kind = "permanent colour"
	Demi            Kind = "demi colour" // toners too
	Semi            Kind = "semi colour"
)

// Kinds are all kinds, lighteners first.
func Kinds() []Kind {
	return []Kind{PowderLightener, ClayLightener, CreamLightener, HighLift, Permanent, Demi, Semi}
}

// An Action is what a product is for.
type Action string

// The actions.
const (
	Lighten Action = "lighten"
	Colour  Action = "colour"
)

// Action is what the kind is for. High-lift colour counts as lightening,
// which is what makes its window matter. An unknown kind has none ("").
func (k Kind) Action() Action {
	switch k {
	case PowderLightener, ClayLightener, CreamLightener, HighLift:
		return Lighten
	case Permanent, Demi, Semi:
		return Colour
	}
	return ""
}

// A Contact is whether product touches the scalp.
type Contact string

// The contacts, the milder first. In a [Row], AnyContact means both.
const (
	AnyContact Contact = ""
	OffScalp   Contact = "off"
	OnScalp    Contact = "scalp"
)

// Contacts are both contacts, the milder first.
func Contacts() []Contact { return []Contact{OffScalp, OnScalp} }

// A Condition is what the hair went through before. If several are true, the
// worst counts.
type Condition string

// The conditions from best to worst. In a [Row], AnyCondition means all.
const (
	AnyCondition Condition = ""
	Natural      Condition = "natural"
	Coloured     Condition = "coloured"
	Lightened    Condition = "lightened"
	Sensitive    Condition = "sensitive" // porous, stretched, damaged or treated otherwise
)

// Conditions are all conditions from best to worst.
func Conditions() []Condition { return []Condition{Natural, Coloured, Lightened, Sensitive} }

// Hair is what a coat meets: where it lies, what the hair went through, and
// whether heat is put to it.
type Hair struct {
	Contact   Contact   `json:"contact"`
	Condition Condition `json:"condition"`
	Heat      bool      `json:"heat"`
}

// Validate refuses hair of which contact or condition is not known: a window
// can't be looked up by guessing.
func (h Hair) Validate() error {
	if !slices.Contains(Contacts(), h.Contact) {
		return fmt.Errorf("contact %q: say %s", h.Contact, oneOf(Contacts()))
	}
	if !slices.Contains(Conditions(), h.Condition) {
		return fmt.Errorf("condition %q: say %s", h.Condition, oneOf(Conditions()))
	}
	return nil
}

// milder are all sorts of hair that are no worse than h in any respect, h
// itself among them.
func (h Hair) milder() []Hair {
	var out []Hair
	for _, contact := range Contacts()[:slices.Index(Contacts(), h.Contact)+1] {
		for _, condition := range Conditions()[:slices.Index(Conditions(), h.Condition)+1] {
			out = append(out, Hair{contact, condition, false})
			if h.Heat {
				out = append(out, Hair{contact, condition, true})
			}
		}
	}
	return out
}

// String is the hair in words: "natural hair off the scalp, no heat".
func (h Hair) String() string {
	where, heat := "off the scalp", "no heat"
	if h.Contact == OnScalp {
		where = "at the scalp"
	}
	if h.Heat {
		heat = "heat"
	}
	return fmt.Sprintf("%s hair %s, %s", h.Condition, where, heat)
}

// oneOf lists words to choose from: "a", "b" or "c".
func oneOf[S ~string](words []S) string {
	var b strings.Builder
	for i, w := range words {
		switch {
		case i > 0 && i == len(words)-1:
			b.WriteString(" or ")
		case i > 0:
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, "%q", string(w))
	}
	return b.String()
}
