package tui

import (
	"fmt"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rinseby/session"
	"rinseby/session/card"
	"rinseby/session/formula"
	"rinseby/session/template"
	"rinseby/tui/clean"
	"rinseby/tui/form"
	"rinseby/tui/intent"
	"rinseby/tui/page"
	"rinseby/tui/widget"
)

// show opens a screen over the one that is there, unless help is to be called.
func (a *App) show(s screen) tea.Cmd {
	if a.calling() {
		return nil
	}
	a.over, a.under = s, nil
	a.sizeOver()
	return nil
}

// open opens the screen that an intent names. A form that was left by esc
// still holds what was typed in it.
func (a *App) open(in intent.Open) tea.Cmd {
	if in.Screen == intent.Help {
		return a.openHelp()
	}
	if a.relive != nil {
		return a.openInReplay(in)
	}
	if in.Screen == intent.WhoHurts {
		return a.askWhoHurts()
	}
	if a.log == nil && in.Screen != intent.New && in.Screen != intent.Earlier {
		return nil
	}
	if s := a.kept[in]; s != nil {
		return a.show(s)
	}
	if in.Screen == intent.Plan {
		return a.openPlan()
	}
	s, why := a.make(in)
	if s == nil {
		a.say(why, false)
		return nil
	}
	if _, ok := s.(*form.Form); ok && in.Screen != intent.Earlier && in.Screen != intent.Clock && in.Screen != intent.Found && in.Screen != intent.LookAgain && in.Screen != intent.Promise {
		a.kept[in] = s // not those that reckon from the moment of opening
	}
	return a.show(s)
}

// make makes the screen that an intent names, or says why there is none to
// make.
func (a *App) make(in intent.Open) (screen, string) {
	th := a.o.Theme
	switch in.Screen {
	case intent.New:
		return a.newForm("", nil), ""
	case intent.Earlier:
		a.stepped = 0
		return form.Earlier(th, a.now.Wall.In(a.o.Place)), ""
	}
	s := a.log.State()
	switch in.Screen {
	case intent.Card:
		c := card.Make(a.log, s.Line.Now(a.now), a.o.Place)
		return page.New(th, a.o.Keys.OnPage(), "Card", c.Text(a.w)), ""
	case intent.Record:
		return page.New(th, a.o.Keys.OnPage(), "What was logged", a.recordLines()), ""
	case intent.Consult:
		last, _ := a.lastVisit(s)
		return form.Consult(th, s.Consultation, last), ""
	case intent.Cut:
		_, cuts := a.lastVisit(s)
		return form.Cut(th, s, cuts), ""
	case intent.Promise:
		return a.promiseForm(s), ""
	case intent.Safety:
		return form.Safety(th, s, a.o.Place), ""
	case intent.Where:
		of := session.Burning
		if p := s.OpenPain(); p != nil {
			of = p.Reaction
		}
		return form.Where(th, s.Zones, in.Zone, of), ""
	case intent.LookAgain:
		return form.LookAgain(th, a.refresh(), a.clock), ""
	case intent.AskAgain:
		return form.AskAgain(th), ""
	case intent.Later:
		return form.Later(th), ""
	case intent.Found:
		return form.Found(th, a.refresh(), a.clock), ""
	case intent.Window:
		if q := a.refresh().Next.Query; q != nil {
			return a.windowForm(*q), ""
		}
		return nil, "No limit is missing now."
	case intent.Mix:
		if p := a.planToMix(in.Zone); p != nil {
			return a.bowlForm(*p), ""
		}
		return nil, "No zone says what to mix: plan the zones first."
	case intent.Empty:
		b := s.BowlsInUse(s.Line.Now(a.now))
		if len(b) == 0 {
			return nil, "No bowl is in use."
		}
		return form.EmptyBowl(th, b), ""
	case intent.Finish:
		return form.Finish(th), ""
	case intent.Note:
		return form.Note(th, s.Zones, in.Zone), ""
	case intent.Clock:
		return a.clockForm()
	case intent.Helper:
		return form.Helper(th, s.Helping()), ""
	case intent.Steps:
		return form.Steps(th, s), ""
	case intent.Rinse:
		b := a.refresh()
		if !slices.ContainsFunc(b.Zones, func(z session.ZoneLook) bool { return z.Holding() && !z.Rinsing }) {
			return nil, "No zone holds product that is not at the basin already."
		}
		return form.RinseZones(th, b, a.clock), ""
	}
	return a.makeForZone(in, s)
}

// makeForZone makes the screens that are about one zone.
func (a *App) makeForZone(in intent.Open, s *session.State) (screen, string) {
	z, th := s.Zone(in.Zone), a.o.Theme
	switch {
	case z == nil && in.Screen == intent.Zones:
		return form.PickList(th, a.lists(), a.planFrom), ""
	case z == nil:
		return nil, "There is no zone yet: plan the zones first (z)."
	}
	switch in.Screen {
	case intent.Check:
		return form.Check(th, z), ""
	case intent.Many:
		return form.PlaceMany(th, z), ""
	case intent.Coat:
		return form.CoatBand(th, s.Zones, z.ID), ""
	case intent.Refresh:
		return form.RefreshZone(th, s.Zones, z.ID), ""
	case intent.Heat:
		return form.HeatZones(th, a.refresh(), a.clock), ""
	case intent.Zones:
		var lists []form.ZoneList
		if template.Untouched(s) {
			lists = a.lists()
		}
		return form.EditZone(th, s, z.ID, lists, a.planFrom), ""
	}
	return nil, "There is no such screen."
}

// planToMix is what the next bowl is for: what the next thing needs, else the
// first band of the zone.
func (a *App) planToMix(zone string) *session.PlanBand {
	if p := a.refresh().Next.Plan; p != nil {
		return p
	}
	if z := a.log.State().Zone(zone); z != nil && len(z.Bands) > 0 {
		return &z.Bands[0]
	}
	return nil
}

// clockForm asks how long the computer was off.
func (a *App) clockForm() (screen, string) {
	for _, g := range a.log.State().Gaps {
		if g.Unsure() && !g.Confirmed {
			return form.ClockGap(a.o.Theme, g, a.clock, a.now.Wall.In(a.o.Place)), ""
		}
	}
	return nil, "No gap waits to be confirmed."
}

// A visit is an earlier service that a new one repeats.
type visit struct {
	name, list string
	plans      []session.PlanSet
	steps      []session.PlanStep
}

// newForm asks for what a new service starts with.
func (a *App) newForm(client string, v *visit) screen {
	usual := form.Answers{Client: client, Stylist: a.o.Stylist, Station: a.o.Station}
	lists := a.lists()
	if v != nil {
		lists = append([]form.ZoneList{{Name: v.name, Description: "zones, strengths and pieces of that visit"}}, lists...)
	}
	if len(lists) > 0 {
		usual.ZoneList = lists[0].Name
	}
	return form.NewService(a.o.Theme, usual, lists, a.knownClient, a.now.Wall.In(a.o.Place), func(ans form.Answers) intent.Intent {
		cmds, err := a.opening(ans, v)
		if err != nil {
			return intent.Say{Text: err.Error()}
		}
		return intent.Start{Commands: cmds}
	})
}

// lists are the zone lists to choose from.
func (a *App) lists() []form.ZoneList {
	lists := make([]form.ZoneList, len(a.o.Lists))
	for i, l := range a.o.Lists {
		lists[i] = form.ZoneList{Name: l.Name, Description: l.About}
	}
	return lists
}

// planFrom plans the service from a zone list, in the place of what is planned.
func (a *App) planFrom(name string) (intent.Intent, error) {
	for _, l := range a.o.Lists {
		if l.Name != name {
			continue
		}
		plans, _, err := l.Plans(a.o.Catalogue)
		if err != nil {
			return nil, err
		}
		for i := range plans {
			plans[i].ZoneList = l.Name
		}
		data, err := template.Instead(a.log.State(), plans)
		if err != nil {
			return nil, err
		}
		in := intent.Log{Say: "zones planned: " + clean.Text(l.Name)}
		for _, d := range data {
			in.Commands = append(in.Commands, session.Do(d))
		}
		return in, nil
	}
	return intent.Back{}, nil
}

// opening is the first entries of a new service.
func (a *App) opening(ans form.Answers, v *visit) ([]session.Command, error) {
	open := session.ServiceOpened{Client: ans.Client, Stylist: ans.Stylist, Station: ans.Station, ZoneList: ans.ZoneList, Invented: a.o.Invented, Region: a.o.Region}
	if !ans.Promised.IsZero() {
		t := ans.Promised.UTC()
		open.Promised = &t
	}
	var plans []session.PlanSet
	switch {
	case v != nil && ans.ZoneList == v.name:
		plans, open.Steps, open.ZoneList = v.plans, v.steps, v.list
	default:
		for _, l := range a.o.Lists {
			if l.Name != ans.ZoneList {
				continue
			}
			var err error
			if plans, open.Steps, err = l.Plans(a.o.Catalogue); err != nil {
				return nil, err
			}
		}
	}
	cmds := []session.Command{session.Do(open)}
	for _, p := range plans {
		cmds = append(cmds, session.Do(p))
	}
	return cmds, nil
}

// recordLines tells what was logged, newest first.
func (a *App) recordLines() []string {
	s := a.log.State()
	events := a.log.Events()
	lines := make([]string, 0, len(events))
	for i := len(events) - 1; i >= 0; i-- {
		e := events[i]
		text := fmt.Sprintf(" %4d  %s  %s", e.Seq, e.When.In(a.o.Place).Format("15:04:05"), clean.Text(s.Say(e.Data)))
		if late := e.Late(); late >= time.Second {
			text += fmt.Sprintf("  (logged %s later)", widget.Clock(late))
		}
		if a.log.Voided(e.Seq) {
			text = a.o.Theme.Dim.Render(text + "  (taken back)")
		}
		lines = append(lines, text)
	}
	return lines
}

// windowForm asks how long a product may work, with the catalogue's row, if
// one serves, to be confirmed.
func (a *App) windowForm(q formula.Query) *form.Form {
	if row, ok := formula.Match(a.o.Catalogue.Windows(), q); ok {
		return form.Window(a.o.Theme, q, &row)
	}
	return form.Window(a.o.Theme, q, nil)
}
