package session

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"slices"
)

// The words that name events in the journal.
func (ServiceOpened) Kind() string       { return "service.opened" }
func (ServiceClosed) Kind() string       { return "service.closed" }
func (ConsultationNoted) Kind() string   { return "consultation.noted" }
func (SafetyAnswered) Kind() string      { return "safety.answered" }
func (PainReported) Kind() string        { return "pain.reported" }
func (PainCleared) Kind() string         { return "pain.cleared" }
func (ReactionNoted) Kind() string       { return "reaction.noted" }
func (PlanSet) Kind() string             { return "plan.set" }
func (PlanChanged) Kind() string         { return "plan.changed" }
func (WindowConfirmed) Kind() string     { return "window.confirmed" }
func (BowlMixed) Kind() string           { return "bowl.mixed" }
func (BowlEmptied) Kind() string         { return "bowl.emptied" }
func (PiecePlaced) Kind() string         { return "piece.placed" }
func (ZoneFinished) Kind() string        { return "zone.finished" }
func (CoatApplied) Kind() string         { return "coat.applied" }
func (CoatRefreshed) Kind() string       { return "coat.refreshed" }
func (HeatOn) Kind() string              { return "heat.on" }
func (HeatOff) Kind() string             { return "heat.off" }
func (ZoneChecked) Kind() string         { return "zone.checked" }
func (RinseBegan) Kind() string          { return "rinse.began" }
func (RinseEnded) Kind() string          { return "rinse.ended" }
func (StepBegan) Kind() string           { return "step.began" }
func (StepEnded) Kind() string           { return "step.ended" }
func (PauseBegan) Kind() string          { return "pause.began" }
func (PauseEnded) Kind() string          { return "pause.ended" }
func (HelperJoined) Kind() string        { return "helper.joined" }
func (HelperLeft) Kind() string          { return "helper.left" }
func (WarningAcknowledged) Kind() string { return "warning.acknowledged" }
func (NoteAdded) Kind() string           { return "note.added" }
func (CutNoted) Kind() string            { return "cut.noted" }
func (PromiseChanged) Kind() string      { return "promise.changed" }
func (ClockNoted) Kind() string          { return "clock.noted" }
func (EventVoided) Kind() string         { return "event.voided" }
func (EventMoved) Kind() string          { return "event.moved" }

// decoders holds a decoder for each kind. It is never written to.
var decoders = func() map[string]func([]byte) (Data, error) {
	m := map[string]func([]byte) (Data, error){}
	add := func(kind string, d func([]byte) (Data, error)) { m[kind] = d }
	add(decoder[ServiceOpened]())
	add(decoder[ServiceClosed]())
	add(decoder[ConsultationNoted]())
	add(decoder[SafetyAnswered]())
	add(decoder[PainReported]())
	add(decoder[PainCleared]())
	add(decoder[ReactionNoted]())
	add(decoder[PlanSet]())
	add(decoder[PlanChanged]())
	add(decoder[WindowConfirmed]())
	add(decoder[BowlMixed]())
	add(decoder[BowlEmptied]())
	add(decoder[PiecePlaced]())
	add(decoder[ZoneFinished]())
	add(decoder[CoatApplied]())
	add(decoder[CoatRefreshed]())
	add(decoder[HeatOn]())
	add(decoder[HeatOff]())
	add(decoder[ZoneChecked]())
	add(decoder[RinseBegan]())
	add(decoder[RinseEnded]())
	add(decoder[StepBegan]())
	add(decoder[StepEnded]())
	add(decoder[PauseBegan]())
	add(decoder[PauseEnded]())
	add(decoder[HelperJoined]())
	add(decoder[HelperLeft]())
	add(decoder[WarningAcknowledged]())
	add(decoder[NoteAdded]())
	add(decoder[CutNoted]())
	add(decoder[PromiseChanged]())
	add(decoder[ClockNoted]())
	add(decoder[EventVoided]())
	add(decoder[EventMoved]())
	return m
}()

func decoder[D Data]() (string, func([]byte) (Data, error)) {
	var zero D
	return zero.Kind(), func(b []byte) (Data, error) {
		var d D
		dec := json.NewDecoder(bytes.NewReader(b))
		dec.DisallowUnknownFields()
		if err := dec.Decode(&d); err != nil {
			return nil, fmt.Errorf("data of %s: %w", zero.Kind(), err)
		}
		if _, err := dec.Token(); err != io.EOF {
			return nil, fmt.Errorf("data of %s: more than one value", zero.Kind())
		}
		return d, nil
	}
}

// Kinds lists the words of all kinds, sorted.
func Kinds() []string {
	ks := make([]string, 0, len(decoders))
	for k := range decoders {
		ks = append(ks, k)
	}
	slices.Sort(ks)
	return ks
}

// DecodeData turns the JSON data of an event of the kind into its type.
// Unknown kinds and unknown fields are errors, so that nothing in a log is
// passed over in silence.
func DecodeData(kind string, data []byte) (Data, error) {
	d, ok := decoders[kind]
	if !ok {
		return nil, fmt.Errorf("unknown kind of event %q: it is from a newer rinseby, or misspelt", kind)
	}
	return d(data)
}
