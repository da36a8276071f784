package safety

import (
	"fmt"
	"slices"

	"rinseby/session/formula"
)

// Where the consequences come from, as it may be shown. Pages "read in part"
// and "secondary pages" were not checked against a whole text.
const (
	labels    = "hair dye label texts of Annex III of EU Regulation 1223/2009, as a Finnish authority sums them up"
	training  = "UK training texts, read on secondary pages"
	units     = "Australian units SHBHCLS002 and SHBHCLS005, read in part"
	salts     = "J. Soc. Cosmet. Chem. 12(3), 1961: metal ions may raise damage several-fold"
	guidance  = "UK HSE guidance for hairdressing"
	houseRule = "house rule, no source"
	memory    = "from memory, no source"
	practice  = "common practice, no source"
	// Ages of those who were burnt, read in abstracts.
	burns = "burn reports: Sydney burn units 2016-2020 (14 patients, mean age 27); eight published highlight burns, five of them children (PMID 20854194), both read in abstracts; Greenland's health department urges restraint with children (2020)"
	// persulfate: what its dust does to those who breathe it.
	persulfate = "review 2022, PMC9489562, Blainey 1986 (Thorax 41:42) and Pepys 1976, read in abstracts: persulfate is named the main cause of hairdressers' asthma, and mixing alone set off an attack"
)

// The ids of the questions.
const (
	Age      = "age"
	Reaction = "reaction"
	Henna    = "black-henna"
	SkinTest = "skin-test"
	Health   = "health"
	Airways  = "airways"
	Scalp    = "scalp"
	History  = "history"
	Deposits = "deposits"
	Strand   = "strand-test"
	Ready    = "ready"
)

// Caps on the strength of developer.
const (
	// lightenedCap: 20 volume or weaker over hair that was lightened before
	// (common practice, no source).
	lightenedCap formula.Percent = 6
	// untestedCap: 30 volume on new growth is the most that common practice
	// names (no source); nothing stronger goes on hair that no strand was
	// tested of.
	untestedCap formula.Percent = 9
)

// all are the questions in the order of asking. They are made once, as every
// look at a service asks for them, and are never written to.
var all = []Question{age(), reaction(), henna(), skinTest(), health(), airways(), scalp(), history(), deposits(), strand(), ready()}

// Questions are all questions in the order of asking. Callers may change what
// they get.
func Questions() []Question {
	qs := slices.Clone(all)
	for i := range qs {
		qs[i].Answers = slices.Clone(qs[i].Answers)
	}
	return qs
}

// IDs are the ids of all questions in the order of asking.
func IDs() []string {
	ids := make([]string, len(all))
	for i, q := range all {
		ids[i] = q.ID
	}
	return ids
}

// find is the question with the id, not to be written to, or nil.
func find(id string) *Question {
	for i := range all {
		if all[i].ID == id {
			return &all[i]
		}
	}
	return nil
}

func says(word string, out Outcome) Answer { return Answer{Word: word, Outcome: out} }

func goOn(why string) Outcome { return Outcome{Word: GoOn, Why: why} }

func stop(why, source string) Outcome { return Outcome{Word: Stop, Why: why, Source: source} }

// never is a stop that no words pass. That these answers allow none is a house
// rule on the careful side of the label texts.
func never(why, source string) Outcome {
	return Outcome{Word: Stop, Final: true, Why: why, Source: source}
}

// dye is a stop that no words pass, for dye: a doctor's written clearance that
// names the dye lifts it, or a plan without dye. That they do is a house rule.
func dye(why, source string) Outcome {
	out := never(why, source)
	out.Clears = true
	return out
}

func refer(why, source string, reasons ...string) Outcome {
	return Outcome{Word: Refer, Why: why, Source: source, Reasons: reasons}
}

// formerly are answers that older plain lines give, each with the strictest of
// those that took its place.
var formerly = map[string]string{Deposits + ": metal salts or henna": metalSalts}

const metalSalts = "metal salts"

// Not under 16: label texts of Annex III, as a Finnish authority sums them up.
// That it holds for lightener and direct colour, too, is a house rule.
func age() Question {
	why, source := tooYoung(Plan{})
	return Question{ID: Age, Text: "Is the client 16 or older?", Source: labels, Answers: []Answer{
		says("yes", goOn("Old enough by the label texts.")),
		says("no", never(why, source)),
	}}
}

// tooYoung says why nothing is put on a client under 16, by what is planned.
func tooYoung(p Plan) (why, source string) {
	const rule = "Under 16: no dye and no lightener. "
	switch {
	case p.Known && p.Dye && p.Direct && !p.Lightens:
		return rule + "Labels that set an age are those of sensitising dyes; here direct colour without developer is not for anyone under 16 either.",
			houseRule + "; for sensitising dyes: " + labels
	case p.Known && p.Dye && !p.Lightens:
		return rule + "Hair dyes are not for anyone under 16, as their labels say.", labels
	case p.Known && !p.Dye:
		return rule + "Lightener has burnt the scalps of children.", burns + "; to stop is a " + houseRule
	}
	return rule + "Labels of dye say so; lightener has burnt the scalps of children.",
		"for dye: " + labels + "; for lightener: " + burns + "; to stop there, and with direct colour, is a " + houseRule
}

// Not after a past reaction: label texts, as above. That "not sure" is referred
// is a house rule.
func reaction() Question {
	return Question{ID: Reaction, Text: "Ever a reaction to hair dye: rash, swelling, blisters, bad itching?", Source: labels, Answers: []Answer{
		says("never", goOn("No reaction is known.")),
		says("yes", dye("Not after a reaction to hair dye, as labels say: the next one may be worse.", labels)),
		says("not sure", refer("A reaction that is not sure may have been one: let a doctor say before dye is used.", houseRule)),
	}}
}

// Black henna tattoos raise the risk: label texts, as above, which also say not
// to colour after a reaction to one (from memory). That a tattoo without one is
// referred is a house rule.
func henna() Question {
	return Question{ID: Henna, Text: "Ever a temporary tattoo of black henna?", Source: labels, Answers: []Answer{
		says("never", goOn("No black henna is known.")),
		says("yes, and the skin stayed well", refer("Black henna tattoos raise the risk of an allergy to hair dye, as labels say: ask for more than a skin test.", labels+"; to refer is a "+houseRule)),
		says("yes, and the skin reacted", dye("Not after a reaction to black henna, as labels say: it was probably to the dye that hair colour holds.", labels+"; that they name the reaction is "+memory)),
	}}
}

// About 48 hours before: UK training texts, on secondary pages; see day.go for
// the days. The toner, not the lightener, usually carries the dye that
// sensitises: read with the label texts, and asked of the whole service.
func skinTest() Question {
	why, source := untested(RulesOf(AnyRegion))
	return Question{ID: SkinTest, Kind: Day, Source: training,
		Text: "Skin test for all products, the toner too: which day, with nothing to see?", Answers: []Answer{
			says("not done", stop(why, source)),
			says("there was a reaction", dye("A reaction to the skin test: do not use these products on this client. A second test without a reaction clears nobody.", labels+"; that a second test does not count is a "+houseRule)),
		}}
}

// untested says why nothing goes on without a skin test.
func untested(r Rules) (why, source string) {
	return fmt.Sprintf("No skin test: toner usually holds the dye that sensitises, and needs a test about %d hours before.", r.TestHours.Value), r.TestHours.Source
}

// No published text was found that speaks of hair colour and medicine or
// pregnancy; the kinds to ask a doctor about are from memory. Anything else
// is noted, so that the product's instructions can be read for it.
func health() Question {
	return Question{ID: Health, Text: "Medicine, illness, treatment or pregnancy that may matter?", Source: memory, Answers: []Answer{
		says("no", goOn("Nothing is known that speaks against it.")),
		says("yes", refer("Pregnancy, illness of the skin, or a treatment that weakens hair or skin: ask the client's doctor, and read the product's instructions.", memory,
			"the client's doctor said yes", "nothing that the products' instructions name")),
		says("something else: ask what it is", Outcome{Word: GoOn, Ask: "What is it?",
			Why: "Noted: read whether the products' instructions name it, and ask a doctor if they do.", Source: houseRule}),
		says("rather not say", refer("Nobody can judge what is not known: tell the client why it is asked.", houseRule)),
	}}
}

// Asked before powder is mixed: what persulfate does is in the reports that its
// source names, of hairdressers above all. That a client is referred is a house
// rule.
func airways() Question {
	const ask = " Ask a doctor first. If it goes on: mix far from the client, and keep the air moving."
	const doctor = "the client's doctor said yes"
	return Question{ID: Airways, Text: "Asthma, eczema or another known allergy?", Source: persulfate, Answers: []Answer{
		says("none", goOn("None is known. Mix powder away from the client all the same, for your own lungs.")),
		says("asthma", refer("Dust from lightener powder can set off asthma."+ask, persulfate+"; to refer is a "+houseRule, doctor, "it is mixed in another room, where the air moves")),
		says("eczema", refer("Lightener can make eczema worse, and product must not go where it is."+ask, "Fisher and Dooms-Goossens 1976, Arch. Dermatol. 112:1407, read in an abstract; to refer is a "+houseRule, doctor, "looked at today: the skin is clear where product goes")),
		says("another allergy", refer("The allergy may be to something in these products: read what they hold."+ask, houseRule,
			"nothing that the products' instructions name", doctor)),
		says("more than one of these", refer("Dust from lightener powder can set off asthma, and lightener can make eczema worse."+ask, persulfate+"; to refer is a "+houseRule, doctor)),
	}}
}

// Not on a rash, a broken or a sensitive scalp: label texts, as above. That a
// sensitive scalp may be kept clear of product is a house rule.
func scalp() Question {
	return Question{ID: Scalp, Text: "Scalp, looked at today", Source: labels, Answers: []Answer{
		says("sound", goOn("Nothing to see on the scalp.")),
		says("sensitive", Outcome{Word: Capped, Cap: Cap{OffScalp: true}, Head: "Sensitive scalp",
			Reasons: []string{"looked at again: the scalp is not sensitive", "the products' instructions allow a sensitive scalp"},
			Why:     "Not on a sensitive scalp, as labels say: keep all product off it.", Source: labels + "; to go on off the scalp is a " + houseRule}),
		says("broken, sore or with a rash", never("Not on broken or sore skin, nor on a rash, as labels say.", labels)),
	}}
}

// 20 volume or weaker over hair lightened before: common practice, no source.
// A strand test where the structure is at risk: Australian units, read in part.
func history() Question {
	return Question{ID: History, Text: "What the hair has been through; the worst counts", Source: practice, Answers: []Answer{
		says("nothing, or colour only", goOn("Nothing in its history that bounds the developer.")),
		says("lightened before", Outcome{Word: Capped, Cap: Cap{Max: lightenedCap, Hair: formula.Lightened}, Head: "Lightened before",
			Reasons: []string{"strand test today stood {used}, over the cap of {cap}", "the products' instructions allow {used} on lightened hair"},
			Why:     "20 vol or weaker over hair that was lightened before.", Source: practice}),
		says("straightened, permed or damaged", Outcome{Word: Stop, Until: Strand,
			Why: "The structure is at risk: test a strand first.", Source: units}),
		says("not known", Outcome{Word: Stop, Until: Strand,
			Why: "What is not known may put the structure at risk: test a strand first.", Source: units + "; to count what is not known is a " + houseRule}),
	}}
}

// Metal salts, some henna, hard water: metal ions may raise damage several-fold
// (J. Soc. Cosmet. Chem. 12(3), 1961). That a home colour which nobody knows
// counts as one with metal salts is a house rule.
func deposits() Question {
	first := func(why, source string) Outcome { return Outcome{Word: Stop, Until: Strand, Why: why, Source: source} }
	return Question{ID: Deposits, Text: "Metal salts, henna or an unknown home colour on the hair?", Source: salts, Answers: []Answer{
		says("none", goOn("No metal is known to be on the hair.")),
		says("only hard or pool water", goOn("Note: hard water may leave metal on the hair, which may raise damage; watch it closely.")),
		says(metalSalts, metal()),
		says("henna", first("Some henna holds metal, which may raise damage several-fold: test a strand first.", salts)),
		says("a home colour nobody knows", first("It may hold metal, which raises damage: test a strand first.", salts+"; to count it as metal is a "+houseRule)),
	}}
}

// metal is for metal salts that are known to be there. A strand that looked
// well clears nobody: silver shows nothing in the test for it (US training form,
// on a secondary page). That nothing but a plan without peroxide lifts it is a
// house rule.
func metal() Outcome {
	out := never("Peroxide on metal salts may run hot and break the hair: nothing with peroxide goes on it.", salts+"; that no strand test clears it is a "+houseRule)
	out.NoPeroxide = true
	return out
}

// failed is for a strand that did not stand it: only another strand that does
// lifts it. That it takes the day of the test is a house rule.
func failed() Outcome {
	out := never("The strand did not stand it: the head will not either.", units+"; to stop is "+practice)
	out.Retest = true
	return out
}

// A strand test where the structure is at risk: Australian units, read in part.
// The cap without one is a house rule.
func strand() Question {
	return Question{ID: Strand, Text: "Strand test with the products of today", Source: units, Answers: []Answer{
		says("passed", goOn("The strand stood it.")),
		says("not done, and the hair is in good order", Outcome{Word: Capped, Cap: Cap{Max: untestedCap}, Head: "No strand test",
			Reasons: []string{"strand test since then stood {used}, over the cap of {cap}", "this hair stood {used} at the last visit"},
			Why:     "Nothing stronger than 30 vol on hair without a strand test.", Source: houseRule + "; 30 vol is " + practice}),
		says("not done, and the hair is at risk", stop("The structure is at risk: test a strand first.", units)),
		says("failed", failed()),
	}}
}

// Gloves and air: UK HSE guidance for hairdressing. That the client agrees is
// common practice, no source.
func ready() Question {
	return Question{ID: Ready, Text: "The client agrees to it, your gloves are on, the room is aired?", Source: guidance, Answers: []Answer{
		says("yes", goOn("Gloves for rinsing too; persulfate dust can cause asthma, yours too: mix powder away from the client, and keep the air moving.")),
		says("not yet", stop("Agree on it with the client, put on gloves and air the room first.", guidance+"; the client's word is "+practice)),
	}}
}
