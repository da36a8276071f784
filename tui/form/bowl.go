package form

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// A liquid is what goes into a bowl besides the product.
type liquid string

const (
	oneDeveloper liquid = "one developer"
	twoBlended   liquid = "two developers, blended"
	withWater    liquid = "developer and water"
)

// bowl is what was typed for a mix.
type bowl struct {
	plan    session.PlanBand
	grams   string
	ratio   string
	typed   string // ratio, where it is another than the catalogue's
	meant   string // whether a ratio outside the catalogue's is
	liquid  liquid
	first   string // strength of the developer
	second  string // strength of the other one
	blend   string // parts of the first to the second
	thin    string // parts of the first to water
	life    string // minutes
	product formula.Product
	law     formula.Law // on peroxide
}

// Bowl asks for a mix of what is planned, with the ratios and the working life
// that the catalogue gives. Grams of product are offered if they are above 0;
// advice says where they come from, and what else there is to mix. Its intent
// logs one session.BowlMixed.
func Bowl(th *theme.Theme, plan session.PlanBand, catalogue *formula.Catalogue, grams float64, advice []string, law formula.Law) *Form {
	b := &bowl{plan: plan, law: law, liquid: oneDeveloper, first: offered(plan.Strength)}
	if grams > 0 {
		b.grams = plain(math.Ceil(grams))
	}
	b.product, _ = catalogue.Product(plan.Product)
	if b.product.Life > 0 {
		b.life = plain(b.product.Life.Minutes())
	}
	fields := []field{text("Product, grams", &b.grams, between(0.1, 5000)).
		helped("Weight of the product alone, without developer: grams from 0.1 to 5000, as 40. The developer to weigh is worked out from it and the ratio.")}
	var more []page
	if !b.dry() {
		fields = append(fields, b.ratioField(),
			turn("To be mixed with", &b.liquid, []choice[liquid]{
				{string(oneDeveloper), oneDeveloper}, {string(twoBlended), twoBlended}, {string(withWater), withWater},
			}).helped("What goes in beside the product. Two developers, or developer and water, make a strength between; the next page asks for the parts."),
			text("Developer, as 20 vol or 6 %", &b.first, strength).
				helped("Strength of the developer that goes in: as 20 vol, or in %, as 6 %. The stronger it is, the sooner the product must be off."))
		more = []page{
			{hidden: func() bool { return b.ratio != otherRatio }, fields: []field{
				text("Another ratio, product to developer, as 1:2.5", &b.typed, ratioCheck).
					helped(ratioHelp + " The catalogue's ratios are on the page before."),
			}},
			{hidden: func() bool { return b.outside() == "" }, fields: []field{b.meantField()}},
			{hidden: func() bool { return b.liquid != twoBlended }, fields: []field{
				text("Second developer, as 20 vol or 6 %", &b.second, strength).
					helped("Strength of the other developer, as 10 vol or 3 %. The strength of the two together is worked out below."),
				partsField("Parts, first to second, as 2:1 or 66 %", &b.blend).
					helped("How much of the first developer to how much of the second: 2:1 is two parts of the first; 66 % says how much of both the first is, from 1 to 99."),
			}},
			{hidden: func() bool { return b.liquid != withWater }, fields: []field{
				partsField("Parts, developer to water, as 2:1 or 66 %", &b.thin).
					helped("How much developer to how much water: 2:1 is two parts of developer; 66 % says how much of both is developer, from 1 to 99. Only if the product allows water."),
			}},
		}
	}
	fields = append(fields, text("Working life, minutes (leave empty if not known)", &b.life, optional(between(1, 1440))).
		helped("How long the mix may be used once it is mixed, as the product says: minutes from 1 to 1440. It warns before a bowl is too old; it is not how long product may be on hair."))
	title := "Mix " + plan.Product + " for the " + string(plan.Band)
	if b.product.Invented {
		title += " (invented product)"
	}
	return start(th, Form{
		title:  title,
		lead:   advice,
		pages:  append([]page{{fields: fields}}, more...),
		live:   b.say,
		submit: b.submit,
	})
}

// offered is a strength as it may be typed: in volumes where that is exact.
func offered(p formula.Percent) string {
	label := formula.Label(p)
	if read, err := formula.ParseStrength(label); err == nil && alike(read, p) {
		return label
	}
	return plain(math.Round(float64(p)*1e4)/1e4) + " %"
}

// alike reports whether two strengths are the same one in the trade.
func alike(p, o formula.Percent) bool {
	p, o = p.Nominal(), o.Nominal()
	return p.AtMost(o) && o.AtMost(p)
}

// dry reports whether the product is used without developer.
func (b *bowl) dry() bool { return b.plan.Strength.AtMost(0) }

func (b *bowl) ratioField() field {
	const name = "Ratio, product to developer"
	if len(b.product.Ratios) == 0 {
		return text(name+", as 1:2", &b.ratio, ratioCheck).helped(ratioHelp + " Type it as 1:2 or 1:1.5.")
	}
	choices := make([]choice[string], len(b.product.Ratios))
	for i, r := range b.product.Ratios {
		choices[i] = choice[string]{r.String(), r.String()}
	}
	choices = append(choices, choice[string]{"another", otherRatio})
	return turn(name, &b.ratio, choices).helped(ratioHelp + " Those offered are the catalogue's; another is typed on the next page.")
}

// otherRatio stands for a ratio that the catalogue does not have.
const otherRatio = "another"

func ratioCheck(t string) error {
	_, err := formula.ParseRatio(t)
	return err
}

// parts is the ratio that was chosen or typed.
func (b *bowl) parts() (formula.Ratio, error) {
	if b.ratio == otherRatio {
		return formula.ParseRatio(b.typed)
	}
	return formula.ParseRatio(b.ratio)
}

// outside is the catalogue's ratios for the product, if the ratio is outside
// them; else empty.
func (b *bowl) outside() string {
	r, err := b.parts()
	if span, ok := b.product.RatioRange(); ok && err == nil && !b.dry() && !span.Has(r) {
		return span.String()
	}
	return ""
}

func (b *bowl) meantField() field {
	const no, yes = "no", "yes"
	b.meant = no
	return choose("Outside the catalogue's ratios: is it meant?", &b.meant, []choice[string]{
		{"no", no}, {"yes, as the product's instructions say", yes},
	}, func(said string) error {
		if said != yes {
			return fmt.Errorf("the catalogue has %s for %s: go back and take one of those, or answer yes here", b.outside(), b.product.Name)
		}
		return nil
	}, true).helped("Too much developer makes a mix run, too little makes it dry early, and its limit may no longer hold. It is kept with the bowl and shown on the card.")
}

const ratioHelp = "Parts of product to parts of developer by weight, as the product says: 1:2 is 80 g of developer to 40 g of product."

func partsField(name string, value *string) field {
	return text(name, value, func(t string) error {
		_, err := share(t)
		return err
	})
}

func strength(text string) error {
	_, err := formula.ParseStrength(text)
	return err
}

// share reads how much of a liquid is the first part, from 0 to 1: "2:1" or
// "66 %".
func share(text string) (float64, error) {
	if percent, ok := strings.CutSuffix(strings.TrimSpace(text), "%"); ok {
		f, err := number(percent, 1, 99)
		return f / 100, err
	}
	r, err := formula.ParseRatio(text)
	if err != nil {
		return 0, errors.New("type parts, as 2:1, or how much is the first, as 66 %")
	}
	return r.Product / (r.Product + r.Developer), nil
}

// mix is the mix that was typed. Amounts are exact, so that weighing to the
// gram does not change the strength on paper.
func (b *bowl) mix() (formula.Mix, error) {
	grams, err := number(b.grams, 0.1, 5000)
	if err != nil {
		return formula.Mix{}, err
	}
	r := formula.Recipe{Product: b.plan.Product}
	if b.dry() {
		return r.Mix(grams)
	}
	if r.Ratio, err = b.parts(); err != nil {
		return formula.Mix{}, err
	}
	first, err := formula.ParseStrength(b.first)
	if err != nil {
		return formula.Mix{}, err
	}
	if b.liquid == oneDeveloper {
		r.Liquid = []formula.Part{{Strength: first, Amount: 1}}
		return r.Mix(grams)
	}
	parts, second := b.blend, formula.Percent(0) // water
	if b.liquid == withWater {
		parts = b.thin
	} else if second, err = formula.ParseStrength(b.second); err != nil {
		return formula.Mix{}, err
	}
	of, err := share(parts)
	if err != nil {
		return formula.Mix{}, err
	}
	r.Liquid = []formula.Part{{Strength: first, Amount: of}, {Strength: second, Amount: 1 - of}}
	return r.Mix(grams)
}

// say tells what to weigh, and what it makes.
func (b *bowl) say() []string {
	m, err := b.mix()
	if errors.Is(err, formula.ErrOverCap) {
		return []string{cmp.Or(b.law.Check(m), err).Error()}
	}
	if err != nil {
		if parts := b.partsFor(b.plan.Strength); parts != "" {
			return []string{"For " + formula.Label(b.plan.Strength) + " as planned:" + parts}
		}
		return nil
	}
	out := formula.MixLines(m, formula.Gram, b.law)
	if span := b.outside(); span != "" {
		r, _ := b.parts()
		out = append([]string{fmt.Sprintf("CAREFUL: %s is outside what the catalogue has for %s: %s.", r, b.product.Name, span)}, out...)
	}
	if got, want := m.Developer(), b.plan.Strength; !b.dry() && !alike(got, want) {
		out = append(out, fmt.Sprintf("This makes %s; the plan says %s.%s",
			formula.Label(got), formula.Label(want), b.partsFor(want)))
	}
	if safety.Lightener(b.plan.Kind) {
		out = append(out, "Powder: mix it far from the client, in moving air: dust can set off asthma.")
	}
	return out
}

// partsFor says which parts of the two liquids make the strength wanted.
func (b *bowl) partsFor(want formula.Percent) string {
	first, err := formula.ParseStrength(b.first)
	second := formula.Percent(0)
	if err == nil && b.liquid == twoBlended {
		second, err = formula.ParseStrength(b.second)
	}
	of := float64((want - second) / (first - second))
	if err != nil || b.liquid == oneDeveloper || !(of > 0 && of < 1) {
		return ""
	}
	if of < 0.5 {
		return " 1:" + plain(math.Round((1-of)/of*100)/100) + " would make it."
	}
	return " " + plain(math.Round(of/(1-of)*100)/100) + ":1 would make it."
}

func (b *bowl) submit() (intent.Intent, error) {
	m, err := b.mix()
	if err != nil {
		return nil, err
	}
	if b.product.OffScalp && b.plan.Contact == formula.OnScalp {
		return nil, fmt.Errorf("%s is not for the scalp, as the catalogue says: leave with esc, and keep it off the scalp (z)", b.product.Name)
	}
	d := session.BowlMixed{Product: b.plan.Product, Family: b.plan.Kind, Mix: m, OffScalp: b.product.OffScalp}
	if span := b.outside(); span != "" {
		d.RatioRange, d.RatioOutside = span, true
	}
	if strings.TrimSpace(b.life) != "" {
		minutes, err := number(b.life, 1, 1440)
		if err != nil {
			return nil, err
		}
		d.LifeS = int(fromMinutes(minutes) / time.Second)
	}
	return logged("Mixed: "+formula.Weigh(m, formula.Gram), d), nil
}

// EmptyBowl asks which of the bowls in use is empty, and what is left over.
// The first is offered; there must be one. Its intent logs one
// session.BowlEmptied.
func EmptyBowl(th *theme.Theme, bowls []session.BowlLook) *Form {
	id, left := "", ""
	var choices []choice[string]
	for _, b := range bowls {
		choices = append(choices, choice[string]{fmt.Sprintf("%s: %s %s", b.ID, b.Product, b.Strength), b.ID})
	}
	return start(th, Form{
		title: "What is left in a bowl",
		pages: []page{{fields: []field{
			pick("Which bowl is done with", &id, choices, some("no bowl is in use")).
				helped("The bowl that nothing more is taken from. Its product on the hair works on and counts on."),
			text("Left over, grams (leave empty if not weighed)", &left, optional(between(0, 5000))).
				helped("What is scraped out of the bowl, weighed: grams from 0 to 5000, 0 if it is clean. Later bowls are offered by what was really used."),
		}}},
		submit: func() (intent.Intent, error) {
			d := session.BowlEmptied{Bowl: id}
			if strings.TrimSpace(left) != "" {
				grams := orZero(left)
				d.LeftGrams = &grams
			}
			return logged("Bowl "+id+" is empty", d), nil
		},
	})
}

// some checks that something is chosen; why says what there is none of.
func some(why string) func(string) error {
	return func(chosen string) error {
		if chosen == "" {
			return errors.New(why)
		}
		return nil
	}
}
