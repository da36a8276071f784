// Package card makes the client's record of a visit out of the visit's log:
// what was on which hair, for how long, by which window, and what the next
// visit needs to match it.
//
// [Make] computes a [Card] for one moment. A card is a document that stands by
// itself: [Card.JSON] is for programs, [Card.Markdown] for people,
// [Card.HTML] for a browser or for paper, and [Card.Text] for a screen. [Repeat] turns a visit into the plan of the next.
//
// The package is pure: it reads no clock and no file.
package card
