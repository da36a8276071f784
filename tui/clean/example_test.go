package clean_test

import (
	"fmt"

	"rinseby/tui/clean"
)

func ExampleText() {
	fmt.Println(clean.Text("\x1b[31mJune\r\nL.\u202e"))
	// Output: June L.
}

func ExampleShort() {
	fmt.Println(clean.Short("sensitive behind the left ear", 16))
	// Output: sensitive behin…
}

func ExampleLines() {
	fmt.Printf("%q\n", clean.Lines("Nape:   \x1b[2Jworking\n"))
	// Output: "Nape:   working\n"
}

func ExampleJSON() {
	fmt.Println(string(clean.JSON([]byte("{\"client\":\"\u202eevoT\"}"))))
	// Output: {"client":"\u202eevoT"}
}
