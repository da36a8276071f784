package main

import (
	"bytes"
	"encoding/json"
	"io"

	"rinseby/timing"
	"rinseby/tui/clean"
)

// newEdge is the edge with these streams. Whatever is written to out and err, no
// text of a file or of a person does anything to a terminal there.
func newEdge(clock timing.Clock, in io.Reader, out, err io.Writer) *edge {
	return &edge{clock: clock, in: in, out: clean.Writer{To: out}, err: clean.Writer{To: err}}
}

// encode prints a value as JSON. Characters that do not show are written as
// numbers.
func (e *edge) encode(v any) error {
	var text bytes.Buffer
	enc := json.NewEncoder(&text)
	enc.SetIndent("", "  ")
	if err := enc.Encode(v); err != nil {
		return err
	}
	_, err := e.out.Write(clean.JSON(text.Bytes()))
	return err
}
