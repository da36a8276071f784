package card

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
)

func (c Card) headSection() section {
	var s section
	if c.Invented {
		s.add("Invented: demonstration data, about nobody")
	}
	offset := c.Opened.In(c.local()).Format("-07:00")
	s.add("Visit: %s, %s", c.Service, c.Opened.In(c.local()).Format("2 January 2006"))
	s.addIf("Stylist", c.Stylist)
	s.addIf("Station", c.Station)
	s.add("From %s (UTC%s)", c.span(&c.Opened, c.Closed, "still open at "+c.clock(&c.AsOf)), offset)
	s.addIf("Promised to be done by", c.promised())
	s.addSome(c.told()...)
	s.addIf("Outcome", c.Outcome)
	s.add("In all %s, %d pieces placed by hand", minutes(c.Totals.OpenS), c.Totals.Pieces)
	if slices.ContainsFunc(c.Zones, func(z Zone) bool { return len(z.Coats) > 0 }) {
		line := fmt.Sprintf("Zones over the limit: %d; rinsed too short: %d", c.Totals.Over, c.Totals.Short)
		if c.Totals.Unknown > 0 {
			line += fmt.Sprintf("; limit not known: %d", c.Totals.Unknown)
		}
		s.add("%s", line)
	}
	return s
}

func (c Card) nextSection() section {
	s := section{title: "To match next visit"}
	for _, f := range c.Formulas {
		if len(c.Rounds) > 1 {
			s.add("%s, %s", c.roundName(f.Round), f.Summary)
		} else {
			s.add("%s", f.Summary)
		}
	}
	s.addSome(c.cutAgain(), c.regrowthAgain())
	return s
}

// regrowthAgain says when the regrowth will be as long again; empty if none
// was noted.
func (c Card) regrowthAgain() string {
	n := c.NextVisit
	if n == nil {
		return ""
	}
	return fmt.Sprintf("%g mm of regrowth again in %.0f to %.0f weeks (%s)", n.RegrowthMM, float64(n.DaysLow)/7, float64(n.DaysHigh)/7, n.Basis)
}

// limitSection says in words which zones went past their limits, and which
// were rinsed before they were open.
func (c Card) limitSection() section {
	s := section{title: "Limits"}
	var early []string
	coated := 0
	for _, z := range c.Zones {
		if len(z.Coats) > 0 {
			coated++
		}
		were, was := "were", "was"
		if z.RinsedAt == nil {
			were, was = "are", "is"
		}
		for _, k := range z.Coats {
			band := bandWord(k.Band)
			if k.OverS == nil {
				s.add("%s: the limit of %s on the %s is not known; it %s on for %s", z.Name, k.Product, band, was, minutes(k.OldestS))
			} else if *k.OverS > 0 {
				s.add("%s: the %s %s over the limit of %s by %s: %s in all", z.Name, band, were, minutes(*k.LimitS), minutes(*k.OverS), minutes(k.OldestS))
			}
			if k.ShortS != nil && *k.ShortS > 0 {
				early = append(early, fmt.Sprintf("%s: the %s were rinsed %s too soon: they open %s after the newest piece went on",
					z.Name, band, minutes(*k.ShortS), minutes(*k.OpensS)))
			}
		}
	}
	if coated > 0 && len(s.lines) == 0 {
		s.add("No zone went past its limit")
	}
	s.lines = append(s.lines, early...)
	return s
}

func (c Card) zoneSection() section {
	s := section{title: "Zones", head: []string{"Zone", "Round", "Pieces", "Oldest piece", "Newest piece", "Limit", "Rinsed", "How it went"}}
	for _, z := range c.Zones {
		row := []string{z.Name, c.roundName(z.Round), fmt.Sprintf("%d of %d", z.Pieces, z.Planned), "", "", "", c.clock(z.RinsedAt), ""}
		if len(z.Coats) > 0 {
			row[3], row[4], row[5] = minutes(z.OldestS), minutes(z.newest()), known(z.LimitS)
		}
		row[7] = z.went()
		s.rows = append(s.rows, row)
	}
	return s
}

// went says in words how a zone went.
func (z Zone) went() string {
	var words []string
	if z.Dropped {
		words = append(words, "dropped")
	}
	if len(z.Coats) == 0 {
		return strings.Join(append(words, "nothing was put on"), ", ")
	}
	if z.RinsedAt == nil {
		words = append(words, z.Phase)
	}
	over, early := z.OverS != nil && *z.OverS > 0, z.ShortS != nil && *z.ShortS > 0
	if over {
		words = append(words, minutes(*z.OverS)+" over its limit")
	}
	if early {
		words = append(words, tooSoon(*z.ShortS))
	}
	if !over && !early && z.LimitKnown {
		words = append(words, "inside its limit")
	}
	if !z.LimitKnown {
		words = append(words, "a limit is not known")
	}
	return strings.Join(words, ", ")
}

// known says a length of time that may not be known.
func known(s *int) string {
	if s == nil {
		return "not known"
	}
	return minutes(*s)
}

// newest is the seconds that the zone's newest piece had, as they are shown:
// if all went on at one moment there is one figure, however parts of a second
// were rounded.
func (z Zone) newest() int {
	first := z.Coats[0]
	for _, k := range z.Coats {
		off := k.RinsedAt == nil && first.RinsedAt == nil ||
			k.RinsedAt != nil && first.RinsedAt != nil && k.RinsedAt.Equal(*first.RinsedAt)
		if !off || k.CarriedS > 0 || !together(k.FirstContact, first.FirstContact) || !together(k.LastContact, first.FirstContact) {
			return z.NewestS
		}
	}
	return z.OldestS
}

// together reports whether two moments are the same to a second.
func together(a, b time.Time) bool { return a.Sub(b).Abs() < time.Second }

func (c Card) coatSection() section {
	s := section{title: "Coats", head: []string{"Zone", "Band", "Product", "Hair", "Bowls", "First contact", "Last contact", "Rinsed", "Oldest piece", "Earlier in the visit", "Limit", "Windows from"}}
	for _, z := range c.Zones {
		for _, k := range z.Coats {
			s.rows = append(s.rows, []string{
				z.Name, bandWord(k.Band), k.what(), k.hair(), strings.Join(k.Bowls, ", "),
				c.clock(&k.FirstContact), c.clock(&k.LastContact), c.clock(k.RinsedAt),
				minutes(k.OldestS), minutes(k.CarriedS), known(k.LimitS), k.from(),
			})
		}
	}
	s.lines = c.heatLines()
	return s
}

// heatLines say where there was heat, and when.
func (c Card) heatLines() (lines []string) {
	for _, z := range c.Zones {
		for _, h := range z.Heat {
			lines = append(lines, fmt.Sprintf("%s under heat: %s", z.Name, c.span(&h.On, h.Off, "still on")))
		}
	}
	return lines
}

// what says what the coat is, and what it was refreshed with.
func (k Coat) what() string {
	text := k.Product + " " + strength(k.Strength, k.Label)
	if n := len(k.Refreshed); n > 0 {
		text += fmt.Sprintf(", refreshed %d×", n)
	}
	for _, p := range k.RefreshedWith {
		text += fmt.Sprintf(", then %s %s", p.Product, strength(p.Strength, p.Label))
	}
	return text
}

func (k Coat) hair() string {
	if k.Contact == formula.OnScalp {
		return string(k.Condition) + ", on the scalp"
	}
	return string(k.Condition) + ", off the scalp"
}

// from says where the coat's windows come from.
func (k Coat) from() string {
	if len(k.Windows) == 0 {
		return "not known"
	}
	return sources(k.Windows...)
}

// sources says where windows come from, and each thing once.
func sources(ws ...Window) string {
	var from, said []string
	for _, w := range ws {
		for line := range strings.Lines(w.Origin + "\n" + w.Basis) {
			line = strings.TrimSpace(line)
			plain := strings.NewReplacer("the ", "", "'s", "").Replace(strings.ToLower(line))
			if line != "" && !slices.Contains(said, plain) {
				from, said = append(from, line), append(said, plain)
			}
		}
	}
	return strings.Join(from, "; ")
}

func (c Card) checkSection() section {
	s := section{title: "Seen", head: []string{"At", "Zone", "Band", "Depth", "Undertone", "Feel"}}
	for _, z := range c.Zones {
		if r := c.reached(z); r != "" {
			s.add("%s", r)
		}
		for _, k := range z.Checks {
			s.rows = append(s.rows, []string{c.clock(&k.At), z.Name, bandWord(k.Band), depth(k.Depth, k.Scale), k.Undertone, k.Feel})
		}
	}
	return s
}

// reached says how far the lift of a zone came: the last depth and the last
// undertone that were seen; empty if neither was.
func (c Card) reached(z Zone) string {
	var deep, tone Check
	for _, k := range z.Checks {
		if k.Depth > 0 && !k.At.Before(deep.At) {
			deep = k
		}
		if k.Undertone != "" && !k.At.Before(tone.At) {
			tone = k
		}
	}
	var words []string
	if deep.Depth > 0 {
		text := "depth " + depth(deep.Depth, deep.Scale)
		if deep.Band != "" {
			text += " on the " + bandWord(deep.Band)
		}
		words = append(words, text)
	}
	if tone.Undertone != "" {
		words = append(words, "undertone "+tone.Undertone)
	}
	if len(words) == 0 {
		return ""
	}
	if d := c.Consultation; deep.Depth > 0 && d != nil && d.TargetDepth > 0 && c.lightens(z.Round) {
		words = append(words, "wanted "+depth(d.TargetDepth, d.Scale))
	}
	return z.Name + " reached: " + strings.Join(words, ", ")
}

// lightens reports whether a round is one of lightening.
func (c Card) lightens(round string) bool {
	return slices.ContainsFunc(c.Rounds, func(r Round) bool { return r.ID == round && r.Action == formula.Lighten })
}

func depth(d float64, scale int) string {
	if d == 0 {
		return ""
	}
	return fmt.Sprintf("%s of %d", number(d), scale)
}

func (c Card) consultSection() section {
	s := section{title: "Consultation"}
	d := c.Consultation
	if d == nil {
		return s
	}
	s.addIf("Natural depth", depth(d.NaturalDepth, d.Scale))
	s.addIf("Undertone", d.Undertone)
	if d.GreyPercent > 0 {
		s.add("Grey: %s %%", number(d.GreyPercent))
	}
	if d.RegrowthMM > 0 {
		s.add("Regrowth: %s mm", number(d.RegrowthMM))
	}
	if d.LengthMM > 0 {
		s.add("Length of the hair: %s mm", number(d.LengthMM))
	}
	s.addIf("Hair", string(d.Density))
	for _, b := range session.Bands {
		word := bandWord(b)
		s.addIf(strings.ToUpper(word[:1])+word[1:], string(d.Conditions[b]))
	}
	s.addIf("Scalp", d.Scalp)
	s.addIf("History", d.History)
	s.addIf("Wanted depth", depth(d.TargetDepth, d.Scale))
	s.addIf("Wanted tone", d.TargetTone)
	s.addIf("Note", d.Note)
	return s
}

func (c Card) bowlSection() section {
	s := section{title: "Bowls", head: []string{"Bowl", "For", "In it", "Ratio", "Developer", "Peroxide when ready", "Mixed", "Good until", "Empty", "Left"}}
	for _, b := range c.Bowls {
		var parts []string
		for _, p := range b.Products {
			parts = append(parts, fmt.Sprintf("%s g %s", number(p.Grams), p.Product))
		}
		for _, p := range b.Developers {
			parts = append(parts, fmt.Sprintf("%s g developer %s", number(p.Grams), strength(p.Strength, formula.Label(p.Strength))))
		}
		if b.WaterG > 0 {
			parts = append(parts, number(b.WaterG)+" g water")
		}
		stale, left, ratio := "not known", "", b.Ratio
		if b.RatioRange != "" {
			ratio += " (outside the catalogue's " + b.RatioRange + ")"
		}
		if b.StaleAt != nil {
			stale = c.clock(b.StaleAt)
		}
		if b.LeftG != nil {
			left = number(*b.LeftG) + " g"
		}
		rounds := strings.Join(each(b.Rounds, c.roundName), ", ")
		if rounds == "" {
			rounds = "not used"
		}
		s.rows = append(s.rows, []string{
			b.ID, rounds, strings.Join(parts, " + "), ratio, strength(b.Developer, b.Label),
			b.Ready.String(), c.clock(&b.MixedAt), stale, c.clock(b.EmptiedAt), left,
		})
	}
	return s
}

func (c Card) windowSection() section {
	s := section{title: "Windows used", head: []string{"For", "Strength up to", "Hair", "Opens", "Limit", "From"}}
	for _, w := range c.Windows {
		s.rows = append(s.rows, []string{
			w.who(), strength(w.Strength, w.Label), w.hair(), minutes(w.OpensS), minutes(w.LimitS), sources(w),
		})
	}
	return s
}

func (w Window) who() string {
	if w.Product == "" {
		return "any " + string(w.Kind)
	}
	return w.Product
}

// hair says what hair the window holds for.
func (w Window) hair() string {
	var on []string
	if w.Condition != formula.AnyCondition {
		on = append(on, string(w.Condition))
	}
	switch w.Contact {
	case formula.OnScalp:
		on = append(on, "on the scalp")
	case formula.OffScalp:
		on = append(on, "off the scalp")
	}
	switch w.Heat {
	case formula.WithHeat:
		on = append(on, "under heat")
	case formula.NoHeat:
		on = append(on, "no heat")
	}
	if len(on) == 0 {
		return "any"
	}
	return strings.Join(on, ", ")
}

// timeSection tells what hands did beside the rounds, and what the clocks did.
func (c Card) timeSection() section {
	s := section{title: "Time"}
	for _, t := range c.Trips {
		s.add("Trip %s to the basin: %s, %s", t.ID, c.zoneNames(t.Zones), c.span(&t.Began, t.Ended, "not over"))
	}
	for _, t := range c.Steps {
		line := "Step " + t.Name + ": not done"
		if t.Began != nil {
			line = fmt.Sprintf("Step %s: %s", t.Name, minutes(t.Seconds))
			if t.Ended == nil {
				line += " so far"
			}
		}
		if t.UsualMin > 0 {
			line += fmt.Sprintf(" (usual %s min)", number(t.UsualMin))
		}
		s.add("%s", line)
	}
	for _, p := range c.Pauses {
		line := fmt.Sprintf("Pause: %s, %s", c.span(&p.Began, p.Ended, "not over"), minutes(p.Seconds))
		if p.Reason != "" {
			line += ", " + p.Reason
		}
		s.add("%s", line)
	}
	for _, h := range c.Helpers {
		s.add("Second pair of hands: %s, %s", h.Name, c.span(&h.Joined, h.Left, "to the end"))
	}
	for _, g := range c.Gaps {
		s.add("Clock: %s", c.gap(g))
	}
	return s
}

// gap says what the clocks did.
func (c Card) gap(g Gap) string {
	if !g.Restart && !g.Backwards {
		return fmt.Sprintf("at %s it was moved by %s s; all times here still count from first contact", c.clock(&g.To), number(g.StepS))
	}
	text := fmt.Sprintf("the computer was off from %s to %s", c.clock(&g.From), c.clock(&g.To))
	switch {
	case !g.Restart:
		text = fmt.Sprintf("at %s it went back, and nothing else told the time, so that times before may be too short", c.clock(&g.From))
	case g.Backwards:
		text += ", and its clock went back, so that times before may be too short"
	}
	if g.Confirmed {
		return text + "; how long was confirmed"
	}
	return text + "; nobody confirmed how long"
}

func (c Card) noteSection() section {
	s := section{title: "Notes and warnings"}
	for _, n := range c.Notes {
		about := ""
		if n.Zone != "" {
			about = c.zoneName(n.Zone) + ": "
		}
		s.add("%s, %s%s", c.clock(&n.At), about, n.Text)
	}
	for _, w := range c.Warnings {
		if !overrules(w.Warning) {
			s.add("%s", c.warning(w))
		}
	}
	return s
}

// number says a figure with at most one decimal.
func number(f float64) string {
	return strconv.FormatFloat(math.Round(f*10)/10, 'f', -1, 64)
}
