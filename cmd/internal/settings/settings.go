package settings

import (
	"slices"
	"time"
	_ "time/tzdata" // time zones, for systems that have none of their own

	"rinseby/tui/theme"
)

// FileName is the settings file's, in the configuration folder.
const FileName = "settings.toml"

// Prefix begins the name of each environment variable; the setting's name in
// capitals follows.
const Prefix = "RINSEBY_"

// Settings is what the program is set to. What each means is said in [fields].
type Settings struct {
	Stylist string
	Station string
	Place   string // an IANA time zone; empty for the machine's
	Region  string // as [safety.Region]; empty for the strictest rules
	// Of the salon itself; 0 for those of the region.
	SkinTestHours int
	SkinTestDays  int
	Theme         string // auto, dark or light
	Colour        bool
	ASCII         string // auto, on or off
	Plain         bool
	Hints         string // auto, always or never
	Title         bool
	Frames        int // per second
	Pedal         string
	Mouse         bool
	Bell          bool
	Notify        bool
	// AlertCommand is a program and its arguments; empty for none.
	AlertCommand []string
}

// Default is what holds where nothing is set. 30 frames a second are a choice
// between a screen that answers keys and one that costs nothing: with nothing
// to do the program took 0.3 % of a core at 10, 0.5 at 20, 0.7 at 30 and 1.0 at
// 60; a key, and the first screen, wait for up to one frame (measured on a
// machine of 2 cores).
func Default() Settings {
	return Settings{Theme: "auto", Colour: true, ASCII: "auto", Hints: "auto", Title: true, Frames: 30, Bell: true}
}

// A Source is where settings come from.
type Source struct {
	File   string              // the path of the settings file, which need not be there
	Getenv func(string) string // of the environment; an empty variable counts as not set
	Flags  map[string]string   // what flags were given, by the setting's name
}

// A Loaded is the settings, with where each is from.
type Loaded struct {
	Settings
	File     string     // the path of the file
	Found    bool       // the file is there
	Problems []*Problem // in the order of file, environment, flags

	zone   *time.Location
	dark   bool
	ascii  bool
	origin map[string]string // by name; none for a default
	by     map[string]string // what decided a setting that is "auto"; none for nothing
}

// Load reads the settings. Whatever is wrong becomes a problem, and counts as
// not set.
func Load(src Source) *Loaded {
	l := &Loaded{Settings: Default(), File: src.File, origin: map[string]string{}, by: map[string]string{}}
	l.readFile()
	l.readEnvironment(src.Getenv)
	for _, f := range fields {
		if text, given := src.Flags[f.name]; given {
			l.take(f, fromText(f, text), "--"+f.name)
		}
	}
	l.settle(src.Getenv)
	return l
}

// readEnvironment takes the variables, and NO_COLOR and TERM as they are
// understood everywhere.
func (l *Loaded) readEnvironment(getenv func(string) string) {
	if noColour, _ := theme.FromEnvironment(getenv); noColour {
		l.Colour, l.origin["colour"] = false, firstSet(getenv, "NO_COLOR", "TERM")
	}
	for _, f := range fields {
		if text := getenv(f.Variable()); text != "" {
			l.take(f, fromText(f, text), f.Variable())
		}
	}
}

// settle decides what is left open by "auto", and what is not of one type.
func (l *Loaded) settle(getenv func(string) string) {
	l.zone = time.Local
	if l.Place != "" {
		if zone, err := time.LoadLocation(l.Place); err == nil { // which it was when it was checked
			l.zone = zone
		}
	}
	var known bool
	if l.dark, known = darkGround(getenv("COLORFGBG")); known && l.Theme == "auto" {
		l.by["theme"] = "COLORFGBG"
	}
	if l.Theme != "auto" {
		l.dark = l.Theme == "dark"
	}
	if _, l.ascii = theme.FromEnvironment(getenv); l.ASCII == "auto" {
		l.by["ascii"] = firstSet(getenv, "LC_ALL", "LC_CTYPE", "LANG")
	} else {
		l.ascii = l.ASCII == "on"
	}
}

// LookTheme is the theme that the settings ask for.
func (l *Loaded) LookTheme() *theme.Theme { return theme.Pick(l.dark, !l.Colour, l.ascii) }

// Zone is the salon's time zone.
func (l *Loaded) Zone() *time.Location { return l.zone }

// Problem is what is wrong with the setting, if anything is. What is wrong with
// the whole file is wrong with every setting that nothing else gives.
func (l *Loaded) Problem(name string) *Problem {
	i := slices.IndexFunc(l.Problems, func(p *Problem) bool {
		return p.Name == name || p.Name == "" && l.origin[name] == ""
	})
	if i < 0 {
		return nil
	}
	return l.Problems[i]
}

// firstSet names the first of the variables that is set; "" if none is.
func firstSet(getenv func(string) string, names ...string) string {
	for _, name := range names {
		if getenv(name) != "" {
			return name
		}
	}
	return ""
}
