package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"rinseby/session/formula"
)

const catalogueFile = "catalogue.toml"

// maxCatalogue is the largest catalogue that is read, in bytes.
const maxCatalogue = 1 << 20

// catalogue reads the user's catalogue, or the starter if there is none. A
// broken one is an error that names file, line and field; the one that was
// last in order stays in use, and comes with the error. A copy of it is kept
// beside the services.
func (e *edge) catalogue() (*formula.Catalogue, error) {
	path := filepath.Join(e.configDir(), catalogueFile)
	text, err := readSmall(path, maxCatalogue)
	if errors.Is(err, fs.ErrNotExist) {
		return formula.Starter(), nil
	}
	if err == nil {
		var cat *formula.Catalogue
		if cat, err = formula.Parse(path, text); err == nil {
			return cat, e.keepGood(text)
		}
	}
	if good, kept := readSmall(e.goodCatalogue(), maxCatalogue); kept == nil {
		if cat, bad := formula.Parse(e.goodCatalogue(), good); bad == nil {
			return cat, fmt.Errorf("last good catalogue in use: %w", err)
		}
	}
	return formula.Starter(), fmt.Errorf("starter catalogue in use: %w", err)
}

func (e *edge) goodCatalogue() string { return filepath.Join(e.dataDir(), "catalogue.last-good.toml") }

// keepGood keeps a copy of a catalogue that is in order. It is replaced as a
// whole, so that there is always one.
func (e *edge) keepGood(text []byte) error {
	path := e.goodCatalogue()
	if old, err := readSmall(path, maxCatalogue); err == nil && bytes.Equal(old, text) {
		return nil
	}
	next := path + ".new"
	err := os.MkdirAll(e.dataDir(), 0o700)
	if err == nil {
		err = os.WriteFile(next, text, 0o600)
	}
	if err == nil {
		err = os.Rename(next, path)
	}
	if err != nil {
		return fmt.Errorf("no copy of the catalogue could be kept (%w): free some space", cause(err))
	}
	return nil
}

// readSmall reads a file of at most so many bytes.
func readSmall(path string, most int64) ([]byte, error) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s is no file: put a file there, or take it away", path)
	case info.Size() > most:
		return nil, fmt.Errorf("%s is larger than %d KiB: is it the right file?", path, most>>10)
	}
	return os.ReadFile(path)
}
