package store

import (
	"context"
	"time"

	"rinseby/session"
	"rinseby/session/journal"
)

// A Watched is a service of the live folder as it was last seen.
type Watched struct {
	ID string
	// Log is the service folded anew: it belongs to whoever receives it, and
	// nothing changes it later. It is nil as long as nothing could be read.
	Log *session.Log
	// RunBy is who runs it; nil if nobody does, as far as could be told.
	RunBy *journal.Holder
	// Gone is who ran it last and went without leaving it, as when the process
	// was killed or the machine stopped; nil if they left it, or still run it.
	Gone *journal.Holder
	// Left says that it is in the live folder no more: it was closed and put
	// away, or taken out. It is the last word on it, unless it comes back.
	Left bool
	// Err says why the log can't be read, or no further; what is intact before
	// that is in Log.
	Err error
	// All says that every service that was live at the start was sent; nothing
	// else is set then.
	All bool
}

// WatchOptions change how a folder is watched. The zero value is for use.
type WatchOptions struct {
	// Poll is how often the folder is looked at where nothing tells of changes,
	// and how soon it is seen that a process is gone; zero for two seconds.
	Poll time.Duration
	// Polling makes it go by looking alone, as it does where the system can't
	// tell of changes.
	Polling bool
	// Go starts the goroutine that watches, so that a panic in it can be caught;
	// nil starts it as it is.
	Go func(watch func())
}

// watchPoll is the slow look at the folder.
const watchPoll = 2 * time.Second

// Watch follows all services of the live folder, also those that other
// processes run, as they are written. First every live service is sent, then
// that these were all, then each again whenever it was written, run, left, put away, or its process is
// gone. If the receiver is slow, only the newest of each service waits for it.
// The channel is closed when ctx is done.
//
// Only what was added to a log is read, and checked as package journal does; a
// line that is half written is left for later. Logs are read without any lock.
// Who runs a service is asked for with locks that wait for nobody, under the
// store's own lock and only if that is free: appending never meets them, and
// whoever opens a service waits no longer than for a listing. The error says
// that the live folder can't be read.
func (s *Store) Watch(ctx context.Context, o WatchOptions) (<-chan Watched, error) {
	w, err := newWatcher(s, o)
	if err != nil {
		return nil, err
	}
	out := make(chan Watched)
	run := func() { w.run(ctx, out) }
	if o.Go == nil {
		go run()
	} else {
		o.Go(run)
	}
	return out, nil
}
