package formula

import (
	"cmp"
	"errors"
	"fmt"
	"time"
)

// A Bench is what is asked at the mixing bench: bowls for so many pieces that
// are coated one after the other from one recipe.
type Bench struct {
	Recipe
	Invented      bool
	Pieces        int
	GramsPerPiece float64       // of mix
	PerPiece      time.Duration // from one piece to the next
	Life          time.Duration // of a bowl
	Largest       float64       // grams that a bowl holds; 0: no bound
	Extra         float64       // above the need, as a share of it, 0 to 1
	PricePer100g  float64       // of the product; 0: not given
	Ratios        []Ratio       // that the catalogue has for the product; none: not known
	Law           Law           // on peroxide; zero: that of no known region
}

// A BenchPlan is the answer to a [Bench]. It is what "mix --json" prints.
// Grams are rounded to a hundredth and seconds to a thousandth. Moments count
// from the start of the first piece.
type BenchPlan struct {
	Product       string      `json:"product"`
	Invented      bool        `json:"invented"`
	Pieces        int         `json:"pieces"`
	GramsPerPiece float64     `json:"grams_per_piece"`
	PieceS        float64     `json:"piece_s"`
	LifeS         float64     `json:"life_s"`
	StrengthPct   float64     `json:"strength_pct"`
	Strength      string      `json:"strength"`
	ReadyPct      float64     `json:"ready_pct"`
	CapPct        float64     `json:"cap_pct"`
	Ratio         string      `json:"ratio"`
	RatioRange    string      `json:"ratio_range"` // of the catalogue, if the ratio is outside it
	Mix           Mix         `json:"mix"`
	Grams         float64     `json:"grams"`
	DeveloperML   float64     `json:"developer_ml"`
	SpareGrams    float64     `json:"spare_grams"`
	Cost          *float64    `json:"cost"`
	Bowls         []BenchBowl `json:"bowls"`

	exact Mix // what Mix is the rounding of
	law   Law
}

// A BenchBowl is one bowl of a [BenchPlan].
type BenchBowl struct {
	Mix        Mix     `json:"mix"`
	Grams      float64 `json:"grams"`
	SpareGrams float64 `json:"spare_grams"`
	FirstPiece int     `json:"first_piece"`
	LastPiece  int     `json:"last_piece"`
	MixAtS     float64 `json:"mix_at_s"`
	UsedUpS    float64 `json:"used_up_s"`
	StaleAtS   float64 `json:"stale_at_s"`

	exact Mix
}

// Plan computes the bowls. The error wraps [ErrOverCap] if the mix is too
// strong, and says what to do in every case.
func (b Bench) Plan() (BenchPlan, error) {
	if err := b.validate(); err != nil {
		return BenchPlan{}, err
	}
	unit, err := b.Mix(1) // a gram of product tells the shares of all else
	if errors.Is(err, ErrOverCap) {
		err = cmp.Or(b.Law.Check(unit), err)
	}
	if err != nil {
		return BenchPlan{}, err
	}
	schedule, err := Order{
		Needs: []Need{{Product: b.Product, Strength: unit.Developer(), Duration: b.PerPiece * time.Duration(b.Pieces),
			Pieces: b.Pieces, Grams: b.GramsPerPiece * float64(b.Pieces)}},
		Supplies: []Supply{{Product: b.Product, Ratio: b.Ratio, Life: b.Life, PricePer100g: b.PricePer100g}},
		Largest:  b.Largest, Extra: b.Extra,
	}.Schedule()
	if err != nil {
		return BenchPlan{}, err
	}
	all, err := b.Mix(schedule.Grams / unit.Total())
	if err != nil {
		return BenchPlan{}, err
	}
	p := BenchPlan{
		Product: b.Product, Invented: b.Invented, Pieces: b.Pieces, GramsPerPiece: round(b.GramsPerPiece, 2),
		PieceS: seconds(b.PerPiece), LifeS: seconds(b.Life),
		StrengthPct: round(float64(all.Developer()), 4), Strength: Label(all.Developer()),
		ReadyPct: round(float64(all.Ready()), 4), CapPct: float64(cmp.Or(b.Law.Max, ReadyCap)), law: b.Law,
		Mix: all.weighed(), exact: all, Grams: round(schedule.Grams, 2), SpareGrams: round(schedule.Spare, 2),
	}
	if len(all.Developers) > 0 {
		p.Ratio = b.Ratio.String()
		if span, ok := (Product{Ratios: b.Ratios}).RatioRange(); ok && !span.Has(b.Ratio) {
			p.RatioRange = span.String()
		}
		p.DeveloperML = round(DeveloperMillilitres(all.developerGrams()), 0)
	} else {
		p.Strength = "none"
	}
	if b.PricePer100g > 0 {
		cost := round(schedule.Cost, 2)
		p.Cost = &cost
	}
	first := 1
	for _, bowl := range schedule.Bowls {
		m, err := b.Mix(bowl.ProductGrams)
		if err != nil {
			return BenchPlan{}, err
		}
		p.Bowls = append(p.Bowls, BenchBowl{
			Mix: m.weighed(), exact: m, Grams: round(bowl.Grams, 2), SpareGrams: round(bowl.Spare, 2),
			FirstPiece: first, LastPiece: first + bowl.Pieces - 1,
			MixAtS: seconds(bowl.MixAt), UsedUpS: seconds(bowl.Until), StaleAtS: seconds(bowl.StaleAt),
		})
		first += bowl.Pieces
	}
	return p, nil
}

func (b Bench) validate() error {
	total := b.GramsPerPiece * float64(b.Pieces) * (1 + b.Extra)
	switch {
	case b.Pieces < 1 || b.Pieces > maxPieces:
		return fmt.Errorf("%d pieces: give a number from 1 to %d", b.Pieces, maxPieces)
	case !(b.GramsPerPiece > 0):
		return fmt.Errorf("%v g a piece: give a weight above 0", b.GramsPerPiece)
	case !(total <= maxGrams):
		return fmt.Errorf("%d pieces at %s make %s, more than the %d g that are taken: check the pieces and the grams",
			b.Pieces, Gram.Say(b.GramsPerPiece), Gram.Say(total), maxGrams)
	case b.PerPiece <= 0 || b.PerPiece*time.Duration(b.Pieces) > longest:
		return fmt.Errorf("%d pieces at %s each: must take more than no time and at most a day: check the pieces and the minutes",
			b.Pieces, sayMinutes(b.PerPiece))
	case b.Life <= 0:
		return errors.New("working life of a bowl: give it, as the product's instructions say")
	}
	return nil
}

func seconds(d time.Duration) float64 { return round(d.Seconds(), 3) }

// weighed is the mix in hundredths of a gram, which is finer than any scale
// at the bench.
func (m Mix) weighed() Mix {
	out := Mix{WaterGrams: round(m.WaterGrams, 2)}
	for _, p := range m.Products {
		out.Products = append(out.Products, ProductPart{p.Product, round(p.Grams, 2)})
	}
	for _, d := range m.Developers {
		out.Developers = append(out.Developers, DeveloperPart{d.Strength, round(d.Grams, 2)})
	}
	return out
}

// developerGrams is the grams of all developers, without water.
func (m Mix) developerGrams() (grams float64) {
	for _, d := range m.Developers {
		grams += d.Grams
	}
	return grams
}

// Lines are the plan in words, weights in grams or ounces. It is for a plan
// that Plan made.
func (p BenchPlan) Lines(u Unit) []string {
	name := p.Product
	if p.Invented {
		name += " (invented product)"
	}
	out := []string{fmt.Sprintf("%s, %d pieces at %s of mix, one every %s", name, p.Pieces, u.Say(p.GramsPerPiece), sayMinutes(duration(p.PieceS)))}
	for _, line := range MixLines(p.exact, u, p.law) {
		out = append(out, "  "+line)
	}
	if p.RatioRange != "" {
		out = append(out, fmt.Sprintf("  CAREFUL: %s is outside what the catalogue has for %s (%s): see its instructions", p.Ratio, p.Product, p.RatioRange))
	}
	if p.DeveloperML > 0 {
		out = append(out, fmt.Sprintf("  by volume about %s of developer (%s)", Millilitre.Say(p.exact.developerGrams()), DeveloperDensityOrigin))
	}
	bowls := "1 bowl"
	if len(p.Bowls) > 1 {
		bowls = fmt.Sprintf("%d bowls", len(p.Bowls))
	}
	out = append(out, fmt.Sprintf("%s, each good for %s; minutes count from the first piece", bowls, sayMinutes(duration(p.LifeS))))
	for i, b := range p.Bowls {
		out = append(out, fmt.Sprintf("  bowl %d: mix at %s, last piece in at %s, stale at %s; pieces %d to %d",
			i+1, sayMinutes(duration(b.MixAtS)), sayMinutes(duration(b.UsedUpS)), sayMinutes(duration(b.StaleAtS)), b.FirstPiece, b.LastPiece),
			"    "+Weigh(b.exact, u))
	}
	left := "Left over: " + u.Say(p.SpareGrams)
	if p.Cost != nil {
		left += fmt.Sprintf(". Product: %.2f in your currency", *p.Cost)
	}
	return append(out, left)
}

func duration(seconds float64) time.Duration {
	return time.Duration(seconds * float64(time.Second))
}
