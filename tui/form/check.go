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
			turn("How the hair feels, wet and stretched", &d.Feel, words("not tried", feelsSound, feelsSlow, feelsMushy)).
				helped("Wipe a strand clean, wet it and stretch it a little. Sound hair springs back. Hair that stays stretched can take no more: it must be rinsed, and nothing more is put on it."),
			text("Depth reached, 1 (black) to 10 (lightest blond)", &depth, optional(between(1, session.DepthScale))).
				helped("How light a wiped strand is now: from 1 (black) to 10 (lightest blond), halves as 7.5; empty if you did not look. With the depth wanted it tells whether the target comes before the limit."),
			undertone("Undertone", &d.Undertone).
				helped(undertoneHelp + " The toner has to answer it."),
			turn("Where", &d.Band, bands).
				helped("The part of the strand that was looked at: root is the regrowth, mid the mid-lengths, end the ends. Each band lightens by itself."),
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
