package tui_test

import (
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/replay"
	"rinseby/timing"
	"rinseby/tui"
)

// names are the texts from people that a scene shows.
type names struct{ client, other, stylist, station, zone, product, note string }

// invented are the names of the demonstration setting.
var invented = names{"Tove A.", "June L.", "Ines", "Ferry Stairs 2", "Nape", "Chalk", "ends feel dry"}

// hostileNames all say something else to a terminal than to a person.
func hostileNames(text string) names {
	return names{"T" + text, "J" + text, "I" + text, "F" + text, "N" + text, "C" + text, "e" + text}
}

// A scene is a screen as it is met in the work. Build leaves the program there.
type scene struct {
	name  string
	build func(t testing.TB, n names, change func(*tui.Options)) *desk
}

// moment is where on the day a scene is.
type moment int

// The moments, each after the ones before it.
const (
	opened moment = iota
	consulted
	asked
	mixed
	placing  // the first zone is full
	placed   // all zones are full
	rinsing  // the first zone is at the basin
	rinsed   // all are off
	cut      // and cut
	finished // and closed
)

// life is a service of an invented client on its way.
type life struct {
	d   *desk
	log session.Log
}

func (l *life) do(by time.Duration, all ...session.Data) {
	l.d.pass(by)
	for _, data := range all {
		_, err := l.log.Commit(l.d.Read(), session.Do(data))
		require.NoError(l.d.t, err)
	}
}

// band is what is planned for a band of a scene.
func (n names) band(b session.Band, strength formula.Percent) session.PlanBand {
	return session.PlanBand{Band: b, Product: n.product, Kind: formula.PowderLightener, Strength: strength, Contact: formula.OffScalp, Condition: formula.Natural}
}

func (n names) bowl(grams float64) session.BowlMixed {
	return session.BowlMixed{Product: n.product, Family: formula.PowderLightener, LifeS: 3600, Mix: formula.Mix{
		Products: []formula.ProductPart{{Product: n.product, Grams: grams}}, Developers: []formula.DeveloperPart{{Strength: 9, Grams: 2 * grams}}}}
}

// lives writes the service of a client up to a moment of it. Its id is always
// the same, so that what is drawn by chance is, too.
func (d *desk) lives(n names, client string, until moment) string {
	promised := d.Read().Wall.Add(150 * time.Minute)
	id := "s" + d.Read().Wall.Format("1504")
	l := &life{d: d}
	l.do(0, session.ServiceOpened{
		Service: id, Client: client, Stylist: n.stylist, Station: n.station, Promised: &promised, ZoneList: "Three zones", Invented: true,
		Steps: []session.PlanStep{{Name: "drying", Minutes: 15}, {Name: "cut", Minutes: 30}},
	})
	row := formula.Row{Product: n.product, Kind: formula.PowderLightener, Strength: 9, Contact: formula.OffScalp, Condition: formula.Natural,
		Heat: formula.NoHeat, Window: timing.Window{Opens: 10 * time.Minute, Limit: 45 * time.Minute}, Origin: n.note}
	zones := []session.PlanZone{}
	for _, z := range []string{n.zone, "Crown", "Left side"} {
		zones = append(zones, session.PlanZone{Name: z, Pieces: 6, MinutesPerPiece: 1.5, Technique: "foil", Bands: []session.PlanBand{n.band(session.Root, 9)}})
	}
	l.do(0, session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: zones})
	for _, step := range []func(){
		func() {},
		func() {
			l.do(2*time.Minute, session.ConsultationNoted{Scale: 10, NaturalDepth: 6, Undertone: "red", TargetDepth: 9, RegrowthMM: 25, Note: n.note})
		},
		func() { l.do(2*time.Minute, answered()...) },
		func() {
			l.do(3*time.Minute, n.bowl(40), session.WindowConfirmed{Row: row, Basis: session.BasisInstructions})
		},
		func() {
			for range 6 {
				l.do(90*time.Second, session.PiecePlaced{Zone: "z1", Count: 1})
			}
		},
		func() {
			l.do(9*time.Minute, session.PiecePlaced{Zone: "z2", Count: 6}, session.NoteAdded{Text: n.note})
			l.do(9*time.Minute, session.PiecePlaced{Zone: "z3", Count: 6})
		},
		func() {
			l.do(6*time.Minute, session.ZoneChecked{Zone: "z1", Band: session.Root, Scale: 10, Depth: 8.5, Undertone: "yellow"},
				session.RinseBegan{Zones: []string{"z1", "z2"}})
		},
		func() {
			l.do(4*time.Minute, session.RinseEnded{Zones: []string{"z1"}})
			l.do(3*time.Minute, session.RinseEnded{})
			l.do(4*time.Minute, session.RinseBegan{Zones: []string{"z3"}})
			l.do(4*time.Minute, session.RinseEnded{})
		},
		func() {
			l.do(time.Minute, session.StepBegan{Step: "drying"})
			l.do(15*time.Minute, session.StepEnded{Step: "drying"}, session.StepBegan{Step: "cut"})
			flat := 0.0
			l.do(25*time.Minute, session.CutNoted{Section: n.zone, Guide: session.Guides[0], Elevation: &flat, LengthMM: 120, Texture: "blunt", Note: n.note},
				session.StepEnded{Step: "cut"})
		},
		func() { l.do(time.Minute, session.ServiceClosed{Outcome: n.note}) },
	}[:until+1] {
		step()
	}
	recs, err := session.Records(l.log.Events())
	require.NoError(d.t, err)
	_, err = d.st.Import(recs)
	require.NoError(d.t, err)
	return id
}

// at is a scene at the chair, at a moment of a service, after some keys.
func at(name string, m moment, more func(d *desk)) scene {
	return scene{name, func(t testing.TB, n names, change func(*tui.Options)) *desk {
		d := newDesk(t, nil)
		d.lives(n, n.other, finished)
		id := d.lives(n, n.client, m)
		d.pass(30 * time.Second)
		d.open(func(o *tui.Options) {
			o.Resume, o.Stylist = id, n.stylist
			if change != nil {
				change(o)
			}
		})
		if more != nil {
			more(d)
		}
		d.tick(0)
		return d
	}}
}

func keysOf(ks ...string) func(d *desk) { return func(d *desk) { d.press(ks...) } }

// relived is a scene of a replay at so many minutes of a whole service.
func relived(name string, minutes int, ks ...string) scene {
	return scene{name, func(t testing.TB, n names, change func(*tui.Options)) *desk {
		past := newDesk(t, nil)
		l := past.logged(past.lives(n, n.client, finished))
		other := past.logged(past.lives(n, n.other, finished))
		tape := replay.New(l)
		d := relive(t, l, time.Duration(minutes)*time.Minute, func(o *tui.Options) {
			o.Replay.Marks = []replay.Mark{{At: tape.From().Add(20 * time.Minute), Text: n.note}}
			o.Replay.Keep = func([]replay.Mark) error { return nil }
			o.Replay.Beside = replay.New(other)
			if change != nil {
				change(o)
			}
		})
		d.press(ks...)
		return d
	}}
}

// started is a scene of the first screen or the floor, of so many services.
func started(name string, live ...moment) func(onFloor bool, ks ...string) scene {
	return func(onFloor bool, ks ...string) scene {
		return scene{name, func(t testing.TB, n names, change func(*tui.Options)) *desk {
			d := newDesk(t, nil)
			var ids []string
			for i, m := range live {
				ids = append(ids, d.lives(n, []string{n.client, n.other}[i%2], m))
			}
			d.open(func(o *tui.Options) {
				o.Floor, o.Stylist = onFloor, n.stylist
				if change != nil {
					change(o)
				}
			})
			for _, id := range ids {
				if d.logged(id).State().Live() {
					d.show(id)
				}
			}
			d.tick(0)
			for _, id := range ids {
				if d.logged(id).State().Live() {
					d.show(id)
				}
			}
			d.press(ks...)
			return d
		}}
	}
}

// beside is the chair of one client while another one's limit is near.
func beside(name string) scene {
	return scene{name, func(t testing.TB, n names, change func(*tui.Options)) *desk {
		d := newDesk(t, nil)
		other := d.lives(n, n.other, placed)
		id := d.lives(n, n.client, asked)
		d.pass(9 * time.Minute)
		d.open(func(o *tui.Options) {
			o.Resume, o.Stylist = id, n.stylist
			if change != nil {
				change(o)
			}
		})
		d.show(other)
		d.tick(time.Second)
		return d
	}}
}

// floorCall is the floor while help is called for one of two clients.
func floorCall(name string) scene {
	return scene{name, func(t testing.TB, n names, change func(*tui.Options)) *desk {
		d := newDesk(t, nil)
		other := d.lives(n, n.other, placed)
		id := d.lives(n, n.client, placing)
		live, err := d.st.Resume(d.now, id, "test")
		require.NoError(t, err)
		_, err = live.Do(d.now, session.Do(session.PainReported{Reaction: session.Emergency}))
		require.NoError(t, err)
		require.NoError(t, live.Close())
		d.pass(75 * time.Second)
		d.open(func(o *tui.Options) {
			o.Floor = true
			if change != nil {
				change(o)
			}
		})
		d.show(other, id)
		d.tick(0)
		d.show(other, id)
		return d
	}}
}

func later(by time.Duration, ks ...string) func(d *desk) {
	return func(d *desk) {
		for range int(by / time.Minute) {
			d.tick(time.Minute)
		}
		d.press(ks...)
	}
}

// unknown opens a service of which no limit is known, where a product is to be
// mixed and confirmed.
func unknown(d *desk) {
	d.press("space", "ctrl+s")
	d.press("space")
}

// reactionScenes are the screens of pain and other reactions.
func reactionScenes() []scene {
	return []scene{
		at("react", placing, keysOf("x")),
		at("react-itch", placing, keysOf("x", "down", "enter")),
		at("call", placed, keysOf("x", "down", "down", "down", "enter")),
		floorCall("floor-call"),
		at("chair-pain", placing, keysOf("x", "enter")),
		at("chair-eye", placed, func(d *desk) {
			d.press("x", "down", "down", "down", "down", "down", "down", "enter")
			d.tick(4 * time.Minute)
		}),
		at("chair-itch", placing, keysOf("x", "down", "enter", "end", "enter")),
		at("look-again", placing, func(d *desk) {
			d.press("x", "down", "enter", "end", "enter")
			d.tick(3 * time.Minute)
			d.press("space")
		}),
		at("ask-again", cut, func(d *desk) {
			d.press("x", "enter")
			later(21 * time.Minute)(d)
			d.press("space", "w", "e", "l", "l", "enter", "right", "enter", "space")
		}),
	}
}

// scenes are all screens, as they are met in the work.
func scenes() []scene {
	return append(reactionScenes(), []scene{
		started("start-first")(false),
		started("start", finished, placing, opened)(false),
		started("start-find", finished, placing, opened)(false, "/", "J", "u"),
		started("start-help", finished)(false, "?"),
		started("new-service", finished)(false, "n"),
		started("earlier", finished)(false, "e"),
		started("floor-empty")(true),
		started("floor", placing, placed)(true),
		started("floor-find", placing, placed)(true, "/", "J"),
		started("floor-help", placing, placed)(true, "?"),
		started("who-hurts", placing, placed)(true, "x"),
		beside("chair-beside"),
		at("chair-opened", opened, nil),
		at("chair-consulted", consulted, nil),
		at("chair-asked", asked, nil),
		at("chair-placing", placing, nil),
		at("chair-late-entry", placing, keysOf("e", "5", "enter")),
		at("chair-placed", placed, nil),
		at("chair-wait", placed, keysOf("p", "p")),
		at("chair-warned", placed, later(14*time.Minute)),
		at("chair-over", placed, later(25*time.Minute)),
		at("chair-weak", placed, func(d *desk) {
			d.press("c", "right", "right", "ctrl+s")
			d.tick(90 * time.Second)
		}),
		at("chair-rinsing", rinsing, nil),
		at("chair-rinsed", rinsed, nil),
		at("chair-closed", cut, keysOf("space", "enter")),
		at("consult", opened, keysOf("space")),
		at("safety", consulted, keysOf("space")),
		at("mix", asked, keysOf("space")),
		at("limit", asked, unknown),
		at("check", placed, keysOf("c")),
		at("rinse", placed, keysOf("r")),
		at("steps", rinsed, keysOf("s")),
		at("zones", placing, keysOf("z")),
		at("note", placing, keysOf("n")),
		at("reason", placed, later(25*time.Minute, "a")),
		at("helper", placing, keysOf("h")),
		at("many", placing, keysOf("+")),
		at("coat", placing, keysOf("k")),
		at("refresh", placing, keysOf("g")),
		at("heat", placing, keysOf("t")),
		at("bowl-empty", placing, keysOf("b")),
		at("where", placing, keysOf("x", "enter", "x", "end", "enter")),
		at("found", rinsed, func(d *desk) { d.press("x", "enter"); later(21 * time.Minute)(d); d.press("space") }),
		at("cut", rinsed, keysOf("i")),
		at("promise", rinsed, keysOf("j")),
		at("chair-promised", rinsed, keysOf("j", "ctrl+u", "+", "2", "0", "ctrl+s")),
		at("chair-late", rinsed, keysOf("j", "ctrl+u", "1", "2", "0", "5", "ctrl+s")),
		at("finish", cut, keysOf("space")),
		at("plan", placed, keysOf("l")),
		at("card", cut, keysOf("space", "enter", "d")),
		at("record", placed, keysOf("o")),
		at("record-find", placed, keysOf("o", "/", "p")),
		at("chair-help", placed, keysOf("?")),
		at("form-help", placed, func(d *desk) { d.press("n"); d.send(tea.KeyMsg{Type: tea.KeyF1}) }),
		relived("replay", 40),
		relived("replay-help", 40, "?"),
		relived("replay-said", 40, "l"),
		relived("replay-fan", 40, "F"),
		relived("replay-jump", 40, "j"),
		relived("replay-mark", 40, "n"),
		relived("replay-marks", 40, "N"),
		relived("replay-what-if", 40, "i"),
		relived("replay-beside", 40, "C"),
		relived("replay-ask", 5, "A"),
	}...)
}
