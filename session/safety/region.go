package safety

import (
	"fmt"
	"strings"

	"rinseby/session/formula"
)

// A Region is where the salon is, as far as rules differ. The zero Region is
// not set: the strictest of all rules holds.
type Region string

// The regions.
const (
	AnyRegion  Region = "" // not set
	EU         Region = "eu"
	UK         Region = "uk"
	US         Region = "us"
	Canada     Region = "canada"
	Australia  Region = "australia"
	NewZealand Region = "new-zealand"
)

// Regions lists the regions that can be set.
func Regions() []Region { return []Region{EU, UK, US, Canada, Australia, NewZealand} }

// ParseRegion reads a region. Empty text is no region.
func ParseRegion(text string) (Region, error) {
	r := Region(strings.ToLower(strings.TrimSpace(text)))
	if r == AnyRegion {
		return r, nil
	}
	var words []string
	for _, known := range Regions() {
		if r == known {
			return r, nil
		}
		words = append(words, string(known))
	}
	return AnyRegion, fmt.Errorf("%q is not a region: give one of %s, or leave it empty for the strictest rules", text, strings.Join(words, ", "))
}

// A Rule is a figure that differs by region, and where it comes from.
type Rule[T any] struct {
	Value  T
	Source string
}

// Rules are the figures of a region.
type Rules struct {
	law string // that Peroxide is from, in a few words
	// Peroxide is the most hydrogen peroxide in the mix, ready for use.
	Peroxide Rule[formula.Percent]
	// TestHours is how many hours before the service a skin test is made, at
	// least.
	TestHours Rule[int]
	// TestDays is for how many days a skin test that showed nothing serves.
	TestDays Rule[int]
	// Emergency is the number to call.
	Emergency Rule[string]
	// Looser says where the salon's own figures for the skin test ask for less
	// than the region's; empty where they don't.
	Looser string
}

// FewestDays is how many days before the service a skin test is made, at least.
func (r Rules) FewestDays() int { return (r.TestHours.Value + 23) / 24 }

// Law is the cap on peroxide in the mix, with the law that it is from.
func (r Rules) Law() formula.Law {
	return formula.Law{Max: r.Peroxide.Value, Name: r.law, Source: r.Peroxide.Source}
}

// The most that the salon may set for itself: house bounds against slips of a
// key.
const (
	MostTestHours = 14 * 24
	MostTestDays  = 366
)

// With is the rules with the salon's own figures for the skin test; 0 leaves
// that of the region. Figures that ask for less are told as such: the maker's
// instructions and the region may ask for more.
func (r Rules) With(hours, days int) Rules {
	var less []string
	if hours > 0 {
		if hours < r.TestHours.Value {
			less = append(less, fmt.Sprintf("%d hours before, where %d are usual here", hours, r.TestHours.Value))
		}
		r.TestHours = Rule[int]{hours, salon + "; else: " + r.TestHours.Source}
	}
	if days > 0 {
		if days > r.TestDays.Value {
			less = append(less, fmt.Sprintf("a test that is good for %d days, where %d are usual here", days, r.TestDays.Value))
		}
		r.TestDays = Rule[int]{days, salon + "; else: " + r.TestDays.Source}
	}
	if len(less) > 0 {
		r.Looser = "This salon has set " + strings.Join(less, ", and ") + ": the products' instructions come first."
	}
	return r
}

// The sources of the figures of regions.
const (
	peroxideEU = "Regulation (EC) 1223/2009 Annex III entry 12, as replaced by Regulation (EU) 2019/831"
	peroxideUK = "the UK text of Regulation (EC) 1223/2009 Annex III entry 12 (from memory that it is the same)"
	noLaw      = "house rule: no law of this region was read, so the EU's figure is kept"
	eachTime   = "before each use: "
	salon      = "the salon's own setting"
	lawEU      = "EU law, (EC) 1223/2009"
	lawUK      = "UK law, (EC) 1223/2009 as kept"
	lawNone    = "house rule, as EU law"
	houseDays  = "a house rule, no source, bounds how many days before that may be"
)

// noNumber names all numbers, for a region that is not set.
const noNumber = "112 EU, 999 UK, 911 US and Canada, 000 Australia, 111 New Zealand"

// NumberIn is the number to show: where a record has no region, and so names all
// numbers, that of the region that is set on the machine, if one is.
func NumberIn(number string, machine Region) string {
	if number == noNumber {
		return RulesOf(machine).Emergency.Value
	}
	return number
}

// RulesOf returns the figures of a region.
func RulesOf(r Region) Rules {
	all := Rules{
		law:       lawNone,
		Peroxide:  Rule[formula.Percent]{formula.ReadyCap, noLaw},
		TestHours: Rule[int]{fewestHours, training},
		TestDays:  Rule[int]{mostDays, houseRule},
	}
	switch r {
	case EU:
		all.law = lawEU
		all.Peroxide.Source = peroxideEU
		all.Emergency = Rule[string]{"112", memory}
	case UK:
		all.law = lawUK
		all.Peroxide.Source = peroxideUK
		// A trade body's page, tied to one insurance policy: the maker's own
		// limit, if shorter, comes first.
		all.TestDays = Rule[int]{182, "UK trade body (NHBF) page, read on a secondary page: existing clients again every 6 months"}
		all.Emergency = Rule[string]{"999", "nhs.uk"}
	case US:
		all.TestHours.Source = "FDA, archived page: leave it for 2 days"
		all.TestDays.Source = eachTime + "FDA, archived page; " + houseDays
		all.Emergency = Rule[string]{"911", "Mayo Clinic"}
	case Canada:
		all.TestHours = Rule[int]{24, "Cosmetic Regulations C.R.C. c. 869 s. 22: 24 hours"}
		all.TestDays.Source = eachTime + "Cosmetic Regulations C.R.C. c. 869 s. 22; " + houseDays
		all.Emergency = Rule[string]{"911", memory}
	case Australia:
		all.Emergency = Rule[string]{"000", memory}
	case NewZealand:
		all.Emergency = Rule[string]{"111", "healthinfo.org.nz"}
	default:
		all.law = "EU and UK law"
		all.Peroxide.Source = peroxideEU + "; no region is set, so the strictest rule holds"
		all.Emergency = Rule[string]{noNumber, "nhs.uk, Mayo Clinic, healthinfo.org.nz; 112 and 000 from memory"}
	}
	return all
}
