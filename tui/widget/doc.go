// Package widget has the parts that all screens are put together from. They
// are pure functions from values to text, cheap enough to be called on every
// frame.
//
// Widths are in terminal cells. Whatever the text, a widget that is given a
// width and a height returns at most that many lines of at most that many
// cells, down to nothing at all for zero or less.
package widget
