package card_test

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/card"
	"rinseby/session/formula"
	"rinseby/session/hostile"
)

// A node is an element of a page.
type node struct {
	name string
	attr map[string]string
	in   []*node
	text string // of it and all within
}

// parse reads a page as strict XML.
func parse(t require.TestingT, doc []byte) *node {
	root := &node{}
	open := []*node{root}
	d := xml.NewDecoder(bytes.NewReader(doc))
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		last := open[len(open)-1]
		switch tok := tok.(type) {
		case xml.StartElement:
			n := &node{name: tok.Name.Local, attr: map[string]string{}}
			for _, a := range tok.Attr {
				n.attr[a.Name.Local] = a.Value
			}
			last.in, open = append(last.in, n), append(open, n)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			for _, n := range open {
				n.text += string(tok)
			}
		}
	}
	require.Len(t, open, 1, "all is closed")
	return root
}

// all are the elements of a name, and of a class if it is given.
func (n *node) all(name, class string) (found []*node) {
	for _, in := range n.in {
		if in.name == name && (class == "" || slices.Contains(strings.Fields(in.attr["class"]), class)) {
			found = append(found, in)
		}
		found = append(found, in.all(name, class)...)
	}
	return found
}

func (n *node) number(t *testing.T, attr string) float64 {
	t.Helper()
	f, err := strconv.ParseFloat(n.attr[attr], 64)
	require.NoError(t, err)
	return f
}

// part is the section under a heading.
func (n *node) part(t *testing.T, title string) *node {
	t.Helper()
	for _, s := range n.all("section", "") {
		if h := s.all("h2", ""); len(h) > 0 && h[0].text == title {
			return s
		}
	}
	require.Failf(t, "no such part", "%q", title)
	return nil
}

// cells are the rows of a table by the names of its columns.
func (n *node) cells() (rows []map[string]string) {
	var head []string
	for _, th := range n.all("thead", "")[0].all("th", "") {
		head = append(head, th.text)
	}
	for _, tr := range n.all("tbody", "")[0].all("tr", "") {
		row := map[string]string{}
		for i, c := range tr.in {
			row[head[i]] = c.text
		}
		rows = append(rows, row)
	}
	return rows
}

func pageOf(t require.TestingT, c card.Card) (*node, string) {
	doc, err := c.HTML()
	require.NoError(t, err)
	return parse(t, doc), string(doc)
}

// skeleton is what a page is made of, without its text and figures.
func (n *node) skeleton() string {
	var b strings.Builder
	for _, in := range n.in {
		names := make([]string, 0, len(in.attr))
		for a, v := range in.attr {
			if a == "class" || a == "id" || strings.HasPrefix(a, "aria") {
				a += "=" + v
			}
			names = append(names, a)
		}
		slices.Sort(names)
		fmt.Fprintf(&b, "<%s %s>%s</>", in.name, strings.Join(names, " "), in.skeleton())
	}
	return b.String()
}

var (
	leading  = regexp.MustCompile(`(?i)^(on.*|href|src|srcset|style|action|data|background|formaction|poster|ping|xmlns)$`)
	ours     = regexp.MustCompile(`^[-A-Za-z0-9 .]*$`)
	fetching = regexp.MustCompile(`(?i)url\(|@import|expression|//`)
)

// holdsNothing fails if a page could load, run or lead to anything.
func holdsNothing(t assert.TestingT, n *node) {
	for _, in := range n.in {
		assert.NotContains(t, []string{"script", "a", "img", "image", "link", "base", "form", "input", "iframe", "object", "embed", "use", "foreignObject", "set", "animate"}, in.name)
		for a, v := range in.attr {
			assert.False(t, leading.MatchString(a), a)
			assert.True(t, in.name == "meta" || ours.MatchString(v), "%s of %s holds no text from people", a, in.name)
		}
		if in.name == "style" {
			assert.NotRegexp(t, fetching, in.text)
		}
		holdsNothing(t, in)
	}
}

func TestPageStandsByItself(t *testing.T) {
	live := worked(t)
	for name, c := range map[string]card.Card{
		"worked": card.Make(live.log, live.zero, oslo), "empty": {}, "hostile": card.Make(called(t, "<a href='x'>").log, live.zero, nil),
		"live": card.Make(called(t, "x").log, live.moment(900), nil), "minimal": card.Make(opened(t).log, live.zero, nil),
	} {
		t.Run(name, func(t *testing.T) {
			root, text := pageOf(t, c)
			holdsNothing(t, root)
			assert.True(t, strings.HasPrefix(text, "<!DOCTYPE html>\n<html lang=\"en-GB\">"))
			assert.Contains(t, text, "@page { size: A4;")
			assert.Contains(t, text, "prefers-color-scheme: dark")
			assert.Contains(t, text, `content="default-src 'none'; style-src 'unsafe-inline'"`)
			require.Len(t, root.all("h1", ""), 1)
			ids := map[string]bool{}
			for _, n := range everyNode(root) {
				if id := n.attr["id"]; id != "" {
					assert.False(t, ids[id], "%s is there twice", id)
					ids[id] = true
				}
			}
			for _, n := range everyNode(root) {
				for _, a := range []string{"aria-labelledby", "aria-describedby"} {
					if id := n.attr[a]; id != "" {
						assert.True(t, ids[id], "%s names nothing", id)
					}
				}
				if n.name == "th" {
					assert.Contains(t, []string{"col", "row"}, n.attr["scope"])
				}
				if n.name == "svg" && n.attr["aria-hidden"] == "" {
					assert.NotEmpty(t, n.all("title", "")[0].text)
					assert.NotEmpty(t, n.all("desc", "")[0].text)
				}
			}
		})
	}
}

func everyNode(n *node) []*node {
	all := []*node{n}
	for _, in := range n.in {
		all = append(all, everyNode(in)...)
	}
	return all
}

// opened is a visit of which nothing is known but that it was.
func opened(t testing.TB) *chair {
	c := newChair(t)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."}, session.ServiceClosed{})
	return c
}

func TestTextFromPeopleIsTextOnThePage(t *testing.T) {
	plain := card.Make(called(t, "plain").log, called(t, "x").moment(600), nil)
	root, _ := pageOf(t, plain)
	want := root.skeleton()
	for _, name := range append(tricky(),
		`"><script>alert(1)</script>`, `' onload='x`, "javascript:alert(1)", "</style><style>*{display:none}</style>", "</title></svg><img src=x onerror=x>",
		"]]> <![CDATA[ x ]]>", "&lt;b&gt; &#60;b&#62; &nbsp;", "{{.Client}} {{template \"part\"}}", "url(http://evil.example)", "\x00 \uFFFE \uFFFF \U0001FFFE x", "\u2028\u2029 x") {
		c := card.Make(called(t, name).log, called(t, "x").moment(600), nil)
		root, doc := pageOf(t, c)
		holdsNothing(t, root)
		assert.Equal(t, want, root.skeleton(), "%q changes what the page is made of", name)
		assert.NoError(t, hostile.Check(string(doc)), "%q", name)
		assert.Equal(t, c.Text(100_000)[0], root.all("h1", "")[0].text, "it reads as typed")
	}
}

func TestAnyTextIsTextOnThePage(t *testing.T) {
	const plain = "Plain name"
	c := card.Make(called(t, plain).log, called(t, "x").moment(600), nil)
	root, _ := pageOf(t, c)
	want := root.skeleton()
	doc, err := c.JSON()
	require.NoError(t, err)
	require.Greater(t, bytes.Count(doc, []byte(plain)), 25, "it stands in every field")
	rapid.Check(t, func(r *rapid.T) {
		name := "x" + rapid.StringOfN(rapid.OneOf(rapid.Rune(), rapid.SampledFrom([]rune(`<>&"'/=-!{}[]():;#%`))), 0, 40, 150).Draw(r, "name")
		quoted, err := json.Marshal(name)
		require.NoError(r, err)
		var c card.Card
		require.NoError(r, json.Unmarshal(bytes.ReplaceAll(doc, []byte(plain), quoted[1:len(quoted)-1]), &c))
		root, _ := pageOf(r, c)
		holdsNothing(r, root)
		assert.Equal(r, want, root.skeleton())
	})
}

// inWords says seconds as people do.
func inWords(s int) string {
	switch {
	case s%60 == 0:
		return fmt.Sprintf("%d min", s/60)
	case s < 60:
		return fmt.Sprintf("%d s", s)
	}
	return fmt.Sprintf("%d min %d s", s/60, s%60)
}

// document is a card as a program reads it.
func document(t *testing.T, c card.Card) (back card.Card) {
	t.Helper()
	text, err := c.JSON()
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, &back))
	return back
}

func TestFiguresOfThePageAreThoseOfTheDocument(t *testing.T) {
	c := card.Make(worked(t).log, worked(t).zero, oslo)
	doc, root := document(t, c), (*node)(nil)
	root, _ = pageOf(t, c)
	clock := func(at time.Time) string { return at.In(oslo).Format("15:04:05") }

	match := root.part(t, "To match next visit")
	require.Len(t, match.all("table", ""), len(doc.Rounds))
	for i, r := range doc.Rounds {
		table := match.all("table", "")[i]
		assert.Equal(t, r.Name, table.all("caption", "")[0].text)
		rows := table.cells()
		require.Len(t, rows, len(r.Zones))
		bands := map[session.Band]string{session.Root: "roots", session.End: "ends"}
		for _, f := range doc.Formulas {
			if f.Round != r.ID {
				continue
			}
			column := fmt.Sprintf("%s: %s %g %% (%s) %s", bands[f.Band], f.Product, float64(f.Strength), f.Label, f.Ratio)
			for _, k := range f.Coats {
				cell := rows[slices.Index(r.Zones, k.Zone)][column]
				assert.True(t, strings.HasPrefix(cell, inWords(k.Seconds)+", "), "%s in %s: %q", k.Zone, column, cell)
				assert.Equal(t, *k.OverS > 0, strings.Contains(cell, inWords(*k.OverS)+" over its limit"), "%q", cell)
				assert.Equal(t, *k.ShortS > 0, strings.Contains(cell, inWords(*k.ShortS)+" before it was open"), "%q", cell)
			}
		}
	}

	planned := root.part(t, "Planned, and as it was")
	rows := planned.cells()
	require.Len(t, rows, len(doc.Zones))
	placed, wanted := 0, 0
	for i, z := range doc.Zones {
		row := rows[i]
		placed, wanted = placed+z.Pieces, wanted+z.Planned
		assert.Equal(t, z.Name, row["Zone"])
		assert.Equal(t, strconv.Itoa(z.Planned), row["Pieces planned"])
		assert.Equal(t, strconv.Itoa(z.Pieces), row["Placed"])
		for column, min := range map[string]float64{"Minutes a piece, planned": z.PlannedPerPieceMin, "As it was": z.PerPieceMin} {
			if min > 0 {
				shown, err := strconv.ParseFloat(row[column], 64)
				require.NoError(t, err)
				assert.InDelta(t, min, shown, 0.05, "%s of %s", column, z.Name)
			} else {
				assert.Empty(t, row[column])
			}
		}
		assert.Equal(t, clock(z.Coats[0].FirstContact), row["First contact"])
		assert.Equal(t, clock(*z.RinsedAt), row["Rinsed"])
		assert.Equal(t, inWords(z.OldestS), row["Oldest piece on for"])
		assert.Equal(t, inWords(z.NewestS), row["Newest piece on for"])
		for _, k := range z.Coats {
			assert.Contains(t, row["Strength"], fmt.Sprintf("%g %% (%s)", float64(k.Strength), k.Label))
			assert.Contains(t, row["Window"], fmt.Sprintf("%d to %d min", *k.OpensS/60, *k.LimitS/60))
		}
		assert.True(t, strings.HasSuffix(row["Strength"], "as planned"))
	}
	assert.Contains(t, planned.text, fmt.Sprintf("Pieces: %d of %d planned", placed, wanted))
	assert.Contains(t, planned.text, "Promised to be done by 13:00:00, closed at 12:40:00: 20 min early")
	assert.Contains(t, root.text, fmt.Sprintf("Zones over the limit: %d; rinsed too short: %d", doc.Totals.Over, doc.Totals.Short))
	cut := root.part(t, "The cut").cells()
	require.Len(t, cut, len(doc.Cuts))
	assert.Equal(t, fmt.Sprintf("%g°", *doc.Cuts[1].Elevation), cut[1]["Elevation"])
	assert.Equal(t, fmt.Sprintf("%g mm", doc.Cuts[0].LengthMM), cut[0]["Length at the guide"])
	seen := root.part(t, "Seen").cells()
	require.Len(t, seen, 1)
	assert.Equal(t, "2.5", seen[0]["Lifted by, steps of depth"], "from 6 to 8.5")
}

// TestPictureIsToScale reads the picture back by its ticks.
func TestPictureIsToScale(t *testing.T) {
	c := card.Make(worked(t).log, worked(t).zero, oslo)
	doc := document(t, c)
	root, _ := pageOf(t, c)
	svgs := root.all("svg", "zones")
	require.Len(t, svgs, 1)
	at := timeline(t, svgs[0], c.Opened)
	near := func(want time.Time, x float64, what string) {
		t.Helper()
		assert.InDelta(t, 0, at(x).Sub(want).Seconds(), 20, what) // a tenth of a pixel is 2 s
	}
	rows := svgs[0].all("g", "")
	require.Len(t, rows, len(doc.Zones))
	over := 0
	for i, z := range doc.Zones {
		spans := map[string]*node{}
		for _, r := range rows[i].all("rect", "") {
			spans[r.attr["class"]] = r
		}
		from := func(class string) float64 { return spans[class].number(t, "x") }
		to := func(class string) float64 { return from(class) + spans[class].number(t, "width") }
		first, last := z.Coats[0].FirstContact, z.Coats[0].LastContact
		near(first, from("placing"), z.Name+" first contact")
		if last.After(first) {
			near(last, to("placing"), z.Name+" last contact")
		}
		near(last, from("working"), z.Name+" working")
		near(*z.RinsedAt, to("rinse"), z.Name+" rinsed")
		for _, trip := range doc.Trips {
			if slices.Contains(trip.Zones, z.ID) {
				near(trip.Began, from("rinse"), z.Name+" rinse began")
			}
		}
		opens := time.Time{}
		for _, k := range z.Coats {
			if o := k.LastContact.Add(time.Duration(*k.OpensS) * time.Second); o.After(opens) {
				opens = o
			}
		}
		if opens.Before(*z.RinsedAt) {
			near(opens, from("open"), z.Name+" open")
		} else {
			assert.NotContains(t, spans, "open", z.Name)
		}
		limit := regexp.MustCompile(`ZM([0-9.]+) `).FindStringSubmatch(rows[i].all("path", "limit")[0].attr["d"])
		x, err := strconv.ParseFloat(limit[1], 64)
		require.NoError(t, err)
		near(*z.LimitAt, x, z.Name+" limit")
		if *z.OverS > 0 {
			over++
			near(*z.LimitAt, from("over"), z.Name+" over from its limit")
			near(*z.RinsedAt, to("over"), z.Name+" over")
			assert.NotEmpty(t, rows[i].all("path", "hatch"), "it is hatched")
			assert.Contains(t, rows[i].text, inWords(*z.OverS)+" over", "and said")
		} else {
			assert.NotContains(t, spans, "over", z.Name)
		}
	}
	assert.Equal(t, doc.Totals.Over, over)
	require.Len(t, svgs[0].all("path", "trip"), len(doc.Trips))
	for i, trip := range doc.Trips {
		x, err := strconv.ParseFloat(regexp.MustCompile(`^M([0-9.]+) `).FindStringSubmatch(svgs[0].all("path", "trip")[i].attr["d"])[1], 64)
		require.NoError(t, err)
		near(trip.Began, x, trip.ID)
	}
}

// timeline is how moments are read off a picture, by its first and last tick.
func timeline(t *testing.T, svg *node, day time.Time) func(x float64) time.Time {
	t.Helper()
	var xs []float64
	var moments []time.Time
	for _, n := range svg.in {
		if n.name != "text" || !regexp.MustCompile(`^\d\d:\d\d$`).MatchString(n.text) {
			continue
		}
		clock, err := time.Parse("15:04", n.text)
		require.NoError(t, err)
		local := day.In(oslo)
		xs = append(xs, n.number(t, "x"))
		moments = append(moments, time.Date(local.Year(), local.Month(), local.Day(), clock.Hour(), clock.Minute(), 0, 0, oslo))
	}
	require.Greater(t, len(xs), 3)
	last := len(xs) - 1
	return func(x float64) time.Time {
		return moments[0].Add(time.Duration(float64(moments[last].Sub(moments[0])) * (x - xs[0]) / (xs[last] - xs[0])))
	}
}

func TestPictureOfALiveVisit(t *testing.T) {
	c := newChair(t)
	hot, cool := row(root30, 20, 45, formula.WithHeat), row(root30, 20, 45, formula.NoHeat)
	c.do(session.ServiceOpened{Service: "s1", Client: "June L."},
		session.PlanSet{Name: "Lightening", Action: formula.Lighten, Zones: []session.PlanZone{
			{Name: "Nape", Pieces: 1, Bands: []session.PlanBand{root30}}, {Name: "Crown", Pieces: 1, Bands: []session.PlanBand{root30}}, {Name: "Top", Pieces: 3, Bands: []session.PlanBand{root30}}}}, hot, cool)
	c.do(answered()...)
	c.do(bowl(root30, 30, 60))
	c.at(60).do(session.PiecePlaced{Zone: "z1"})
	c.at(120).do(heatMeant("z1"), session.HeatOn{Zones: []string{"z1"}}, session.RinseBegan{Zones: []string{"z1"}})
	c.at(180).do(session.RinseEnded{})
	c.at(240).do(session.PiecePlaced{Zone: "z2"}, heatMeant("z2"), session.HeatOn{Zones: []string{"z2"}})
	root, _ := pageOf(t, card.Make(c.log, c.moment(3600), nil))
	part := root.part(t, "Zones over time")
	assert.Contains(t, part.text, "the moment of this card")
	assert.Contains(t, part.text, "Crown under heat: 08:04:00, still on")
	rows := part.all("g", "")
	require.Len(t, rows, 2, "nothing was put on the third")
	assert.Contains(t, rows[1].text, "56 min so far, 11 min over")
	for _, want := range []string{"placing", "working", "open", "over", "heat"} {
		assert.NotEmpty(t, rows[1].all("rect", want), want)
	}
	assert.Empty(t, rows[1].all("rect", "rinse"))
	assert.NotEmpty(t, rows[0].all("rect", "rinse"))
	assert.NotEmpty(t, part.all("path", "now"))
	assert.Contains(t, root.part(t, "Planned, and as it was").text, "nothing was put on, planned 9 % (30 vol)")
}

func TestManyZonesFillSeveralPicturesOnOneScale(t *testing.T) {
	open := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	c := card.Card{Opened: open, AsOf: open.Add(40 * 24 * time.Hour)}
	for i := range 60 {
		first := open.Add(time.Duration(i) * time.Hour)
		c.Zones = append(c.Zones, card.Zone{ID: fmt.Sprint(i), Name: fmt.Sprintf("a zone with quite a long name %d", i), Coats: []card.Coat{{FirstContact: first, LastContact: first}}})
		c.Trips = append(c.Trips, card.Trip{ID: fmt.Sprint(i), Began: first})
	}
	root, _ := pageOf(t, c)
	svgs := root.all("svg", "zones")
	require.Len(t, svgs, 2)
	rows := 0
	for _, svg := range svgs {
		rows += len(svg.all("g", ""))
		assert.True(t, strings.Contains(svg.text, "6 Mar 00:00"), "days are named")
		w, h := 0.0, 0.0
		_, err := fmt.Sscanf(svg.attr["viewBox"], "0 0 %g %g", &w, &h)
		require.NoError(t, err)
		for _, r := range svg.all("rect", "") {
			assert.LessOrEqual(t, r.number(t, "x")+r.number(t, "width"), w+2)
			assert.LessOrEqual(t, r.number(t, "y")+r.number(t, "height"), h)
		}
		ends := map[string]float64{}
		for _, n := range svg.in { // names of trips keep apart
			if n.name == "text" && len(n.all("title", "")) > 0 && n.number(t, "y") < 40 {
				x, y := n.number(t, "x"), n.attr["y"]
				assert.Greater(t, x, ends[y])
				ends[y] = math.Nextafter(x, x+1) + 6
			}
		}
	}
	assert.Equal(t, 60, rows)
	assert.True(t, strings.Contains(svgs[1].text, "a zone with qui…ame 59"), "the end of a name tells zones apart")
}
