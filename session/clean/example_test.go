package clean_test

import (
	"fmt"

	"rinseby/session/clean"
)

func ExampleText() {
	fmt.Println(clean.Text("\x1b[31mJune\r\nL.\u202e"))
	// Output: June L.
}

func ExampleLines() {
	fmt.Printf("%q\n", clean.Lines("Nape:   \x1b[2Jworking\n"))
	// Output: "Nape:   working\n"
}
