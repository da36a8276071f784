package tui

import (
	"fmt"
	"strings"
	"time"

	"rinseby/session"
	"rinseby/timing"
	"rinseby/tui/clean"
	"rinseby/tui/station"
)

// chairTopics is what the chair shows.
func (v *Aloud) chairTopics() []topic {
	l := v.app.station.Look()
	status := v.app.station.Status().Text
	if v.app.relive != nil && status == v.entry {
		status = ""
	}
	ts := []topic{v.sayHelp(l), told("status", status), told("who", sayWho(l, v.app.clock))}
	if v.app.relive != nil {
		ts = append(ts, v.transport()...)
	}
	ts = append(ts, v.standing(l)...)
	for _, w := range l.Board.Warnings {
		ts = append(ts, v.warning(w))
	}
	ts = append(ts, v.sayNext(l))
	for i := range l.Board.Zones {
		ts = append(ts, v.zone(&l.Board.Zones[i]))
	}
	for _, b := range l.Board.Bowls {
		text := "Bowl " + b.ID + ", " + b.Product + " " + b.Strength
		switch {
		case b.Stale:
			text += ": past its working life"
		case !b.StaleAt.IsZero():
			text += ": good till " + v.app.clock(b.StaleAt)
		}
		ts = append(ts, topic{name: "bowl " + b.ID, sense: fmt.Sprint(b.Stale), text: stopped(text)})
	}
	ts = append(ts, topic{name: "bowls", sense: words(l.NextBowl), text: l.NextBowl}, v.sayEnd(l))
	if v.whole { // what moves on all the time is said when it is asked for
		ts = append(ts, told("plan", l.Board.Plan))
		for i, t := range v.app.station.LiftLines() {
			ts = append(ts, told(fmt.Sprint("lift ", i), t))
		}
	}
	return ts
}

// sayHelp says an emergency and what to do, line by line; or what is on while
// water runs elsewhere.
func (v *Aloud) sayHelp(l station.Look) topic {
	if v.app.station.Calling() {
		text := "HELP: " + l.Client
		if l.Station != "" {
			text += ", " + l.Station
		}
		return topic{name: "help", sense: "help", text: stopped(text), more: v.app.station.CallLines()}
	}
	held := v.app.station.HeldLines()
	if len(held) == 0 {
		return topic{name: "help"}
	}
	return topic{name: "help", sense: strings.Join(held, ";"), text: stopped(strings.Join(held, "; "))}
}

// sayWho says whose chair it is.
func sayWho(l station.Look, clock session.Clockface) string {
	text := l.Client
	if l.Invented {
		text += " (invented)"
	}
	if l.Stylist != "" {
		text += ", with " + l.Stylist
	}
	if l.Station != "" {
		text += ", " + l.Station
	}
	if !l.Promised.IsZero() {
		text += ", promised " + clock(session.ToldPromise(l.Promised))
	}
	return stopped(text)
}

// standing says what stands until it is changed: who runs the service, pauses,
// helpers, that entries count as earlier, the round, the zone that was picked.
func (v *Aloud) standing(l station.Look) (ts []topic) {
	if l.Watching != "" {
		ts = append(ts, told("watching", "Watching only: "+l.Watching))
	}
	either := func(name string, is bool, yes, no string) {
		switch _, was := v.said[name]; {
		case is:
			ts = append(ts, told(name, yes))
		case was && v.said[name] != "":
			v.say(no)
		}
	}
	either("paused", l.Paused, "Hands are paused; product works on.", "Hands go on.")
	if r := l.Board.Reaction; r != nil && v.whole {
		ts = append(ts, told("reaction", stopped("Reaction: "+r.Reaction.Words()+", said at "+v.app.clock(r.Since))))
	}
	either("helpers", len(l.Helpers) > 0, "Helping: "+strings.Join(l.Helpers, ", ")+".", "Nobody helps any more.")
	late := v.app.late
	either("late", !late.IsZero(), "The next entry counts as of "+late.In(v.app.o.Place).Format("15:04")+"; esc forgets that.", "The next entry counts as of now.")
	if l.Round != "" {
		ts = append(ts, told("round", "Round: "+l.Round+"."))
	}
	return ts
}

// warnings begins the names of their topics.
const warnings = "warning "

// warning says a warning when it comes up, grows, changes in more than its
// figures, or is seen.
func (v *Aloud) warning(w session.Warning) topic {
	head, tail := "Note: ", ""
	switch {
	case w.Acked:
		head = "Seen: "
	case w.Level == session.Alarm:
		head = "ALARM: "
	case w.Level == session.Alert:
		head = "WARNING: "
	}
	switch {
	case w.Clock && !w.Acked && !w.Fixed && v.app.relive == nil:
		tail = " (a: say if the clock is right)"
	case w.Level == session.Line || w.Acked || v.app.relive != nil || w.Fixed:
	case w.Level == session.Alarm || w.Reason:
		tail = " (a: seen, with a reason)"
	default:
		tail = " (a: seen)"
	}
	sense := fmt.Sprint(w.Level, w.Acked, w.Fixed, w.Reason, words(w.Text))
	return topic{name: warnings + w.Key, sense: sense, text: head + w.Text + tail, planned: w.Level == session.Line}
}

// callAgain repeats the warnings that nobody has acknowledged, unless they were
// just said.
func (v *Aloud) callAgain(now map[string]string) {
	for _, al := range v.again {
		said := false
		for _, w := range v.app.station.Look().Board.Warnings {
			k := warnings + w.Key
			said = said || w.Text == al.Text && now[k] != "" && v.said[k] != now[k]
		}
		head := "STILL: "
		if al.Level == session.Alarm {
			head = "ALARM, STILL: "
		}
		if !said {
			v.say(head + al.Text)
		}
	}
	v.again = nil
}

// sayNext says what is to be done next, and by when what is on must be off.
func (v *Aloud) sayNext(l station.Look) topic {
	next, b := l.Board.Next, l.Board
	if l.Asked {
		return told("next", "What now?")
	}
	text := "Next: " + next.Text
	if next.Verb == session.DoWait {
		text += ", which opens at " + v.app.clock(next.From)
	}
	sense := text
	if b.OffBy != nil && !next.By.IsZero() {
		sense += fmt.Sprint(b.OffBy.ID, b.OffBy.LimitAt.Unix()/60)
		text += "; " + b.OffBy.Name + " off by " + v.app.clock(next.By)
	}
	if next.Why != "" {
		text += " (" + next.Why + ")"
	}
	return topic{name: "next", sense: sense, text: stopped(text), planned: true}
}

// zone says where a zone stands.
func (v *Aloud) zone(z *session.ZoneLook) topic {
	phase := z.Phase.String()
	if z.Rinsing {
		phase = "basin"
	}
	text := fmt.Sprintf("%s: %s, %d of %d in", z.Name, phase, z.Done, z.Pieces)
	sense := fmt.Sprint(phase, z.Done, z.Pieces, z.Heated, z.Unknown, z.Full)
	if z.Heated {
		text += ", heat is on"
	}
	switch {
	case !z.RinsedAt.IsZero():
		text += ", off at " + v.app.clock(z.RinsedAt)
	case z.Unknown:
		text += ", no limit known"
	case !z.Holding() || z.LimitAt.IsZero():
	case z.Phase == timing.Over:
		text += ", to be off since " + v.app.clock(z.LimitAt)
	default:
		sense += fmt.Sprint(z.LimitAt.Unix() / 60)
		if z.Phase == timing.Working {
			text += ", opens " + v.app.clock(z.OpensAt)
		}
		text += ", off by " + v.app.clock(z.LimitAt)
	}
	return topic{name: "zone " + z.ID, sense: sense, text: stopped(text)}
}

// endMoves is by how much the end must move to be said anew.
const endMoves = 5 * time.Minute

// sayEnd says when the service ends, when that has moved, or when it becomes
// late or is no more.
func (v *Aloud) sayEnd(l station.Look) topic {
	if len(l.Ending.Words) == 0 {
		return topic{name: "end", sense: v.said["end"]}
	}
	text := stopped("The end: " + l.Ending.Words[0])
	f := v.app.ending.forecast
	if f == nil {
		return told("end", text)
	}
	if d := f.End.P50.Sub(v.endAt); d >= endMoves || d <= -endMoves {
		v.endAt = f.End.P50
	}
	return topic{name: "end", sense: fmt.Sprint(v.endAt.Unix(), l.Ending.Late), text: text}
}

// entries says what was logged in a replay since the entry that was said last;
// of very many, or on the way back, the last one.
func (v *Aloud) entries() {
	a := v.app
	if a.relive == nil {
		return
	}
	events := a.log.Events()
	from := len(events) - 1
	switch {
	case len(events) == v.seq:
		return
	case v.seq > 0 && v.seq < len(events) && len(events)-v.seq <= mostEntries:
		from = v.seq
	}
	v.seq = len(events)
	for i, e := range events[from:] {
		v.entry = clean.Text(a.log.State().Say(e.Data))
		v.say(fmt.Sprintf("Entry %d, %s: %s", from+i+1, e.When.In(a.o.Place).Format("15:04:05"), v.entry))
	}
}

// mostEntries is how many entries of a replay are said one by one.
const mostEntries = 20

// transport says how a replay runs.
func (v *Aloud) transport() []topic {
	s := v.app.relive.screen
	ts := []topic{told("transport", fmt.Sprintf("Replay %s, times %d, %s.", s.State(), s.Speed(), v.wallSeconds()))}
	ts[0].sense = fmt.Sprint(s.State(), s.Speed())
	if !s.Ready() {
		return append(ts, told("stops", "Looking the log through for its warnings and trips."))
	}
	return ts
}

func (v *Aloud) wallSeconds() string {
	return v.app.now.Wall.In(v.app.o.Place).Format("15:04:05")
}
