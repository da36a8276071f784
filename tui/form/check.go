package form

import (
	"rinseby/session"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

// How hair feels. Wet hair in good condition stretches and returns (training
// texts). What to do with hair that does not is common practice, no source;
// careful house rule.
const (
	feelsSound   = "springs back"
	feelsSlow    = session.FeelWeak
	feelsMushy   = session.FeelMushy
	stopAndRinse = "Stop and rinse: this hair can take no more."
	lookSoon     = "Weakened: check again within minutes, and coat it no further."
)

// Check asks what is seen in a zone. Its intent logs one session.ZoneChecked.
func Check(th *theme.Theme, z *session.Zone) *Form {
	d := session.ZoneChecked{Zone: z.ID, Scale: session.DepthScale}
	depth := ""
	bands := []choice[session.Band]{{"the whole zone", ""}}
	for _, b := range session.Bands {
		if z.Band(b) != nil {
			bands = append(bands, choice[session.Band]{string(b), b})
		}
	}
	return start(th, Form{
		title: "Check " + z.Name,
		pages: []page{{fields: []field{
			turn("How the hair feels, wet and stretched", &d.Feel, words("not tried", feelsSound, feelsSlow, feelsMushy)),
			text("Depth reached, 1 (black) to 10 (lightest blond)", &depth, optional(between(1, session.DepthScale))),
			undertone("Undertone", &d.Undertone),
			turn("Where", &d.Band, bands),
		}}},
		live: func() []string {
			switch d.Feel {
			case feelsMushy:
				return []string{stopAndRinse}
			case feelsSlow:
				return []string{lookSoon}
			}
			return nil
		},
		submit: func() (intent.Intent, error) {
			d.Depth = orZero(depth)
			say := z.Name + " checked"
			if d.Feel == feelsMushy {
				say = z.Name + ": stop and rinse"
			}
			return logged(say, d), nil
		},
	})
}
