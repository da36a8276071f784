package station_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/tui/keys"
	"rinseby/tui/station"
	"rinseby/tui/theme"
)

// named is the look of the service at a minute, with names of zones and a
// client of another length, and a warning of so many words.
func named(t require.TestingT, at float64, name func(zone string) string, client, warning string) station.Look {
	l := day(t)
	for i, e := range l.Events() {
		if d, ok := e.Data.(session.PlanSet); ok {
			for k := range d.Zones {
				d.Zones[k].Name = name(d.Zones[k].Name)
			}
			l.Events()[i].Data = d
		}
	}
	l, err := session.Fold(l.Events())
	require.NoError(t, err)
	k := look(l, minute(at))
	k.Client, k.Several = client, true
	if warning != "" {
		k.Board.Warnings = append([]session.Warning{{Key: "x", Level: session.Alert, Text: warning}}, k.Board.Warnings...)
	}
	return k
}

// Names as long as names may be leave the headline, its time and the clock
// apart, and every word whole.
func TestGoldensWithLongNames(t *testing.T) {
	for _, size := range []struct{ w, h int }{{60, 20}, {80, 24}, {100, 30}, {120, 40}} {
		k := named(t, 60, func(zone string) string { return zone + " under the crown and behind the ear as far as the hairline" },
			"Tove A. with the long fringe from the other side of the water", "the bowl of Chalk is past its working life on Back right, and five pieces under the crown are still to come: mix another one before they are placed, or stop here")
		m := station.New(theme.Mono(), keys.Default(""))
		m.SetSize(size.w, size.h)
		m.Show(k)
		got := m.View() + "\n"
		file := filepath.Join("testdata", fmt.Sprintf("long-names-%dx%d.golden", size.w, size.h))
		if *update {
			require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
		}
		want, err := os.ReadFile(file)
		require.NoError(t, err)
		require.Equal(t, string(want), got, file)
	}
}

func TestNoWordIsBroken(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		phrase := func(label string, most int) string {
			words := rapid.SliceOfN(rapid.StringMatching(`[A-Za-z][a-z]{0,13}`), 1, 14).Draw(t, label)
			text := strings.Join(words, " ")
			for len(text) > most {
				words = words[:len(words)-1]
				text = strings.Join(words, " ")
			}
			return text
		}
		names := map[string]string{}
		at := rapid.SampledFrom([]float64{12, 51, 60, 75}).Draw(t, "minute")
		k := named(t, at, func(zone string) string {
			names[zone] = phrase(zone, session.MaxName-len(zone)-1) + " " + strings.ReplaceAll(zone, " ", "")
			return names[zone]
		}, phrase("client", session.MaxName), strings.Repeat(phrase("warning", 60)+" ", rapid.IntRange(0, 4).Draw(t, "times")))
		k.Paused = rapid.Bool().Draw(t, "paused")
		k.Relived = rapid.Bool().Draw(t, "relived")
		m := station.New(theme.Mono(), keys.Default(""))
		w := rapid.IntRange(60, 160).Draw(t, "w")
		m.SetSize(w, rapid.SampledFrom([]int{20, 24, 40}).Draw(t, "h"))
		m.Show(k)

		said := []string{"PAUSED REPLAY replay off by seen reason where", k.Client, "! ?", k.Board.Next.Text}
		for _, n := range names {
			said = append(said, n)
		}
		for _, x := range k.Board.Warnings {
			said = append(said, x.Text)
		}
		known := map[string]bool{}
		for _, text := range said {
			for _, word := range words(text) {
				known[word], known[strings.ToUpper(word)] = true, true
			}
		}
		lines := strings.Split(m.View(), "\n")
		lines[0] = ansi.Strip(lines[0])
		clock := minute(at).Format("15:04")
		head, ok := strings.CutSuffix(strings.TrimRight(lines[0], " "), clock)
		require.True(t, ok, "%q", lines[0])
		require.True(t, strings.HasSuffix(head, " "), "the headline runs into the clock: %q", lines[0])
		whole(t, known, strings.TrimSuffix(strings.TrimRight(head, " "), "replay"))
		if by := k.Board.Next.By; !by.IsZero() && k.Board.OffBy != nil {
			require.Contains(t, head, " off by "+by.Format("15:04"))
		}
		for _, line := range lines[1:10] {
			if strings.HasPrefix(line, bandOn) {
				whole(t, known, ansi.Strip(line))
			}
		}
	})
}

// bandOn is how a band begins.
var bandOn, _, _ = strings.Cut(theme.Mono().Band.Render("x"), "x")

// words are those of a text, without what stands around them.
func words(text string) (all []string) {
	for _, word := range strings.Fields(text) {
		if word = strings.Trim(word, "…,:;·()[]!"); word != "" {
			all = append(all, word)
		}
	}
	return all
}

// whole checks that each word of a line is known, but for times and keys.
func whole(t *rapid.T, known map[string]bool, line string) {
	for _, word := range words(line) {
		if _, err := time.Parse("15:04", word); err == nil || utf8.RuneCountInString(word) == 1 || strings.HasPrefix(word, "+") {
			continue
		}
		require.True(t, known[word], "%q is no whole word of %q", word, line)
	}
}
