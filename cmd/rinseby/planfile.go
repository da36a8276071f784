package main

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"regexp"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"

	"rinseby/session/formula"
	"rinseby/timing/rinse"
)

// Bounds against slips of the keyboard.
const (
	maxPlanFile    = 256 << 10 // bytes
	maxPlanMinutes = 600       // of any duration, and of any moment from now
	maxPlanSeconds = 600       // of searching
	maxPlanNodes   = 1_000_000
)

// What a file of rinseby plan holds. A pointer is nil where the field is left
// out.
type (
	planTOML struct {
		Order     string         `toml:"order"`
		Strengths string         `toml:"strengths"`
		Client    string         `toml:"client"`
		Trip      *planTripTOML  `toml:"trip"`
		Helper    *planHelpTOML  `toml:"helper"`
		Budget    planBudgetTOML `toml:"budget"`
		Zones     []planZoneTOML `toml:"zone"`
	}
	planTripTOML struct {
		Walk    *float64 `toml:"walk_minutes"`
		Reseat  *float64 `toml:"reseat_minutes"`
		IdleCap *float64 `toml:"idle_cap_minutes"`
	}
	planHelpTOML struct {
		Rate *float64 `toml:"rate"`
		From *float64 `toml:"from_minute"`
		To   *float64 `toml:"to_minute"`
	}
	planBudgetTOML struct {
		Nodes   *int     `toml:"nodes"`
		Seconds *float64 `toml:"seconds"`
	}
	planZoneTOML struct {
		Name      string             `toml:"name"`
		Pieces    *int               `toml:"pieces"`
		PerPiece  *float64           `toml:"minutes_per_piece"`
		Apply     *float64           `toml:"apply_minutes"`
		Rinse     *float64           `toml:"rinse_minutes"`
		Strongest string             `toml:"strongest"`
		First     *float64           `toml:"first_minute"`
		Last      *float64           `toml:"last_minute"`
		Carried   *float64           `toml:"carried_minutes"`
		Strengths []planStrengthTOML `toml:"strength"`
	}
	planStrengthTOML struct {
		Strength string   `toml:"strength"`
		Opens    *float64 `toml:"opens_minutes"`
		Limit    *float64 `toml:"limit_minutes"`
		Target   *float64 `toml:"target_minutes"`
	}
)

// A planFile is what rinseby plan works on.
type planFile struct {
	rinse.Problem
	labels  [][]string // of each zone's strengths, as they are written
	nodes   int
	seconds float64
}

// A planReader turns a file into a problem. Errors pile up, so that the user
// sees all of them at once.
type planReader struct {
	file   string
	lines  []string
	errors []error
}

// readPlan reads a file of rinseby plan, with now at 0.
func readPlan(file string, text []byte) (*planFile, error) {
	if len(text) > maxPlanFile {
		return nil, fmt.Errorf("%s is larger than %d KiB: is it the right file?", file, maxPlanFile>>10)
	}
	var t planTOML
	dec := toml.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&t); err != nil {
		return nil, planDecodeError(file, err)
	}
	r := &planReader{file: file, lines: strings.Split(string(text), "\n")}
	p := r.plan(&t)
	if err := errors.Join(r.errors...); err != nil {
		return nil, err
	}
	if err := p.Check(); err != nil {
		return nil, &formula.FieldError{File: file, Line: 1, Say: err.Error()}
	}
	return p, nil
}

// planDecodeError puts an error of the TOML decoder into our words.
func planDecodeError(file string, err error) error {
	at := func(d *toml.DecodeError) (line int, field string) {
		line, _ = d.Position()
		if key := d.Key(); len(key) > 0 {
			field = key[len(key)-1]
		}
		return line, field
	}
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) {
		var all []error
		for i := range strict.Errors {
			line, field := at(&strict.Errors[i])
			all = append(all, &formula.FieldError{File: file, Line: line, Field: field, Say: "unknown here: take it out, or check how it is spelt"})
		}
		return errors.Join(all...)
	}
	e := &formula.FieldError{File: file, Line: 1}
	var decode *toml.DecodeError
	if errors.As(err, &decode) {
		e.Line, e.Field = at(decode)
	}
	if e.Field != "" {
		e.Say = "of the wrong type: text stands in quotes, numbers without; several tables as [[zone]], one as [trip]"
		return e
	}
	e.Say = fmt.Sprintf("not valid TOML (%s): correct this line", strings.TrimPrefix(err.Error(), "toml: "))
	return e
}

// A tableAt is a table of the file: its heading, and for the arrays in it how
// many headings of each came before.
type tableAt struct {
	heading        string
	zone, strength int
}

// refuse refuses a field of a table, on its own line or on that of the table's
// heading.
func (r *planReader) refuse(at tableAt, field, format string, args ...any) {
	key := regexp.MustCompile(`^\s*"?` + regexp.QuoteMeta(field) + `"?\s*=`)
	here, line := tableAt{zone: -1, strength: -1}, 1
	for i, text := range r.lines {
		if head := strings.TrimSpace(text); strings.HasPrefix(head, "[") {
			here.heading = strings.Trim(strings.SplitN(head, "#", 2)[0], "[] \t")
			switch here.heading {
			case "zone":
				here.zone, here.strength = here.zone+1, -1
			case "zone.strength":
				here.strength++
			}
			if here == at {
				line = i + 1
			}
		}
		if here == at && key.MatchString(text) {
			line = i + 1
			break
		}
	}
	r.errors = append(r.errors, &formula.FieldError{File: r.file, Line: line, Field: field, Say: fmt.Sprintf(format, args...)})
}

// seconds reads minutes between lo and hi, whole seconds of them; a missing
// field is refused if it is needed.
func (r *planReader) seconds(at tableAt, field string, minutes *float64, need bool, lo, hi float64) int {
	switch {
	case minutes == nil && need:
		r.refuse(at, field, "missing: add it, %g to %g minutes", lo, hi)
	case minutes == nil:
	case !(*minutes >= lo && *minutes <= hi):
		r.refuse(at, field, "%g: give %g to %g minutes", *minutes, lo, hi)
	default:
		return int(math.Round(*minutes * 60))
	}
	return 0
}

func (r *planReader) plan(t *planTOML) *planFile {
	p := &planFile{seconds: 1}
	top := tableAt{zone: -1, strength: -1}
	p.Order = rinse.Order(r.word(top, "order", t.Order, "fixed", "open"))
	p.Strengths = rinse.Choice(r.word(top, "strengths", t.Strengths, "given", "free", "rising"))
	p.Basin = r.word(top, "client", t.Client, "chair", "basin") == 1
	trip := t.Trip
	if trip == nil {
		trip = &planTripTOML{}
	}
	at := r.table("trip")
	p.Walk = r.seconds(at, "walk_minutes", trip.Walk, true, 0, maxPlanMinutes)
	p.Reseat = r.seconds(at, "reseat_minutes", trip.Reseat, true, 0, maxPlanMinutes)
	p.IdleCap = r.seconds(at, "idle_cap_minutes", trip.IdleCap, true, 0, maxPlanMinutes)
	if t.Helper != nil {
		r.helper(p, t.Helper)
	}
	if n := t.Budget.Nodes; n != nil {
		if p.nodes = *n; *n < 1 || *n > maxPlanNodes {
			r.refuse(r.table("budget"), "nodes", "%d: give 1 to %d", *n, maxPlanNodes)
		}
	}
	if s := t.Budget.Seconds; s != nil {
		if p.seconds = *s; !(*s > 0 && *s <= maxPlanSeconds) {
			r.refuse(r.table("budget"), "seconds", "%g: give more than 0, and %d at most", *s, maxPlanSeconds)
		}
	}
	switch n := len(t.Zones); {
	case n == 0:
		r.refuse(top, "zone", "there is none: add a [[zone]] for each")
	case n > rinse.MaxZones:
		r.refuse(tableAt{"zone", rinse.MaxZones, -1}, "zone", "%d zones: plan for at most %d", n, rinse.MaxZones)
	default:
		partly := false
		for i := range t.Zones {
			r.zone(p, i, &t.Zones[i], &partly)
		}
	}
	return p
}

// table is a table that the file has once.
func (r *planReader) table(heading string) tableAt {
	at := tableAt{heading, -1, -1}
	zones, strengths := -1, -1
	for _, text := range r.lines { // it may stand after zones
		switch head := strings.TrimSpace(text); {
		case strings.HasPrefix(head, "[[zone]]"):
			zones, strengths = zones+1, -1
		case strings.HasPrefix(head, "[[zone.strength]]"):
			strengths++
		case strings.HasPrefix(head, "["+heading+"]"):
			at.zone, at.strength = zones, strengths
		}
	}
	return at
}

// word is the index of a word among those that may stand there; the first if
// it is left out.
func (r *planReader) word(at tableAt, field, got string, words ...string) int {
	for i, w := range words {
		if got == w || got == "" && i == 0 {
			return i
		}
	}
	r.refuse(at, field, "%q: write %s", got, `"`+strings.Join(words, `" or "`)+`"`)
	return 0
}

func (r *planReader) helper(p *planFile, h *planHelpTOML) {
	at := r.table("helper")
	rate := rinse.Rate{To: maxPlanMinutes * 60}
	switch {
	case h.Rate == nil:
		r.refuse(at, "rate", "missing: add it, 1.5 for half as fast again as one pair of hands")
		return
	case !(*h.Rate >= 0.1 && *h.Rate <= 10):
		r.refuse(at, "rate", "%g: give 0.1 to 10", *h.Rate)
		return
	}
	rate.Percent = int(math.Round(*h.Rate * 100))
	rate.From = r.seconds(at, "from_minute", h.From, false, 0, maxPlanMinutes)
	if h.To != nil {
		rate.To = r.seconds(at, "to_minute", h.To, true, 0, maxPlanMinutes)
	}
	if rate.To <= rate.From {
		r.refuse(at, "to_minute", "not after from_minute: correct one of them")
		return
	}
	p.Rates = []rinse.Rate{rate}
}

func (r *planReader) zone(p *planFile, i int, t *planZoneTOML, partly *bool) {
	at := tableAt{"zone", i, -1}
	z := rinse.Zone{Name: t.Name}
	if n := utf8.RuneCountInString(t.Name); n == 0 || n > 60 {
		r.refuse(at, "name", "give 1 to 60 characters")
	}
	r.contacts(at, &z, t)
	z.Rinse = max(r.seconds(at, "rinse_minutes", t.Rinse, true, 0.1, maxPlanMinutes), 1)
	z.Carried = r.seconds(at, "carried_minutes", t.Carried, false, 0, maxPlanMinutes)
	r.work(at, &z, t)
	if z.On && z.Apply > 0 {
		if *partly {
			r.refuse(at, "first_minute", "a second zone that is partly on: split it into what is on and what is to come")
		}
		*partly = true
	}
	if t.Strongest != "" {
		z.Capped, z.Strongest = true, r.level(at, "strongest", t.Strongest)
	}
	r.strengths(p, i, &z, t)
	p.Zones = append(p.Zones, z)
}

// contacts reads since when a zone is on.
func (r *planReader) contacts(at tableAt, z *rinse.Zone, t *planZoneTOML) {
	if t.First == nil && t.Last == nil {
		return
	}
	z.On = true
	z.First = r.seconds(at, "first_minute", t.First, true, -maxPlanMinutes, 0)
	z.Last = r.seconds(at, "last_minute", t.Last, true, -maxPlanMinutes, 0)
	if z.Last < z.First {
		r.refuse(at, "last_minute", "before first_minute: both count from now, as -20 and -12")
	}
}

// work reads what is still to be applied.
func (r *planReader) work(at tableAt, z *rinse.Zone, t *planZoneTOML) {
	if t.Pieces != nil {
		if z.Pieces = *t.Pieces; z.Pieces < 0 || z.Pieces > 1000 || z.Pieces == 0 && !z.On {
			r.refuse(at, "pieces", "%d: give 1 to 1000", z.Pieces)
			return
		}
	}
	switch {
	case t.Apply != nil && t.PerPiece != nil:
		r.refuse(at, "apply_minutes", "given beside minutes_per_piece: take one of them out")
	case t.PerPiece != nil && t.Pieces == nil:
		r.refuse(at, "pieces", "missing: add it, or give apply_minutes in the place of minutes_per_piece")
	case t.PerPiece != nil:
		z.Apply = z.Pieces * r.seconds(at, "minutes_per_piece", t.PerPiece, true, 0.1, 120)
	case t.Apply != nil:
		z.Apply = r.seconds(at, "apply_minutes", t.Apply, true, 0.1, maxPlanMinutes)
	case !z.On || z.Pieces > 0:
		r.refuse(at, "apply_minutes", "missing: add it, or pieces and minutes_per_piece")
	}
	if z.Apply > maxPlanMinutes*60 {
		r.refuse(at, "minutes_per_piece", "applying takes over %d minutes: correct it, or the pieces", maxPlanMinutes)
	}
}

func (r *planReader) level(at tableAt, field, text string) int {
	if text == "none" {
		return 0
	}
	s, err := formula.ParseStrength(text)
	if err != nil {
		r.refuse(at, field, "%v", err)
	}
	return int(math.Round(float64(s) * 1000))
}

func (r *planReader) strengths(p *planFile, i int, z *rinse.Zone, t *planZoneTOML) {
	zone := tableAt{"zone", i, -1}
	var labels []string
	weak := false
	for k, s := range t.Strengths {
		at := tableAt{"zone.strength", i, k}
		level := r.level(at, "strength", s.Strength)
		out := rinse.Strength{
			Level:  level,
			Opens:  r.seconds(at, "opens_minutes", s.Opens, true, 0, maxPlanMinutes),
			Limit:  r.seconds(at, "limit_minutes", s.Limit, true, 1, maxPlanMinutes),
			Target: r.seconds(at, "target_minutes", s.Target, false, 0, maxPlanMinutes),
		}
		if out.Opens > out.Limit && out.Limit > 0 {
			r.refuse(at, "opens_minutes", "past limit_minutes: correct one of them")
		}
		weak = weak || z.On || !z.Capped || level <= z.Strongest
		z.Allowed, labels = append(z.Allowed, out), append(labels, s.Strength)
	}
	switch n := len(t.Strengths); {
	case n == 0:
		r.refuse(zone, "strength", "there is none: add a [[zone.strength]]")
	case n > 20:
		r.refuse(zone, "strength", "%d: give at most 20", n)
	case n > 1 && (z.On || p.Strengths == rinse.Given):
		r.refuse(zone, "strength", "%d where there can be one only: take out the others, or let strengths be \"free\" or \"rising\"", n)
	case !weak:
		r.refuse(zone, "strongest", "weaker than all strengths of the zone: add a weaker [[zone.strength]]")
	}
	p.labels = append(p.labels, labels)
}

// stopAfter tells when so many seconds are over.
func stopAfter(seconds float64) func() bool {
	start := time.Now()
	return func() bool { return time.Since(start).Seconds() > seconds }
}
