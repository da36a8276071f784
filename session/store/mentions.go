package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Mentions lists the files of the data folder in which a name stands by itself,
// whatever the case of its letters: also within other services, as in a note.
// Problems name what was not searched: what can't be read, and files far larger
// than any of ours. The error says that the folder can't be read.
func (s *Store) Mentions(name string) (paths []string, problems []Problem, err error) {
	err = filepath.WalkDir(s.dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.Type().IsRegular() {
			return err
		}
		found := false
		info, err := d.Info()
		if err == nil && info.Size() > maxIndex {
			err = fmt.Errorf("larger than %d MiB, and so not searched for the name: look at it yourself", maxIndex>>20)
		}
		if err == nil {
			found, err = mentions(path, name)
		}
		switch {
		case found:
			paths = append(paths, path)
		case err != nil && !errors.Is(err, fs.ErrNotExist): // else it was moved just now
			problems = append(problems, Problem{path, err})
		}
		return nil
	})
	return paths, problems, err
}

// chunk is how much of a file is searched at once, in bytes.
const chunk = 1 << 20

// mentions reports whether the name stands in the file, as it is or as JSON and
// the index write it.
func mentions(path, name string) (bool, error) {
	spellings := spelt(name)
	if len(spellings) == 0 {
		return false, nil
	}
	f, err := os.Open(path)
	if err != nil {
		return false, err
	}
	defer f.Close() // nothing is written
	overlap := 0
	for _, n := range spellings {
		overlap = max(overlap, 2*len(n)+2*utf8.UTFMax)
	}
	info, err := f.Stat()
	if err != nil {
		return false, err
	}
	once := int(min(chunk, info.Size()+1)) // most files are small
	buf := make([]byte, 0, once+overlap)
	for {
		n, err := io.ReadFull(f, buf[len(buf):len(buf)+once])
		buf = buf[:len(buf)+n]
		low := bytes.ToLower(buf)
		for _, word := range spellings {
			if standsIn(low, word) {
				return true, nil
			}
		}
		if err == io.EOF || errors.Is(err, io.ErrUnexpectedEOF) {
			return false, nil
		}
		if err != nil {
			return false, err
		}
		keep := min(len(buf), overlap)
		buf = append(buf[:0], buf[len(buf)-keep:]...)
	}
}

// spelt are the ways in which files spell a name, in small letters.
func spelt(name string) (all [][]byte) {
	name = strings.TrimSpace(name)
	if name == "" {
		return nil
	}
	all = append(all, []byte(name), []byte(strings.NewReplacer(`\`, `\\`, "\t", `\t`, "\n", `\n`).Replace(name)))
	for _, html := range []bool{true, false} {
		var out bytes.Buffer
		enc := json.NewEncoder(&out)
		enc.SetEscapeHTML(html)
		if enc.Encode(name) == nil {
			all = append(all, out.Bytes()[1:out.Len()-2]) // without the quotes
		}
	}
	for i := range all {
		all[i] = bytes.ToLower(all[i])
	}
	return all
}

// standsIn reports whether the word is in the text and no part of a longer one.
func standsIn(text, word []byte) bool {
	for from := 0; ; {
		i := bytes.Index(text[from:], word)
		if i < 0 {
			return false
		}
		start, end := from+i, from+i+len(word)
		before, _ := utf8.DecodeLastRune(text[:start])
		after, _ := utf8.DecodeRune(text[end:])
		if (!partOfWord(before) || escaped.Match(text[max(start-6, 0):start])) && !partOfWord(after) {
			return true
		}
		from = start + 1
	}
}

// escaped is what JSON writes for a character that is no letter: \n and the like.
var escaped = regexp.MustCompile(`\\([bfnrt]|u[0-9a-f]{4})$`)

func partOfWord(r rune) bool {
	return r != utf8.RuneError && (unicode.IsLetter(r) || unicode.IsDigit(r))
}
