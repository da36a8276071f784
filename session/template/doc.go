// Package template reads zone lists: what a kind of service consists of, so
// that it need not be typed at the chair. A list names the rounds with their
// zones, what is planned for each band, and the hands-on steps around them.
// Some lists are built in; the user's own stand as TOML files in a folder.
//
// # Form
//
//	name = "Full head of weaves"   # what the list is chosen by
//	about = "One sentence on it."  # may be left out
//	minutes_per_piece = 1.5        # usual time for a piece; may be left out
//
//	[[step]]                       # a hands-on part that is no round
//	name = "drying"
//	minutes = 20                   # usual length; may be left out
//	before = false                 # true: before the first round
//
//	[[round]]                      # one pass of mix, apply, process, rinse
//	name = "Lightening"
//	action = "lighten"             # or "colour"
//	technique = "weave"            # how pieces are placed; may be left out
//
//	[[round.band]]                 # for the zones of the round that have no
//	band = "root"                  # bands of their own; or "mid", "end"
//	product = "Chalk"              # as the catalogue names it
//	strength = "30 vol"            # or "9 %", or "none" for no developer
//	contact = "off"                # off the scalp; or "scalp"
//	condition = "natural"          # or "coloured", "lightened", "sensitive"
//	later = false                  # true: coated after all pieces are in
//
//	[[round.zone]]                 # in the order in which they are applied
//	name = "Nape"
//	pieces = 8
//	minutes_per_piece = 1.2        # if other than that of the list
//	technique = "slice"            # if other than that of the round
//	same_hair_as = ["Crown"]       # zones further up that lie on the same
//	                               # hair; "*" for all of earlier rounds
//
//	[[round.zone.band]]            # as [[round.band]], for this zone alone
//
// Zones and rounds are given ids as they stand in the file: z1, z2 … through
// all rounds, and r1, r2 …
//
// The package is pure but for the folder it is given to read.
package template
