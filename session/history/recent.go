package history

import (
	"bytes"
	"encoding/json"
	"fmt"
	"hash/crc32"
	"slices"
	"time"

	"rinseby/session"
	"rinseby/timing/forecast"
)

// A Basis names a service that usual times rest on, and the size of its log,
// by which it is seen whether that is still the same.
type Basis struct {
	ID   string `json:"id"`
	Size int64  `json:"size"`
}

// A Recent is what is kept of the last closed services of a stylist: what is
// known of their times, and what that was made of.
type Recent struct {
	Stylist  string // empty for all stylists together
	Known    Known
	Basis    []Basis // of Services, in their order
	Services []Service
}

// Learn makes the record of the services, with what ranges are widened by as
// it was.
func Learn(stylist string, basis []Basis, services []Service, width forecast.Conformal) (Recent, error) {
	known, err := Fit(services)
	if err != nil {
		return Recent{}, err
	}
	known.Width = width
	return Recent{Stylist: stylist, Known: known, Basis: basis, Services: services}, nil
}

// WithWidth is the record with what ranges are widened by. It is carried from
// one fit to the next, and lost with the record: no log tells it.
func (r Recent) WithWidth(w forecast.Conformal) Recent {
	r.Known.Width = w
	return r
}

// Rests reports whether it was made of these services, and no others.
func (r Recent) Rests(on []Basis) bool { return slices.Equal(r.Basis, on) }

const recentHead = "rinseby pace 1 "

// head is the first line below the checksum.
type head struct {
	Made    string  `json:"made"` // by what rules
	Stylist string  `json:"stylist"`
	Basis   []Basis `json:"basis"`
	Known   Known   `json:"known"`
}

// kept is the line of a service.
type kept struct {
	ID       string             `json:"id"`
	Opened   time.Time          `json:"opened"`
	Invented bool               `json:"invented,omitempty"`
	Pieces   map[string]float64 `json:"pieces"`
	Steps    map[string]float64 `json:"steps"`
	Stints   []keptStint        `json:"stints"`
}

// keptStint is a stint; moments are nanoseconds from the opening.
type keptStint struct {
	Kind    session.StintKind `json:"k"`
	Name    string            `json:"n,omitempty"`
	Zone    string            `json:"z,omitempty"`
	Units   int               `json:"u,omitempty"`
	From    time.Duration     `json:"f"`
	To      time.Duration     `json:"t"`
	Took    time.Duration     `json:"d"`
	Helpers float64           `json:"h,omitempty"`
}

// Encode writes it down: a line with version and checksum (CRC-32C of all that
// follows), one with what is known, and one for each service.
func (r Recent) Encode() ([]byte, error) {
	var body bytes.Buffer
	enc := json.NewEncoder(&body)
	if err := enc.Encode(head{Made: rules(), Stylist: r.Stylist, Basis: r.Basis, Known: r.Known}); err != nil {
		return nil, fmt.Errorf("what was learned can't be written down: %w", err)
	}
	for _, s := range r.Services {
		if err := enc.Encode(keep(s)); err != nil {
			return nil, fmt.Errorf("what was learned can't be written down: %w", err)
		}
	}
	return sealed(body.Bytes()), nil
}

// keep is a service as it is written down.
func keep(s Service) kept {
	k := kept{ID: s.ID, Opened: s.Opened, Invented: s.Invented, Pieces: s.Pieces, Steps: s.Steps, Stints: []keptStint{}}
	for _, st := range s.Stints {
		k.Stints = append(k.Stints, keptStint{
			Kind: st.Kind, Name: st.Name, Zone: st.Zone, Units: st.Units, Took: st.Took, Helpers: st.Helpers,
			From: st.From.Sub(s.Opened), To: st.To.Sub(s.Opened),
		})
	}
	return k
}

// service is what keep was given.
func (k kept) service() Service {
	s := Service{ID: k.ID, Opened: k.Opened.UTC(), Invented: k.Invented, Pieces: k.Pieces, Steps: k.Steps}
	for _, st := range k.Stints {
		s.Stints = append(s.Stints, session.Stint{
			Kind: st.Kind, Name: st.Name, Zone: st.Zone, Units: st.Units, Took: st.Took, Helpers: st.Helpers,
			From: s.Opened.Add(st.From), To: s.Opened.Add(st.To),
		})
	}
	return s
}

// sealed has the line with version and checksum before it.
func sealed(body []byte) []byte { return sealedAs(recentHead, body) }

func sealedAs(head string, body []byte) []byte {
	return append(fmt.Appendf(nil, "%s%08x\n", head, crc32.Checksum(body, castagnoli)), body...)
}

// unsealed is the body behind the line with version and checksum, if that is
// right.
func unsealed(head string, text []byte) ([]byte, bool) {
	first, body, _ := bytes.Cut(text, []byte("\n"))
	return body, string(first) == fmt.Sprintf("%s%08x", head, crc32.Checksum(body, castagnoli))
}

// Decode reads what Encode wrote, without the services: those come from
// [DecodeWhole]. It is false for what is damaged, of another version, or
// was made by other rules than ours.
func Decode(text []byte) (Recent, bool) {
	h, _, ok := decode(text)
	return Recent{Stylist: h.Stylist, Known: h.Known, Basis: h.Basis}, ok && h.Made == rules()
}

// decode checks the text and reads its first line.
func decode(text []byte) (h head, rest []byte, ok bool) {
	body, ok := unsealed(recentHead, text)
	if !ok {
		return h, nil, false
	}
	line, rest, _ := bytes.Cut(body, []byte("\n"))
	return h, rest, json.Unmarshal(line, &h) == nil
}

// DecodeWhole reads all of what Encode wrote. Of what was made by other rules
// than ours there is the width only; of what is damaged, nothing.
func DecodeWhole(text []byte) (r Recent) {
	h, rest, ok := decode(text)
	r.Stylist = h.Stylist
	if r.Known.Width = h.Known.Width; !ok || h.Made != rules() {
		return r
	}
	r.Known = h.Known
	for line := range bytes.Lines(rest) {
		var k kept
		if json.Unmarshal(line, &k) != nil || len(r.Services) == len(h.Basis) || h.Basis[len(r.Services)].ID != k.ID {
			return Recent{}
		}
		r.Basis, r.Services = append(r.Basis, h.Basis[len(r.Services)]), append(r.Services, k.service())
	}
	return r
}
