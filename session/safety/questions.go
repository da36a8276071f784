package safety

import "rinseby/session/formula"

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
)

// The ids of the questions.
const (
	Age      = "age"
	Reaction = "reaction"
	Henna    = "black-henna"
	SkinTest = "skin-test"
	Health   = "health"
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

// Questions are all questions in the order of asking. Callers may change what
// they get.
func Questions() []Question {
	return []Question{age(), reaction(), henna(), skinTest(), health(), scalp(), history(), deposits(), strand(), ready()}
}

func says(word string, out Outcome) Answer { return Answer{Word: word, Outcome: out} }

func goOn(why string) Outcome { return Outcome{Word: GoOn, Why: why} }

func stop(why, source string) Outcome { return Outcome{Word: Stop, Why: why, Source: source} }

// never is a stop that no reason passes. That these answers allow none is a
// house rule on the careful side of the label texts.
func never(why, source string) Outcome {
	return Outcome{Word: Stop, Final: true, Why: why, Source: source}
}

func refer(why, source string) Outcome { return Outcome{Word: Refer, Why: why, Source: source} }

// Not under 16: label texts of Annex III, as a Finnish authority sums them up.
func age() Question {
	return Question{ID: Age, Text: "Is the client 16 or older?", Source: labels, Answers: []Answer{
		says("yes", goOn("Old enough by the label texts.")),
		says("no", never("Hair dyes are not for anyone under 16, as their labels say.", labels)),
	}}
}

// Not after a past reaction: label texts, as above. That "not sure" is referred
// is a house rule.
func reaction() Question {
	return Question{ID: Reaction, Text: "Ever a reaction to hair dye: rash, swelling, blisters, bad itching?", Source: labels, Answers: []Answer{
		says("never", goOn("No reaction is known.")),
		says("yes", stop("Not after a reaction to hair dye, as labels say: the next one may be worse.", labels)),
		says("not sure", refer("A reaction that is not sure may have been one: let a doctor say before dye is used.", houseRule)),
	}}
}

// Black henna tattoos raise the risk: label texts, as above. That a reaction to
// one is to stop is from memory; that a tattoo without one is referred is a
// house rule.
func henna() Question {
	return Question{ID: Henna, Text: "Ever a temporary tattoo of black henna?", Source: labels, Answers: []Answer{
		says("never", goOn("No black henna is known.")),
		says("yes, and the skin stayed well", refer("Black henna tattoos raise the risk of an allergy to hair dye: ask for more than a skin test.", labels+"; to refer is a "+houseRule)),
		says("yes, and the skin reacted", stop("A reaction to black henna is likely to be one to the dye in hair colour.", labels+"; to stop is "+memory)),
	}}
}

// About 48 hours before: UK training texts, on secondary pages; see day.go for
// the days. The toner, not the lightener, usually carries the dye that
// sensitises: read with the label texts, and asked of the whole service.
func skinTest() Question {
	return Question{ID: SkinTest, Kind: Day, Source: training,
		Text: "Skin test for all products, the toner too: which day, with nothing to see?", Answers: []Answer{
			says("not done", stop("No skin test: the toner usually carries the dye that sensitises, and it takes a test about 48 hours before.", training)),
			says("there was a reaction", never("A reaction to the skin test: do not use these products on this client.", labels)),
		}}
}

// Common practice and a house rule: no published figure or text was found for
// hair colour and medicine or pregnancy.
func health() Question {
	return Question{ID: Health, Text: "Medicine, illness, treatment or pregnancy that may matter?", Source: memory, Answers: []Answer{
		says("no", goOn("Nothing is known that speaks against it.")),
		says("yes", refer("Ask the client's doctor and the salon's own rules, and type what they say.", memory)),
		says("rather not say", refer("Nobody can judge what is not known: tell the client why it is asked.", houseRule)),
	}}
}

// Not on a rash, a broken or a sensitive scalp: label texts, as above. That a
// sensitive scalp may be kept clear of product is a house rule.
func scalp() Question {
	return Question{ID: Scalp, Text: "Scalp, looked at today", Source: labels, Answers: []Answer{
		says("sound", goOn("Nothing to see on the scalp.")),
		says("sensitive", Outcome{Word: Capped, Cap: Cap{OffScalp: true}, Head: "Sensitive scalp",
			Why: "Not on a sensitive scalp, as labels say: keep all product off it.", Source: labels + "; to go on off the scalp is a " + houseRule}),
		says("broken, sore or with a rash", never("Not on broken or sore skin, nor on a rash, as labels say.", labels)),
	}}
}

// 20 volume or weaker over hair lightened before: common practice, no source.
// A strand test where the structure is at risk: Australian units, read in part.
func history() Question {
	return Question{ID: History, Text: "What the hair has been through; the worst counts", Source: practice, Answers: []Answer{
		says("nothing, or colour only", goOn("Nothing in its history that bounds the developer.")),
		says("lightened before", Outcome{Word: Capped, Cap: Cap{Max: lightenedCap, Hair: formula.Lightened}, Head: "Lightened before",
			Why: "20 vol or weaker over hair that was lightened before.", Source: practice}),
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
		says("metal salts or henna", first("Metal may raise damage several-fold: test a strand first.", salts)),
		says("a home colour nobody knows", first("It may hold metal, which raises damage: test a strand first.", salts+"; to count it as metal is a "+houseRule)),
	}}
}

// A strand test where the structure is at risk: Australian units, read in part.
// The cap without one is a house rule.
func strand() Question {
	return Question{ID: Strand, Text: "Strand test with the products of today", Source: units, Answers: []Answer{
		says("passed", goOn("The strand stood it.")),
		says("not done, and the hair is in good order", Outcome{Word: Capped, Cap: Cap{Max: untestedCap}, Head: "No strand test",
			Why: "Nothing stronger than 30 vol on hair that no strand was tested of.", Source: houseRule + "; 30 vol is " + practice}),
		says("not done, and the hair is at risk", stop("The structure is at risk: test a strand first.", units)),
		says("failed", stop("The strand did not stand it: the head will not either.", units+"; to stop is "+practice)),
	}}
}

// Gloves and air: UK HSE guidance for hairdressing. That the client agrees is
// common practice, no source.
func ready() Question {
	return Question{ID: Ready, Text: "The client agrees to it, your gloves are on, the room is aired?", Source: guidance, Answers: []Answer{
		says("yes", goOn("Gloves for rinsing too; persulfate dust can cause asthma, so keep the air moving.")),
		says("not yet", stop("Agree on it with the client, put on gloves and air the room first.", guidance+"; the client's word is "+practice)),
	}}
}
