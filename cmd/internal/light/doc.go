// Package light measures what rinseby costs, beside the least that such a
// program can cost, in one run. It has tests only:
//
//	go test ./cmd/internal/light -run Table -v -timeout 60m -table
//
// prints the table of DEVELOPERS.md. -services 400000 tries a larger store.
// Times are of the machine; the ratios are what counts. Nothing of it can fail
// for being slow: what must not grow is held by counts, in the packages.
package light
