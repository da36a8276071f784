// Package clean is what screens and commands show text from people and files
// with: [rinseby/session/clean], which makes it safe, and what only a terminal
// asks for. Short knows the width of characters. At the edge of the program a
// [Writer] holds all that is printed to the same, and [JSON] keeps documents
// from being changed by that.
//
// On a screen it is used once, where such text enters the screen's state.
package clean
