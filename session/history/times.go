package history

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"rinseby/session"
)

// A Times is what stays of a service that was forgotten: how long things took
// its stylist. It tells nothing of the client.
type Times struct {
	Stylist string
	Basis   Basis // the service's id, and the size that its log had
	Service Service
}

const timesHead = "rinseby times 1 "

type keptTimes struct {
	Stylist string `json:"stylist"`
	Size    int64  `json:"size"`
	kept
}

// Without is what stays if no technique, step or zone may be called by a name:
// stints of a technique or step that holds it go, and zones lose theirs.
func (t Times) Without(name string) Times {
	name = strings.ToLower(strings.TrimSpace(name))
	if name == "" {
		return t
	}
	holds := func(text string) bool { return strings.Contains(strings.ToLower(text), name) }
	rest := func(m map[string]float64) map[string]float64 {
		out := map[string]float64{}
		for k, v := range m {
			if !holds(k) {
				out[k] = v
			}
		}
		return out
	}
	t.Service.Pieces, t.Service.Steps = rest(t.Service.Pieces), rest(t.Service.Steps)
	t.Service.Stints = slices.DeleteFunc(slices.Clone(t.Service.Stints), func(s session.Stint) bool { return holds(s.Name) })
	for i, s := range t.Service.Stints {
		if holds(s.Zone) {
			t.Service.Stints[i].Zone = "zone"
		}
	}
	return t
}

// Encode writes it down: a line with version and checksum, and one with the
// times.
func (t Times) Encode() ([]byte, error) {
	body, err := json.Marshal(keptTimes{t.Stylist, t.Basis.Size, keep(t.Service)})
	if err != nil {
		return nil, fmt.Errorf("the times of the service can't be written down: %w", err)
	}
	return sealedAs(timesHead, append(body, '\n')), nil
}

// DecodeTimes reads what Encode wrote. It is false for what is damaged or of
// another version.
func DecodeTimes(text []byte) (Times, bool) {
	body, ok := unsealed(timesHead, text)
	var k keptTimes
	if !ok || json.Unmarshal(body, &k) != nil || k.ID == "" {
		return Times{}, false
	}
	return Times{Stylist: k.Stylist, Basis: Basis{ID: k.ID, Size: k.Size}, Service: k.service()}, true
}

// Closed is what the index would say of the service, without the client.
func (t Times) Closed() Closed {
	return Closed{ID: t.Basis.ID, Size: t.Basis.Size, Opened: t.Service.Opened, Invented: t.Service.Invented, Stylist: t.Stylist}
}
