package safety

import "fmt"

// Anaphylaxis is the word to say on the telephone (anaphylaxis.org.uk, read on a
// secondary page).
const Anaphylaxis = "anaphylaxis"

// Call says what to do in an emergency, in the order in which it is done. Own
// pen first, then the call and its word, how to lie or sit, no standing or
// walking even if better, and the second pen after 5 minutes: all
// anaphylaxis.org.uk, read on a secondary page. That product is taken off where
// they are follows from not walking; our reading. The number is that of the
// region; see [RulesOf].
func Call(number string) []string {
	return []string{
		"Own adrenaline pen, if they have one: use it now, first.",
		fmt.Sprintf("Call %s. Say: %s.", number, Anaphylaxis),
		"Lie flat, legs raised. Hard to breathe: sit up, legs out straight.",
		"Don't let them stand or walk, even if they feel better.",
		"No better after 5 minutes: second pen.",
		"Product off where they are, not at the basin.",
	}
}

// Signs are those of an emergency. Hives, swelling, light-headed, wheeze,
// trouble breathing and collapse: nhs.uk. Swollen tongue: NHS text on another host. That any
// one sign of airway, breathing or faintness is enough: anaphylaxis.org.uk, read
// on a secondary page. That hives alone are not one, and with any of these are: our
// reading.
var Signs = []string{
	"swollen face, lips, tongue, hands or feet",
	"wheeze, trouble breathing, faint or collapse",
	"hives with any of these",
}

// EyeCare says how an eye is rinsed. 20 minutes or more, lukewarm or cool gentle
// running water, held open: NHS text on another host (a hospital's page says 15;
// the longer one is taken). Lenses out if they don't rinse out, no rubbing, only
// water, then eye care with the container and the minutes rinsed: Mayo Clinic.
func EyeCare() []string {
	return []string{
		"Hold the eye open under gentle, cool or lukewarm water.",
		"20 minutes or more. Only water, no rubbing.",
		"Contact lenses out, if they don't rinse out.",
		"Then eye care: take the container, say the minutes.",
	}
}
