package form_test

import (
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/session"
	"rinseby/session/formula"
	"rinseby/tui/form"
	"rinseby/tui/intent"
	"rinseby/tui/theme"
)

var update = flag.Bool("update", false, "write the pictures anew")

func TestViewStaysWithinItsCells(t *testing.T) {
	forms := every(t)
	names := make([]string, 0, len(forms))
	for name := range forms {
		names = append(names, name)
	}
	slices.Sort(names)
	keys := []string{"enter", "tab", "back", "esc", "save", "space", "up", "down", "left", "right", "rub", "wipe",
		"home", "end", "half", "all", "/", "zz", "n", "g", "G", "x", "20", "1:2", "漢字", "\u202e", "a\u0301"}
	rapid.Check(t, func(r *rapid.T) {
		f := forms[rapid.SampledFrom(names).Draw(r, "form")]()
		for range rapid.IntRange(1, 12).Draw(r, "rounds") {
			w, h := rapid.IntRange(0, 200).Draw(r, "w"), rapid.IntRange(0, 60).Draw(r, "h")
			f.SetSize(w, h)
			for _, k := range rapid.SliceOfN(rapid.SampledFrom(keys), 0, 4).Draw(r, "keys") {
				if m, ok := named[k]; ok {
					f.Update(m)
				} else {
					f.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(k)})
				}
			}
			within(r, f.View(), w, h)
			if w >= 24 && h >= 4 {
				require.Contains(r, f.View(), "│", "the field in hand, at %dx%d", w, h)
			}
		}
	})
}

func within(t require.TestingT, view string, w, h int) {
	if w == 0 || h == 0 {
		require.Empty(t, view)
		return
	}
	lines := strings.Split(view, "\n")
	require.LessOrEqual(t, len(lines), h)
	for _, line := range lines {
		require.LessOrEqual(t, ansi.StringWidth(line), w, "%q", line)
	}
}

func TestViewIsSeenAgainAfterASmallWindow(t *testing.T) {
	for name, make := range every(t) {
		f := open(make())
		before := f.View()
		f.SetSize(20, 3)
		f.SetSize(80, 24)
		assert.Equal(t, before, f.View(), name)
	}
}

func TestEscLeavesEveryForm(t *testing.T) {
	for name, make := range every(t) {
		f := make() // no size yet
		assert.NotEmpty(t, f.Title(), name)
		assert.Nil(t, f.Init(), name)
		assert.Equal(t, intent.Back{}, press(t, f, "esc"), name)
	}
}

func TestEscGivesUpAFilterFirst(t *testing.T) {
	f := open(every(t)["steps"]())
	press(t, f, "/", "dry")
	assert.NotContains(t, f.View(), "cut")
	assert.Nil(t, press(t, f, "esc"), "keeps the filter")
	assert.Nil(t, press(t, f, "esc"), "shows all")
	assert.Contains(t, f.View(), "cut")
	assert.Equal(t, intent.Back{}, press(t, f, "esc"))
}

func TestWhatTheFilterLeavesIsChosen(t *testing.T) {
	got := press(t, open(every(t)["steps"]()), "/", "dry", "enter", "enter")
	assert.Equal(t, "Logged: begin: drying", got.(intent.Log).Say)
}

func TestAFilterThatLeavesNothingDoesNoHarm(t *testing.T) {
	for _, name := range []string{"steps", "rinse", "zone"} {
		f := open(every(t)[name]())
		press(t, f, "/", "qqq", "down", "down", "up", "half", "enter", "down", "space")
		assert.NotEmpty(t, f.View(), name)
	}
}

func TestRefusalStaysUntilTheNextKey(t *testing.T) {
	f := open(form.Earlier(th, now))
	f.Refuse(errRefused)
	assert.Contains(t, f.View(), "! nape was rinsed: add a zone")
	press(t, f, "3")
	assert.NotContains(t, f.View(), "add a zone")
	assert.NotNil(t, press(t, f, "enter"), "it can be sent again")
	assert.NotNil(t, press(t, f, "enter"))
}

func TestLeavingKeepsWhatWasTyped(t *testing.T) {
	f := open(every(t)["note"]())
	press(t, f, "tight at the nape", "esc")
	assert.Contains(t, f.View(), "tight at the nape")
}

func TestSaveGoesToTheFieldThatIsNotInOrder(t *testing.T) {
	f := open(form.Consult(th, nil, form.LastVisit{}))
	press(t, f, "12", "tab")
	assert.Nil(t, press(t, f, "save"))
	assert.Contains(t, f.View(), "│ \x1b[1mNatural depth")
	assert.Contains(t, f.View(), "! 12 is out of bounds: type a number from 1 to 10")
	press(t, f, "rub", "rub", "5", "enter", "enter", "200", "back", "enter")
	assert.IsType(t, intent.Log{}, press(t, f, "wipe", "20", "save"))
}

func TestFieldsCheckWhileTyping(t *testing.T) {
	f := open(form.Bowl(th, chalk, formula.Starter(), 0, nil, formula.Law{}))
	assert.NotContains(t, f.View(), "!")
	press(t, f, "3x")
	assert.Contains(t, f.View(), `! "3x" is no number`)
	press(t, f, "rub")
	assert.NotContains(t, f.View(), "!")
}

func TestTextFromPeopleIsCleaned(t *testing.T) {
	c := lightening(t)
	c.state().Zone("nape").Name = "na\x1b[2Jpe\u202e\nx"
	for name, f := range map[string]*form.Form{
		"note": form.Note(th, c.state().Zones, "nape"), "check": form.Check(th, c.state().Zone("nape")),
		"zone": form.EditZone(th, c.state(), "nape", nil, nil, nil), "rinse": form.RinseZones(th, c.board(), clock),
		"place": form.PlaceMany(th, c.state().Zone("nape")), "refresh": form.RefreshZone(th, c.state().Zones, "nape"),
	} {
		view := open(f).View()
		assert.Contains(t, view, "nape x", name)
		assert.NotContains(t, view, "\x1b[2J", name)
		assert.NotContains(t, view, "\u202e", name)
	}
}

func TestWhatCannotBeSeenIsNotTyped(t *testing.T) {
	f := open(form.Note(th, nil, ""))
	send(t, f, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("a\u202eb\u200b c\u0301 漢"), Paste: true})
	got := press(t, f, "save").(intent.Log)
	assert.Equal(t, saves("Note added", note("", "ab c\u0301 漢")), got)
}

// TestNothingAsksTheTerminal makes sure that no style is chosen by the
// terminal's background: asking can take seconds.
func TestNothingAsksTheTerminal(t *testing.T) {
	env := &spy{}
	was := lipgloss.DefaultRenderer()
	lipgloss.SetDefaultRenderer(lipgloss.NewRenderer(io.Discard, termenv.WithEnvironment(env), termenv.WithTTY(true)))
	defer lipgloss.SetDefaultRenderer(was)
	for _, make := range every(t) {
		f := open(make())
		press(t, f, "/", "a", "enter")
	}
	assert.Zero(t, env.asked)
	lipgloss.HasDarkBackground()
	assert.NotZero(t, env.asked, "the spy sees it when somebody asks")
}

// A spy counts how often the background is asked for.
type spy struct{ asked int }

func (s *spy) Environ() []string { return nil }

func (s *spy) Getenv(name string) string {
	if name == "COLORFGBG" {
		s.asked++
	}
	return ""
}

func TestPictures(t *testing.T) {
	forms := every(t)
	for name, keys := range map[string][]string{
		"consult": {"7", "enter"},
		"cut":     {"enter", "enter"},
		"bowl":    {"30", "enter", "right", "enter", "right", "enter", "wipe", "40 vol", "enter", "enter", "20 vol", "enter", "1:3"},
	} {
		f := open(forms[name]())
		press(t, f, keys...)
		got := ansi.Strip(f.View()) + "\n"
		path := filepath.Join("testdata", name+".txt")
		if *update {
			require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
		}
		want, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, string(want), got, name)
	}
}

func TestASCII(t *testing.T) {
	f := form.Consult(theme.Pick(true, true, true), &session.ConsultationNoted{Note: "blondé"}, form.LastVisit{})
	f.SetSize(60, 20)
	press(t, f, "enter")
	for _, r := range f.View() {
		require.Less(t, r, rune(128))
	}
	assert.Contains(t, f.View(), "| < \x1b[7mnot noted\x1b[m >")
}

func TestChosenLineOfALongListIsInView(t *testing.T) {
	lists := make([]form.ZoneList, 40)
	for i := range lists {
		lists[i].Name = fmt.Sprintf("list %d", i)
	}
	f := form.NewService(th, form.Answers{Client: "Tove A.", ZoneList: "list 2"}, lists, nil, now, func(a form.Answers) intent.Intent {
		return intent.Say{Text: a.ZoneList}
	})
	f.SetSize(80, 60)
	press(t, f, "enter", "enter", "enter", "enter")
	assert.Contains(t, f.View(), "list 0\n", "nothing hides what is above the chosen line")
	f.SetSize(60, 20)
	for range 30 {
		press(t, f, "down")
	}
	assert.Contains(t, f.View(), "list 32")
	f.SetSize(80, 60)
	assert.Contains(t, f.View(), "list 0\n")
	assert.Equal(t, intent.Say{Text: "list 32"}, press(t, f, "enter"))
}

// Of all letters and figures, none moves or ticks a choice. A slash opens the
// filter, where they are typed.
func TestLettersLeaveChoicesAlone(t *testing.T) {
	for name, list := range map[string]func() *form.Form{
		"on one line": every(t)["safety"], "in full": every(t)["service"], "to be ticked": every(t)["rinse"],
	} {
		t.Run(name, func(t *testing.T) {
			f := open(list())
			if name == "in full" {
				press(t, f, "Tove A.", "enter", "enter", "enter", "enter")
			}
			press(t, f, "down", "right", "space")
			before := f.View()
			for r := ' ' + 1; r <= '~'; r++ {
				if r == '/' {
					continue
				}
				require.Nil(t, press(t, f, string(r)))
				require.Equal(t, before, f.View(), "after %q", r)
			}
			press(t, f, map[bool]string{true: "end", false: "home"}[name == "on one line"])
			require.NotEqual(t, before, f.View(), "it is a list that moves")
		})
	}
}
