package hostile_test

import (
	"fmt"

	"rinseby/session/hostile"
)

func Example() {
	fmt.Println(hostile.Check("Nape: \x1b[2Jworking"))
	fmt.Println(hostile.Check("Nape: working"))
	// Output:
	// line 1: U+001B
	// <nil>
}
