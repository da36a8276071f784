package steady

import (
	"os"
	"path/filepath"
	"time"
)

// An Ended says what ended a program, if that was neither the user nor a
// mistake of its own.
type Ended struct {
	By   string // such as SIGTERM
	Code int    // to exit with: 128 and the number of the signal
}

func (e *Ended) Error() string { return "ended by " + e.By }

// A Crash is a mistake of the program's own.
type Crash struct {
	Text string // what is needed to mend it; no text from a service
}

func (*Crash) Error() string { return "it stopped on a mistake of its own" }

// Keep writes the crash to a new file of a folder, which only its owner can
// read, and returns its path. The folder is made if need be.
func (c *Crash) Keep(folder string, now time.Time) (string, error) {
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", err
	}
	path := filepath.Join(folder, "crash-"+now.Format("20060102-150405.000")+".txt")
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return "", err
	}
	_, err = f.WriteString(c.Text)
	if e := f.Close(); err == nil {
		err = e
	}
	return path, err
}
