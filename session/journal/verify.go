package journal

import (
	"errors"
	"fmt"
	"io"
)

// State is what [Verify] finds a log to be.
type State int

// The states of a log.
const (
	Whole      State = iota // every byte is as it was written
	Torn                    // the last line is unfinished; opening the log repairs it
	Damaged                 // a line is not what was written
	Newer                   // of a later format
	Foreign                 // not a log of rinseby's
	Empty                   // not even the first record is there
	TooLarge                // longer than MaxSize
	Unreadable              // the reader failed
)

var stateNames = [...]string{"whole", "torn", "damaged", "newer", "not ours", "empty", "too large", "unreadable"}

func (s State) String() string {
	if s < 0 || int(s) >= len(stateNames) {
		return "unknown"
	}
	return stateNames[s]
}

// Report is what [Verify] found.
type Report struct {
	State   State
	Records int   // intact records, from the first one on
	Bytes   int64 // that they take up
	// Line and Offset are the place of the trouble in a log that is torn or
	// damaged: the line counted from 1, and its first byte in the file.
	Line   int
	Offset int64
	// Err is nil for a whole log, and otherwise what [Read] returns.
	Err error
}

func (r Report) String() string {
	if r.Err == nil {
		return fmt.Sprintf("the log is whole (records: %d, bytes: %d)", r.Records, r.Bytes)
	}
	return r.Err.Error()
}

// Verify reads a log as [Read] does and reports what state it is in.
func Verify(r io.Reader) Report {
	c, err := load(r)
	rep := Report{Records: len(c.recs), Bytes: int64(len(c.lines)), Err: err}
	var damage *Damage
	switch {
	case err == nil && c.tail == nil:
	case err == nil:
		rep.State, rep.Line, rep.Offset, rep.Err = Torn, c.tail.Line, c.tail.Offset, c.tail
	case errors.As(err, &damage):
		rep.State, rep.Line, rep.Offset = Damaged, damage.Line, damage.Offset
	case errors.Is(err, ErrNewer):
		rep.State = Newer
	case errors.Is(err, ErrNotOurs):
		rep.State = Foreign
	case errors.Is(err, ErrEmpty):
		rep.State = Empty
	case errors.Is(err, ErrTooLarge):
		rep.State = TooLarge
	default:
		rep.State = Unreadable
	}
	return rep
}
