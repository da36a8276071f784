// Package hostile is for tests: text that says something else to a terminal
// than to a person, and a check that finds it in what is shown.
//
// Every place where text from people or from files reaches a terminal is tried
// with [Samples]. What comes out is held to [Check], or to [CheckScreen] where
// our own colours are in it. Both go by rules of their own, not by those of the
// code that makes text safe.
package hostile
