package journal

import (
	"errors"
	"io"
)

// A Follower reads a log bit by bit as it grows, and checks each line once, as
// [Read] does. The zero Follower is at the beginning of a log.
type Follower struct{ at position }

// Offset is how many bytes of the log were read: what is read next begins
// there.
func (f *Follower) Offset() int64 { return f.at.size }

// Next reads what follows. r yields the log's bytes from Offset on. An
// unfinished last line is left for the next time, and no error; nor is a log
// in which not even the first line is whole. With any other error of [Read]
// come the records before the trouble, which count as read.
func (f *Follower) Next(r io.Reader) ([]Record, error) {
	b, large, err := take(r, f.at.size)
	if err != nil {
		return nil, err
	}
	if f.at.size == 0 {
		f.at.sum = genesis
		if err := header(b); errors.Is(err, ErrEmpty) && !large {
			return nil, nil
		} else if err != nil && !errors.Is(err, ErrEmpty) {
			return nil, err
		}
	}
	if large {
		return nil, ErrTooLarge
	}
	c, err := scan(b, f.at)
	f.at = position{seq: f.at.seq + len(c.recs), sum: c.sum, size: f.at.size + int64(len(c.lines))}
	if errors.Is(err, ErrEmpty) { // the first line is being written
		err = nil
	}
	return c.recs, err
}
