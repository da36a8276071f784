// Package plain reads services written by hand or by scripts: one JSON object
// a line, of the form
//
//	{"when":"2026-03-02T09:00:00Z","kind":"piece.placed","data":{"zone":"nape","count":1}}
//
// with the kinds and data of the journal. Every line goes through the same
// rules as a key pressed at the chair, so that ids and bowls may be left out
// where the chair would fill them in. Lines are taken in the order in which
// they stand; one may lie earlier than the line before it, and is then logged
// late.
package plain

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"time"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/timing"
)

// MaxLine is the longest line that is read, in bytes.
const MaxLine = 1 << 20

// line is one line of the file.
type line struct {
	When time.Time       `json:"when"`
	Kind string          `json:"kind"`
	Data json.RawMessage `json:"data"`
}

// Read reads a service. No event may lie later than latest. A service that
// gives itself no id gets one from its opening and its content, so that the
// same file always becomes the same service. Errors name the line.
func Read(r io.Reader, latest time.Time) (*session.Log, error) {
	return Reader{Latest: latest}.Read(r)
}

// A Reader reads services with what is known beside them.
type Reader struct {
	Latest time.Time // no event may lie later
	// Had tells what a client's hair had in earlier services of the day of a
	// moment; nil tells nothing. It is not asked of an opening that says it.
	Had func(client string, at time.Time) ([]session.HairHad, error)
	// Catalogue tells the ratios of products; nil tells none.
	Catalogue *formula.Catalogue
}

// Read reads a service, as the function of the same name does.
func (in Reader) Read(r io.Reader) (*session.Log, error) {
	content, err := io.ReadAll(io.LimitReader(r, maxFile+1))
	switch {
	case err != nil:
		return nil, err
	case len(content) > maxFile:
		return nil, fmt.Errorf("the file is larger than %d MiB: split it by service", maxFile>>20)
	}
	l := &session.Log{}
	sum := crc32.ChecksumIEEE(content)
	sc := bufio.NewScanner(bytes.NewReader(content))
	sc.Buffer(make([]byte, 0, 64<<10), MaxLine)
	n := 0
	var recorded time.Time
	for sc.Scan() {
		n++
		text := bytes.TrimSpace(sc.Bytes())
		if len(text) == 0 {
			continue
		}
		if err := in.add(l, text, sum, &recorded); err != nil {
			return nil, fmt.Errorf("line %d: %w", n, err)
		}
	}
	if err := sc.Err(); errors.Is(err, bufio.ErrTooLong) {
		return nil, fmt.Errorf("line %d: longer than %d bytes: is this the right file?", n+1, MaxLine)
	} else if err != nil {
		return nil, err
	}
	if len(l.Events()) == 0 {
		return nil, errors.New("the file holds no line: write one JSON object a line, the first of kind service.opened")
	}
	return l, nil
}

// maxFile bounds the memory that a file can take; a service of 5,000 events is
// well under a hundredth of it.
const maxFile = 64 << 20

// add decides one line. It counts as recorded when it happened, or, if that
// is earlier than the line before it, at the same moment as that one.
func (r Reader) add(l *session.Log, text []byte, sum uint32, recorded *time.Time) error {
	var in line
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&in); err != nil {
		return fmt.Errorf(`not of the form {"when":…,"kind":…,"data":…}: %w`, err)
	}
	if _, err := dec.Token(); err != io.EOF {
		return errors.New("more than one value on the line: write one event a line")
	}
	if in.When.IsZero() {
		return errors.New(`"when" is missing: give the moment as RFC 3339, such as 2026-03-02T09:00:00Z`)
	}
	if in.When.After(r.Latest) {
		return fmt.Errorf("%s is in the future", in.When.Format(time.RFC3339))
	}
	if len(in.Data) == 0 {
		in.Data = json.RawMessage("{}")
	}
	data, err := session.DecodeData(in.Kind, in.Data)
	if err != nil {
		return err
	}
	when := in.When.UTC().Truncate(time.Millisecond)
	if o, ok := data.(session.ServiceOpened); ok {
		if data, err = r.opened(o, in.When, sum); err != nil {
			return err
		}
	}
	if b, ok := data.(session.BowlMixed); ok {
		data = r.mixed(b)
	}
	if when.After(*recorded) {
		*recorded = when
	}
	_, err = l.Commit(timing.Reading{Wall: *recorded}, session.DoAt(in.When, data))
	return err
}

// opened fills in what an opening leaves out.
func (r Reader) opened(o session.ServiceOpened, at time.Time, sum uint32) (session.Data, error) {
	if o.Service == "" {
		o.Service = fmt.Sprintf("%s-%08x", at.UTC().Format("20060102-1504"), sum)
	}
	if r.Had == nil || len(o.Had) > 0 {
		return o, nil
	}
	var err error
	o.Had, err = r.Had(o.Client, at)
	return o, err
}

// mixed fills in the ratios that the catalogue has for the product of a bowl,
// and that it is not for the scalp.
func (r Reader) mixed(b session.BowlMixed) session.Data {
	if r.Catalogue == nil {
		return b
	}
	if p, ok := r.Catalogue.Product(b.Product); ok {
		b.OffScalp = b.OffScalp || p.OffScalp
		if span, ok := p.RatioRange(); ok && b.RatioRange == "" {
			b.RatioRange = span.String()
		}
	}
	return b
}
