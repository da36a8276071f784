package replay

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/safety"
)

// data is what is kept of an entry; false if nothing is. A kind that nobody
// said anything about is refused rather than let through.
func (r *redactor) data(seq int, d session.Data) (session.Data, bool, error) {
	switch d := d.(type) {
	case session.ServiceOpened:
		return r.opened(seq, d), true, nil
	case session.ServiceClosed:
		return session.ServiceClosed{}, true, nil
	case session.ConsultationNoted:
		return session.ConsultationNoted{
			Scale: d.Scale, NaturalDepth: d.NaturalDepth, RegrowthMM: d.RegrowthMM, LengthMM: d.LengthMM,
			Density: d.Density, Conditions: d.Conditions, TargetDepth: d.TargetDepth,
		}, true, nil
	case session.SafetyAnswered:
		a, known := harmless(d)
		if r.lightened && d.Question == safety.History {
			// "nothing" would not agree with what the hair was found to be
			return session.SafetyAnswered{Question: d.Question, Answer: "not known"}, true, nil
		}
		return a, known, nil
	case session.PlanSet:
		d.Round, d.Name, d.Zones, d.ZoneList = r.round(d.Round), r.roundName(d.Round), slices.Clone(d.Zones), ""
		for i := range d.Zones {
			d.Zones[i] = r.planZone(d.Zones[i])
		}
		return d, true, nil
	case session.PlanChanged:
		return r.change(d), true, nil
	case session.WindowConfirmed:
		return r.window(d), true, nil
	case session.BowlMixed:
		return r.mixed(d), true, nil
	case session.BowlEmptied:
		d.Bowl = r.bowl(d.Bowl)
		return d, true, nil
	case session.WarningAcknowledged:
		return r.seen(d)
	case session.PainReported:
		d.Zone, d.Text = r.zone(d.Zone), ""
		return d, r.pain && slices.Contains(session.Reactions(), d.Reaction), nil
	case session.PainCleared:
		d.Note = notKept
		if d.Early != "" {
			d.Early = reasonNotKept
		}
		return d, r.pain, nil
	case session.ReactionNoted:
		if d.Note != "" {
			d.Note = reasonNotKept
		}
		d.Reaction = session.Burning // only what is told after the visit says which, and that is left out
		return d, r.pain && d.When != session.AskLater && slices.Contains(session.HowWords(), d.How), nil
	case session.CutNoted:
		return r.cut(d)
	case session.PromiseChanged:
		kept, is := r.promises[seq]
		return kept, is, nil
	case session.NoteAdded, session.ClockNoted, session.EventVoided, session.EventMoved:
		return nil, false, nil
	}
	return r.work(d)
}

// cut keeps of how a section was cut the figures and the words that rinseby
// offers; false if nothing is left of it.
func (r *redactor) cut(d session.CutNoted) (session.Data, bool, error) {
	known := func(text string, words []string) string {
		text = strings.ToLower(strings.Join(strings.Fields(text), " "))
		if slices.Contains(words, text) {
			return text
		}
		return ""
	}
	out := session.CutNoted{
		Elevation: d.Elevation, LengthMM: d.LengthMM, OverDirection: known(d.OverDirection, session.OverDirections),
		Texture: known(d.Texture, session.CutTextures), Tool: known(d.Tool, session.CutTools),
	}
	if slices.Contains(session.Guides, d.Guide) {
		out.Guide = d.Guide
	}
	if len(out.Words()) == 0 {
		return nil, false, nil
	}
	if out.Section = known(d.Section, session.CutSections); out.Section == "" {
		out.Section = r.sections.as("section ", strings.ToLower(strings.Join(strings.Fields(d.Section), " ")))
	}
	return out, true, nil
}

// work is what is kept of what hands did.
func (r *redactor) work(d session.Data) (session.Data, bool, error) {
	switch d := d.(type) {
	case session.PiecePlaced:
		d.Zone, d.Coats = r.zone(d.Zone), r.coats(d.Coats)
		return d, true, nil
	case session.ZoneFinished:
		return session.ZoneFinished{Zone: r.zone(d.Zone)}, true, nil
	case session.CoatApplied:
		return session.CoatApplied{Zone: r.zone(d.Zone), Coats: r.coats(d.Coats)}, true, nil
	case session.CoatRefreshed:
		return session.CoatRefreshed{Zone: r.zone(d.Zone), Coats: r.coats(d.Coats)}, true, nil
	case session.HeatOn:
		return session.HeatOn{Zones: r.zoneIDs(d.Zones)}, true, nil
	case session.HeatOff:
		return session.HeatOff{Zones: r.zoneIDs(d.Zones)}, true, nil
	case session.ZoneChecked:
		d.Zone, d.Undertone = r.zone(d.Zone), ""
		if d.Feel != session.FeelMushy { // a rule rests on this one word
			d.Feel = ""
		}
		return d, true, nil
	case session.RinseBegan:
		return session.RinseBegan{Trip: r.trips.as("trip-", d.Trip), Zones: r.zoneIDs(d.Zones)}, true, nil
	case session.RinseEnded:
		return session.RinseEnded{Trip: r.trips.as("trip-", d.Trip), Zones: r.zoneIDs(d.Zones)}, true, nil
	case session.StepBegan:
		return session.StepBegan{Step: r.step(d.Step)}, true, nil
	case session.StepEnded:
		return session.StepEnded{Step: r.step(d.Step)}, true, nil
	case session.PauseBegan:
		return session.PauseBegan{}, true, nil
	case session.PauseEnded:
		return d, true, nil
	case session.HelperJoined:
		return session.HelperJoined{Name: r.helpers.as("Helper ", d.Name)}, true, nil
	case session.HelperLeft:
		return session.HelperLeft{Name: r.helpers.as("Helper ", d.Name)}, true, nil
	}
	return nil, false, fmt.Errorf("nothing says what may be kept of %s, so that it is not exported", d.Kind())
}

func (r *redactor) zone(id string) string  { return r.zones.as("zone-", id) }
func (r *redactor) round(id string) string { return r.rounds.as("round-", id) }
func (r *redactor) bowl(id string) string  { return r.bowls.as("bowl-", id) }
func (r *redactor) step(n string) string   { return r.steps.as("Step ", n) }

func (r *redactor) roundName(id string) string { return r.rounds.as("Round ", id) }

// zoneName is a new name for the name of a zone. Zones of one name keep to one,
// as they are the same hair by it.
func (r *redactor) zoneName(name string) string { return r.names.as("Zone ", session.LooseName(name)) }

// product is a new name for a product. Names are of one product as far as
// windows know: case and blanks do not tell them apart.
func (r *redactor) product(name string) string {
	return r.products.as("Product ", strings.ToLower(strings.Join(strings.Fields(name), " ")))
}

func (r *redactor) zoneIDs(ids []string) []string {
	var all []string
	for _, id := range ids {
		all = append(all, r.zone(id))
	}
	return all
}

func (r *redactor) coats(ons []session.CoatOn) []session.CoatOn {
	ons = slices.Clone(ons)
	for i := range ons {
		ons[i].Bowl = r.bowl(ons[i].Bowl)
	}
	return ons
}

func (r *redactor) opened(seq int, d session.ServiceOpened) session.Data {
	o := session.ServiceOpened{Client: RedactedClient, Invented: d.Invented, Region: d.Region, Promised: r.promises[seq].Promised}
	for _, st := range d.Steps {
		st.Name = r.step(st.Name)
		o.Steps = append(o.Steps, st)
	}
	var services numbers
	for _, h := range d.Had {
		h.Service, h.Zone = services.as("service-", h.Service), r.zoneName(h.Zone)
		h.From = RedactedDay.Add(h.From.Sub(r.opening)).Truncate(session.Precision)
		o.Had = append(o.Had, h)
	}
	return o
}

// harmless is an answer that says nothing of the client: the question's first,
// which goes on; where a day is asked, the nearest that goes on.
// It is false for a question that nobody asks.
func harmless(d session.SafetyAnswered) (session.Data, bool) {
	for _, q := range safety.Questions() {
		switch {
		case q.ID != d.Question:
		case q.Kind == safety.Day:
			return session.SafetyAnswered{Question: q.ID, Answer: RedactedDay.AddDate(0, 0, -2).Format("2006-01-02")}, true
		default:
			return session.SafetyAnswered{Question: q.ID, Answer: q.Answers[0].Word}, true
		}
	}
	return nil, false
}

func (r *redactor) planZone(z session.PlanZone) session.PlanZone {
	z.Name, z.ID = r.zoneName(z.Name), r.zone(z.ID)
	z.Technique = r.techniques.as("technique ", strings.ToLower(strings.Join(strings.Fields(z.Technique), " ")))
	z.Bands, z.SameHairAs = r.planBands(z.Bands), r.zoneIDs(z.SameHairAs)
	return z
}

func (r *redactor) planBands(bands []session.PlanBand) []session.PlanBand {
	bands = slices.Clone(bands)
	for i := range bands {
		bands[i].Product = r.product(bands[i].Product)
	}
	return bands
}

func (r *redactor) change(d session.PlanChanged) session.Data {
	d.Name = r.zoneName(d.Name)
	d.Round, d.Zone, d.Before, d.NewZone = r.round(d.Round), r.zone(d.Zone), r.zone(d.Before), r.zone(d.NewZone)
	d.Order, d.Bands = r.zoneIDs(d.Order), r.planBands(d.Bands)
	d.Technique = r.techniques.as("technique ", strings.ToLower(strings.Join(strings.Fields(d.Technique), " ")))
	if d.Add != nil {
		z := r.planZone(*d.Add)
		d.Add = &z
	}
	return d
}

func (r *redactor) window(d session.WindowConfirmed) session.Data {
	d.Row.Product = r.product(d.Row.Product)
	if d.Basis != session.BasisStarter {
		d.Basis = session.BasisInstructions
	}
	if d.Row.IsHouseRule() {
		d.Row.Origin = formula.HouseRule
	} else {
		d.Row.Origin = notKept
	}
	return d
}

func (r *redactor) mixed(d session.BowlMixed) session.Data {
	d.Bowl, d.Product = r.bowl(d.Bowl), r.product(d.Product)
	if span, err := formula.ParseRatioRange(d.RatioRange); err == nil {
		d.RatioRange = span.String()
	} else {
		d.RatioRange = ""
	}
	d.Mix.Products = slices.Clone(d.Mix.Products)
	for i := range d.Mix.Products {
		d.Mix.Products[i].Product = r.product(d.Mix.Products[i].Product)
	}
	return d
}

// seen keeps that a warning was acknowledged if its key is one that tells of
// zones, bowls or windows, not of answers, of pain, or in words of somebody's.
func (r *redactor) seen(d session.WarningAcknowledged) (session.Data, bool, error) {
	if d.Reason != "" {
		d.Reason = reasonNotKept
	}
	what, about, _ := strings.Cut(d.Warning, ":")
	switch what {
	case "stale", "stale-soon", "over-cap", "bowl-kind":
		if !slices.Contains(r.bowls.known, about) {
			return nil, false, nil
		}
		d.Warning = what + ":" + r.bowl(about)
	case "no-limit", "over", "closing", "ahead", "never-open", "heat-over", "mushy", "used-up", "collision", "other-hair", "heat-scalp", "other-coat":
		parts := strings.Split(about, ":")
		for i, p := range parts {
			switch {
			case slices.Contains(r.zones.known, p):
				parts[i] = r.zone(p)
			case what == "other-coat" && slices.Contains(r.bowls.known, p):
				parts[i] = r.bowl(p)
			case !session.Band(p).Valid():
				return nil, false, nil
			}
		}
		d.Warning = what + ":" + strings.Join(parts, ":")
	case "longer-limit":
		return r.seenLonger(d, about)
	default:
		return nil, false, nil
	}
	return d, true, nil
}

// seenLonger is for the key of a limit that was made longer, which names a
// product, or a kind of product, and a strength.
func (r *redactor) seenLonger(d session.WarningAcknowledged, about string) (session.Data, bool, error) {
	i := strings.LastIndex(about, ":")
	if i < 0 || !isLabel(about[i+1:]) {
		return nil, false, nil
	}
	name, label := about[:i], about[i:]
	known := strings.Join(strings.Fields(name), " ")
	switch {
	case slices.Contains(r.products.known, known):
		name = strings.ToLower(r.product(known))
	case formula.Kind(name).Action() == "":
		return nil, false, nil
	}
	d.Warning = "longer-limit:" + name + label
	return d, true, nil
}

// isLabel reports whether a text is the trade's word for a strength, and no
// word of somebody's.
func isLabel(text string) bool {
	volumes, found := strings.CutSuffix(text, " vol")
	_, err := strconv.ParseFloat(volumes, 64)
	return (found && err == nil) || text == formula.Label(0)
}
