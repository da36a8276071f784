package store

import (
	"cmp"
	"slices"
	"time"

	"rinseby/session"
	"rinseby/session/history"
)

// HadToday is what the client's hair had of lightener in services, live and
// closed ones, that were opened on the day of the moment now and before it. The
// day is that of now's place. Case and blanks in the client's name
// don't count. A service that can't be read is passed over; [Store.List] reports it.
func (s *Store) HadToday(client string, now time.Time) ([]session.HairHad, error) {
	name := session.LooseName(client)
	if name == "" {
		return nil, nil
	}
	v, err := s.look()
	if err != nil {
		return nil, err
	}
	var ids []string
	add := func(id, who string, opened time.Time) {
		if session.LooseName(who) == name && opened.Before(now) && sameDay(opened.In(now.Location()), now) {
			ids = append(ids, id)
		}
	}
	for _, e := range v.entries {
		add(e.ID, e.Client, e.Opened)
	}
	v.closed.each(func(c *history.Closed) { add(c.ID, c.Client, c.Opened) })
	slices.Sort(ids)
	var had []session.HairHad
	for _, id := range slices.Compact(ids) {
		if l, err := s.Read(id); err == nil {
			had = append(had, l.State().HadToday(now)...)
		}
	}
	slices.SortStableFunc(had, func(x, y session.HairHad) int {
		return cmp.Or(x.From.Compare(y.From), cmp.Compare(x.Service, y.Service))
	})
	return had, nil
}

func sameDay(a, b time.Time) bool {
	ay, am, ad := a.Date()
	by, bm, bd := b.Date()
	return ay == by && am == bm && ad == bd
}

// withToday fills in what the client's hair had in earlier services of the
// day.
func (s *Store) withToday(open session.ServiceOpened, at time.Time) (session.ServiceOpened, error) {
	had, err := s.HadToday(open.Client, at)
	open.Had = append(slices.Clone(open.Had), had...)
	return open, err
}
