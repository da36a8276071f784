package form

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/tui/clean"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// otherSection is chosen for a section that is called by words of one's own.
const otherSection = "\x00"

// cutForm is what was typed of a cut.
type cutForm struct {
	now, last []session.CutNoted // noted in this visit, and in the last

	section, own string
	guide        session.Guide
	overDir      string
	texture      string
	tool         string
	elevation    string // degrees
	length       string // mm
	note         string
	offered      session.CutNoted // what was offered for the section in hand
	renew        []func()
}

// Cut asks how a section of the head was cut. What was noted for the section
// in this visit is offered, else what was noted in the last, which may be
// empty. Its intent logs one session.CutNoted.
func Cut(th *theme.Theme, s *session.State, last []session.CutNoted) *Form {
	c := &cutForm{last: last}
	for _, k := range s.Cuts {
		c.now = append(c.now, k.CutNoted)
	}
	sections := c.sections()
	c.section = c.first(sections)
	c.offer()
	choices := words(sections[0], sections[1:]...)
	choices[0].value = sections[0]
	where := turn("Section of the head", &c.section, append(choices, choice[string]{"another, in your words", otherSection})).
		helped("The part of the head that the cut is noted for, one at a time. What was noted for it before is offered on the next page.")
	own := text("Section, in your words", &c.own, name("what the section is called")).
		helped("What you call the section, as behind the ears. The next visit finds it by this name.")
	move := where.sync
	where.sync = func() { move(); c.offer() }
	own.sync = c.offer
	lead := []string{"So that it can be repeated. Noted so far: " + cmp.Or(names(c.now), "nothing") + "."}
	if len(last) > 0 {
		lead = append(lead, "Noted at the last visit, and offered: "+names(last)+".")
	}
	return start(th, Form{
		title: "The cut",
		lead:  lead,
		pages: []page{
			{fields: []field{where}},
			{fields: []field{own}, hidden: func() bool { return c.section != otherSection }},
			{fields: []field{
				c.kept(turn("Guide", &c.guide, words("not noted", session.Guides...)).
					helped("The guide is the strand that the others are cut to. A travelling one moves along with each section, a stationary one stays where it is and all is brought to it.")),
				c.kept(text("Elevation, degrees: 0 falls straight down, 90 straight out, 180 straight up", &c.elevation, optional(between(0, session.MaxElevation))).
					helped(fmt.Sprintf("Elevation is how high the hair is held from the head while it is cut: from 0 to %d degrees. Held low it makes weight, held high it makes layers.", session.MaxElevation))),
				c.kept(c.turn("Over-direction", &c.overDir, session.OverDirections, func(d session.CutNoted) string { return d.OverDirection }).
					helped("Over-direction is pulling hair away from where it falls before it is cut, as to the back or forward: it stays longer on the side that it is pulled from.")),
				c.kept(text("Length at the guide, mm", &c.length, optional(between(0, formula.MaxLength))).
					helped(fmt.Sprintf("How long the guide is left: from 0 to %d mm, as 120 for 12 cm.", formula.MaxLength))),
			}},
			{fields: []field{
				c.kept(c.turn("Texture", &c.texture, session.CutTextures, func(d session.CutNoted) string { return d.Texture }).
					helped("How the ends are left: blunt, or thinned in one way or another.")),
				c.kept(c.turn("Tool", &c.tool, session.CutTools, func(d session.CutNoted) string { return d.Tool }).
					helped("What it is cut with.")),
				c.kept(text("Note", &c.note, upTo(session.MaxText)).
					helped("Anything else that is needed to cut it like this again. It goes on the card.")),
			}},
		},
		live:   c.say,
		submit: c.submit,
	})
}

// kept takes a field among those that follow the section.
func (c *cutForm) kept(f field) field {
	if f.renew == nil {
		f.renew = f.fill
	}
	c.renew = append(c.renew, f.renew)
	return f
}

func names(cuts []session.CutNoted) string {
	all := make([]string, len(cuts))
	for i, d := range cuts {
		all[i] = d.Section
	}
	return strings.Join(all, ", ")
}

// noted is all that was noted, in this visit and the last.
func (c *cutForm) noted() []session.CutNoted { return append(slices.Clone(c.now), c.last...) }

// turn offers the usual words, and others that were noted.
func (c *cutForm) turn(name string, value *string, usual []string, of func(session.CutNoted) string) field {
	all := slices.Clone(usual)
	for _, d := range c.noted() {
		if w := of(d); w != "" && !slices.Contains(all, w) {
			all = append(all, w)
		}
	}
	return turn(name, value, words("not noted", all...))
}

// sections are the usual ones, and others that were noted.
func (c *cutForm) sections() []string {
	all := slices.Clone(session.CutSections)
	for _, d := range c.noted() {
		if !slices.ContainsFunc(all, func(s string) bool { return session.SameSection(s, d.Section) }) {
			all = append(all, d.Section)
		}
	}
	return all
}

// first is the section to ask about first: one of the last visit that was not
// noted yet, else a usual one.
func (c *cutForm) first(sections []string) string {
	for _, d := range c.last {
		if session.CutOf(c.now, d.Section) == nil {
			return sections[slices.IndexFunc(sections, func(s string) bool { return session.SameSection(s, d.Section) })]
		}
	}
	if i := slices.IndexFunc(sections, func(s string) bool { return session.CutOf(c.now, s) == nil }); i >= 0 {
		return sections[i]
	}
	return sections[0]
}

func (c *cutForm) sectionName() string {
	if c.section == otherSection {
		return c.own
	}
	return c.section
}

// offer puts in what was noted for the section in hand, where nothing else was
// typed meanwhile.
func (c *cutForm) offer() {
	was := c.offered
	c.offered = session.CutNoted{}
	if d := cmp.Or(session.CutOf(c.now, c.sectionName()), session.CutOf(c.last, c.sectionName())); d != nil {
		c.offered = *d
		c.offered.Note = clean.Text(d.Note) // as its field shows it
	}
	is := c.offered
	follow(&c.guide, was.Guide, is.Guide)
	follow(&c.overDir, was.OverDirection, is.OverDirection)
	follow(&c.texture, was.Texture, is.Texture)
	follow(&c.tool, was.Tool, is.Tool)
	follow(&c.note, was.Note, is.Note)
	follow(&c.elevation, held(was), held(is))
	follow(&c.length, given(was.LengthMM), given(is.LengthMM))
	for _, show := range c.renew {
		show()
	}
}

// follow changes a value that was left as it was offered.
func follow[T comparable](value *T, was, is T) {
	if *value == was {
		*value = is
	}
}

// held is an elevation in words; 0 is one that was noted.
func held(d session.CutNoted) string {
	if d.Elevation == nil {
		return ""
	}
	return plain(*d.Elevation)
}

// say tells what is known of the section in hand.
func (c *cutForm) say() (lines []string) {
	for _, from := range []struct {
		when string
		cuts []session.CutNoted
	}{{"Noted already, and to be replaced", c.now}, {"Last visit", c.last}} {
		if d := session.CutOf(from.cuts, c.sectionName()); d != nil {
			words := d.Words()
			if strings.TrimSpace(d.Note) != "" {
				words = append(words, d.Note)
			}
			lines = append(lines, from.when+": "+d.Section+", "+strings.Join(words, ", "))
		}
	}
	return lines
}

func (c *cutForm) submit() (intent.Intent, error) {
	d := session.CutNoted{
		Section: strings.TrimSpace(c.sectionName()), Guide: c.guide, OverDirection: c.overDir, LengthMM: orZero(c.length),
		Texture: c.texture, Tool: c.tool, Note: c.note,
	}
	if strings.TrimSpace(c.elevation) != "" {
		deg := orZero(c.elevation) // checked as it was typed
		d.Elevation = &deg
	}
	if len(d.Words()) == 0 && strings.TrimSpace(d.Note) == "" {
		return nil, errors.New("nothing says yet how the " + d.Section + " was cut: fill in at least one line")
	}
	return logged("Cut noted: "+d.Section, d), nil
}
