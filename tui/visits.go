package tui

import (
	"fmt"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/session/card"
	"rinseby/session/store"
	"rinseby/tui/form"
)

// lastVisit is what is known of the client's last visit, and how the hair was
// cut then.
func (a *App) lastVisit(s *session.State) (form.LastVisit, []session.CutNoted) {
	if a.o.Store == nil {
		return form.LastVisit{}, nil
	}
	last, ok, err := a.o.Store.LastOf(s.Client)
	if err != nil || !ok || !last.Opened.Before(s.Opened) {
		return form.LastVisit{}, nil
	}
	v := form.LastVisit{Since: s.Opened.Sub(last.Opened)}
	l, err := a.o.Store.Read(last.ID)
	if err != nil {
		return v, nil
	}
	v.Noted = l.State().Consultation
	return v, card.LastCut(l)
}

// visitsOf is when each client was here last, by name.
func visitsOf(entries *store.Listing) map[string]time.Time {
	last := map[string]time.Time{}
	for e := range entries.All { // the newest first
		k := person(e.Client)
		if _, later := last[k]; !e.Live && !later {
			last[k] = e.Opened
		}
	}
	return last
}

// person is a name as it counts: case, and blanks around it, don't.
func person(name string) string { return strings.ToLower(strings.TrimSpace(name)) }

// knownClient tells of a client who was here before.
func (a *App) knownClient(client string) string {
	last, ok := a.visits[person(client)]
	if !ok {
		return ""
	}
	return fmt.Sprintf("%s was here on %s. To begin as then: esc, and choose Repeat.",
		strings.TrimSpace(client), last.In(a.o.Place).Format("2 January 2006"))
}
