package formula

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"rinseby/timing"
)

// HouseRule is the origin of rows that rest on no source. A person confirms
// such a row, or replaces it, before it is first used.
const HouseRule = "common practice, no source; careful house rule"

// A HeatRule says for which use of heat a [Row] holds.
type HeatRule string

// The heat rules.
const (
	AnyHeat  HeatRule = ""
	WithHeat HeatRule = "yes"
	NoHeat   HeatRule = "no"
)

// A Query asks for the window of one product, at the strength of its
// (blended) developer, on one sort of hair. Strength 0 is a product that is
// used without developer. All else must be given, but for the product's name.
type Query struct {
	Product  string  `json:"product"`
	Kind     Kind    `json:"kind"`
	Strength Percent `json:"strength_pct"`
	Hair
}

// Validate refuses a query that is not answered because something is missing
// or can't be.
func (q Query) Validate() error {
	if q.Kind.Action() == "" {
		return fmt.Errorf("kind %q: say %s", q.Kind, oneOf(Kinds()))
	}
	if !q.Strength.finite() {
		return errors.New("strength is not known: give the developer's")
	}
	return q.Hair.Validate()
}

// String is what is asked, in words: "Chalk, powder lightener, 20 vol, natural
// hair off the scalp, no heat".
func (q Query) String() string {
	s := fmt.Sprintf("%s, %s, %v", q.Kind, Label(q.Strength), q.Hair)
	if q.Product != "" {
		s = q.Product + ", " + s
	}
	return s
}

// A Row is one window of a catalogue, and what it holds for. It holds for its
// strength and weaker. An empty contact, condition or heat holds for all; so
// does an empty product for all products of the kind. A row of a product may
// leave out the kind.
type Row struct {
	Product   string
	Kind      Kind
	Strength  Percent
	Contact   Contact
	Condition Condition
	Heat      HeatRule
	Window    timing.Window
	// Origin is where the figures come from.
	Origin string
}

// ForStronger reports whether the row is that of a stronger developer than p,
// and so rules it only where none is known for p.
func (r Row) ForStronger(p Percent) bool { return !r.Strength.Nominal().AtMost(p.Nominal()) }

// IsHouseRule reports whether the row rests on [HouseRule], wholly or in part.
func (r Row) IsHouseRule() bool { return strings.Contains(r.Origin, HouseRule) }

// Match finds the window for a query. It answers false, and someone has to be
// asked, if the query is not valid or no row covers it.
//
// A row covers a query if every field that the row gives is that of the query
// and its strength is no less than the query's, by [Percent.Nominal]. So a row
// for a weaker developer never serves, and one for hair off the scalp, for
// natural hair or for no heat never serves another. Rows without a usable
// window count for nothing.
//
// Of the rows that cover it, the choice goes by, in this order: a row for the
// product before one for its kind; more of contact, condition and heat given;
// the weakest strength; the shorter limit; the later opening; the row that
// stands first.
//
// Scalp contact, worse condition ([Conditions]) and heat can only shorten: the
// limit is held to the shortest of those that the same query has on any milder
// hair that some row covers. If that shortens it, the row comes back with the
// shorter limit, and its origin tells on account of what.
func Match(rows []Row, q Query) (Row, bool) {
	if q.Validate() != nil {
		return Row{}, false
	}
	rows = slices.DeleteFunc(slices.Clone(rows), func(r Row) bool { return !r.serves(q) })
	best, ok := choose(rows, q.Hair)
	if !ok {
		return Row{}, false
	}
	limit, because := best.Window.Limit, ""
	for _, hair := range q.Hair.milder() {
		if row, ok := choose(rows, hair); ok && row.Window.Limit < limit {
			limit = row.Window.Limit
			because = fmt.Sprintf("; no longer than on %v (%s)", hair, row.Origin)
		}
	}
	best.Window.Limit = limit
	best.Window.Opens = min(best.Window.Opens, limit)
	best.Origin += because
	return best, true
}

// choose finds the row for one sort of hair, among rows that serve in all other
// respects. Milder hair is left out of account.
func choose(rows []Row, h Hair) (best Row, ok bool) {
	for _, row := range rows {
		if row.covers(h) && (!ok || row.compare(best) < 0) {
			best, ok = row, true
		}
	}
	return best, ok
}

// serves reports whether the row can be used, and holds for the product, the
// kind and the strength of a valid query.
func (r Row) serves(q Query) bool {
	return (r.Product != "" || r.Kind != "") && r.Window.Known() && r.Strength.finite() &&
		(r.Kind == "" || r.Kind == q.Kind) &&
		q.Strength.Nominal().AtMost(r.Strength.Nominal()) &&
		(r.Product == "" || nameKey(r.Product) == nameKey(q.Product))
}

// covers reports whether the row holds for the hair.
func (r Row) covers(h Hair) bool {
	return (r.Contact == AnyContact || r.Contact == h.Contact) &&
		(r.Condition == AnyCondition || r.Condition == h.Condition) &&
		(r.Heat == AnyHeat || r.Heat == heatRule(h.Heat))
}

func heatRule(heat bool) HeatRule {
	if heat {
		return WithHeat
	}
	return NoHeat
}

// compare is below zero if r serves before o, given that both cover a query.
func (r Row) compare(o Row) int {
	return cmp.Or(
		cmp.Compare(o.specificity(), r.specificity()),
		cmp.Compare(r.step(), o.step()),
		cmp.Compare(r.Window.Limit, o.Window.Limit),
		cmp.Compare(o.Window.Opens, r.Window.Opens),
	)
}

// specificity ranks a row by what it gives: the product outweighs all fields
// of the hair.
func (r Row) specificity() int {
	n := 0
	if r.Product != "" {
		n = 4
	}
	for _, given := range []bool{r.Contact != AnyContact, r.Condition != AnyCondition, r.Heat != AnyHeat} {
		if given {
			n++
		}
	}
	return n
}

// step is the row's strength for ordering, free of the noise of arithmetic.
func (r Row) step() int64 { return int64(math.Round(float64(r.Strength.Nominal() / tolerance))) }

// nameKey is what names of products are compared by: case and the number of
// blanks don't count.
func nameKey(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) }

// rowJSON is how a row is stored.
type rowJSON struct {
	Product   string    `json:"product"`
	Kind      Kind      `json:"kind"`
	Strength  Percent   `json:"strength_pct"`
	Contact   Contact   `json:"contact"`
	Condition Condition `json:"condition"`
	Heat      HeatRule  `json:"heat"`
	OpensS    float64   `json:"opens_s"`
	LimitS    float64   `json:"limit_s"`
	Origin    string    `json:"origin"`
}

// MarshalJSON stores the row with its window in seconds.
func (r Row) MarshalJSON() ([]byte, error) {
	return json.Marshal(rowJSON{r.Product, r.Kind, r.Strength, r.Contact, r.Condition, r.Heat,
		r.Window.Opens.Seconds(), r.Window.Limit.Seconds(), r.Origin})
}

// UnmarshalJSON reads what MarshalJSON wrote, exactly to the nanosecond. It
// refuses unknown fields, and seconds below zero or over a week.
func (r *Row) UnmarshalJSON(data []byte) error {
	var j rowJSON
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&j); err != nil {
		return err
	}
	opens, err := fromSeconds("opens_s", j.OpensS)
	if err != nil {
		return err
	}
	limit, err := fromSeconds("limit_s", j.LimitS)
	if err != nil {
		return err
	}
	*r = Row{j.Product, j.Kind, j.Strength, j.Contact, j.Condition, j.Heat,
		timing.Window{Opens: opens, Limit: limit}, j.Origin}
	return nil
}

func fromSeconds(field string, s float64) (time.Duration, error) {
	const most = 7 * 24 * 3600
	if !(s >= 0 && s <= most) {
		return 0, fmt.Errorf("%s %v: seconds must be from 0 to %d", field, s, most)
	}
	return time.Duration(math.Round(s * float64(time.Second))), nil
}
