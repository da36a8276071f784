package session

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"rinseby/session/formula"
)

// Guide is the strand that the length of a section is taken from.
type Guide string

// The guides. The words are the trade's.
const (
	GuideNone       Guide = "none"       // cut freehand, by no guide
	GuideStationary Guide = "stationary" // every parting is brought to the first one
	GuideTravelling Guide = "travelling" // each parting is the guide of the next
)

// Guides lists all guides.
var Guides = []Guide{GuideNone, GuideStationary, GuideTravelling}

// Words that are offered for a cut; any other words may be used. Common
// practice, no source.
var (
	CutSections    = []string{"nape", "back", "left side", "right side", "sides", "crown", "top", "fringe", "perimeter", "layers"}
	OverDirections = []string{"none", "forward", "back", "to the left", "to the right", "to the previous section", "to the first section"}
	CutTextures    = []string{"blunt", "point cut", "slide cut", "razor", "thinned"}
	CutTools       = []string{"shears", "thinning shears", "razor", "clippers"}
)

// MaxElevation is hair that is held straight up from the head form, in
// degrees; at 0 it falls straight down. 0, 45, 90 and 180 are the usual ones
// (common practice, no source).
const MaxElevation = 180

// A Cut is how a section of the head was cut, and when that was noted.
type Cut struct {
	At time.Time
	CutNoted
}

// CutOf returns how the section was cut, as far as it was noted, or nil.
func CutOf(cuts []CutNoted, section string) *CutNoted {
	if i := slices.IndexFunc(cuts, func(d CutNoted) bool { return SameSection(d.Section, section) }); i >= 0 {
		return &cuts[i]
	}
	return nil
}

// SameSection reports whether two names are of one section of the head. Case
// and blanks do not tell sections apart.
func SameSection(a, b string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}

// noteCut puts a cut in the place of the one of the same section, else last.
func (s *State) noteCut(d CutNoted, at time.Time) {
	c := Cut{At: at, CutNoted: d}
	if i := slices.IndexFunc(s.Cuts, func(o Cut) bool { return SameSection(o.Section, d.Section) }); i >= 0 {
		s.Cuts[i] = c
		return
	}
	s.Cuts = append(s.Cuts, c)
}

func checkCut(d CutNoted) error {
	if strings.TrimSpace(d.Section) == "" {
		return errors.New("say which section of the head was cut, as nape or fringe")
	}
	switch {
	case d.Guide != "" && !slices.Contains(Guides, d.Guide):
		return fmt.Errorf("guide %q: say none, stationary or travelling, or leave it out", d.Guide)
	case d.Elevation != nil && !inRange(*d.Elevation, 0, MaxElevation):
		return fmt.Errorf("elevation: give 0 (falls straight down) to %d degrees", MaxElevation)
	case !inRange(d.LengthMM, 0, formula.MaxLength):
		return fmt.Errorf("length at the guide: give 0 (not noted) to %d mm", formula.MaxLength)
	case strings.TrimSpace(string(d.Guide)+d.OverDirection+d.Texture+d.Tool+d.Note) == "" && d.Elevation == nil && d.LengthMM == 0:
		return fmt.Errorf("nothing says how the %.20s was cut: give at least one of guide, elevation, over-direction, length, texture, tool and note", d.Section)
	}
	return cmp.Or(short(d.Section), short(d.OverDirection), short(d.Texture), short(d.Tool), text(d.Note))
}

// Words say how the section was cut, one thing each, in the order in which it
// is done; without the note.
func (d CutNoted) Words() (words []string) {
	switch d.Guide {
	case GuideNone:
		words = append(words, "no guide")
	case GuideStationary, GuideTravelling:
		words = append(words, string(d.Guide)+" guide")
	}
	if d.Elevation != nil {
		words = append(words, fmt.Sprintf("elevation %g°", *d.Elevation))
	}
	switch d.OverDirection {
	case "":
	case "none":
		words = append(words, "no over-direction")
	default:
		words = append(words, "over-directed "+d.OverDirection)
	}
	if d.LengthMM > 0 {
		words = append(words, fmt.Sprintf("%g mm at the guide", d.LengthMM))
	}
	for _, w := range []string{d.Texture, d.Tool} {
		if strings.TrimSpace(w) != "" {
			words = append(words, w)
		}
	}
	return words
}
