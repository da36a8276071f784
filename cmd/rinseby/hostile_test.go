package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/session/hostile"
	"rinseby/session/journal"
	"rinseby/session/safety"
	"rinseby/session/store"
	"rinseby/timing"
)

var allHostile = flag.Bool("hostile", false, "try every hostile text in every place, not each of them somewhere")

// A tongue gives a hostile text for one place after the other.
type tongue struct{ next int }

func (w *tongue) sample() string {
	all := hostile.Samples()
	w.next++
	return all[w.next%len(all)].Text
}

// name is a name that begins with ordinary letters; text is for what may be
// long, and may be no UTF-8.
func (w *tongue) name() string { return "Tove " + hostile.Name(w.sample(), 150) }
func (w *tongue) text() string { return "said " + hostile.Name(w.sample(), 3900) }

// hostileService is a service in which everything that can be named is named
// by a hostile text.
func hostileService(t *testing.T, w *tongue, id string, closed bool) []journal.Record {
	t.Helper()
	l, at := &session.Log{}, time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	do := func(all ...session.Data) {
		t.Helper()
		for _, data := range all {
			at = at.Add(time.Minute)
			_, err := l.Commit(timing.Reading{Wall: at, Boot: at.Sub(time.Unix(0, 0)), BootID: "a"}, session.Do(data))
			require.NoError(t, err, "%T", data)
		}
	}
	product, promised := w.name(), at.Add(3*time.Hour)
	band := session.PlanBand{Band: session.Root, Product: product, Kind: formula.PowderLightener, Strength: 9, Contact: formula.OffScalp, Condition: formula.Natural}
	do(session.ServiceOpened{Service: id, Client: w.name(), Stylist: w.name(), Station: w.name(), ZoneList: w.name(), Promised: &promised, Steps: []session.PlanStep{{Name: w.name()}}},
		session.ConsultationNoted{Undertone: w.name(), Scalp: w.name(), History: w.name(), TargetTone: w.name(), Note: w.text()})
	for _, q := range safety.Questions() {
		a := session.SafetyAnswered{Question: q.ID, Answer: q.Answers[0].Word, Reason: w.text()}
		if q.Kind == safety.Day {
			a.Answer = "2 days ago"
		}
		do(a)
	}
	do(session.PlanSet{Name: w.name(), Action: formula.Lighten, Zones: []session.PlanZone{
		{Name: w.name(), Pieces: 2, MinutesPerPiece: 1, Technique: w.name(), Bands: []session.PlanBand{band}},
		{Name: w.name(), Pieces: 2, MinutesPerPiece: 1, Technique: w.name(), Bands: []session.PlanBand{band}}}},
		session.WindowConfirmed{Basis: session.BasisInstructions, Row: formula.Row{Product: product, Kind: band.Kind, Strength: 9, Contact: band.Contact, Condition: band.Condition,
			Heat: formula.NoHeat, Window: timing.Window{Opens: 2 * time.Minute, Limit: 12 * time.Minute}, Origin: w.name()}},
		session.SafetyAnswered{Question: safety.Airways, Answer: "none"}, // before powder is mixed
		session.BowlMixed{Product: product, Family: band.Kind, LifeS: 3600, Mix: formula.Mix{
			Products: []formula.ProductPart{{Product: product, Grams: 30}}, Developers: []formula.DeveloperPart{{Strength: 9, Grams: 60}}}},
		session.HelperJoined{Name: w.name()}, session.PauseBegan{Reason: w.text()}, session.PauseEnded{},
		session.WarningAcknowledged{Warning: w.name(), Reason: w.text()}, session.NoteAdded{Zone: "z1", Text: w.text()},
		session.PiecePlaced{Zone: "z1", Count: 2}, session.PiecePlaced{Zone: "z2"},
		session.ZoneChecked{Zone: "z1", Undertone: w.name(), Feel: w.name()})
	if closed {
		at = at.Add(10 * time.Minute) // over the limit
		do(session.RinseBegan{Zones: []string{"z1", "z2"}}, session.RinseEnded{},
			session.CutNoted{Section: w.name(), OverDirection: w.name(), Texture: w.name(), Tool: w.name(), Note: w.text()},
			session.PromiseChanged{Told: w.text()}, session.ServiceClosed{Outcome: w.text()})
	}
	recs, err := session.Records(l.Events())
	require.NoError(t, err)
	return recs
}

// quoted is a text as TOML and JSON have it.
func quoted(text string) string {
	b, _ := json.Marshal(strings.ToValidUTF8(text, ""))
	return strings.ReplaceAll(string(b), "\x7f", `\u007f`)
}

// hostileFiles fills a folder of configuration: files that are right but for
// their names for things, and files that are not.
func hostileFiles(t *testing.T, w *tongue, config string) {
	t.Helper()
	write := func(name, text string) {
		path := filepath.Join(config, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	}
	list := strings.ReplaceAll(strings.ReplaceAll(twoZones, `"Nape"`, quoted(w.name())), `"drying"`, quoted(w.name()))
	write("zones/right.toml", strings.Replace(list, `"Two zones"`, quoted("Zones "+w.name()), 1))
	write("zones/wrong.toml", strings.Replace(list, `action = "lighten"`, "action = "+quoted(w.name()), 1))
	write("zones/broken.toml", "name = "+w.sample()+"\n[["+w.sample())
	write("zones/"+strings.NewReplacer("/", "", "\x00", "").Replace(hostile.Name(w.sample(), 60))+".toml", "nothing = "+quoted(w.name()))
	starter := formula.StarterText()
	catalogue := []string{
		strings.ReplaceAll(starter, `"Chalk"`, quoted(w.name())), "[[product]]\nname = " + quoted(w.name()) + "\nkind = " + quoted(w.name()) + "\n", "x = " + w.sample(),
	}
	write("catalogue.toml", catalogue[w.next%len(catalogue)])
	set := []string{
		fmt.Sprintf("stylist = %s\nstation = %s\ntheme = %s\n%s = 1\n", quoted(w.name()), quoted(w.name()), quoted(w.name()), quoted(w.name())),
		"stylist = " + w.sample(), fmt.Sprintf("hints = \"never\"\nalert_command = [%s]\nzone = %s\n", quoted(w.name()), quoted(w.name())),
	}
	write("settings.toml", set[w.next%len(set)])
}

// A hostileDesk is a desk of which everything that comes from outside is
// hostile.
type hostileDesk struct {
	*desk
	w             *tongue
	closed, live  []journal.Record
	config, files string
}

func newHostileDesk(t *testing.T, w *tongue) *hostileDesk {
	h := &hostileDesk{desk: aloudDesk(t), w: w, files: t.TempDir()}
	h.config = h.e.config
	hostileFiles(t, w, h.config)
	st, err := store.Open(h.data)
	require.NoError(t, err)
	h.closed, h.live = hostileService(t, w, "closed", true), hostileService(t, w, "live", false)
	for _, recs := range [][]journal.Record{h.closed, h.live, hostileService(t, w, "other", true)} {
		_, err = st.Import(recs)
		require.NoError(t, err)
	}
	mark, err := json.Marshal(w.text())
	require.NoError(t, err)
	h.lies(filepath.Join(h.data, "marks"), "closed.marks.jsonl", `{"at":"2026-03-02T09:20:00Z","text":`+string(mark)+"}\n")
	h.lies(filepath.Join(h.data, "live"), "stranger "+strings.NewReplacer("/", "", "\x00", "").Replace(hostile.Name(w.sample(), 60)), w.sample())
	h.lies(filepath.Join(h.data, "live"), "damaged.jsonl", w.sample()+"\n"+w.sample()+"\n")
	return h
}

// lies puts a file somewhere and returns its path.
func (h *hostileDesk) lies(dir, name, text string) string {
	h.t.Helper()
	require.NoError(h.t, os.MkdirAll(dir, 0o700))
	path := filepath.Join(dir, name)
	require.NoError(h.t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

// client is whose service it is.
func client(recs []journal.Record) string {
	var opened session.ServiceOpened
	_ = json.Unmarshal(recs[0].Data, &opened) // it was made of one
	return opened.Client
}

// file is one of the test's own, with a hostile name.
func (h *hostileDesk) file(name, text string) string {
	return h.lies(h.files, strings.NewReplacer("/", "", "\x00", "").Replace(hostile.Name(h.w.sample(), 60))+name, text)
}

// tries is how each command is tried; a command line whose first word is "ok"
// must end well.
func (h *hostileDesk) tries() map[string][][]string {
	text, err := journal.Encode(h.closed)
	require.NoError(h.t, err)
	copied := h.file("copy.jsonl", string(text))
	torn := h.file("torn.jsonl", string(text[:len(text)-10]))
	damaged := h.file("damaged.jsonl", strings.Replace(string(text), "Tove", h.w.sample(), 3))
	foreign := h.file("foreign.jsonl", h.w.sample())
	lines := h.file("lines.jsonl", `{"when":"2026-03-02T09:00:00Z","kind":"service.opened","data":{"client":`+quoted(h.w.name())+`,"service":`+quoted(h.w.name())+"}}\n")
	odd := h.file("odd.jsonl", `{"when":"2026-03-02T09:00:00Z","kind":`+quoted(h.w.name())+`,"data":{"`+h.w.sample()+`":1}}`)
	ordinary, err := os.ReadFile(ordinaryPlan)
	require.NoError(h.t, err)
	plan := h.file("plan.toml", strings.Replace(string(ordinary), `name = "`, `name = "`+strings.Trim(quoted(h.w.name()), `"`), 2))
	wrong := h.file("wrong.toml", strings.Replace(string(ordinary), `order = "`, `order = "`+strings.Trim(quoted(h.w.name()), `"`), 1)+"\n"+h.w.sample())
	said := strings.NewReplacer("\x00", "").Replace(h.w.sample()) // as a shell can give it
	return map[string][][]string{
		"rinseby":    {{"ok", "--plain"}, {"ok", "--plain", "--stylist", said, "--station", said}, {said}, {"--" + said}, {"help", said}},
		"practice":   {{"--plain", "--zones", "Zones " + said}, {"--speed", said}},
		"mix":        {{"--product", said}, {"--product", said, "--pieces", "3", "--grams-per-piece", "8", "--ratio", "1:2", "--strength", "30 vol"}, {"--ratio", said}, {"--strength", said, "--json"}},
		"plan":       {{plan}, {plan, "--json"}, {wrong}, {said}},
		"forecast":   {{"ok", "closed", "--after", "18m"}, {"ok", "live", "--json"}, {"closed", "--history", h.files}, {damaged}, {said}},
		"floor":      {{"ok", "--plain"}},
		"fit":        {{"--minutes", "10"}, {"--minutes", "10", "--json"}, {"--minutes", "10", "--stylist", said}, {"--between", said, "--minutes", "5"}},
		"history":    {{"ok"}, {"ok", "--json"}, {"ok", "--stylist", said}, {"--history", h.files}, {"--history", said}},
		"replay":     {{"ok", "closed", "--plain"}, {"ok", copied, "--plain", "--beside", "other"}, {foreign, "--plain"}},
		"review":     {{"ok", "closed"}, {"ok", "closed", "--format", "md"}, {"ok", "live", "--format", "json"}, {torn}, {"closed", "--format", said}},
		"compare":    {{"ok", "closed", "other"}, {"ok", "closed", "live", "--json"}, {said, damaged}},
		"export":     {{"closed", "--redact"}, {"closed"}, {damaged, "--redact"}, {"closed", "--redact", "--output", copied}},
		"forget":     {{said}, {"--service", "closed"}, {"--service", said}, {client(h.live)}, {"--live", "--yes", client(h.live)}},
		"reaction":   {{"other", said}, {said, said}, {"live", said}, {"other", said, "--what", said}, {client(h.closed), said, "--what", "hives"}},
		"list":       {{"ok"}, {"ok", "--json"}, {said}},
		"card":       {{"ok", "closed"}, {"ok", "live", "--format", "html"}, {"ok", "closed", "--format", "json"}, {damaged}, {torn}, {said}, {"closed", "--format", said}},
		"import":     {{"--stdout", lines}, {odd}, {said}, {foreign}},
		"verify":     {{"ok", copied}, {torn}, {damaged}, {foreign}, {said}},
		"starter":    {{"ok"}, {said}},
		"settings":   {{}, {"--format", "json"}, {"ok", "--print"}, {"--format", said}, {"--stylist", said}},
		"man":        {{"ok"}, {"ok", "card"}, {said}, {"--dir", said}},
		"completion": {{"ok", "bash"}, {"ok", "zsh"}, {"ok", "fish"}, {"ok", "powershell"}, {said}},
		"__complete": {{"ok", "card", ""}, {"ok", "practice", "--zones", ""}, {"ok", said}},
	}
}

// TestEveryCommandStaysSoundWithHostileText carries out every command where
// services, zone lists, catalogue, settings, marks, names of files and what was
// typed are hostile. On standard output and standard error nothing arrives but
// printable text, and no line that a text made by itself.
func TestEveryCommandStaysSoundWithHostileText(t *testing.T) {
	t.Parallel()
	step := 10
	if *allHostile {
		step = 1
	}
	for from := 0; from < len(hostile.Samples()); from += step {
		t.Run(fmt.Sprint(from), func(t *testing.T) {
			t.Parallel()
			h := newHostileDesk(t, &tongue{next: from})
			tries := h.tries()
			for _, c := range h.e.root().Commands() {
				require.Contains(t, append([]string{"help"}, keysOf(tries)...), c.Name(), "every command is tried")
			}
			for _, command := range keysOf(tries) {
				for _, args := range tries[command] {
					h.sound(t, command, args)
				}
			}
		})
	}
}

// keysOf are the commands in their order; that which removes services comes last.
func keysOf(m map[string][][]string) []string {
	names := slices.Sorted(maps.Keys(m))
	at := slices.Index(names, "forget")
	return append(slices.Delete(names, at, at+1), "forget")
}

// sound carries a command out and checks what it wrote.
func (h *hostileDesk) sound(t *testing.T, command string, args []string) {
	t.Helper()
	ok := len(args) > 0 && args[0] == "ok"
	if ok {
		args = args[1:]
	}
	said := strings.NewReplacer("\n", " ", "\r", " ").Replace(h.w.sample())
	h.e.in = strings.NewReader("again\n?\n1\nagain\nd\nc\n" + said + "\nesc\nesc\nw\nagain\nesc\nq\nq\n")
	line := []string{"--config", h.config}
	if command != "rinseby" {
		line = append(line, command)
	}
	code := h.run(append(line, args...)...)
	if ok {
		require.Zero(t, code, "%s %q: %s", command, args, h.err.String())
	}
	require.NotEmpty(t, h.out.String()+h.err.String(), "%s %q", command, args)
	for name, out := range map[string]string{"standard output": h.out.String(), "standard error": h.err.String()} {
		if err := hostile.Check(out); err != nil {
			t.Errorf("%s %q: %s: %v\n%q", command, args, name, err, out)
		}
	}
}

// TestHostileTextIsKeptAsTyped holds journals to every byte that was typed, and
// documents that machines read to the same text.
func TestHostileTextIsKeptAsTyped(t *testing.T) {
	for i, s := range hostile.Samples() {
		d := newDesk(t)
		st, err := store.Open(d.data)
		require.NoError(t, err)
		typed := "T" + hostile.Name(s.Text, 190)
		note := hostile.Name(s.Text, 4000)
		l, err := st.Create(d.e.clock.Read(), "station", session.Do(session.ServiceOpened{Client: typed}), session.Do(session.NoteAdded{Text: "n" + note}))
		require.NoError(t, err)
		path := l.Path()
		require.NoError(t, l.Close())
		recs, _, err := journal.ReadFile(path)
		require.NoError(t, err)
		var opened session.ServiceOpened
		var noted session.NoteAdded
		require.NoError(t, json.Unmarshal(recs[0].Data, &opened))
		require.NoError(t, json.Unmarshal(recs[1].Data, &noted))
		require.Equal(t, typed, opened.Client, s.Name)
		require.Equal(t, "n"+note, noted.Text, s.Name)

		require.Zero(t, d.run("list", "--json"), d.err.String())
		var rows []listed
		require.NoError(t, json.Unmarshal(d.out.Bytes(), &rows), s.Name)
		require.Equal(t, typed, rows[0].Client, "%d: %s", i, s.Name)
		require.Zero(t, d.run("card", l.ID, "--format", "json"), d.err.String())
		require.Contains(t, parsed(t, d.out.Bytes()), typed)

		lines, err := json.Marshal(map[string]any{"when": d.e.clock.Read().Wall, "kind": "service.opened", "data": map[string]string{"client": typed}})
		require.NoError(t, err)
		d.e.in = bytes.NewReader(lines)
		require.Zero(t, d.run("import", "-", "--stdout"), d.err.String())
		recs, err = journal.Read(bytes.NewReader(d.out.Bytes()))
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(recs[0].Data, &opened))
		require.Equal(t, typed, opened.Client, "a journal to standard output: %s", s.Name)
	}
}

// parsed are all texts of a JSON document.
func parsed(t *testing.T, doc []byte) (all []string) {
	t.Helper()
	var in func(v any)
	in = func(v any) {
		switch v := v.(type) {
		case string:
			all = append(all, v)
		case []any:
			for _, x := range v {
				in(x)
			}
		case map[string]any:
			for _, x := range v {
				in(x)
			}
		}
	}
	var v any
	require.NoError(t, json.Unmarshal(doc, &v))
	in(v)
	slices.Sort(all)
	return all
}

// The manual, the completions and all that is built in are not changed by what
// makes text safe.
func TestOurOwnTextStaysAsItIs(t *testing.T) {
	for _, args := range [][]string{{"man"}, {"completion", "bash"}, {"completion", "zsh"}, {"completion", "fish"}, {"completion", "powershell"}, {"starter"}, {"settings", "--print"}, {"--help"}} {
		d := newDesk(t)
		require.Zero(t, d.run(args...))
		safe := d.out.String()
		d.e.out = &d.out
		require.Zero(t, d.run(args...))
		assert.Equal(t, d.out.String(), safe, args)
	}
}
