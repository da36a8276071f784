// Package formula knows what is in a bowl and how long it may work: the
// strength of developer, blends and dilutions, the mix and its share of
// peroxide, and the windows of a catalogue. It also reckons amounts: the grams
// that a piece takes ([HouseUse], learned from the stylist's own bowls by
// [Use.After]), the bowls that a plan needs and when to mix each
// ([Order.Schedule]), the same for the mixing bench ([Bench]), and regrowth
// ([Growth]).
//
// Strength is stored as a percentage ([Percent]); volumes are a label made
// from it. Two rules keep rounding harmless. Comparing goes through
// [Percent.AtMost], which forgives the last digits of floating point and
// nothing else. Where a label is meant and not a measured figure, as when a
// bottle is held against the strength of a catalogue row, both sides first go
// through [Percent.Nominal], which takes the trade's 9 % and the chemist's
// 9.11 % for the same 30 vol.
//
// The package is pure: it reads no clock and no file.
package formula
