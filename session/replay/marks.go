package replay

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"rinseby/session"
)

// A Mark is a moment that someone wants to come back to, and why. Marks are
// kept beside the log, never in it. The text is kept as it was typed; whoever
// shows it cleans it.
type Mark struct {
	At   time.Time `json:"at"` // on the time line
	Text string    `json:"text"`
}

// Bounds of a file of marks. They are far above what anyone marks.
const (
	MaxMarks     = 500
	MaxMarkText  = session.MaxText // bytes
	maxMarkLine  = 6*MaxMarkText + 100
	maxMarksFile = 4 << 20
)

// MarksPath is where the marks of the log with the path are kept: beside it,
// where its folder holds more than journals. The file is for its owner's eyes
// only (mode 0600).
func MarksPath(log string) string { return strings.TrimSuffix(log, ".jsonl") + ".marks.jsonl" }

// check says what is wrong with a mark.
func (m Mark) check() error {
	switch {
	case m.At.IsZero():
		return errors.New(`"at" is missing: give the moment as RFC 3339`)
	case len(m.Text) > MaxMarkText:
		return fmt.Errorf("the text has %d bytes: write at most %d", len(m.Text), MaxMarkText)
	case !utf8.ValidString(m.Text):
		return errors.New("the text is no valid UTF-8: write it again")
	}
	return nil
}

// ParseMarks reads marks, one JSON object a line; empty lines are passed over.
// They are returned in the order of their moments. The error names the line.
func ParseMarks(r io.Reader) ([]Mark, error) {
	content, err := io.ReadAll(io.LimitReader(r, maxMarksFile+1))
	switch {
	case err != nil:
		return nil, err
	case len(content) > maxMarksFile:
		return nil, fmt.Errorf("the marks take more than %d MiB: is this the right file?", maxMarksFile>>20)
	}
	var marks []Mark
	sc := bufio.NewScanner(bytes.NewReader(content))
	sc.Buffer(make([]byte, 0, 4<<10), maxMarkLine)
	n := 0
	for sc.Scan() {
		n++
		text := bytes.TrimSpace(sc.Bytes())
		if len(text) == 0 {
			continue
		}
		m, err := parseMark(text)
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", n, err)
		}
		if marks = append(marks, m); len(marks) > MaxMarks {
			return nil, fmt.Errorf("line %d: more than %d marks: take some away", n, MaxMarks)
		}
	}
	if err := sc.Err(); err != nil {
		return nil, fmt.Errorf("line %d: longer than %d bytes: is this the right file?", n+1, maxMarkLine)
	}
	slices.SortStableFunc(marks, func(a, b Mark) int { return a.At.Compare(b.At) })
	return marks, nil
}

func parseMark(text []byte) (Mark, error) {
	var m Mark
	if !utf8.Valid(text) { // the decoder would put others in the place of what is not
		return m, errors.New("no valid UTF-8: write it again")
	}
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&m); err != nil {
		return m, fmt.Errorf(`not of the form {"at":…,"text":…}: %w`, err)
	}
	if _, err := dec.Token(); err != io.EOF {
		return m, errors.New("more than one value on the line: write one mark a line")
	}
	m.At = m.At.UTC().Truncate(session.Precision)
	return m, m.check()
}

// FormatMarks writes marks in the order of their moments, so that [ParseMarks]
// reads them again.
func FormatMarks(marks []Mark) ([]byte, error) {
	if len(marks) > MaxMarks {
		return nil, fmt.Errorf("%d marks are too many: keep at most %d", len(marks), MaxMarks)
	}
	marks = slices.Clone(marks)
	slices.SortStableFunc(marks, func(a, b Mark) int { return a.At.Compare(b.At) })
	var out bytes.Buffer
	enc := json.NewEncoder(&out)
	for _, m := range marks {
		if err := m.check(); err != nil {
			return nil, fmt.Errorf("the mark at %s: %w", m.At.Format("15:04:05"), err)
		}
		m.At = m.At.UTC().Truncate(session.Precision)
		if err := enc.Encode(m); err != nil {
			return nil, fmt.Errorf("the mark at %s: %w", m.At.Format("15:04:05"), err)
		}
	}
	if out.Len() > maxMarksFile {
		return nil, fmt.Errorf("the marks take more than %d MiB: shorten some", maxMarksFile>>20)
	}
	return out.Bytes(), nil
}
