package keys

import "github.com/charmbracelet/bubbles/key"

// A Replay is the keys of a replay. What only looks is as at the chair; what
// would log is none of them.
type Replay struct {
	Play, Onwards, Backwards, Faster, Slower                            key.Binding
	Later, Sooner, LaterMore, SoonerMore, LaterMost, SoonerMost         key.Binding
	First, Last, JumpTo                                                 key.Binding
	NextEvent, EventBefore, NextWarning, WarningBefore, NextRinse, Back key.Binding
	RinseBefore                                                         key.Binding
	Said, Fan, Mark, Marks, WhatIf, Ask, Beside                         key.Binding
	Card, Record, Up, Down, Help, Leave                                 key.Binding
}

// InReplay returns the keys of a replay: those of the chair as far as they mean
// the same there.
func (m Map) InReplay() Replay {
	return Replay{
		Play:          bind(m.Next.Help().Key, "play or pause", m.Next.Keys()...),
		Onwards:       bind(">", "play onwards", ">"),
		Backwards:     bind("<", "play backwards", "<"),
		Faster:        bind("+", "faster", "+", "="),
		Slower:        bind("-", "slower", "-"),
		Later:         bind("→", "10 s later", "right"),
		Sooner:        bind("←", "10 s sooner", "left"),
		LaterMore:     bind("shift →", "1 min later", "shift+right"),
		SoonerMore:    bind("shift ←", "1 min sooner", "shift+left"),
		LaterMost:     bind("pgdn", "10 min later", "pgdown"),
		SoonerMost:    bind("pgup", "10 min sooner", "pgup"),
		First:         bind("home", "to the start", "home"),
		Last:          bind("end", "to the end", "end"),
		JumpTo:        bind("j", "go to a time", "j"),
		NextEvent:     bind("e", "next entry", "e"),
		EventBefore:   bind("E", "entry before", "E"),
		NextWarning:   bind("w", "next warning", "w"),
		WarningBefore: bind("W", "warning before", "W"),
		NextRinse:     bind("r", "next rinse", "r"),
		RinseBefore:   bind("R", "rinse before", "R"),
		Said:          bind(m.Plan.Help().Key, "said and came", m.Plan.Keys()...),
		Fan:           bind("F", "forecasts over time", "F"),
		Mark:          bind("n", "mark and note", "n"),
		Marks:         bind("N", "marks", "N"),
		WhatIf:        bind("i", "what if", "i"),
		Ask:           bind("A", "ask me", "A"),
		Beside:        bind("C", "beside another service", "C"),
		Card:          m.Card, Record: m.Record, Up: m.Up, Down: m.Down, Back: m.Back, Help: m.Help,
		Leave: bind(m.Leave.Help().Key, "leave the replay", m.Leave.Keys()...),
	}
}

// All lists the bindings in the order of the help screen.
func (r Replay) All() []key.Binding {
	return []key.Binding{
		r.Play, r.Onwards, r.Backwards, r.Faster, r.Slower,
		r.NextEvent, r.EventBefore, r.NextWarning, r.WarningBefore, r.NextRinse, r.RinseBefore,
		r.Later, r.Sooner, r.LaterMore, r.SoonerMore, r.LaterMost, r.SoonerMost, r.First, r.Last, r.JumpTo,
		r.Said, r.Fan, r.Mark, r.Marks, r.WhatIf, r.Ask, r.Beside, r.Record, r.Card,
		r.Up, r.Down, r.Back, r.Help, r.Leave,
	}
}

// Hints lists the bindings that the foot of the screen has room for, the most
// useful first.
func (r Replay) Hints() []key.Binding {
	return []key.Binding{r.Play, r.NextEvent, r.NextWarning, r.NextRinse, r.Faster, r.JumpTo, r.Said, r.Fan, r.WhatIf, r.Ask, r.Mark, r.Help, r.Leave}
}
