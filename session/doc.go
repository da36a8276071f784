// Package session is what a service is: the events that make it up, the rules
// by which a command becomes events, and the state that events fold into.
//
// The way of data is one: a [Command] goes through [Decide], which answers
// with events or with an error that says what to do; the events are written
// to the journal; only then are they applied to the [Log]. State is derived
// from the events alone, so that a log folded twice, on any machine, gives the
// same state. What screens, cards and scripts show is read off a [Board],
// which [Look] computes for one moment.
//
// The package does no I/O and reads no clock: time is an argument.
package session
