//go:build unix

package screentest_test

import (
	"testing"

	"rinseby/cmd/internal/screentest"
)

func Example() {
	_ = func(t *testing.T) {
		bin := screentest.Build(t, "rinseby/cmd/internal/screentest/testprog")
		x := screentest.Start(t, bin, screentest.Options{Width: 60, Height: 20})
		x.WaitFor("size 60x20")
		x.Keys("tab", "f13")
		x.WaitFor("keys [tab|f13]")
		x.Keys("q")
		if code, err := x.Wait(); code != 3 || err != nil {
			t.Fatalf("ended with code %d, %v", code, err)
		}
	}
}
