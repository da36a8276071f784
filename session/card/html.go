package card

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"slices"
	"strconv"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/session/clean"
)

//go:embed page.html
var pageHTML string

// pageTemplate is read once. It escapes all that it is given; nothing is ever
// marked as safe.
var pageTemplate = template.Must(template.New("page").Parse(pageHTML))

// HTML is the card as a page for a browser or for paper: one document that
// needs nothing else, with no script, no font and no picture from elsewhere.
// It is well-formed XML, too. All text in it that people typed is plain text;
// none of it stands in an attribute. Figures are those of [Card.JSON], in
// whole seconds and in the words of [Card.Markdown]; moments are those of the
// salon's clock.
//
// The error, which no card of [Make] gives, is that of the template.
func (c Card) HTML() ([]byte, error) {
	var b bytes.Buffer
	if err := pageTemplate.Execute(&b, c.page()); err != nil {
		return nil, fmt.Errorf("the card can't be laid out as a page: %w", err)
	}
	return b.Bytes(), nil
}

// A page is what the template is given. All text in it is clean.
type page struct {
	Title    string
	Invented bool
	Parts    []part
	Lists    []part // lists of words, that stand in two columns on paper
}

// A part of a page has a heading, then any of lines, pictures and tables.
type part struct {
	ID       string
	Class    string // ours, for the layout
	Keep     bool   // on one sheet of paper
	Title    string
	Lines    []string
	Pictures []picture
	Live     bool // the pictures show a moment that is now
	Tables   []table
}

// A table of a part. The first cell of a row is what the row is about.
type table struct {
	Name string // of the table, if the part has several
	Head []string
	Rows [][]string
}

// fewRows are as many as are better kept on one sheet of paper.
const fewRows = 30

func (c Card) page() page {
	p := page{Title: clean.Text(c.title()), Invented: c.Invented}
	if c.Opened.IsZero() {
		p.Parts = []part{htmlPart("facts", c.sections()[0])}
		return p
	}
	facts := c
	facts.Invented = false // stands below the title
	for _, one := range []part{
		htmlPart("facts", facts.headSection()), htmlPart("", c.painSection()), htmlPart("match", c.matchSections()...), c.picturePart(),
		htmlPart("", c.seenSection()), htmlPart("", c.cutSection()), htmlPart("dense", c.plannedSection()),
		htmlPart("dense", c.bowlSection()), htmlPart("dense", c.windowSection()), htmlPart("list", c.noteSection()),
		htmlPart("list", c.consultSection()), htmlPart("list", c.timeSection()), htmlPart("list", c.safetySection()),
		htmlPart("list", section{title: "Cautions", lines: cautions}),
	} {
		if len(one.Lines)+len(one.Tables)+len(one.Pictures) == 0 {
			continue
		}
		one.ID = "part" + strconv.Itoa(len(p.Parts)+len(p.Lists)+1)
		for i := range one.Pictures {
			one.Pictures[i].ID = one.ID + "-" + strconv.Itoa(i+1)
		}
		if one.Class == "list" {
			p.Lists = append(p.Lists, one)
		} else {
			p.Parts = append(p.Parts, one)
		}
	}
	return p
}

// htmlPart is a part under the title of the first section, with all text made
// clean. The further sections are tables of it.
func htmlPart(class string, all ...section) part {
	p := part{Class: class, Title: clean.Text(all[0].title)}
	rows := 0
	for i, s := range all {
		p.Lines = append(p.Lines, each(s.lines, clean.Text)...)
		if len(s.rows) == 0 {
			continue
		}
		t := table{Head: each(s.head, clean.Text), Rows: each(s.rows, func(r []string) []string { return each(r, clean.Text) })}
		if i > 0 {
			t.Name = clean.Text(s.title)
		}
		p.Tables = append(p.Tables, t)
		rows += len(t.Rows)
	}
	p.Keep = rows > 0 && rows+len(p.Lines) <= fewRows
	return p
}

// picturePart shows the zones over time.
func (c Card) picturePart() part {
	p := htmlPart("pictures", section{title: "Zones over time"})
	if p.Pictures = c.pictures(); len(p.Pictures) > 0 {
		p.Lines, p.Live = each(c.heatLines(), clean.Text), c.Closed == nil
		p.Keep = len(p.Lines) <= fewRows && len(p.Pictures) == 1
	}
	return p
}

// matchSections are what the next visit needs: the mixes in short, then by
// round how long each was on, by zone and band.
func (c Card) matchSections() []section {
	s := section{title: "To match next visit"}
	for _, f := range c.Formulas {
		zones := fmt.Sprintf("%d zones", len(f.Zones))
		if len(f.Zones) == 1 {
			zones = c.zoneName(f.Zones[0])
		}
		on := minutes(f.ShortestS)
		if f.LongestS != f.ShortestS {
			on += " to " + minutes(f.LongestS)
		}
		s.add("%s, %s, on %s for %s", c.roundName(f.Round), f.mix(), zones, on)
	}
	s.addSome(c.cutAgain(), c.regrowthAgain())
	all := []section{s}
	for _, r := range c.Rounds {
		if t := c.matchRound(r); len(t.rows) > 0 {
			all = append(all, t)
		}
	}
	return all
}

// mix says the band, the product, its strength and the ratio.
func (f Formula) mix() string {
	mix := fmt.Sprintf("%s: %s %s", bandWord(f.Band), f.Product, strength(f.Strength, f.Label))
	if f.Ratio != "" {
		mix += " " + f.Ratio
	}
	return mix
}

// matchRound is a round's zones by what was on them.
func (c Card) matchRound(r Round) section {
	s := section{title: r.Name, head: []string{"Zone"}}
	var of []Formula
	for _, f := range c.Formulas {
		if f.Round == r.ID {
			of, s.head = append(of, f), append(s.head, f.mix())
		}
	}
	for _, id := range r.Zones {
		row, any := []string{c.zoneName(id)}, false
		for _, f := range of {
			var on []string
			for _, k := range f.Coats {
				if k.Zone == id {
					on, any = append(on, minutes(k.Seconds)+", "+k.outcome()), true
				}
			}
			row = append(row, strings.Join(on, "; then "))
		}
		if any {
			s.rows = append(s.rows, row)
		}
	}
	return s
}

// outcome says what is to be known of a coat beside its time.
func (k FormulaCoat) outcome() string {
	var words []string
	if k.StillOn {
		words = append(words, "still on")
	}
	if k.AtOnce {
		words = append(words, "rinsed off at once: no time to match")
	}
	if k.OverS == nil {
		words = append(words, "limit not known")
	} else if *k.OverS > 0 {
		words = append(words, minutes(*k.OverS)+" over its limit")
	}
	if k.ShortS != nil && *k.ShortS > 0 && !k.AtOnce {
		words = append(words, tooSoon(*k.ShortS))
	}
	if len(words) == 0 {
		return "inside its limit"
	}
	return strings.Join(words, ", ")
}

// seenSection is what was seen, with how far the hair was lifted by then.
func (c Card) seenSection() section {
	s := section{title: "Seen", head: []string{"Zone", "At", "Band", "Depth", "Lifted by, steps of depth", "Undertone", "Feel"}}
	d := c.Consultation
	for _, z := range c.Zones {
		for _, k := range z.Checks {
			lifted := ""
			if k.Depth > 0 && d != nil && d.NaturalDepth > 0 && d.Scale == k.Scale && c.lightens(z.Round) {
				lifted = number(k.Depth - d.NaturalDepth)
			}
			s.rows = append(s.rows, []string{z.Name, c.clock(&k.At), bandWord(k.Band), depth(k.Depth, k.Scale), lifted, k.Undertone, k.Feel})
		}
	}
	if len(s.rows) > 0 && d != nil {
		s.addIf("Natural depth", depth(d.NaturalDepth, d.Scale))
		s.addIf("Wanted depth", depth(d.TargetDepth, d.Scale))
	}
	return s
}

// plannedSection sets what was planned beside what was done.
func (c Card) plannedSection() section {
	s := section{title: "Planned, and as it was", head: []string{
		"Zone", "Pieces planned", "Placed", "Minutes a piece, planned", "As it was", "Strength",
		"First contact", "Rinsed", "Window", "Oldest piece on for", "Newest piece on for"}}
	s.addSome(c.punctual())
	placed, planned := 0, 0
	for _, z := range c.Zones {
		placed, planned = placed+z.Pieces, planned+z.Planned
		s.rows = append(s.rows, c.plannedRow(z))
	}
	if planned > 0 {
		s.add("Pieces: %d of %d planned", placed, planned)
	}
	return s
}

func (c Card) plannedRow(z Zone) []string {
	row := []string{
		z.Name, strconv.Itoa(z.Planned), strconv.Itoa(z.Pieces), perPieceWord(z.PlannedPerPieceMin), perPieceWord(z.PerPieceMin),
		"", "", c.clock(z.RinsedAt), "", "", "",
	}
	var plan, used, windows []banded
	for _, k := range z.PlannedCoats {
		plan = append(plan, banded{k.Band, strength(k.Strength, k.Label)})
	}
	var first *time.Time
	for _, k := range z.Coats {
		used = append(used, banded{k.Band, strength(k.Strength, k.Label)})
		windows = append(windows, banded{k.Band, k.window()})
		if first == nil || k.FirstContact.Before(*first) {
			first = &k.FirstContact
		}
	}
	if len(z.Coats) == 0 {
		row[4], row[5] = "", z.went()+", planned "+byBand(plan)
		return row
	}
	row[5], row[6], row[8], row[9], row[10] = byBand(used), c.clock(first), byBand(windows), minutes(z.OldestS), minutes(z.newest())
	if row[5] == byBand(plan) {
		row[5] += ", as planned"
	} else {
		row[5] += ", planned " + byBand(plan)
	}
	return row
}

// perPieceWord says minutes, or nothing if they are not known.
func perPieceWord(m float64) string {
	if m == 0 {
		return ""
	}
	return number(m)
}

// window says from when to when a coat may come off.
func (k Coat) window() string {
	switch {
	case k.OpensS == nil || k.LimitS == nil:
		return "not known"
	case *k.OpensS%60 == 0 && *k.LimitS%60 == 0:
		return fmt.Sprintf("%d to %d min", *k.OpensS/60, *k.LimitS/60)
	}
	return minutes(*k.OpensS) + " to " + minutes(*k.LimitS)
}

// A banded thing is said of one band.
type banded struct {
	band session.Band
	text string
}

// byBand says things of several bands: once if they are alike, else each
// with its band.
func byBand(all []banded) string {
	var texts, named []string
	for _, b := range all {
		if !slices.Contains(texts, b.text) {
			texts = append(texts, b.text)
		}
		if n := bandWord(b.band) + " " + b.text; !slices.Contains(named, n) {
			named = append(named, n)
		}
	}
	if len(texts) == 1 {
		return texts[0]
	}
	return strings.Join(named, ", ")
}
