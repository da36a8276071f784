// Package replay goes through the log of a service again: any moment of it, as
// it was known then, what could be learned from it, and what was found.
//
// It has no fold, no rule and no figure of its own. A [Tape] yields logs as
// [session.Log.Until] does, and whoever shows one calls [session.Look] on its
// state, as the chair does. Nothing here reads a clock or a file, and nothing
// changes the log.
package replay
