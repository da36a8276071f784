package formula

import (
	_ "embed"
	"fmt"
	"slices"
	"sync"
	"time"

	"rinseby/timing"
)

// House bounds on what a catalogue may hold, against slips of the keyboard.
const (
	maxFile    = 256 << 10 // bytes
	maxMinutes = 240       // of a window, and of a bowl's working life
	maxName    = 60        // characters
	maxText    = 200       // characters
)

// A Product is one product of a catalogue.
type Product struct {
	Name string
	Kind Kind
	// Ratios are those that the product may be mixed at; none means that the
	// catalogue does not say.
	Ratios []Ratio
	// Life is how long a bowl of it stays in working order; zero means that
	// the catalogue does not say.
	Life time.Duration
	// Invented marks a product of the demo, which no shop sells.
	Invented bool
	// PricePer100g is in the salon's own currency; zero means not given.
	PricePer100g float64
	// OffScalp marks a product that is not for the scalp.
	OffScalp bool
	Notes    string
}

// A Catalogue is the products that a salon uses and the windows that it works
// by. It never changes once it is parsed.
type Catalogue struct {
	products []Product
	byName   map[string]int // index into products by nameKey
	windows  []Row
}

// Parse reads a catalogue from TOML. The name of the file is for errors only.
// The error holds a [FieldError] for each place that is wrong, one to a line;
// there is no catalogue then.
//
// A [[product]] has name, kind and, as far as wanted, ratios (["1:1", "1:2"]),
// life_minutes, price_per_100g, invented, off_scalp (it is not for the scalp) and
// notes. A [[window]] has either
// product or kind; strength ("30 vol", "9 %", or "none" for use without
// developer); as far as it holds for some hair only, contact ("off",
// "scalp"), condition and heat ("yes", "no"); opens_minutes, limit_minutes and
// origin.
func Parse(name string, data []byte) (*Catalogue, error) {
	doc, root, err := openDocument(name, data)
	if err != nil {
		return nil, err
	}
	root.only("product", "window")
	c := &Catalogue{byName: map[string]int{}}
	for _, t := range root.tables("product") {
		c.addProduct(t)
	}
	if !root.has("product") {
		root.refuse("product", "there is none: add a [[product]] with name and kind")
	}
	seen := map[Row]int{}
	for _, t := range root.tables("window") {
		c.addWindow(t, seen)
	}
	if err := doc.err(); err != nil {
		return nil, err
	}
	return c, nil
}

func (c *Catalogue) addProduct(t table) {
	t.only("name", "kind", "ratios", "life_minutes", "price_per_100g", "invented", "off_scalp", "notes")
	t.need("name", "kind")
	p := Product{
		Name:         t.text("name", maxName),
		Kind:         word(t, "kind", Kinds()),
		Ratios:       t.ratios("ratios"),
		Life:         t.minutes("life_minutes", 1, maxMinutes),
		Invented:     t.flag("invented"),
		PricePer100g: t.number("price_per_100g", 0, 1e6),
		OffScalp:     t.flag("off_scalp"),
		Notes:        t.text("notes", maxText),
	}
	if _, taken := c.byName[nameKey(p.Name)]; taken {
		t.refuse("name", "there is a product %q already: give each a name of its own", p.Name)
	}
	if p.Name != "" {
		c.byName[nameKey(p.Name)] = len(c.products)
	}
	c.products = append(c.products, p)
}

// ratios is an array of ratios.
func (t table) ratios(field string) []Ratio {
	if !t.has(field) {
		return nil
	}
	list, ok := t.values[field].([]any)
	if !ok {
		t.refuse(field, `write a list of ratios, as ["1:1", "1:2"]`)
	}
	var out []Ratio
	for i, v := range list {
		line := t.doc.lines.line(t.at.field(field).element(i))
		text, ok := v.(string)
		if !ok {
			t.doc.refuse(line, field, `put each ratio in quotes, as ["1:1", "1:2"]`)
			continue
		}
		r, err := ParseRatio(text)
		if err != nil {
			t.doc.refuse(line, field, err.Error())
			continue
		}
		out = append(out, r)
	}
	return out
}

// addWindow adds a row. The lines of rows already seen are kept by what the
// rows hold for.
func (c *Catalogue) addWindow(t table, seen map[Row]int) {
	before := len(t.doc.errors)
	t.only("product", "kind", "strength", "contact", "condition", "heat",
		"opens_minutes", "limit_minutes", "origin")
	t.need("strength", "opens_minutes", "limit_minutes", "origin")
	r := Row{
		Product:   t.text("product", maxName),
		Kind:      word(t, "kind", Kinds()),
		Strength:  t.strength("strength"),
		Contact:   word(t, "contact", Contacts()),
		Condition: word(t, "condition", Conditions()),
		Heat:      word(t, "heat", []HeatRule{WithHeat, NoHeat}),
	}
	c.checkSubject(t, &r)
	if len(t.doc.errors) == before {
		key := r
		key.Strength = r.Strength.Nominal()
		if line, twice := seen[key]; twice {
			t.doc.refuse(t.heading(), "", fmt.Sprintf("this [[window]] holds for the same as the one on line %d: take one out", line))
		}
		seen[key] = t.heading()
	}
	r.Window = timing.Window{
		Opens: t.minutes("opens_minutes", 0, maxMinutes),
		Limit: t.minutes("limit_minutes", 1, maxMinutes),
	}
	r.Origin = t.text("origin", maxText)
	if len(t.doc.errors) == before && r.Window.Opens > r.Window.Limit {
		t.refuse("opens_minutes", "later than limit_minutes: make it the same or less")
	}
	c.windows = append(c.windows, r)
}

// checkSubject sees to it that a row is either of a known product, whose kind
// and spelling it then takes, or of a kind.
func (c *Catalogue) checkSubject(t table, r *Row) {
	switch hasProduct := t.has("product"); {
	case hasProduct && t.has("kind"):
		t.refuse("kind", "a window is of a product or of a kind: take one of the two out")
	case !hasProduct && !t.has("kind"):
		t.refuse("kind", "missing: say for which kind, or for which product, the window holds")
	case hasProduct && r.Product != "":
		p, ok := c.Product(r.Product)
		if ok {
			r.Product, r.Kind = p.Name, p.Kind
			return
		}
		// A product whose own name was refused may be the one that is meant.
		if !slices.ContainsFunc(c.products, func(p Product) bool { return p.Name == "" }) {
			t.refuse("product", "there is no product %q in this file: add a [[product]], or correct the name", r.Product)
		}
	}
}

// strength is the strength that a row holds for.
func (t table) strength(field string) Percent {
	v := t.values[field]
	text, ok := v.(string)
	switch {
	case v == nil || text == "none":
		return 0
	case !ok:
		t.refuse(field, `put it in quotes with its unit, as "30 vol" or "9 %%", or "none"`)
		return 0
	}
	p, err := ParseStrength(text)
	if err != nil {
		t.refuse(field, "%v", err)
	}
	return p
}

// Product finds a product by its name, without regard to case and to the
// number of blanks.
func (c *Catalogue) Product(name string) (Product, bool) {
	i, ok := c.byName[nameKey(name)]
	if !ok {
		return Product{}, false
	}
	return c.products[i].clone(), true
}

func (p Product) clone() Product {
	p.Ratios = slices.Clone(p.Ratios)
	return p
}

// Products are all products in the order of the file.
func (c *Catalogue) Products() []Product {
	out := make([]Product, len(c.products))
	for i, p := range c.products {
		out[i] = p.clone()
	}
	return out
}

// Windows are all rows in the order of the file, to be given to [Match].
func (c *Catalogue) Windows() []Row { return slices.Clone(c.windows) }

//go:embed starter.toml
var starter []byte

// StarterText is the file that a salon without a catalogue starts from. Its
// products are invented, and all its windows are of [HouseRule].
func StarterText() string { return string(starter) }

var parseStarter = sync.OnceValue(func() *Catalogue {
	c, err := Parse("starter.toml", starter)
	if err != nil {
		panic(fmt.Sprintf("the catalogue built into the program is damaged: %v", err))
	}
	return c
})

// Starter is the catalogue of [StarterText].
func Starter() *Catalogue { return parseStarter() }
