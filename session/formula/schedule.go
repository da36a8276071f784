package formula

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

const (
	maxPieces = 1000         // of one need; house bound, as that of a service
	maxBowl   = 3 * maxGrams // grams of mix; house bound against slips of the keyboard
	crumb     = 1e-6         // grams: the noise of floating point, far below any scale
)

// A Need is pieces of one zone and band that are coated one after the other
// from the same mix. Moments are counted from now.
type Need struct {
	Product  string
	Strength Percent // of developer, blended; 0 for without
	Start    time.Duration
	Duration time.Duration // of all its pieces, above 0
	Pieces   int           // 1 to 1000
	Grams    float64       // of mix, of all its pieces, above 0
}

// A Supply is how a product is mixed.
type Supply struct {
	Product      string
	Ratio        Ratio         // zero: without developer
	Life         time.Duration // of a bowl; zero: not known, and then no bowl is cut
	PricePer100g float64       // of the product; zero: not given
}

// An OpenBowl is one that is mixed already.
type OpenBowl struct {
	ID       string
	Product  string
	Strength Percent
	Age      time.Duration
	Life     time.Duration // zero: that of the supply
	Grams    float64       // left in it
}

// An Order asks for bowls.
type Order struct {
	Needs    []Need
	Supplies []Supply   // one for each product that is needed
	Open     []OpenBowl // used up first, the one that goes stale first before the others
	Largest  float64    // grams that a bowl holds; 0: no bound
	Least    float64    // grams that a bowl to be mixed has at least; 0: no bound
	Extra    float64    // mixed above the need, as a share of it, 0 to 1
}

// A PlannedBowl is one bowl of a [Schedule]. Moments are counted from now;
// those of an open bowl may lie in the past.
type PlannedBowl struct {
	ID             string // of an open bowl; "" for one to be mixed
	Product        string
	Strength       Percent
	MixAt          time.Duration // when its first piece begins
	Until          time.Duration // when its last piece is done
	StaleAt        time.Duration // meaningless if Life is 0
	Life           time.Duration // 0: not known
	Covers         []Cover
	Pieces         int
	Grams          float64 // in the bowl: what is used and what is spare
	ProductGrams   float64
	DeveloperGrams float64 // with water
	Spare          float64 // grams that no piece takes
	Cost           float64 // of the product in it; 0 if no price is given, or it is mixed already
}

// A Cover is how many pieces of a need come from a bowl.
type Cover struct {
	Need   int // index into the needs of the order
	Pieces int
}

// A Schedule is all bowls of an order by the moment of mixing.
type Schedule struct {
	Bowls []PlannedBowl
	Grams float64 // in all bowls
	Used  float64 // by all needs; Grams = Used + Spare
	Spare float64 // left over, or past its working life before it was used
	Cost  float64 // of the product in the bowls to be mixed
}

// A dab is one piece of a need: it takes its grams from one bowl.
type dab struct {
	need       int
	start, end time.Duration
	grams      float64
}

// Schedule plans the bowls. Each is mixed when the first piece that needs it
// begins, no sooner, and every piece that is coated from it is done within its
// working life. A piece comes from one bowl, and bowls of one mix follow each
// other, without two in hand at once. Under these rules no plan has fewer bowls
// to mix (without open bowls): taking as many pieces as fit is best, since
// whatever part of a run of pieces is left would have fitted a bowl, too.
//
// It refuses figures out of bounds, and a piece that takes longer than a bowl
// lives, or more than a bowl holds.
func (o Order) Schedule() (Schedule, error) {
	if err := o.validate(); err != nil {
		return Schedule{}, err
	}
	var s Schedule
	for _, key := range o.mixes() {
		bowls, err := o.plan(key)
		if err != nil {
			return Schedule{}, err
		}
		s.Bowls = append(s.Bowls, bowls...)
	}
	slices.SortStableFunc(s.Bowls, func(a, b PlannedBowl) int { return cmp.Compare(a.MixAt, b.MixAt) })
	for _, b := range s.Bowls {
		s.Grams += b.Grams
		s.Spare += b.Spare
		s.Cost += b.Cost
	}
	s.Used = s.Grams - s.Spare
	return s, nil
}

// A mixKey tells one mix from another.
type mixKey struct {
	product  string
	strength int64
}

func keyOf(product string, p Percent) mixKey {
	return mixKey{nameKey(product), int64(math.Round(float64(p.Nominal() / tolerance)))}
}

// mixes are all mixes, in the order in which they are first named.
func (o Order) mixes() []mixKey {
	var keys []mixKey
	add := func(k mixKey) {
		if !slices.Contains(keys, k) {
			keys = append(keys, k)
		}
	}
	for _, n := range o.Needs {
		add(keyOf(n.Product, n.Strength))
	}
	for _, b := range o.Open {
		add(keyOf(b.Product, b.Strength))
	}
	return keys
}

// plan plans the bowls of one mix.
func (o Order) plan(key mixKey) ([]PlannedBowl, error) {
	var bowls []PlannedBowl
	for _, b := range o.Open {
		if keyOf(b.Product, b.Strength) == key {
			bowls = append(bowls, o.opened(b))
		}
	}
	slices.SortStableFunc(bowls, func(a, b PlannedBowl) int { return cmp.Compare(a.staleAt(), b.staleAt()) })
	at := 0 // the bowl in hand
	for _, d := range o.dabs(key) {
		for at < len(bowls) && !o.fits(&bowls[at], d) {
			at++
		}
		if at == len(bowls) {
			n := o.Needs[d.need]
			life := o.supply(n.Product).Life
			bowls = append(bowls, PlannedBowl{Product: n.Product, Strength: n.Strength, MixAt: d.start, StaleAt: d.start + life, Life: life})
			if !o.fits(&bowls[at], d) {
				return nil, o.tooMuch(d, life)
			}
		}
		bowls[at].take(d)
	}
	for i := range bowls {
		o.fill(&bowls[i])
	}
	return bowls, nil
}

// dabs are the pieces of a mix by the moment at which they begin.
func (o Order) dabs(key mixKey) []dab {
	var ds []dab
	for i, n := range o.Needs {
		if keyOf(n.Product, n.Strength) != key {
			continue
		}
		for p := range n.Pieces {
			at := func(p int) time.Duration { return n.Start + n.Duration*time.Duration(p)/time.Duration(n.Pieces) }
			ds = append(ds, dab{i, at(p), at(p + 1), n.Grams / float64(n.Pieces)})
		}
	}
	slices.SortStableFunc(ds, func(a, b dab) int { return cmp.Compare(a.start, b.start) })
	return ds
}

// opened is an open bowl before anything is taken from it. What is in it is
// spare until then.
func (o Order) opened(b OpenBowl) PlannedBowl {
	life := b.Life
	if life == 0 {
		life = o.supply(b.Product).Life
	}
	return PlannedBowl{ID: b.ID, Product: b.Product, Strength: b.Strength, MixAt: -b.Age, StaleAt: life - b.Age, Life: life,
		Until: -b.Age, Grams: b.Grams, Spare: b.Grams}
}

// staleAt is when the bowl goes stale, for ordering.
func (b *PlannedBowl) staleAt() time.Duration {
	if b.Life == 0 {
		return math.MaxInt64
	}
	return b.StaleAt
}

// open reports whether the bowl was there before the plan.
func (b *PlannedBowl) open() bool { return b.Grams > 0 }

// fits reports whether a piece can come from the bowl. The grams of a bowl to
// be mixed grow with its pieces; see take.
func (o Order) fits(b *PlannedBowl, d dab) bool {
	switch {
	case d.end > b.staleAt():
		return false
	case b.open():
		return d.grams <= b.Spare+crumb
	case o.Largest == 0:
		return true
	}
	return (d.grams-b.Spare)*(1+o.Extra) <= o.Largest+crumb
}

// take takes a piece from the bowl. Until fill, the spare of a bowl to be
// mixed is below zero: what has to go in.
func (b *PlannedBowl) take(d dab) {
	b.Spare -= d.grams
	b.Pieces++
	b.Until = max(b.Until, d.end)
	if i := len(b.Covers) - 1; i >= 0 && b.Covers[i].Need == d.need {
		b.Covers[i].Pieces++
		return
	}
	b.Covers = append(b.Covers, Cover{d.need, 1})
}

// fill puts into the bowl what its pieces take, and the extra; no less than
// can be mixed.
func (o Order) fill(b *PlannedBowl) {
	supply := o.supply(b.Product)
	wasOpen := b.open()
	if !wasOpen {
		need := -b.Spare
		b.Grams = max(need*(1+o.Extra), o.Least)
		b.Spare = b.Grams - need
	}
	b.Spare = max(b.Spare, 0)
	b.ProductGrams = b.Grams
	if supply.Ratio.valid() {
		b.ProductGrams = b.Grams * supply.Ratio.Product / (supply.Ratio.Product + supply.Ratio.Developer)
	}
	b.DeveloperGrams = b.Grams - b.ProductGrams
	if !wasOpen {
		b.Cost = b.ProductGrams / 100 * supply.PricePer100g
	}
}

// tooMuch says why a piece does not fit into a bowl of its own.
func (o Order) tooMuch(d dab, life time.Duration) error {
	product := o.Needs[d.need].Product
	if each := d.end - d.start; life > 0 && each > life {
		return fmt.Errorf("a piece takes %s and a bowl of %s works for %s: make smaller pieces, work with a helper, or take a product that lasts longer",
			sayMinutes(each), product, sayMinutes(life))
	}
	return fmt.Errorf("a piece takes %s of %s with what is extra, and the largest bowl holds %s: take a larger bowl or smaller pieces",
		Gram.Say(d.grams*(1+o.Extra)), product, Gram.Say(o.Largest))
}

// sayMinutes is a length of time in minutes, to the tenth.
func sayMinutes(d time.Duration) string { return trim(math.Round(d.Minutes()*10)/10) + " min" }

// supply is how a product is mixed; that of a product that is not needed may
// be missing.
func (o Order) supply(product string) Supply {
	for _, s := range o.Supplies {
		if nameKey(s.Product) == nameKey(product) {
			return s
		}
	}
	return Supply{}
}

func (o Order) validate() error {
	if !(o.Largest >= 0 && o.Largest <= maxBowl) {
		return fmt.Errorf("largest bowl, %v g: must be above 0 and at most %d: correct it", o.Largest, maxBowl)
	}
	if !(o.Least >= 0 && o.Least <= maxBowl) || o.Largest > 0 && o.Least > o.Largest {
		return fmt.Errorf("smallest bowl, %v g: must be above 0 and at most the largest: correct it", o.Least)
	}
	if !(o.Extra >= 0 && o.Extra <= 1) {
		return fmt.Errorf("extra %v: must be from 0 to 1 times the need: correct it", o.Extra)
	}
	for _, s := range o.Supplies {
		switch {
		case s.Life < 0 || s.Life > longest:
			return fmt.Errorf("%s: a working life of %v: must be above 0 and at most a day: correct it", s.Product, s.Life)
		case s.Ratio != (Ratio{}) && !s.Ratio.valid():
			return fmt.Errorf("%s: ratio %v: give each side a number above 0 and up to 100", s.Product, s.Ratio)
		case !(s.PricePer100g >= 0 && s.PricePer100g <= 1e6):
			return fmt.Errorf("%s: price %v: must be from 0 to a million: correct it", s.Product, s.PricePer100g)
		}
	}
	for _, n := range o.Needs {
		if err := o.validateNeed(n); err != nil {
			return err
		}
	}
	for _, b := range o.Open {
		if b.Age < 0 || b.Age > longest || b.Life < 0 || b.Life > longest || !(b.Grams > 0 && b.Grams <= maxBowl) {
			return fmt.Errorf("open bowl %s: age %v, life %v, %v g: correct what can't be, and leave out what is empty", b.ID, b.Age, b.Life, b.Grams)
		}
	}
	return nil
}

func (o Order) validateNeed(n Need) error {
	switch {
	case strings.TrimSpace(n.Product) == "":
		return errors.New("a need without a product: name it")
	case o.supply(n.Product).Product == "":
		return fmt.Errorf("%s: it is not known how to mix it: give its ratio and working life", n.Product)
	case !n.Strength.finite():
		return fmt.Errorf("%s: strength %v: give the developer's", n.Product, n.Strength)
	case n.Start < 0 || n.Start > longest || n.Duration <= 0 || n.Duration > longest:
		return fmt.Errorf("%s: from %v for %v: times must lie within a day and last: correct them", n.Product, n.Start, n.Duration)
	case n.Pieces < 1 || n.Pieces > maxPieces:
		return fmt.Errorf("%s: %d pieces: must be 1 to %d: correct it", n.Product, n.Pieces, maxPieces)
	case !(n.Grams > 0 && n.Grams <= maxBowl):
		return fmt.Errorf("%s: %v g of mix: must be above 0 and at most %d: correct it", n.Product, n.Grams, maxBowl)
	}
	return nil
}
