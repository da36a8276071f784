package card_test

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/card"
	"rinseby/session/formula"
	"rinseby/session/hostile"
	"rinseby/session/safety"
)

// called is a visit in which everything that can be named bears the name.
func called(t testing.TB, name string) *chair {
	c := newChair(t)
	named, end := root30, end20
	named.Product, end.Product = name, name
	mix := bowl(named, 30, 60)
	window := row(named, 20, 45, formula.NoHeat)
	window.Row.Origin = name
	c.do(session.ServiceOpened{Service: "s1", Client: name, Stylist: name, Station: name, Steps: []session.PlanStep{{Name: name}}},
		session.ConsultationNoted{Undertone: name, Scalp: name, History: name, TargetTone: name, Note: name},
		session.SafetyAnswered{Question: safety.Health, Answer: "yes", Reason: "a b " + name}, session.PainReported{Text: name}, session.PainCleared{Note: "x " + name, Early: "a b " + name, GoesOn: true},
		session.PlanSet{Name: name, Action: formula.Lighten, Zones: []session.PlanZone{{Name: name, Pieces: 2, Bands: []session.PlanBand{named}}}},
		window, mix)
	c.do(answered()...)
	c.do(session.HelperJoined{Name: name}, session.PauseBegan{Reason: name},
		session.WarningAcknowledged{Warning: name, Reason: name}, session.NoteAdded{Zone: "z1", Text: name},
		session.PiecePlaced{Zone: "z1"}, session.ZoneChecked{Zone: "z1", Undertone: name, Feel: name},
		session.CutNoted{Section: "x " + name, OverDirection: name, Texture: name, Tool: name, Note: name},
		session.PromiseChanged{Told: name})
	return c
}

// tricky are texts that mean something to a reader of Markdown or HTML, and the
// hostile ones of all packages, as far as they may be names.
func tricky() []string {
	all := []string{
		"# Nape", "- list\n- of\r\n1. things\n\n---\n===", "1. first", "12) twelfth", "+ plus", "= under",
		"a | b | c", "`code` ```block```", "*bold* _thin_ ~~gone~~", "<script>alert(1)</script> <!-- & &amp;",
		"[x](http://evil.example) ![i](x.png) https://evil.example www.evil.example WWW.evil.example a@evil.example",
		"[x]: http://evil.example 'title'", "[^1]: note", "    indented", "> quoted", "\t> quoted", "Setext\n=====", "| --- | --- |", "&lt;b&gt; &#x3c;b&#x3e;",
		"<javascript:alert(1)>", "![](data:text/html,x)", "mailto:a@evil.example ftp://evil.example xmpp:a@b.c", "<div onclick=x>\n\ntext", ":tada: ==mark== H~2~O", "\\| \\* \\\\", "$x^2$ {{ raw }}",
		"Å\u030a é 髪の毛 💇", strings.Repeat("verylong", 20),
	}
	for _, s := range hostile.Samples() {
		all = append(all, "T"+hostile.Name(s.Text, 180))
	}
	return all
}

var (
	escaped  = regexp.MustCompile(`\\[!-/:-@\[-` + "`" + `{-~]`)
	autolink = regexp.MustCompile(`(?i)://|www\.|@`)
)

// inert fails unless a line of Markdown is text and nothing else, but for
// what opens it.
func inert(t assert.TestingT, line string) {
	bare := escaped.ReplaceAllString(line, "")
	assert.False(t, strings.ContainsAny(bare, "\\`*_[]<>~&@$^{}"), "%q has an unescaped mark", line)
	assert.NotRegexp(t, autolink, bare, "%q holds an address", line)
	assert.NoError(t, hostile.Check(line))
}

// inertPage checks a whole page: each line opens as one of the four that the
// card has, and tables keep their columns.
func inertPage(t assert.TestingT, md string) {
	columns := 0
	for line := range strings.SplitSeq(strings.TrimSuffix(md, "\n"), "\n") {
		inert(t, line)
		bare := escaped.ReplaceAllString(line, "")
		bars := strings.Count(bare, "|")
		switch {
		case line == "":
			columns = 0
		case strings.HasPrefix(line, "| "):
			assert.True(t, columns == 0 || bars == columns, "%q has %d bars, the head has %d", line, bars, columns)
			assert.NotContains(t, bare, "#")
			columns = bars
		case strings.HasPrefix(line, "- "):
			assert.NotRegexp(t, `^- ([-+=#|]|[0-9]+[.)]( |$))`, line)
			assert.NotContains(t, bare, "|")
			assert.NotContains(t, bare, "#")
		default:
			assert.Regexp(t, `^##? `, line)
			assert.Equal(t, strings.Count(bare, "#"), strings.Index(bare, " "), "%q has # beside those that open it", line)
		}
	}
}

func TestHostileNames(t *testing.T) {
	for _, name := range tricky() {
		visit := called(t, name)
		got := card.Make(visit.log, visit.moment(600), nil)
		inertPage(t, got.Markdown())
		assert.NoError(t, hostile.Check(got.Markdown()))
		assert.NoError(t, hostile.Check(strings.Join(got.Text(60), "\n")))
		doc, err := got.JSON()
		require.NoError(t, err, name)
		var back card.Card
		require.NoError(t, json.Unmarshal(doc, &back))
		assert.Equal(t, got, back, "%q", name)
		assert.Equal(t, strings.ToValidUTF8(visit.log.State().Client, "\uFFFD"), back.Client, "the document keeps what was typed")
	}
}

func TestAnyNameIsInertAndReadsAsTyped(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		name := rapid.StringOfN(rapid.OneOf(rapid.Rune(), rapid.SampledFrom([]rune("|#*-+=_[]()<>\\`\n\r\t .:/w@1&~"))), 1, 40, 150).Draw(r, "name")
		c := card.Card{Client: name}
		inertPage(r, c.Markdown())
		title, _, _ := strings.Cut(c.Markdown(), "\n")
		read := strings.TrimPrefix(regexp.MustCompile(`\\([!-/:-@\[-`+"`"+`{-~])`).ReplaceAllString(title, "$1"), "# ")
		assert.Equal(r, strings.Join(c.Text(100_000)[:1], ""), read)
	})
}

func TestEscapeLeavesPlainWordsAlone(t *testing.T) {
	md := card.Make(called(t, "Back left (low) 1.5 cm, 9 % – it's fine: 1:2").log, called(t, "x").zero, nil).Markdown()
	assert.Contains(t, md, "# Record of a visit: Back left (low) 1.5 cm, 9 % – it's fine: 1:2\n")
	assert.NotContains(t, md, "\\")
}

func TestTextFits(t *testing.T) {
	// Widths in columns by the Unicode tables: Latin 1, combining 0, kana,
	// kanji and emoji 2.
	columns := func(l string) (n int) {
		for _, r := range l {
			switch {
			case unicode.Is(unicode.Mn, r):
			case unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Hangul) || r > 0xFFFF:
				n += 2
			default:
				n++
			}
		}
		return n
	}
	cards := []card.Card{card.Make(worked(t).log, worked(t).zero, oslo), {}}
	for _, name := range tricky() {
		cards = append(cards, card.Make(called(t, name).log, called(t, name).zero, nil))
	}
	for _, c := range cards {
		for _, w := range []int{-1, 0, 20, 33, 60, 80, 200} {
			lines := c.Text(w)
			require.NotEmpty(t, lines)
			for _, l := range lines {
				assert.LessOrEqual(t, columns(l), max(w, 20), "%q", l)
				assert.Equal(t, strings.TrimRight(l, " "), l)
			}
		}
	}
}

func TestTextHoldsEveryWord(t *testing.T) {
	c := card.Make(worked(t).log, worked(t).zero, oslo)
	words := func(w int) string { return strings.Join(strings.Fields(strings.Join(c.Text(w), " ")), " ") }
	assert.Equal(t, words(1000), words(60))
	assert.Contains(t, words(60), "- Top left: the ends were over the limit of 35 min by 14 min: 49 min in all")
	assert.Contains(t, words(60), "- Nape: round Lightening; pieces 8 of 8; oldest piece 34 min; newest piece 27 min; limit 45 min; rinsed 09:44:00; how it went inside its limit")
	assert.Equal(t, []string{"Record of a visit", "- The visit is not", "  open yet: there is", "  nothing to tell."}, card.Card{}.Text(20))
}
