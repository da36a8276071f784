package store

import (
	"cmp"
	"crypto/sha256"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/session/history"
	"rinseby/timing/forecast"
)

// Usuals is what is known of a stylist's times, from their last closed
// services ([history.Most]). Of an empty name, it is that of all stylists
// together. Without any services it is the house figures. Demonstration data
// count only where there is nothing else.
//
// It is read from the summary if that is up to date; else it is made of the
// logs, which takes up to half a second, and put there. The error says that
// the closed folder can't be read, or what is wrong with the logs' times.
func (s *Store) Usuals(stylist string) (session.Usuals, error) {
	r, _, err := s.recent(stylist, everything)
	return r.Known.Usuals, err
}

// Learned is Usuals, with what they rest on and of whom else there is something
// to learn.
func (s *Store) Learned(stylist string) (Learned, error) {
	r, c, err := s.recent(stylist, everything)
	return Learned{Known: r.Known, Stylists: stylists(c.each)}, err
}

// Learned is what is known of a stylist's times.
type Learned struct {
	history.Known
	Stylists []Stylist // who ran the closed services, by name
}

// KeepWidth keeps what the stylist's ranges are widened by: [Store.Usuals]
// has it from then on, until the summary is deleted. The error says why it
// could not be kept.
func (s *Store) KeepWidth(stylist string, w forecast.Conformal) error {
	r, _, err := s.recent(stylist, everything)
	if err != nil {
		return err
	}
	unlock, err := s.lock()
	if err != nil {
		return err
	}
	defer unlock()
	if err := s.keep(r.WithWidth(w)); err != nil {
		return fmt.Errorf("how wide forecasts are to be can't be kept; check the folder's permissions and the disk: %w", err)
	}
	return nil
}

// A Stylist is who ran closed services, and how many.
type Stylist struct {
	Name     string // as it was written last; empty if it was left out
	Services int
}

func stylists(each func(func(*history.Closed))) []Stylist {
	type one struct {
		Stylist
		opened time.Time // of the last one
	}
	all := map[string]*one{}
	by := map[string]*one{} // by the name as it was written
	each(func(c *history.Closed) {
		o := by[c.Stylist]
		if o == nil {
			key := strings.ToLower(strings.TrimSpace(c.Stylist))
			if all[key] == nil {
				all[key] = &one{}
			}
			o = all[key]
			by[c.Stylist] = o
		}
		o.Services++
		if o.Services == 1 || !c.Opened.Before(o.opened) {
			o.Name, o.opened = strings.TrimSpace(c.Stylist), c.Opened
		}
	})
	out := make([]Stylist, 0, len(all))
	for _, o := range all {
		out = append(out, o.Stylist)
	}
	slices.SortFunc(out, func(a, b Stylist) int { return strings.Compare(a.Name, b.Name) })
	return out
}

// errBehind says that the summary lacks too much to be caught up with now.
var errBehind = errors.New("the summary of the closed services lacks many of them; list the services")

// recent is what is kept of the stylist's last services, from the summary or
// made anew, and all closed services; errBehind if more than most logs would
// have to be read first.
func (s *Store) recent(stylist string, most int) (history.Recent, *caught, error) {
	var in shelf
	var err error
	s.besideIndex(func() { in, err = s.shelf() })
	if err != nil {
		return history.Recent{}, nil, fmt.Errorf("the folder of closed services can't be read; check its permissions: %w", err)
	}
	c, ok := s.catchUp(in, most)
	if !ok {
		return history.Recent{}, nil, errBehind
	}
	times := s.times()
	c.withTimes(times)
	basis := basisOf(c.each, stylist)
	text, _ := readBounded(s.summary(recentName(stylist)), maxKept) // if it is not there, it is made
	if r, ok := history.Decode(text); ok && history.Same(r.Stylist, stylist) && r.Rests(basis) {
		return r, &c, nil
	}
	was := history.DecodeWhole(text)
	if !history.Same(was.Stylist, stylist) {
		was = history.Recent{}
	}
	r, err := history.Learn(strings.TrimSpace(stylist), basis, s.services(basis, was, times), was.Known.Width)
	if err != nil {
		return history.Recent{}, nil, fmt.Errorf("nothing can be learned from the closed services: %w", err)
	}
	if len(basis) > 0 && !s.frozen {
		if unlock, err := s.lock(); err == nil {
			_ = s.keep(r) // else it is made anew the next time
			unlock()
		}
	}
	return r, &c, nil
}

// keep writes it to the summary. The store's own lock must be held.
func (s *Store) keep(r history.Recent) error {
	text, err := r.Encode()
	if err != nil {
		return err
	}
	return s.writeSummary(recentName(r.Stylist), text)
}

// recentName names the file of a stylist, of whose name it tells nothing.
func recentName(stylist string) string {
	return fmt.Sprintf("pace-%x", sha256.Sum256([]byte(strings.ToLower(strings.TrimSpace(stylist)))))[:len("pace-")+16]
}

// basisOf chooses the last services of a stylist, oldest first. Invented ones
// count only where there are no others.
func basisOf(each func(func(*history.Closed)), stylist string) []history.Basis {
	var real, invented lastOnes
	all := strings.TrimSpace(stylist) == ""
	each(func(c *history.Closed) {
		switch {
		case !all && !history.Same(c.Stylist, stylist):
		case c.Invented:
			invented.add(c)
		default:
			real.add(c)
		}
	})
	own := real
	if len(own) == 0 {
		own = invented
	}
	own = own.cut()
	basis := make([]history.Basis, len(own))
	for i := range own {
		basis[i] = own[i].Basis
	}
	return basis
}

// The lastOnes are the services that were opened last, and others for as long as
// there is room.
type lastOnes []lastOne

type lastOne struct {
	history.Basis
	opened time.Time
}

func (l *lastOnes) add(c *history.Closed) {
	if len(*l) >= 4*history.Most {
		*l = l.cut()
	}
	*l = append(*l, lastOne{history.Basis{ID: c.ID, Size: c.Size}, c.Opened})
}

// cut leaves those that were opened last, oldest first.
func (l lastOnes) cut() lastOnes {
	slices.SortFunc(l, func(a, b lastOne) int { return cmp.Or(a.opened.Compare(b.opened), strings.Compare(a.ID, b.ID)) })
	return append(l[:0], l[max(len(l)-history.Most, 0):]...)
}

// services are those of the basis: as they were kept, if they are the same or
// were forgotten, or read from their logs. One that can't be read any more tells nothing.
func (s *Store) services(basis []history.Basis, was history.Recent, times map[string]history.Times) []history.Service {
	kept := map[history.Basis]history.Service{}
	for i, b := range was.Basis {
		if i < len(was.Services) {
			kept[b] = was.Services[i]
		}
	}
	out := make([]history.Service, len(basis))
	each(len(basis), func(i int) {
		id := basis[i].ID
		h, ok := kept[basis[i]]
		if t := times[id]; !ok && t.Basis == basis[i] {
			h, ok = t.Service, true
		}
		if !ok {
			h.ID = id
			if l, err := s.Read(id); err == nil {
				h = history.Of(l)
			}
		}
		out[i] = h
	})
	return out
}
