package template_test

import (
	"fmt"

	"rinseby/session/formula"
	"rinseby/session/template"
)

func Example() {
	list, err := template.Parse("short.toml", []byte(`
name = "Parting only"
minutes_per_piece = 1.5

[[step]]
name = "drying"
minutes = 20

[[round]]
name = "Lightening"
action = "lighten"

[[round.zone]]
name = "Parting"
pieces = 6

[[round.zone.band]]
band = "root"
product = "chalk" # an invented product
strength = "30 vol"
contact = "off"
condition = "natural"
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	rounds, steps, err := list.Plans(formula.Starter())
	if err != nil {
		fmt.Println(err)
		return
	}
	zone := rounds[0].Zones[0]
	root := zone.Bands[0]
	fmt.Println(rounds[0].Round, zone.ID, zone.Name, zone.Pieces, zone.MinutesPerPiece)
	fmt.Println(root.Product, root.Kind, formula.Label(root.Strength), root.Contact, root.Condition)
	fmt.Println(steps[0].Name, steps[0].Minutes)
	// Output:
	// r1 z1 Parting 6 1.5
	// Chalk powder lightener 30 vol off natural
	// drying 20
}
