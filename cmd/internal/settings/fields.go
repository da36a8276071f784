package settings

import (
	"fmt"
	"os/exec"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"rinseby/session"
	"rinseby/session/safety"
)

// A field is one setting.
type field struct {
	name  string
	about string // one or two sentences, for the file and the manual
	gives string // what it may be, after "give"
	// at is where the value is: a *string, *bool, *int or *[]string.
	at func(*Settings) any
	// right tells whether a value of the type may be.
	right func(*Settings) bool
}

// Variable is the field's name in the environment.
func (f *field) Variable() string { return Prefix + strings.ToUpper(f.name) }

// fields are all settings, in the order in which they are shown.
var fields = []*field{
	{
		name: "stylist", about: "The stylist's name, for new services.",
		gives: nameGives, at: func(s *Settings) any { return &s.Stylist },
		right: func(s *Settings) bool { return isName(s.Stylist) },
	},
	{
		name: "station", about: "The station's name, which others see when they watch.",
		gives: nameGives, at: func(s *Settings) any { return &s.Station },
		right: func(s *Settings) bool { return isName(s.Station) },
	},
	{
		name: "place", about: "The salon's time zone, by its IANA name, such as \"Europe/Lisbon\". Empty: the machine's.",
		gives: `an IANA time zone such as "Europe/Lisbon", or "" for the machine's`, at: func(s *Settings) any { return &s.Place },
		right: func(s *Settings) bool { return isPlace(s.Place) },
	},
	{
		name: "region", about: "Where the salon is. It sets the most peroxide that a mix may hold, how long before the service a skin test is made, how long the test is good for, and the emergency number. Empty: the strictest rules of all.",
		gives: `eu, uk, us, canada, australia or new-zealand, or "" for the strictest rules`, at: func(s *Settings) any { return &s.Region },
		right: func(s *Settings) bool { return isRegion(s.Region) },
	},
	{
		name: "skin_test_hours", about: "The fewest hours from skin test to service; whole days count. 0: what the region says (48, in Canada 24). " +
			"The product's instructions come first. If you set fewer hours than the region, every skin test says so.",
		gives: fmt.Sprintf("a whole number from 0 to %d", safety.MostTestHours), at: func(s *Settings) any { return &s.SkinTestHours },
		right: func(s *Settings) bool { return s.SkinTestHours >= 0 && s.SkinTestHours <= safety.MostTestHours },
	},
	{
		name: "skin_test_days", about: "How many days a skin test is good for. 0: what the region says (7, in the UK 182). " +
			"The product's instructions come first. If you set more days than the region, every skin test says so.",
		gives: fmt.Sprintf("a whole number from 0 to %d", safety.MostTestDays), at: func(s *Settings) any { return &s.SkinTestDays },
		right: func(s *Settings) bool { return s.SkinTestDays >= 0 && s.SkinTestDays <= safety.MostTestDays },
	},
	choice("theme", "The ground of the terminal. auto goes by the variable COLORFGBG, and is dark where that says nothing.",
		func(s *Settings) *string { return &s.Theme }, "auto", "dark", "light"),
	yesNo("colour", "Whether colours are used. Nothing is ever told by colour alone.", func(s *Settings) *bool { return &s.Colour }),
	choice("ascii", "Whether to draw with nothing but ASCII. auto goes by the locale (LC_ALL, LC_CTYPE, LANG).",
		func(s *Settings) *string { return &s.ASCII }, "auto", "on", "off"),
	yesNo("plain", "Whether to say one line for each change instead of drawing a screen, for screen readers.", func(s *Settings) *bool { return &s.Plain }),
	choice("hints", "When a line helps beginners along. auto is until a service was closed.",
		func(s *Settings) *string { return &s.Hints }, "auto", "always", "never"),
	yesNo("title", "Whether the terminal's title tells the next rinse.", func(s *Settings) *bool { return &s.Title }),
	{
		name: "frames", about: "How often a second the screen may be drawn. More answers keys sooner, and costs more of the battery.",
		gives: "a whole number from 1 to 60", at: func(s *Settings) any { return &s.Frames },
		right: func(s *Settings) bool { return s.Frames >= 1 && s.Frames <= 60 },
	},
	{
		name: "pedal", about: "One more key that does the next thing, such as \"f12\" or \"insert\", for a foot pedal. F13 to F20 do so as they are.",
		gives: `the name of one key that does nothing yet, such as "f12", or "" for none`, at: func(s *Settings) any { return &s.Pedal },
		right: func(s *Settings) bool { return s.Pedal == "" || isKey(s.Pedal) && !taken(s.Pedal) },
	},
	yesNo("mouse", "Whether the mouse is listened to. Text on the screen can then be marked only with shift held.", func(s *Settings) *bool { return &s.Mouse }),
	yesNo("bell", "Whether a warning rings the terminal's bell.", func(s *Settings) *bool { return &s.Bell }),
	yesNo("notify", "Whether a warning is shown by the terminal as a notification (OSC 9), where the terminal can. It has no client's name.", func(s *Settings) *bool { return &s.Notify }),
	{
		name: "alert_command",
		about: "A program to start at a warning, with its arguments, such as [\"/usr/bin/notify-send\", \"rinseby\"]. No shell reads it. " +
			"It finds the warning, without the client's name, in RINSEBY_ALERT_TEXT, its level (band or alarm) in RINSEBY_ALERT_LEVEL, and how often it called before in RINSEBY_ALERT_AGAIN. " +
			"It is ended after 30 seconds.",
		gives: `a list such as ["program", "argument"] whose program is there and may be started, or [] for none`, at: func(s *Settings) any { return &s.AlertCommand },
		right: func(s *Settings) bool { return isCommand(s.AlertCommand) },
	},
}

// choice makes the field of a word out of some.
func choice(name, about string, at func(*Settings) *string, words ...string) *field {
	n := len(words) - 1
	return &field{
		name: name, about: about, gives: strings.Join(words[:n], ", ") + " or " + words[n],
		at:    func(s *Settings) any { return at(s) },
		right: func(s *Settings) bool { return slices.Contains(words, *at(s)) },
	}
}

// yesNo makes the field of something that is or isn't so.
func yesNo(name, about string, at func(*Settings) *bool) *field {
	return &field{
		name: name, about: about, gives: "true or false",
		at:    func(s *Settings) any { return at(s) },
		right: func(*Settings) bool { return true },
	}
}

var nameGives = fmt.Sprintf("a name on one line, of at most %d bytes", session.MaxName)

func isName(name string) bool {
	return len(name) <= session.MaxName && utf8.ValidString(name) && !strings.ContainsFunc(name, unicode.IsControl)
}

func isPlace(name string) bool {
	_, err := time.LoadLocation(name)
	return err == nil && name != "Local"
}

func isRegion(name string) bool {
	r, err := safety.ParseRegion(name)
	return err == nil && string(r) == name
}

func isCommand(command []string) bool {
	if len(command) == 0 {
		return true
	}
	if slices.ContainsFunc(command, func(arg string) bool { return strings.ContainsRune(arg, 0) }) {
		return false
	}
	_, err := exec.LookPath(command[0])
	return err == nil
}
