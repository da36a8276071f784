package main

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/session/history"
	"rinseby/session/store"
	"rinseby/tui/clean"
)

// usuals is what was known of the stylist's times at the moment at, from the
// services in the folder, or of the store, that had been closed by then. The
// service itself does not count.
func (e *edge) usuals(folder, stylist, service string, at time.Time) (session.Usuals, error) {
	st, err := e.store()
	if err != nil {
		return session.Usuals{}, err
	}
	if folder == "" {
		folder = e.dataDir()
	}
	past, err := e.closedBy(st, folder, stylist, service, at)
	if err != nil {
		return session.Usuals{}, err
	}
	return learned(past)
}

// journals are the paths of the closed services in a data folder, whose names
// are in the order of their opening, or of all services in a folder of journals.
func journals(folder string) (paths []string, inOrder bool, err error) {
	dir := filepath.Join(folder, "closed")
	inOrder = true
	names, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		dir, inOrder = folder, false
		names, err = os.ReadDir(dir)
	}
	if err != nil {
		return nil, false, fmt.Errorf("%s can't be read (%w): give a folder of closed services that is there", folder, cause(err))
	}
	for _, n := range names {
		if n.Type().IsRegular() && strings.HasSuffix(n.Name(), ".jsonl") {
			paths = append(paths, filepath.Join(dir, n.Name()))
		}
	}
	return paths, inOrder, nil
}

// closedBy are the last services of the stylist, of all if there is no name,
// that had been closed by the moment at, oldest first, as they were recorded by
// then. Demonstration data count only where there is nothing else. A file that
// can't be read is named, and left out.
func (e *edge) closedBy(st *store.Store, folder, stylist, service string, at time.Time) ([]*session.Log, error) {
	paths, inOrder, err := journals(folder)
	if err != nil {
		return nil, err
	}
	var real, invented []*session.Log
	seen := map[string]bool{service: true}
	for _, p := range slices.Backward(paths) {
		if inOrder && len(real) == history.Most {
			break // what is older does not count
		}
		l, err := st.Read(p)
		if err != nil {
			fmt.Fprintf(e.err, "rinseby: %s is left out: %s\n", clean.Text(p), clean.Text(err.Error()))
			continue
		}
		if seen[l.State().Service] || (stylist != "" && !history.Same(l.State().Stylist, stylist)) {
			continue
		}
		then, err := l.Until(at)
		if err != nil || then.State().Closed.IsZero() {
			continue
		}
		seen[l.State().Service] = true
		if then.State().Invented {
			invented = append(invented, then)
		} else {
			real = append(real, then)
		}
	}
	past := real
	if len(real) == 0 {
		past = invented
	}
	slices.SortFunc(past, func(a, b *session.Log) int {
		x, y := a.State(), b.State()
		return cmp.Or(x.Opened.Compare(y.Opened), strings.Compare(x.Service, y.Service))
	})
	return past[max(len(past)-history.Most, 0):], nil
}

// learned is what services tell, the oldest first. How wide ranges must be is
// learned from the last two thirds of them, each forecast from the first third.
func learned(past []*session.Log) (session.Usuals, error) {
	services := make([]history.Service, len(past))
	for i, l := range past {
		services[i] = history.Of(l)
	}
	first := len(past) / 3
	early, err := history.Fit(services[:first])
	if err != nil {
		return session.Usuals{}, err
	}
	for _, l := range past[first:] {
		if first > 0 {
			early.Width = l.LearnWidth(early.Usuals)
		}
	}
	all, err := history.Fit(services)
	all.Width = early.Width
	return all.Usuals, err
}
