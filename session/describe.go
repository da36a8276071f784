package session

import (
	"fmt"
	"strings"

	"rinseby/session/formula"
	"rinseby/session/safety"
)

// Say says an event in a few words, for the record and for what undo takes
// back, with the names of the zones.
func (s *State) Say(data Data) string {
	switch d := data.(type) {
	case ServiceOpened:
		return "service opened for " + d.Client
	case ServiceClosed:
		return "service closed"
	case ConsultationNoted:
		return "consultation noted"
	case SafetyAnswered:
		return d.say()
	case PainReported:
		return s.sayPain(d)
	case PainCleared:
		if d.GoesOn {
			return "pain, what was found: " + d.Note + "; the work goes on"
		}
		return "pain, what was found: " + d.Note + "; the colour work ends here"
	case ReactionNoted:
		return d.Says()
	case PlanSet:
		if len(d.Zones) == 1 {
			return d.Name + " planned, 1 zone"
		}
		return fmt.Sprintf("%s planned, %d zones", d.Name, len(d.Zones))
	case PlanChanged:
		return s.sayChange(d)
	case WindowConfirmed:
		return fmt.Sprintf("limit of %s %s: %s", d.Row.Product, formula.Label(d.Row.Strength), mins(d.Row.Window.Limit))
	case BowlMixed:
		return fmt.Sprintf("bowl %s mixed: %s %s, %.0f g", d.Bowl, d.Product, formula.Label(d.Mix.Developer()), d.Mix.Total())
	case BowlEmptied:
		return "bowl " + d.Bowl + " is empty"
	case RinseBegan:
		return "rinsing " + s.nameAll(d.Zones)
	case RinseEnded:
		return "rinsed clean: " + s.nameAll(d.Zones)
	case StepBegan:
		return d.Step + " begun"
	case StepEnded:
		return d.Step + " ended"
	case PauseBegan:
		return "pause begun"
	case PauseEnded:
		return "pause ended"
	case HelperJoined:
		return d.Name + " helps"
	case HelperLeft:
		return d.Name + " left"
	case WarningAcknowledged:
		return "warning seen: " + s.Warned(d.Warning)
	case NoteAdded:
		return "note: " + d.Text
	case CutNoted:
		return "cut noted: " + strings.Join(append([]string{d.Section}, d.Words()...), ", ")
	case PromiseChanged:
		return d.say()
	case ClockNoted:
		return "clock " + string(d.What)
	case EventVoided:
		return fmt.Sprintf("entry %d taken back", d.Seq)
	case EventMoved:
		return fmt.Sprintf("entry %d put at another time", d.Seq)
	}
	return s.sayZone(data)
}

// say is the answer with all that was typed to it.
func (d SafetyAnswered) say() string {
	text := fmt.Sprintf("%s: %s (%s)", d.Question, safety.Said(d.Question, d.Answer), d.Outcome)
	if d.Note != "" {
		text += ", " + d.Note
	}
	if d.Tested != "" {
		text += ", tested " + d.Tested
	}
	if d.Clearance().Given() {
		text += ", " + d.Clearance().String()
	}
	if d.Reason != "" {
		text += ", gone on with: " + d.Reason
	}
	if d.Mistake != "" {
		text += ", the first answer was a mistake: " + d.Mistake
	}
	return text
}

func (s *State) sayPain(d PainReported) string {
	text := d.Reaction.Words() + " reported"
	switch {
	case d.LookAgain:
		text += ", mild: to be looked at again"
	case d.Severe:
		text += ", severe"
	}
	if d.Zone != "" {
		text += " on " + s.name(d.Zone)
	}
	if d.Text != "" {
		text += ": " + d.Text
	}
	return text
}

// sayZone says the events that are about one zone, and heat.
func (s *State) sayZone(data Data) string {
	switch d := data.(type) {
	case PiecePlaced:
		if d.Count == 1 {
			return s.name(d.Zone) + ", a piece placed"
		}
		return fmt.Sprintf("%s, %d pieces placed", s.name(d.Zone), d.Count)
	case ZoneFinished:
		return s.name(d.Zone) + " finished"
	case CoatApplied:
		return s.name(d.Zone) + " coated: " + bandsOf(d.Coats)
	case CoatRefreshed:
		return s.name(d.Zone) + " refreshed: " + bandsOf(d.Coats)
	case ZoneChecked:
		text := s.name(d.Zone) + " checked"
		if d.Depth > 0 {
			text += fmt.Sprintf(", depth %g", d.Depth)
		}
		if d.Feel != "" {
			text += ", " + d.Feel
		}
		return text
	case HeatOn:
		return "heat on " + s.nameAll(d.Zones)
	case HeatOff:
		return "heat off " + s.nameAll(d.Zones)
	}
	return data.Kind()
}

func (s *State) sayChange(d PlanChanged) string {
	switch d.Change {
	case ChangeAdd:
		if d.Add != nil {
			return "zone added: " + d.Add.Name
		}
	case ChangeDrop:
		return "zone dropped: " + s.name(d.Zone)
	case ChangeSplit:
		return s.name(d.Zone) + " split: " + d.Name
	case ChangeOrder:
		return "zones put in another order"
	case ChangeRename:
		return "zone renamed: " + d.Name
	case ChangePieces:
		return fmt.Sprintf("%s now has %d pieces", s.name(d.Zone), d.Pieces)
	case ChangeBands:
		return s.name(d.Zone) + ": strengths changed"
	case ChangeHair:
		if d.OtherHair {
			return s.name(d.Zone) + " is not the hair that had its name before"
		}
		return s.name(d.Zone) + " is the same hair that had its name before"
	case ChangeTechnique:
		return s.name(d.Zone) + ": how it is placed changed"
	}
	return "plan changed"
}

func (s *State) name(id string) string {
	if z := s.Zone(id); z != nil {
		return z.Name
	}
	return id
}

func (s *State) nameAll(ids []string) string {
	names := make([]string, len(ids))
	for i, id := range ids {
		names[i] = s.name(id)
	}
	return strings.Join(names, ", ")
}

func bandsOf(ons []CoatOn) string {
	names := make([]string, len(ons))
	for i, on := range ons {
		names[i] = string(on.Band)
	}
	return strings.Join(names, ", ")
}
