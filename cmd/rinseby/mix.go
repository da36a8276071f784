package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"rinseby/session/formula"
	"rinseby/tui/clean"
)

// exitOverCap is the exit code of mix for a mix that is stronger than the law
// allows.
const exitOverCap = 2

// mixFlags is what was typed after mix. All of it is text, so that what is
// wrong with it is said in words of our own.
type mixFlags struct {
	pieces, grams, ratio, strength, blend string
	perPiece, life, largest, extra        string
	product, unit                         string
	asJSON                                bool
}

func (e *edge) mixCommand() *cobra.Command {
	var m mixFlags
	c := &cobra.Command{
		Use:   "mix",
		Short: "Reckon bowls at the mixing bench, without a service",
		Long: `Mix reckons how much to weigh, how strong it is, and when to mix each bowl so that none is used past
its working life. It keeps nothing. What the catalogue knows of --product need not be given.
Exit code 2: the mix holds more than 12 % peroxide ready for use, the most that Regulation (EC) 1223/2009
allows (Annex III, entry 12).`,
		Example: `  rinseby mix --pieces 24 --grams-per-piece 8 --ratio 1:2 --strength "30 vol" --minutes-per-piece 1.5 --life 45m
  rinseby mix --pieces 40 --grams-per-piece 0.3oz --ratio 1:1.5 --blend 30:1,20:1 --minutes-per-piece 2 --product Chalk --json`,
		Args: noArg,
		RunE: func(*cobra.Command, []string) error { return e.mix(m) },
	}
	f := c.Flags()
	f.StringVar(&m.pieces, "pieces", "", "how many pieces, 1 to 1000")
	f.StringVar(&m.grams, "grams-per-piece", "", "product and developer together for one piece: 8, \"8 g\" or \"0.3 oz\"")
	f.StringVar(&m.ratio, "ratio", "", "product to developer, as 1:2")
	f.StringVar(&m.strength, "strength", "", "of the developer, as \"30 vol\" or \"9 %\", or none for without")
	f.StringVar(&m.blend, "blend", "", "developers with their parts in place of --strength, as 30:1,20:1 or 40:1,water:1")
	f.StringVar(&m.perPiece, "minutes-per-piece", "", "from one piece to the next, as 1.5")
	f.StringVar(&m.life, "life", "", "how long a bowl works by the product's instructions, as 45m")
	f.StringVar(&m.largest, "largest", "", "most that one bowl holds, as \"120 g\"")
	f.StringVar(&m.extra, "extra", "", "what to mix above the need, as \"10 %\"")
	f.StringVar(&m.product, "product", "", "name of the product, of the catalogue or any other")
	f.StringVar(&m.unit, "unit", "g", "g or oz, for what is printed")
	f.BoolVar(&m.asJSON, "json", false, "print as JSON, always in grams")
	return c
}

func (e *edge) mix(m mixFlags) error {
	unit := formula.Unit(m.unit)
	if unit != formula.Gram && unit != formula.Ounce {
		return fmt.Errorf("--unit %q: give g or oz", m.unit)
	}
	cat := formula.Starter()
	if m.product != "" {
		if _, err := e.store(); err != nil { // makes the folder that the catalogue's copy is kept in
			return err
		}
		var notice error
		if cat, notice = e.catalogue(); notice != nil {
			fmt.Fprintln(e.err, "rinseby:", clean.Text(notice.Error()))
		}
	}
	b, err := m.bench(cat)
	if err != nil {
		return err
	}
	p, err := b.Plan()
	if errors.Is(err, formula.ErrOverCap) {
		return &exitError{exitOverCap, err.Error()}
	}
	if err != nil {
		return err
	}
	if m.asJSON {
		return e.encode(p)
	}
	for _, line := range p.Lines(unit) {
		if _, err := fmt.Fprintln(e.out, line); err != nil {
			return err
		}
	}
	return nil
}

// bench is what was typed, completed from the catalogue.
func (m mixFlags) bench(cat *formula.Catalogue) (formula.Bench, error) {
	b := formula.Bench{}
	b.Product = strings.TrimSpace(clean.Text(m.product))
	if b.Product == "" {
		b.Product = "product"
	}
	known, _ := cat.Product(b.Product)
	if known.Name != "" {
		b.Product, b.Invented, b.Life, b.PricePer100g, b.Ratios = known.Name, known.Invented, known.Life, known.PricePer100g, known.Ratios
	}
	for _, f := range []struct {
		name, text string
		needed     bool
		read       func(text string) error
	}{
		{"--pieces", m.pieces, true, func(t string) (err error) {
			if b.Pieces, err = strconv.Atoi(t); err != nil || b.Pieces < 1 || b.Pieces > 1000 {
				return fmt.Errorf("%q: give a whole number from 1 to 1000", t)
			}
			return nil
		}},
		{"--grams-per-piece", m.grams, true, weight(&b.GramsPerPiece)},
		{"--minutes-per-piece", m.perPiece, true, minutes(&b.PerPiece)},
		{"--life", m.life, b.Life == 0, minutes(&b.Life)},
		{"--largest", m.largest, false, weight(&b.Largest)},
		{"--extra", m.extra, false, func(t string) (err error) {
			b.Extra, err = percent(t)
			return err
		}},
	} {
		switch {
		case f.text == "" && f.needed:
			return b, fmt.Errorf("%s is missing: see rinseby mix --help", f.name)
		case f.text == "":
			continue
		}
		if err := f.read(f.text); err != nil {
			return b, fmt.Errorf("%s: %w", f.name, err)
		}
	}
	return b, m.liquid(&b, known)
}

// liquid reads what the product is mixed with.
func (m mixFlags) liquid(b *formula.Bench, known formula.Product) (err error) {
	switch {
	case m.strength != "" && m.blend != "":
		return errors.New("--strength and --blend are both given: give one of the two")
	case m.strength == "" && m.blend == "":
		return errors.New(`the developer is missing: give --strength, as "30 vol", or --blend, as 30:1,20:1`)
	case m.strength == "none" && m.ratio != "":
		return errors.New("--ratio is given, but --strength none means without developer: take one of the two out")
	case m.strength == "none":
		return nil
	case m.blend != "":
		if b.Liquid, err = formula.ParseBlend(m.blend); err != nil {
			return fmt.Errorf("--blend: %w", err)
		}
	default:
		p, err := formula.ParseStrength(m.strength)
		if err != nil {
			return fmt.Errorf("--strength: %w", err)
		}
		b.Liquid = []formula.Part{{Strength: p, Amount: 1}}
	}
	switch {
	case m.ratio == "" && len(known.Ratios) == 1:
		b.Ratio = known.Ratios[0]
		return nil
	case m.ratio == "" && len(known.Ratios) > 1:
		return fmt.Errorf("--ratio is missing: the catalogue has %v for %s, choose one", known.Ratios, known.Name)
	case m.ratio == "":
		return errors.New("--ratio is missing: give product to developer, as 1:2")
	}
	if b.Ratio, err = formula.ParseRatio(m.ratio); err != nil {
		return fmt.Errorf("--ratio: %w", err)
	}
	return nil
}

func weight(to *float64) func(string) error {
	return func(text string) error {
		a, err := formula.ParseAmount(text)
		if err == nil {
			*to, err = a.Grams()
		}
		return err
	}
}

func minutes(to *time.Duration) func(string) error {
	return func(text string) (err error) {
		*to, err = formula.ParseMinutes(text)
		return err
	}
}

// percent reads "10 %" or "10" as 0.1.
func percent(text string) (float64, error) {
	f, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "%")), 64)
	if err != nil || !(f >= 0 && f <= 100) {
		return 0, fmt.Errorf(`%q: give it from 0 to 100 %%, as "10 %%"`, text)
	}
	return f / 100, nil
}
