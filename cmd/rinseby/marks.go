package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"rinseby/session/replay"
	"rinseby/session/store"
)

// marksOf is the file for the marks of a journal: beside it; for one in the
// store, whose folders hold nothing but journals and which moves them, in a
// folder of its own there.
func marksOf(st *store.Store, journal string) string {
	path := replay.MarksPath(journal)
	data, err := os.Stat(st.Dir())
	if above, err2 := os.Stat(filepath.Dir(filepath.Dir(path))); err == nil && err2 == nil && os.SameFile(data, above) {
		return st.MarksPath(strings.TrimSuffix(filepath.Base(journal), ".jsonl"))
	}
	return path
}

// maxMarks is the largest file of marks that is read, in bytes.
const maxMarks = 8 << 20

// readMarks reads a file of marks; none if there is no such file.
func readMarks(path string) ([]replay.Mark, error) {
	text, err := readSmall(path, maxMarks)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var marks []replay.Mark
	if err == nil {
		marks, err = replay.ParseMarks(bytes.NewReader(text))
	}
	if err != nil {
		return nil, fmt.Errorf("the marks in %s can't be read (%w): mend that, or move the file away", path, cause(err))
	}
	return marks, nil
}

// writeMarks writes a file of marks: it is there as it was before, or as a whole
// as it is to be.
func writeMarks(path string, marks []replay.Mark) (err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("the marks can't be written to %s (%w): mend that, and mark it again", path, cause(err))
		}
	}()
	text, err := replay.FormatMarks(marks)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(path), filepath.Base(path)+".new-*") // with mode 0600
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // gone once it is renamed
	_, err = f.Write(text)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}
