package journal

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"time"
)

// LockSuffix is what the name of a log's lock file adds to that of the log.
const LockSuffix = ".lock"

// maxHolder bounds, in bytes, how much of a lock file is read.
const maxHolder = 4 << 10

// Holder says who writes a log. It is for people to read; the lock does not
// hang on it.
type Holder struct {
	// Station is the name of the place it is written from, as a person would
	// say it: "station 2".
	Station string `json:"station"`
	// PID and Host are filled in when left empty.
	PID  int    `json:"pid"`
	Host string `json:"host"`
	// Since is when the log was opened.
	Since time.Time `json:"since"`
}

// Busy says that another one writes the log. It wraps [ErrBusy].
type Busy struct {
	Path string
	// Holder has only what could be read from the lock file: all of it is
	// zero if that was empty or half written.
	Holder Holder
}

// Error names the holder, with the time of day in the local zone. The names
// are as they stand in the lock file; a screen makes them safe to show.
func (b *Busy) Error() string {
	who := b.Holder.Station
	if who == "" {
		who = "another process"
	}
	switch h := b.Holder; {
	case h.PID != 0 && h.Host != "":
		who += fmt.Sprintf(" (process %d on host %s)", h.PID, h.Host)
	case h.PID != 0:
		who += fmt.Sprintf(" (process %d)", h.PID)
	}
	if !b.Holder.Since.IsZero() {
		who += " since " + b.Holder.Since.Local().Format("15:04")
	}
	return "service is being run by " + who + "; you can watch it"
}

// Unwrap makes a Busy an [ErrBusy].
func (b *Busy) Unwrap() error { return ErrBusy }

// lock takes the single-writer lock of the log at path and leaves word of who
// has it. The word is a courtesy: failing to write it is no error.
func lock(path string, o options) (release func() error, err error) {
	name := path + LockSuffix
	unlock, ok, err := o.fs.TryLock(name)
	if err != nil {
		return nil, advise(path, err)
	}
	if !ok {
		return nil, &Busy{Path: path, Holder: readHolder(o.fs, name)}
	}
	h := o.holder
	if h.PID == 0 {
		h.PID = os.Getpid()
	}
	if h.Host == "" {
		h.Host, _ = os.Hostname() // unknown is good enough
	}
	if text, err := json.Marshal(h); err == nil {
		writeHolder(o.fs, name, append(text, '\n'))
	}
	return func() error {
		writeHolder(o.fs, name, nil)
		return unlock()
	}, nil
}

func writeHolder(fsys FS, name string, text []byte) {
	f, err := fsys.OpenFile(name, os.O_WRONLY|os.O_TRUNC, 0o600)
	if err != nil {
		return
	}
	_, _ = f.Write(text)
	_ = f.Close()
}

// readHolder returns what can be read of the holder, or the zero Holder.
func readHolder(fsys FS, name string) Holder {
	f, err := fsys.OpenFile(name, os.O_RDONLY, 0)
	if err != nil {
		return Holder{}
	}
	text, err := io.ReadAll(io.LimitReader(f, maxHolder))
	_ = f.Close() // nothing was written
	var h Holder
	if err != nil || json.Unmarshal(text, &h) != nil {
		return Holder{}
	}
	return h
}
