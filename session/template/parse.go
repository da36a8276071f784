package template

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"github.com/pelletier/go-toml/v2"

	"rinseby/session"
	"rinseby/session/formula"
)

// Bounds against slips of the keyboard. Those of minutes are what a service
// takes; see [session.Decide].
const (
	maxFile            = 256 << 10 // bytes
	maxMinutesPerPiece = 120
	maxStepMinutes     = 600
	maxSteps           = 30
	maxRounds          = 10
)

// What a file holds. A pointer is nil where the field is left out.
type (
	listTOML struct {
		Name            *string     `toml:"name"`
		About           *string     `toml:"about"`
		MinutesPerPiece *float64    `toml:"minutes_per_piece"`
		Steps           []stepTOML  `toml:"step"`
		Rounds          []roundTOML `toml:"round"`
	}
	stepTOML struct {
		Name    *string  `toml:"name"`
		Minutes *float64 `toml:"minutes"`
		Before  bool     `toml:"before"`
	}
	roundTOML struct {
		Name      *string    `toml:"name"`
		Action    *string    `toml:"action"`
		Technique *string    `toml:"technique"`
		Bands     []bandTOML `toml:"band"`
		Zones     []zoneTOML `toml:"zone"`
	}
	zoneTOML struct {
		Name            *string    `toml:"name"`
		Pieces          *int       `toml:"pieces"`
		MinutesPerPiece *float64   `toml:"minutes_per_piece"`
		Technique       *string    `toml:"technique"`
		SameHairAs      []string   `toml:"same_hair_as"`
		Bands           []bandTOML `toml:"band"`
	}
	bandTOML struct {
		Band      *string `toml:"band"`
		Product   *string `toml:"product"`
		Strength  *string `toml:"strength"`
		Contact   *string `toml:"contact"`
		Condition *string `toml:"condition"`
		Later     bool    `toml:"later"`
	}
)

// forms says how to write each field whose type was wrong.
var forms = map[string]string{
	"minutes_per_piece": "write a number without quotes, as 1.5",
	"minutes":           "write a number without quotes, as 20",
	"pieces":            "write a whole number without quotes, as 8",
	"before":            "write true or false, without quotes",
	"later":             "write true or false, without quotes",
	"same_hair_as":      `write a list of names in quotes, as ["Nape", "Crown"], or ["*"]`,
	"step":              "write it as [[step]], once for each",
	"round":             "write it as [[round]], once for each",
	"zone":              "write it as [[round.zone]], once for each",
}

// Parse reads a zone list from TOML, in the form that the package describes.
// The name of the file is for errors only. The error holds a
// [formula.FieldError] for each place that is wrong, one to a line; there is
// no list then. Whether the products are known is for [List.Plans] to say.
func Parse(file string, data []byte) (*List, error) {
	if len(data) > maxFile {
		return nil, &formula.FieldError{File: file, Line: 1,
			Say: fmt.Sprintf("the file is over %d KiB: split off what is no zone list", maxFile>>10)}
	}
	var t listTOML
	dec := toml.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&t); err != nil {
		return nil, decodeError(file, err)
	}
	r := &reader{file: file, lines: indexLines(data)}
	l := r.list(t)
	if err := r.err(); err != nil {
		return nil, err
	}
	l.File, l.Text = file, string(data)
	return l, nil
}

// decodeError puts an error of the TOML decoder into our words.
func decodeError(file string, err error) error {
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) {
		all := make([]error, len(strict.Errors))
		for i, e := range strict.Errors {
			line, _ := e.Position()
			all[i] = &formula.FieldError{File: file, Line: line, Field: lastOf(e.Key()),
				Say: "unknown here: take it out, or check how it is spelt"}
		}
		return errors.Join(all...)
	}
	e := &formula.FieldError{File: file, Line: 1}
	var decode *toml.DecodeError
	if errors.As(err, &decode) {
		e.Line, _ = decode.Position()
		if key := lastOf(decode.Key()); key != "" {
			e.Field, e.Say = key, "must be text: put it in double quotes"
			if form, ok := forms[key]; ok {
				e.Say = form
			}
			return e
		}
	}
	e.Say = fmt.Sprintf("not valid TOML (%s): correct this line", strings.TrimPrefix(err.Error(), "toml: "))
	return e
}

func lastOf(key toml.Key) string {
	if len(key) == 0 {
		return ""
	}
	return key[len(key)-1]
}

// A reader turns the contents of a file into a list. Errors pile up, so that
// the user sees all of them at once.
type reader struct {
	file   string
	lines  lines
	errors []*formula.FieldError
	zones  []placedZone // those read so far
	pieces int
	usual  float64 // minutes per piece, unless a zone says otherwise
}

// A placedZone is a zone that later ones may name.
type placedZone struct {
	name, id string
	round    int
}

// refuse refuses a field of the table at the path, on its own line or else on
// that of the table's heading.
func (r *reader) refuse(path, field, format string, args ...any) {
	r.errors = append(r.errors, &formula.FieldError{
		File: r.file, Line: r.lines.line(join(path, field)), Field: field, Say: fmt.Sprintf(format, args...),
	})
}

// err is everything that was refused, in the order of the lines.
func (r *reader) err() error {
	slices.SortStableFunc(r.errors, func(a, b *formula.FieldError) int { return a.Line - b.Line })
	all := make([]error, len(r.errors))
	for i, e := range r.errors {
		all[i] = e
	}
	return errors.Join(all...)
}

func (r *reader) list(t listTOML) *List {
	l := &List{Name: r.need("", "name", t.Name, session.MaxName)}
	if t.About != nil {
		l.About = r.need("", "about", t.About, session.MaxText)
	}
	r.usual = r.minutes("", "minutes_per_piece", t.MinutesPerPiece, maxMinutesPerPiece)
	if len(t.Steps) > maxSteps {
		r.refuse("", "step", "there are %d: at most %d are taken", len(t.Steps), maxSteps)
	}
	for i, s := range t.Steps {
		l.steps = append(l.steps, r.step(at("step", i), s, l.steps))
	}
	switch n := len(t.Rounds); {
	case n == 0:
		r.refuse("", "round", "there is none: add a [[round]] with name, action and zones")
	case n > maxRounds:
		r.refuse("", "round", "there are %d: at most %d are taken", n, maxRounds)
	}
	for i, round := range t.Rounds {
		l.rounds = append(l.rounds, r.round(i, round))
	}
	if r.pieces > session.MaxTotalPieces {
		r.refuse("", "round", "the list has %d pieces: at most %d fit in one service", r.pieces, session.MaxTotalPieces)
	}
	return l
}

func (r *reader) step(path string, t stepTOML, before []session.PlanStep) session.PlanStep {
	s := session.PlanStep{
		Name:    r.need(path, "name", t.Name, session.MaxName),
		Minutes: r.minutes(path, "minutes", t.Minutes, maxStepMinutes),
		Before:  t.Before,
	}
	if slices.ContainsFunc(before, func(o session.PlanStep) bool { return s.Name != "" && same(o.Name, s.Name) }) {
		r.refuse(path, "name", "there is a step %q already: give each a name of its own", s.Name)
	}
	return s
}

func (r *reader) round(i int, t roundTOML) session.PlanSet {
	path := at("round", i)
	p := session.PlanSet{
		Round:  fmt.Sprintf("r%d", i+1),
		Name:   r.need(path, "name", t.Name, session.MaxName),
		Action: word(r, path, "action", t.Action, formula.Lighten, formula.Colour),
	}
	shared := session.PlanZone{Bands: r.bands(path, t.Bands)}
	if t.Technique != nil {
		shared.Technique = r.need(path, "technique", t.Technique, session.MaxName)
	}
	if n := len(t.Zones); n < 1 || n > session.MaxZones {
		r.refuse(path, "zone", "the round has %d zones: write 1 to %d, each as a [[round.zone]]", n, session.MaxZones)
	}
	for j, z := range t.Zones {
		p.Zones = append(p.Zones, r.zone(i, at(path+".zone", j), z, shared))
	}
	return p
}

// zone reads a zone. What it shares with the others of its round counts as far
// as it says nothing else.
func (r *reader) zone(round int, path string, t zoneTOML, shared session.PlanZone) session.PlanZone {
	z := session.PlanZone{
		ID:              fmt.Sprintf("z%d", len(r.zones)+1),
		Name:            r.need(path, "name", t.Name, session.MaxName),
		MinutesPerPiece: r.usual,
		SameHairAs:      r.sameHair(round, path, t.SameHairAs),
		Technique:       shared.Technique,
		Bands:           shared.Bands,
	}
	if slices.ContainsFunc(r.zones, func(o placedZone) bool { return o.round == round && z.Name != "" && same(o.name, z.Name) }) {
		r.refuse(path, "name", "there is a zone %q in this round already: give each a name of its own", z.Name)
	}
	r.zones = append(r.zones, placedZone{z.Name, z.ID, round})
	switch {
	case t.Pieces == nil:
		r.refuse(path, "pieces", "missing: say how many foils, weaves or sections the zone has")
	case *t.Pieces < 1 || *t.Pieces > session.MaxZonePieces:
		r.refuse(path, "pieces", "%d is out of bounds: write 1 to %d, or leave the zone out", *t.Pieces, session.MaxZonePieces)
	default:
		z.Pieces = *t.Pieces
		r.pieces += z.Pieces
	}
	if t.MinutesPerPiece != nil {
		z.MinutesPerPiece = r.minutes(path, "minutes_per_piece", t.MinutesPerPiece, maxMinutesPerPiece)
	}
	if t.Technique != nil {
		z.Technique = r.need(path, "technique", t.Technique, session.MaxName)
	}
	if len(t.Bands) > 0 {
		z.Bands = r.bands(path, t.Bands)
	}
	switch {
	case len(z.Bands) == 0:
		r.refuse(path, "band", "nothing says what is put on: add a [[round.zone.band]], or a [[round.band]] for all zones of the round")
	case !slices.ContainsFunc(z.Bands, func(b session.PlanBand) bool { return !b.Later }):
		r.refuse(path, "band", "all bands are coated later: one must be coated when the piece is placed, so take out a later = true")
	}
	return z
}

// sameHair finds the zones further up that are named.
func (r *reader) sameHair(round int, path string, names []string) []string {
	var ids []string
	for _, name := range names {
		found := false
		for _, z := range r.zones {
			if (name == "*" && z.round < round) || (z.name != "" && same(z.name, name)) {
				found = true
				if !slices.Contains(ids, z.id) {
					ids = append(ids, z.id)
				}
			}
		}
		switch {
		case found:
		case name == "*":
			r.refuse(path, "same_hair_as", `"*" means all zones of earlier rounds, but there are none: take it out`)
		default:
			r.refuse(path, "same_hair_as", "no zone %q stands above this one: name one that does, or put this one further down", name)
		}
	}
	return ids
}

func (r *reader) bands(path string, ts []bandTOML) []session.PlanBand {
	var bands []session.PlanBand
	for i, t := range ts {
		path := at(path+".band", i)
		b := session.PlanBand{
			Band:      word(r, path, "band", t.Band, session.Bands...),
			Product:   r.need(path, "product", t.Product, session.MaxName),
			Strength:  r.strength(path, t.Strength),
			Contact:   word(r, path, "contact", t.Contact, formula.Contacts()...),
			Condition: word(r, path, "condition", t.Condition, formula.Conditions()...),
			Later:     t.Later,
		}
		if slices.ContainsFunc(bands, func(o session.PlanBand) bool { return b.Band != "" && o.Band == b.Band }) {
			r.refuse(path, "band", "the %s is planned twice here: take one out", b.Band)
		}
		bands = append(bands, b)
	}
	return bands
}

func (r *reader) strength(path string, text *string) formula.Percent {
	switch {
	case text == nil:
		r.refuse(path, "strength", `missing: write it as "30 vol" or "9 %%", or "none" for no developer`)
		return 0
	case *text == "none":
		return 0
	}
	p, err := formula.ParseStrength(*text)
	if err != nil {
		r.refuse(path, "strength", "%v", err)
	}
	return p
}

// need is a line of text of at most most bytes, which must be there.
func (r *reader) need(path, field string, text *string, most int) string {
	switch {
	case text == nil:
		r.refuse(path, field, "missing: add it")
	case strings.TrimSpace(*text) == "":
		r.refuse(path, field, "empty: write it")
	case len(*text) > most:
		r.refuse(path, field, "over %d bytes: shorten it", most)
	case strings.ContainsFunc(*text, func(c rune) bool { return !unicode.IsGraphic(c) }):
		r.refuse(path, field, "holds a character that can't be printed: take it out")
	default:
		return strings.TrimSpace(*text)
	}
	return ""
}

// minutes is a number from 0, which also means not known, to most.
func (r *reader) minutes(path, field string, m *float64, most float64) float64 {
	if m == nil {
		return 0
	}
	if !(*m >= 0 && *m <= most) { // NaN fails too
		r.refuse(path, field, "%v is out of bounds: write 0 (not known) to %v", *m, most)
		return 0
	}
	return *m
}

// word is one of the words allowed, which must be there.
func word[S ~string](r *reader, path, field string, text *string, allowed ...S) S {
	if text != nil && slices.Contains(allowed, S(*text)) {
		return S(*text)
	}
	quoted := make([]string, len(allowed))
	for i, w := range allowed {
		quoted[i] = strconv.Quote(string(w))
	}
	last := len(quoted) - 1
	missing := ""
	if text == nil {
		missing = "missing: "
	}
	r.refuse(path, field, "%swrite %s or %s", missing, strings.Join(quoted[:last], ", "), quoted[last])
	return ""
}

// at is the path of an element of an array of tables.
func at(array string, i int) string { return array + "." + strconv.Itoa(i) }

// same reports whether two names are the same to a person: case and the
// number of blanks don't count.
func same(a, b string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}
