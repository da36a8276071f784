package form_test

import (
	"errors"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/replay"
	"rinseby/session/safety"
	"rinseby/timing"
	"rinseby/tui/form"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

var (
	th  = theme.Pick(true, true, false)
	now = time.Date(2026, 3, 2, 10, 42, 30, 0, time.UTC)
)

// named are the keys that are called by a name; all other text is typed.
var named = map[string]tea.KeyMsg{
	"enter": {Type: tea.KeyEnter}, "esc": {Type: tea.KeyEsc}, "tab": {Type: tea.KeyTab},
	"back": {Type: tea.KeyShiftTab}, "save": {Type: tea.KeyCtrlS}, "space": {Type: tea.KeySpace, Runes: []rune{' '}},
	"up": {Type: tea.KeyUp}, "down": {Type: tea.KeyDown}, "left": {Type: tea.KeyLeft}, "right": {Type: tea.KeyRight},
	"rub": {Type: tea.KeyBackspace}, "wipe": {Type: tea.KeyCtrlU}, "home": {Type: tea.KeyHome}, "end": {Type: tea.KeyEnd},
	"half": {Type: tea.KeyCtrlD}, "all": {Type: tea.KeyCtrlA},
}

// press sends keys, one by one, and returns what the last one asks for. Every
// other must ask for nothing.
func press(t testing.TB, f *form.Form, keys ...string) intent.Intent {
	t.Helper()
	var last intent.Intent
	for i, k := range keys {
		require.Nil(t, last, "before key %d, %q", i, k)
		if m, ok := named[k]; ok {
			last = send(t, f, m)
			continue
		}
		for _, r := range k {
			last = send(t, f, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
		}
	}
	return last
}

func send(t testing.TB, f *form.Form, m tea.Msg) intent.Intent {
	t.Helper()
	got, cmd := f.Update(m)
	require.Nil(t, cmd)
	return got
}

// open sizes a form as an ordinary terminal does.
func open(f *form.Form) *form.Form {
	f.SetSize(80, 24)
	return f
}

// saves is the intent to log data.
func saves(say string, data ...session.Data) intent.Log {
	l := intent.Log{Say: say}
	for _, d := range data {
		l.Commands = append(l.Commands, session.Do(d))
	}
	return l
}

// A chair is a service with a log.
type chair struct {
	t   testing.TB
	log *session.Log
	now time.Time
}

var chalk = session.PlanBand{Band: session.Root, Product: "Chalk", Kind: formula.PowderLightener, Strength: 6,
	Contact: formula.OffScalp, Condition: formula.Natural}

// newChair is a service whose nape and crown are planned; nothing is on.
func newChair(t testing.TB) *chair {
	c := &chair{t: t, log: &session.Log{}, now: now}
	end := chalk
	end.Band, end.Later = session.End, true
	c.do(session.ServiceOpened{Service: "s1", Client: "Tove A.", Invented: true,
		Steps: []session.PlanStep{{Name: "cut"}, {Name: "drying"}}})
	c.do(session.PlanSet{Name: "foils", Action: formula.Lighten, Zones: []session.PlanZone{
		{ID: "nape", Name: "nape", Pieces: 6, Bands: []session.PlanBand{chalk, end}},
		{ID: "crown", Name: "crown", Pieces: 4, Bands: []session.PlanBand{chalk}},
		{ID: "fringe", Name: "fringe", Pieces: 1, Bands: []session.PlanBand{chalk}},
	}})
	return c
}

// answered answers every safety question as one does who may go on without a
// cap.
func answered() (all []session.Data) {
	for _, q := range safety.Questions() {
		a := session.SafetyAnswered{Question: q.ID, Answer: q.Answers[0].Word}
		if q.Kind == safety.Day {
			a.Answer = "2 days ago"
		}
		all = append(all, a)
	}
	return all
}

// lightening is newChair with product on the nape, then on the crown.
func lightening(t testing.TB) *chair {
	c := newChair(t)
	c.do(answered()...)
	c.do(chalkWindow)
	c.do(session.BowlMixed{Product: "Chalk", Family: formula.PowderLightener, LifeS: 2700, Mix: formula.Mix{
		Products:   []formula.ProductPart{{Product: "Chalk", Grams: 30}},
		Developers: []formula.DeveloperPart{{Strength: 6, Grams: 45}},
	}})
	c.now = c.now.Add(time.Minute)
	c.do(session.PiecePlaced{Zone: "nape", Count: 2})
	c.now = c.now.Add(5 * time.Minute)
	c.do(session.PiecePlaced{Zone: "crown", Count: 4})
	c.now = c.now.Add(5 * time.Minute)
	return c
}

// chalkWindow is a window for all hair.
var chalkWindow = session.WindowConfirmed{Basis: session.BasisInstructions, Row: formula.Row{
	Product: "Chalk", Kind: formula.PowderLightener, Strength: 6,
	Window: timing.Window{Opens: 10 * time.Minute, Limit: 50 * time.Minute}, Origin: "instructions",
}}

func (c *chair) do(data ...session.Data) {
	c.t.Helper()
	for _, d := range data {
		c.carryOut(intent.Log{Commands: []session.Command{session.Do(d)}})
	}
}

// carryOut logs what a form asks for, as the program does. The rules of the
// service must take it.
func (c *chair) carryOut(asked intent.Intent) {
	c.t.Helper()
	l, ok := asked.(intent.Log)
	require.True(c.t, ok, "%T", asked)
	events, err := session.Decide(c.log, timing.Reading{Wall: c.now, Boot: c.now.Sub(now) + time.Hour, BootID: "a"}, l.Commands...)
	require.NoError(c.t, err)
	require.NoError(c.t, c.log.Append(events...))
}

func (c *chair) state() *session.State { return c.log.State() }

func (c *chair) board() session.Board { return session.Look(c.state(), c.now, clock) }

func clock(at time.Time) string { return at.Format("15:04") }

// deep is a question of a replay.
var deep = replay.Question{At: now, Kind: replay.Check, Text: "How deep is it?", Options: []replay.Answer{{Text: "7"}, {Text: "8", Done: true}}}

// every is every form of the package, by name.
func every(t testing.TB) map[string]func() *form.Form {
	c := lightening(t)
	s, b := c.state(), c.board()
	nape := s.Zone("nape")
	q := formula.Query{Product: "Chalk", Kind: formula.PowderLightener, Strength: 9,
		Hair: formula.Hair{Contact: formula.OffScalp, Condition: formula.Natural}}
	row, ok := formula.Match(formula.Starter().Windows(), q)
	require.True(t, ok)
	back := session.Gap{Gap: timing.Gap{From: now, To: now, Restart: true, Backwards: true}}
	gap := session.Gap{Gap: timing.Gap{From: now.Add(-12 * time.Minute), To: now, Restart: true}}
	return map[string]func() *form.Form{
		"service": func() *form.Form {
			return form.NewService(th, form.Answers{Stylist: "Ines"}, []form.ZoneList{{Name: "Half head", Description: "sides and fringe"}, {Name: "Full head"}},
				nil, now, func(form.Answers) intent.Intent { return intent.Back{} })
		},
		"list": func() *form.Form {
			return form.PickList(th, []form.ZoneList{{Name: "Half head"}}, func(string) (intent.Intent, error) { return intent.Back{}, nil })
		},
		"who hurts": func() *form.Form {
			return form.WhoHurts(th, []form.Client{{Service: "s1", Name: "Tove A.", On: true}, {Service: "s2", Name: "June L."}})
		},
		"finish":        func() *form.Form { return form.Finish(th) },
		"consult":       func() *form.Form { return form.Consult(th, nil, form.LastVisit{}) },
		"bowl":          func() *form.Form { return form.Bowl(th, chalk, formula.Starter(), 0, nil) },
		"safety":        func() *form.Form { return form.Safety(th, &session.State{Opened: now}, time.UTC) },
		"safety, again": func() *form.Form { return form.Safety(th, s, time.UTC) },
		"where":         func() *form.Form { return form.Where(th, s.Zones, "nape", session.Burning) },
		"react":         func() *form.Form { return form.React(th, "nape", nil, true) },
		"react-off":     func() *form.Form { return form.React(th, "nape", errors.New("heat was on Nape: take it off"), false) },
		"look-again":    func() *form.Form { return form.LookAgain(th, b, clock) },
		"ask-again":     func() *form.Form { return form.AskAgain(th) },
		"later":         func() *form.Form { return form.Later(th) },
		"found":         func() *form.Form { return form.Found(th, b, clock) },
		"bowl, own": func() *form.Form {
			return form.Bowl(th, session.PlanBand{Product: "Other", Strength: 6}, formula.Starter(), 0, nil)
		},
		"empty bowl":       func() *form.Form { return form.EmptyBowl(th, b.Bowls) },
		"no bowl":          func() *form.Form { return form.EmptyBowl(th, nil) },
		"window":           func() *form.Form { return form.Window(th, q, &row) },
		"window, no row":   func() *form.Form { return form.Window(th, q, nil) },
		"check":            func() *form.Form { return form.Check(th, nape) },
		"cut":              func() *form.Form { return form.Cut(th, s, lastCut) },
		"cut, first":       func() *form.Form { return form.Cut(th, s, nil) },
		"promise":          func() *form.Form { return form.NewPromise(th, elevenOClock, now) },
		"promise, none":    func() *form.Form { return form.NewPromise(th, form.Promise{}, now) },
		"note":             func() *form.Form { return form.Note(th, s.Zones, "nape") },
		"reason":           func() *form.Form { return form.Reason(th, "over:nape", "nape is 2 min over its limit", nil) },
		"earlier":          func() *form.Form { return form.Earlier(th, now) },
		"clock":            func() *form.Form { return form.ClockGap(th, gap, clock, now) },
		"clock, backwards": func() *form.Form { return form.ClockGap(th, back, clock, now) },
		"helper":           func() *form.Form { return form.Helper(th, []session.Helper{{Name: "June L."}}) },
		"steps":            func() *form.Form { return form.Steps(th, s) },
		"zone":             func() *form.Form { return form.EditZone(th, s, "nape", nil, nil) },
		"zone, lists": func() *form.Form {
			return form.EditZone(th, newChair(t).state(), "nape", []form.ZoneList{{Name: "Half head"}, {Name: "Full head"}},
				func(string) (intent.Intent, error) { return intent.Back{}, nil })
		},
		"zone, none":       func() *form.Form { return form.EditZone(th, &session.State{}, "", nil, nil) },
		"rinse":            func() *form.Form { return form.RinseZones(th, b, clock) },
		"rinse, none":      func() *form.Form { return form.RinseZones(th, session.Board{}, clock) },
		"heat":             func() *form.Form { return form.HeatZones(th, b, clock) },
		"refresh":          func() *form.Form { return form.RefreshZone(th, s.Zones, "nape") },
		"coat":             func() *form.Form { return form.CoatBand(th, s.Zones, "nape") },
		"coat, none":       func() *form.Form { return form.CoatBand(th, nil, "") },
		"place":            func() *form.Form { return form.PlaceMany(th, nape) },
		"jump":             func() *form.Form { return form.JumpTo(th, now, now.Add(-time.Hour), now.Add(time.Hour), now) },
		"mark":             func() *form.Form { return form.NewMark(th, "10:42:30") },
		"marks":            func() *form.Form { return form.PickPlace(th, "Marks", "Go to", []form.Place{{At: now, Label: "here"}}) },
		"marks, none":      func() *form.Form { return form.PickPlace(th, "Marks", "Go to", nil) },
		"ask":              func() *form.Form { return form.Ask(th, deep, []string{"It is 10:42."}) },
		"what if":          func() *form.Form { return form.WhatIf(th, b, clock) },
		"what if, nothing": func() *form.Form { return form.WhatIf(th, session.Board{Now: now}, clock) },
	}
}

var errRefused = errors.New("nape was rinsed: add a zone")
