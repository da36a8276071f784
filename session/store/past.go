package store

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"rinseby/session/history"
)

// Past is what is known of a stylist's times, as [Store.Learned] has it, from a
// folder in which nothing is written: the data folder of a store, or any folder
// of logs (*.jsonl). Problems name logs that can't be read. The error says
// that the folder can't be read, or what is wrong with the times.
func Past(dir, stylist string) (Learned, []Problem, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return Learned{}, nil, fmt.Errorf("the folder %s has no place; go to a folder that is there: %w", dir, err)
	}
	s := &Store{dir: dir, frozen: true}
	if info, err := os.Stat(filepath.Join(dir, closedFolder)); err == nil && info.IsDir() {
		k, err := s.Learned(stylist)
		return k, nil, err
	}
	names, err := os.ReadDir(dir)
	if err != nil {
		return Learned{}, nil, fmt.Errorf("the folder of logs can't be read; check its name and permissions: %w", err)
	}
	var paths []string
	for _, e := range names {
		if e.Type().IsRegular() && strings.HasSuffix(e.Name(), suffix) {
			paths = append(paths, filepath.Join(dir, e.Name()))
		}
	}
	return learnFrom(paths, stylist)
}

// learnFrom learns from the closed services among logs. Of one that is there
// twice, the first counts.
func learnFrom(paths []string, stylist string) (Learned, []Problem, error) {
	closed, errs := make([]history.Closed, len(paths)), make([]error, len(paths))
	each(len(paths), func(i int) {
		l, err := load(paths[i])
		if err == nil && !l.State().Live() {
			closed[i] = closedLine(entry(l, paths[i]), 0)
		}
		errs[i] = err
	})
	var problems []Problem
	var known []history.Closed
	at := map[string]string{}
	for i, c := range closed {
		_, again := at[c.ID]
		switch {
		case errs[i] != nil:
			problems = append(problems, Problem{paths[i], errs[i]})
		case c.ID != "" && !again:
			at[c.ID] = paths[i]
			known = append(known, c)
		}
	}
	all := caught{read: known}
	basis := basisOf(all.each, stylist)
	services := make([]history.Service, len(basis))
	each(len(basis), func(i int) {
		if l, err := load(at[basis[i].ID]); err == nil { // it was read just now
			services[i] = history.Of(l)
		}
	})
	k, err := history.Fit(services)
	return Learned{Known: k, Stylists: stylists(all.each)}, problems, err
}
