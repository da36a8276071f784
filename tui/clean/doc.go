// Package clean makes text that comes from people or from logs safe to show.
//
// It is used once, where such text enters the state of a screen. The log keeps
// the text as it was typed. What comes out is one line that cannot move the
// cursor, change the terminal, turn the direction of what stands around it, or
// hide something; letters and accents of all scripts stay. At the edge of the
// program [Writer] holds whole pages to the same, and [JSON] keeps documents
// from being changed by that.
package clean
