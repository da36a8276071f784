package form_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/tui/clean"
	"rinseby/tui/form"
	"rinseby/tui/intent"
)

// reply answers a form line by line. Only the last line may end it.
func reply(t testing.TB, f *form.Form, lines ...string) intent.Intent {
	t.Helper()
	var last intent.Intent
	for i, l := range lines {
		require.Nil(t, last, "before line %d, %q", i, l)
		got, err := f.Reply(l)
		require.NoError(t, err, "%q", l)
		last = got
	}
	return last
}

func TestRepliesAnswerAsKeysDo(t *testing.T) {
	forms := every(t)
	for _, tt := range []struct {
		form          string
		replies, keys []string
	}{
		{"note", []string{"warm at the nape", "2"}, []string{"warm at the nape", "enter", "down", "enter"}},
		{"steps", []string{"3"}, []string{"down", "down", "enter"}},
		{"steps", []string{"BEGIN: DRY"}, []string{"down", "enter"}},
		{"rinse", []string{""}, []string{"enter"}},
		{"rinse", []string{"crown"}, []string{"space", "down", "space", "enter"}},
		{"rinse", []string{"2, nape"}, []string{"down", "space", "enter"}},
		{"rinse", []string{"all"}, []string{"down", "space", "enter"}},
		{"earlier", []string{"3"}, []string{"3", "enter"}},
		{"place", []string{"2"}, []string{"wipe", "2", "enter"}},
		{"ask", []string{"8"}, []string{"down", "enter"}},
		{"ask", []string{"#2"}, []string{"down", "enter"}},
		{"helper", []string{"somebody", "Ines"}, []string{"enter", "Ines", "enter"}},
		{"zone", []string{"nape", "add", "Hairline", "4"}, []string{"enter", "enter", "Hairline", "enter", "4", "enter"}},
		{"zone", []string{"crown", "4", "12"}, []string{"right", "enter", "down", "down", "down", "enter", "12", "enter"}},
		{"zone", []string{"2", "back", "1", "2", "3", "<", "2", "Left"}, []string{"enter", "down", "enter", "2", "enter", "Left", "enter"}},
		{"reason", []string{"it is rinsed next"}, []string{"it is rinsed next", "enter"}},
		{"check", []string{"slow", "ctrl+s"}, []string{"right", "right", "save"}},
		{"window", []string{"esc"}, []string{"esc"}},
	} {
		t.Run(tt.form, func(t *testing.T) {
			want := press(t, open(forms[tt.form]()), tt.keys...)
			require.NotNil(t, want)
			assert.Equal(t, want, reply(t, forms[tt.form](), tt.replies...), "%q", tt.replies)
		})
	}
}

func TestRepliesThatAreRefused(t *testing.T) {
	forms := every(t)
	for _, tt := range []struct{ form, reply, says string }{
		{"steps", "9", "there is no 9: type a number from 1 to 4"},
		{"steps", "begin", `"begin" begins begin: cut and begin: drying: type more of it`},
		{"steps", "wash", `there is no "wash"`},
		{"ask", "3", `there is no "3": type a number from #1 to #2`},
		{"rinse", "nape, fringe", `there is no "fringe"`},
		{"rinse", "-", "tick"},
		{"rinse, none", "1", "there is nothing to choose from"},
		{"place", "many", `"many" is no number`},
		{"place", "700", "out of bounds"},
	} {
		f := forms[tt.form]()
		was := f.Question()
		got, err := f.Reply(tt.reply)
		require.ErrorContains(t, err, tt.says, "%s: %q", tt.form, tt.reply)
		assert.Nil(t, got)
		q := f.Question()
		assert.Equal(t, was.Title, q.Title, "it is asked again")
		assert.Equal(t, err.Error(), q.Refusal)
	}
}

func TestWhatIsOfferedIsKeptOrTakenAway(t *testing.T) {
	f := every(t)["service"]()
	require.Nil(t, reply(t, f, "Tove A."))
	assert.Equal(t, form.Question{Title: "Stylist", Help: f.Question().Help, Value: "Ines", Page: 1, Pages: 2}, f.Question())
	require.Nil(t, reply(t, f, "", "<"))
	assert.Equal(t, "Ines", f.Question().Value)
	require.Nil(t, reply(t, f, "-", "<"))
	assert.Empty(t, f.Question().Value)
	require.Nil(t, reply(t, f, "", "", "13:30"))
	q := f.Question()
	assert.Equal(t, "save", q.Does)
	assert.Equal(t, []string{"Promised for 13:30, in 2 h 48 min"}, q.Live)
}

// walk answers fields of a form in any way until its reply ends it.
func walk(r *rapid.T, f *form.Form) {
	for range 12 {
		q := f.Question()
		for _, text := range append(append([]string{q.Title, q.Value, q.Refusal}, q.Lead...), q.Live...) {
			require.Equal(r, clean.Text(text), text)
		}
		require.Equal(r, f.Typing(), q.Kind == form.Line)
		on := 0
		for _, o := range q.Options {
			if o.On {
				on++
			}
		}
		require.True(r, q.Kind == form.Several || on <= 1, "one is chosen: %v", q.Options)
		line := rapid.SampledFrom([]string{"", "1", "2", "#1", "7", "-", "<", "back", "all", "1,2", "Tove A.", "ctrl+s", "10:42", "a\u202eb\x1b[2J", "漢字"}).Draw(r, "line")
		if got, _ := f.Reply(line); got != nil {
			return
		}
	}
}

func TestAnyReplyIsTakenOrRefused(t *testing.T) {
	forms := every(t)
	names := slices.Sorted(maps.Keys(forms))
	rapid.Check(t, func(r *rapid.T) { walk(r, forms[rapid.SampledFrom(names).Draw(r, "form")]()) })
}

// TestEveryOptionCanBeChosen chooses each option of the first field that is a
// list, by number and by name, and looks whether it was.
func TestEveryOptionCanBeChosen(t *testing.T) {
	for name, made := range every(t) {
		first := made().Question()
		for i := range first.Options {
			for _, line := range []string{first.Number(i), first.Options[i].Label} {
				if strings.Contains(line, ",") && first.Kind == form.Several {
					continue // a list of several is split there
				}
				f := made()
				f.Refuse(errRefused)
				_, _ = f.Reply(line)
				if f.Question().Title != first.Title || f.Question().Page != first.Page {
					_, err := f.Reply("<")
					require.NoError(t, err)
				}
				q := f.Question()
				for j, o := range q.Options {
					require.Equal(t, i == j, o.On, "%s: %s: %q", name, line, fmt.Sprint(q.Options))
				}
			}
		}
	}
}
