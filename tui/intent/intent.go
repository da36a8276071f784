// Package intent holds what a screen may ask of the program. A key, a pedal, a
// click and a line of a script end in the same intents; the root model carries
// them out. Screens return them from Update, in order, and never send messages
// to themselves.
package intent

import (
	"time"

	"rinseby/session"
	"rinseby/session/replay"
)

// An Intent is one thing that a screen asks for. Nil asks for nothing.
type Intent interface{ intent() }

type (
	// Log asks for commands to be decided and logged, all or none, then for
	// the screen that is open over the chair to be closed. Say is what the
	// status line tells once they are saved.
	Log struct {
		Commands []session.Command
		Say      string
	}
	// Undo asks for the last entry to be taken back.
	Undo struct{}
	// Redo asks for it to be brought back.
	Redo struct{}
	// Open asks for a screen to be opened over the chair. Zone is the zone
	// that it is about, if any.
	Open struct {
		Screen Screen
		Zone   string
	}
	// Start asks for a new service with these first entries.
	Start struct{ Commands []session.Command }
	// Resume asks for a live service to be opened at the chair.
	Resume struct{ Service string }
	// Repeat asks for a new service planned like an earlier one.
	Repeat struct{ Service string }
	// Acknowledge asks for a warning to be acknowledged.
	Acknowledge struct{ Warning string }
	// Pain asks for pain or burning to be logged at once, and for what it is.
	Pain struct{}
	// React asks for what the client reacts with to be logged, in the place of
	// the pain that the key has just logged.
	React struct{ Report session.PainReported }
	// PainOf asks for a live service to be opened, and pain or burning to be
	// logged of its client at once.
	PainOf struct{ Service string }
	// Late asks for what is logged next to count as having happened at an
	// earlier moment, by the wall clock.
	Late struct{ At time.Time }
	// Seek asks a replay for a moment on the service's time line.
	Seek struct{ At time.Time }
	// Mark asks for the moment of a replay to be marked, with a note that may
	// be empty. It is kept beside the log.
	Mark struct{ Text string }
	// WhatIf asks a replay to carry the service on from its moment with one
	// change.
	WhatIf struct{ Change replay.Change }
	// Answer answers the question that a replay has put.
	Answer struct{ Option int }
	// Say asks for the status line to tell something.
	Say struct{ Text string }
	// Floor asks for the floor, or from the floor for what was there before it.
	Floor struct{}
	// LetGo asks for a service that this process runs to be left to others.
	LetGo struct{ Service string }
	// Back asks for the screen to be closed.
	Back struct{}
	// Quit asks for the program to end. A live service stays live.
	Quit struct{}
)

func (Log) intent()         {}
func (Undo) intent()        {}
func (Redo) intent()        {}
func (Open) intent()        {}
func (Start) intent()       {}
func (Resume) intent()      {}
func (Repeat) intent()      {}
func (Acknowledge) intent() {}
func (Pain) intent()        {}
func (React) intent()       {}
func (PainOf) intent()      {}
func (Late) intent()        {}
func (Seek) intent()        {}
func (Mark) intent()        {}
func (WhatIf) intent()      {}
func (Answer) intent()      {}
func (Say) intent()         {}
func (Floor) intent()       {}
func (LetGo) intent()       {}
func (Back) intent()        {}
func (Quit) intent()        {}

// Screen names a screen that can be opened over the chair.
type Screen int

// The screens.
const (
	Chair     Screen = iota // the chair itself
	New                     // a new service
	Consult                 // consultation
	Safety                  // the safety questions
	Where                   // where it hurts
	WhoHurts                // on the floor: which client
	Found                   // what was found after pain
	LookAgain               // does it still itch
	AskAgain                // how it is before the client leaves
	Later                   // a reaction that was reported after the visit
	Mix                     // a new bowl
	Window                  // how long a product may work
	Check                   // what is seen in a zone
	Rinse                   // which zones go to the basin
	Steps                   // hands-on parts that are no round
	Zones                   // the plan: split, add, drop, order, rename
	Note                    // a note
	Earlier                 // what is logged next happened earlier
	Reason                  // why a warning is passed over
	Clock                   // how long the computer was off
	Helper                  // a second pair of hands
	Many                    // several pieces at once
	Coat                    // a band that was left for later
	Refresh                 // fresh product on a band
	Heat                    // heat on or off
	Empty                   // a bowl that is empty
	Cut                     // how the hair was cut
	Promise                 // another time that the client is promised
	Finish                  // the end of the service
	Plan                    // the plan of the trips, and what would help
	Card                    // the record
	Help                    // keys
	Record                  // what was logged
	JumpTo                  // in a replay: a time to go to
	NewMark                 // in a replay: a note on this moment
	Marks                   // in a replay: the marks to go to
	Said                    // in a replay: what was said of what was to come, and what came
	Fan                     // in a replay: how the end was forecast over time
	Otherwise               // in a replay: one change, carried on
	Ask                     // in a replay: what would you do now
	Beside                  // in a replay: two services side by side
)
