package card

import "slices"

// cautions are what the reader of any card is reminded of. They replace
// nothing: the first says what comes before them.
var cautions = []string{
	// House rule: rinseby's own windows are common practice, no source.
	"The product's own instructions and your training come before anything on this card; so do the rules of the place you work in. Times that worked once are no limit for the next visit.",
	// Gloves, for rinsing too: UK HSE hairdressing guidance; label text:
	// Regulation (EC) 1223/2009 Annex III entry 12 as replaced by Regulation
	// (EU) 2019/831.
	"Wear suitable gloves, for rinsing too.",
	// Regulation (EC) 1223/2009 Annex III entry 12, as above.
	"Products with hydrogen peroxide: keep them out of the eyes, and rinse at once if any gets in.",
	// How early and how often: differs by region; see [safety.RulesOf]. Under 16,
	// rash, reaction, black henna, lashes and brows: the Finnish authority's
	// summary of the label texts of Annex III. No lightener under 16: house
	// rule.
	"Skin test as early and as often as the region's rules and the product's instructions say, for the toner too. No colour on lashes or brows, on anyone under 16, on a rash, on broken or sensitive scalp, or after a reaction; black henna tattoos raise the risk. No lightener on anyone under 16.",
	// Persulfate dust: review 2022, PMC9489562, Blainey 1986 and Pepys 1976,
	// read in abstracts.
	"Ask about asthma, eczema and allergies before powder is mixed, and mix it away from the client, in moving air: its dust can set off asthma, yours too.",
	// Metal ions: J. Soc. Cosmet. Chem. 12(3), 1961.
	"Ask again about metal salts, henna and hard water, and test a strand.",
	// A hospital's first-aid page; to stop whatever minutes remain is the
	// house rule.
	"Pain or burning ends the work whatever minutes remain: cool running water at once, for 20 minutes or more, and medical help.",
	// GDPR Article 9.
	"Answers about allergies and health are health data: keep what is needed, for as long as it is needed.",
}

// Cautions is what anyone who works with these products is to be reminded of,
// one a sentence or two.
func Cautions() []string { return slices.Clone(cautions) }
