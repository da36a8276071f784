package tui

import (
	"time"

	"rinseby/session"
	"rinseby/session/replay"
	"rinseby/session/store"
	"rinseby/timing"
	"rinseby/tui/page"
)

// A Leave is the message that ends the program as its key does: what is being
// saved is saved, and live services stay live. A second one does not wait.
type Leave struct{}

type (
	// tickMsg moves the screen on. It carries the reading; ticks are never
	// counted.
	tickMsg struct{ now timing.Reading }
	// savedMsg says that events are on the disk, or why not.
	savedMsg struct {
		service string
		events  []session.Event
		say     string
		quiet   bool // nobody pressed a key for it
		err     error
		live    *store.Live     // that is run from now on
		left    []session.Event // that are not on the disk
	}
	// watchedMsg brings the log of a service that another process runs.
	watchedMsg struct {
		service string
		log     *session.Log
		err     error
	}
	// tripsMsg brings the plan of the trips to the basin for a state.
	tripsMsg struct {
		service string
		seq     int
		plan    *session.TripPlan
		err     error
	}
	// seenMsg brings a live service as it was just seen.
	seenMsg struct{ seen store.Watched }
	// floorMsg brings what was worked out of all live services together.
	floorMsg struct{ worked worked }
	// usualsMsg brings what is known of the times of the service's stylist.
	usualsMsg struct {
		service string
		usuals  session.Usuals
		used    []session.UsedBowl // in a replay: of the services before it
		err     error
	}
	// endingMsg brings the forecast of the end for a state.
	endingMsg struct {
		service  string
		seq      int
		forecast *session.Forecast
		err      error
	}
	// widthMsg says that it was kept how wide ranges must be, or why not.
	widthMsg struct {
		service string
		err     error
	}
	// adviceMsg brings the lines of the plan for the page that waits for them.
	adviceMsg struct {
		page  *page.Model
		lines []string
	}
	// stopsMsg brings the stops of a replay.
	stopsMsg struct{ stops []replay.Stop }
	// fanMsg brings how the end was forecast at some moments of a replay, for
	// the page that waits for it.
	fanMsg struct {
		fan  *fan
		more []foretold
		err  error
	}
	// questionsMsg brings what can be asked in a replay.
	questionsMsg struct{ questions []replay.Question }
	// marksMsg says that the marks of a replay were kept, or why not.
	marksMsg struct{ err error }
	// entriesMsg brings what is in the store.
	entriesMsg struct {
		entries  *store.Listing
		problems []store.Problem
		err      error
	}
	// pastMsg brings what closed services tell.
	pastMsg struct {
		visits map[string]time.Time
		used   []session.UsedBowl
	}
)
