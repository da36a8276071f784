package replay

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"rinseby/session"
)

// A Comparison is two services side by side. Of zones, those of one name in
// rounds of one name are side by side.
type Comparison struct {
	A Side `json:"a"`
	B Side `json:"b"`
	// SameList says that both were made from zone lists of one name, or have the
	// same zones; Note says so to people where it is not.
	SameList bool       `json:"same_list"`
	Note     string     `json:"note"`
	Zones    []ZonePair `json:"zones"` // of A, then those that only B has
}

// A Side is one of the services, as a whole.
type Side struct {
	Service  string    `json:"service"`
	Client   string    `json:"client"`
	Stylist  string    `json:"stylist"`
	ZoneList string    `json:"zone_list"`
	Opened   time.Time `json:"opened"`
	Closed   bool      `json:"closed"`
	LengthS  float64   `json:"length_s"`
	Pieces   int       `json:"pieces"`
	// PieceMinutes are minutes per piece; nil where the log does not tell.
	PieceMinutes *float64 `json:"minutes_per_piece"`
	Trips        int      `json:"trips"`
	BasinS       float64  `json:"basin_s"` // at the basin, of trips that ended
	Warnings     int      `json:"warnings"`
	Alarms       int      `json:"alarms"` // of them
	Breaches     []Breach `json:"breaches"`
	Bowls        int      `json:"bowls"`
	MixedG       float64  `json:"mixed_grams"`
	LeftG        float64  `json:"left_grams"`
}

// A ZonePair is one zone in both services; nil where one has none of the name.
type ZonePair struct {
	Name  string    `json:"name"`
	Round string    `json:"round"`
	A     *ZoneSide `json:"a"`
	B     *ZoneSide `json:"b"`
}

// A ZoneSide is a zone in one of them.
type ZoneSide struct {
	Pieces       int      `json:"pieces"`
	PieceMinutes *float64 `json:"minutes_per_piece"`
	OldestS      float64  `json:"oldest_s"` // longest exposure of any coat
	NewestS      float64  `json:"newest_s"` // shortest time that any coat's newest piece was on
	OverS        float64  `json:"over_s"`   // most of any coat
	ShortS       float64  `json:"short_s"`  // most of any coat
	LimitKnown   bool     `json:"limit_known"`
}

// Compare puts two services side by side. The error says that there is nothing
// to compare, as nothing was placed in one of them.
func Compare(a, b *Tape) (*Comparison, error) {
	c := &Comparison{Zones: []ZonePair{}}
	var zones [2][]ZoneFinding
	for i, t := range []*Tape{a, b} {
		r := newReviewer(t)
		f := r.findings()
		if len(f.Zones) == 0 {
			return nil, fmt.Errorf("nothing was put on in service %s: compare services with pieces", f.Service)
		}
		zones[i] = f.Zones
		*[]*Side{&c.A, &c.B}[i] = r.side(f)
	}
	left := slices.Clone(zones[1])
	for _, z := range zones[0] {
		p := ZonePair{Name: z.Name, Round: z.Round, A: zoneSide(z)}
		if i := slices.IndexFunc(left, z.sameAs); i >= 0 {
			p.B = zoneSide(left[i])
			left = slices.Delete(left, i, i+1)
		}
		c.Zones = append(c.Zones, p)
	}
	for _, z := range left {
		c.Zones = append(c.Zones, ZonePair{Name: z.Name, Round: z.Round, B: zoneSide(z)})
	}
	whole := !slices.ContainsFunc(c.Zones, func(p ZonePair) bool { return p.A == nil || p.B == nil })
	c.SameList = whole || (c.A.ZoneList != "" && named(c.A.ZoneList, c.B.ZoneList))
	if !c.SameList {
		c.Note = "the services are from different zone lists: only zones of one name are side by side"
	}
	return c, nil
}

func named(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) }

func (z ZoneFinding) sameAs(o ZoneFinding) bool {
	return named(z.Name, o.Name) && named(z.Round, o.Round)
}

func (r *reviewer) side(f *Findings) Side {
	s := Side{
		Service: f.Service, Client: f.Client, Stylist: f.Stylist, ZoneList: f.ZoneList, Opened: f.Opened, Closed: f.Closed, LengthS: f.LengthS,
		Warnings: len(f.Warnings), Breaches: f.Breaches, Bowls: len(f.Bowls), MixedG: f.MixedG, LeftG: f.LeftG,
	}
	s.Trips = len(f.Trips)
	for _, t := range f.Trips {
		if t.EndedS != nil {
			s.BasinS = thousandth(s.BasinS + *t.EndedS - t.BeganS)
		}
	}
	for _, w := range f.Warnings {
		if w.Level == levels[session.Alarm] {
			s.Alarms++
		}
	}
	var took time.Duration
	units := 0
	for _, st := range r.s.Stints() {
		if st.Tells() {
			took, units = took+st.Took, units+st.Units
		}
	}
	if units > 0 {
		s.PieceMinutes = ptr(thousandth(took.Minutes() / float64(units)))
	}
	for _, z := range f.Zones {
		s.Pieces += z.Pieces
	}
	return s
}

func zoneSide(z ZoneFinding) *ZoneSide {
	s := &ZoneSide{Pieces: z.Pieces, PieceMinutes: z.Actual, LimitKnown: true}
	for i, c := range z.Coats {
		s.OldestS, s.OverS, s.ShortS = max(s.OldestS, c.OldestS), max(s.OverS, c.OverS), max(s.ShortS, c.ShortS)
		if i == 0 || c.NewestS < s.NewestS {
			s.NewestS = c.NewestS
		}
		s.LimitKnown = s.LimitKnown && c.LimitS != nil
	}
	return s
}

// Sections are the comparison for people to read, A before B in each line.
func (c *Comparison) Sections() []Section {
	head := Section{Title: "Side by side"}
	for i, s := range []Side{c.A, c.B} {
		head.add("%s: %s, service %s, opened %s", string(rune('A'+i)), s.Client, s.Service, s.Opened.Format("2006-01-02 15:04"))
	}
	if c.Note != "" {
		head.add("%s", c.Note)
	}
	pair := func(what, a, b string) { head.add("%s: %s | %s", what, a, b) }
	pair("length", length(c.A.LengthS), length(c.B.LengthS))
	pair("pieces", fmt.Sprint(c.A.Pieces), fmt.Sprint(c.B.Pieces))
	pair("minutes per piece", pieceMinutes(c.A.PieceMinutes), pieceMinutes(c.B.PieceMinutes))
	pair("trips to the basin", c.A.trips(), c.B.trips())
	pair("warnings", c.A.warned(), c.B.warned())
	pair("not kept", fmt.Sprint(len(c.A.Breaches)), fmt.Sprint(len(c.B.Breaches)))
	pair("bowls", c.A.bowls(), c.B.bowls())
	zones := Section{Title: "Zones"}
	for _, p := range c.Zones {
		zones.add("%s (%s)", p.Name, p.Round)
		for i, s := range []*ZoneSide{p.A, p.B} {
			zones.add("  %s: %s", string(rune('A'+i)), s.line())
		}
	}
	return []Section{head, zones}
}

func pieceMinutes(m *float64) string {
	if m == nil {
		return "not known"
	}
	return fmt.Sprintf("%.1f", *m)
}

func (s Side) trips() string { return fmt.Sprintf("%d, %s", s.Trips, length(s.BasinS)) }

func (s Side) warned() string { return fmt.Sprintf("%d, %d of them alarms", s.Warnings, s.Alarms) }

func (s Side) bowls() string {
	return fmt.Sprintf("%d, %.0f g mixed, %.0f g noted as left", s.Bowls, s.MixedG, s.LeftG)
}

func (s *ZoneSide) line() string {
	if s == nil {
		return "no zone of this name"
	}
	text := fmt.Sprintf("%d pieces, minutes each %s, oldest %s, newest %s", s.Pieces, pieceMinutes(s.PieceMinutes), length(s.OldestS), length(s.NewestS))
	switch {
	case !s.LimitKnown:
		text += ", no limit known"
	case s.OverS > 0:
		text += ", OVER by " + length(s.OverS)
	}
	if s.ShortS > 0 {
		text += ", SHORT by " + length(s.ShortS)
	}
	return text
}
