package card

import (
	"cmp"
	"strings"

	"rinseby/session"
)

// warning says in words which warning was seen, when, and why the work went
// on.
func (c Card) warning(w Warning) string {
	what := c.warned(w.Warning)
	if what == "" {
		what = "A warning"
	}
	text := what + ": seen at " + c.clock(&w.At)
	if w.Reason != "" {
		text += " (reason: " + w.Reason + ")"
	}
	return text
}

// overrules reports whether the warning with the key is about a cap, so that
// it belongs with the safety answers.
func overrules(key string) bool {
	kind, _, _ := strings.Cut(key, ":")
	return kind == "safety-cap" || kind == "safety-scalp" || kind == "over-cap"
}

// warned says in words what the warning with the key is about; empty if it is
// not known, or is about something that is not on the card.
func (c Card) warned(key string) string {
	kind, about, _ := strings.Cut(key, ":")
	switch kind {
	case "gap":
		return "The computer was off, or its clock was moved"
	case "pain":
		return "Pain or burning"
	case "itch":
		return "An itch that was to be looked at again"
	case "floor", "other":
		return "Another client needed the same hands"
	case "stale", "stale-soon", "over-cap":
		return c.warnedOfBowl(kind, about)
	case "safety-cap", "safety-scalp", "stopped":
		return warnedBySafety(kind, about)
	case "longer-limit":
		return c.warnedOfWindow(about)
	}
	return c.warnedOfZone(kind, about)
}

// onRecord says of some warnings what was passed over, which the record needs
// and the screen does not.
var onRecord = map[string]string{
	"mushy": "its hair stays stretched, and other zones got the same product",
	"weak":  "its hair is weakened, and it got more product or was left on",
}

func (c Card) warnedOfZone(kind, about string) string {
	id, other, more := strings.Cut(about, ":")
	name, known := c.zone(id)
	what := cmp.Or(onRecord[kind], session.WarnedZone(kind))
	if !known || what == "" {
		return ""
	}
	switch kind {
	case "collision":
		behind, known := c.zone(other)
		switch {
		case !known:
			return ""
		case other != id:
			what += ", behind " + behind
		}
	case "used-up":
		band := session.Band(other)
		if !band.Valid() {
			return ""
		}
		return name + ", " + bandWord(band) + ": the hair " + what
	default:
		if more {
			return ""
		}
	}
	return name + ", " + what
}

// warnedOfBowl names a bowl that was never mixed by its id alone.
func (c Card) warnedOfBowl(kind, id string) string {
	bowl := "Bowl " + id
	for _, b := range c.Bowls {
		if b.ID == id {
			bowl += " (" + b.Product + " " + b.Label + ")"
		}
	}
	return bowl + ", " + session.WarnedBowl(kind)
}

// warnedOfWindow takes what a key says in small letters as it was typed.
func (c Card) warnedOfWindow(about string) string {
	i := strings.LastIndex(about, ":")
	if i < 0 {
		return ""
	}
	product := about[:i]
	for _, w := range c.Windows {
		if strings.ToLower(w.Product) == product {
			product = w.Product
		}
	}
	return "A longer limit for " + product + " " + about[i+1:] + " in mid-service"
}

func warnedBySafety(kind, about string) string {
	parts := strings.Split(about, ":")
	answer := strings.ReplaceAll(parts[0], "-", " ")
	switch {
	case kind == "safety-cap" && len(parts) == 3:
		return "Over the cap of " + answer + ": " + parts[2] + " % where " + parts[1] + " % is the most"
	case kind == "safety-scalp" && len(parts) == 1:
		return "On the scalp, against the cap of " + answer
	case kind == "stopped" && len(parts) == 1:
		return "What was on had to come off by the answer to " + answer
	}
	return ""
}
