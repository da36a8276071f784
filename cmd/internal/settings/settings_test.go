package settings

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rinseby/tui/clean"
	"rinseby/tui/keys"
)

// with loads settings from the text of a file, an environment and flags.
func with(t testing.TB, text string, env, flags map[string]string) *Loaded {
	t.Helper()
	file := filepath.Join(t.TempDir(), FileName)
	require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
	return Load(Source{File: file, Getenv: func(name string) string { return env[name] }, Flags: flags})
}

// row is how a setting is shown.
func row(t *testing.T, l *Loaded, name string) Row {
	t.Helper()
	for _, r := range l.Rows() {
		if r.Name == name {
			return r
		}
	}
	t.Fatalf("there is no row %s", name)
	return Row{}
}

// others are a right value for each setting that is not its default.
var others = map[string]string{
	"stylist": `"Ines"`, "station": `"Ferry Stairs 2"`, "place": `"Asia/Kathmandu"`, "region": `"canada"`, "skin_test_hours": "72", "skin_test_days": "14", "theme": `"light"`, "colour": "false",
	"ascii": `"on"`, "plain": "true", "hints": `"never"`, "title": "false", "frames": "7", "pedal": `"f12"`,
	"mouse": "true", "bell": "false", "notify": "true", "alert_command": `["go", "a b", "\"; x"]`,
}

func TestEveryFieldHasASetting(t *testing.T) {
	s := Settings{}
	v := reflect.ValueOf(&s).Elem()
	held := map[any]string{}
	for _, f := range fields {
		assert.NotEmpty(t, f.about, f.name)
		assert.NotEmpty(t, f.gives, f.name)
		at := f.at(&s)
		assert.Empty(t, held[at], "%s is where another setting is", f.name)
		held[at] = f.name
		assert.Contains(t, others, f.name, "a value to test it with")
	}
	require.Equal(t, v.NumField(), len(fields))
	for i := range v.NumField() {
		assert.NotEmpty(t, held[v.Field(i).Addr().Interface()], "%s has no setting", v.Type().Field(i).Name)
	}
	d := Default()
	for _, f := range fields {
		assert.True(t, f.right(&d), "the default of %s is right", f.name)
	}
}

func TestOrder(t *testing.T) {
	for _, f := range fields {
		other := others[f.name]
		env := map[string]string{f.Variable(): strings.Trim(other, `"`)}
		file := "# a line before\n" + f.name + " = " + other + "\n"

		l := with(t, "", nil, nil)
		assert.Equal(t, Default(), l.Settings)
		assert.Equal(t, "default", row(t, l, f.name).From)

		l = with(t, file, nil, nil)
		require.Empty(t, l.Problems, f.name)
		assert.Equal(t, l.File+":2", row(t, l, f.name).From)
		assert.Equal(t, other, row(t, l, f.name).TOML())
		fromFile := l.Settings
		assert.NotEqual(t, Default(), fromFile, f.name)

		l = with(t, "", env, nil)
		require.Empty(t, l.Problems, f.name)
		assert.Equal(t, fromFile, l.Settings, f.name)
		assert.Equal(t, f.Variable(), row(t, l, f.name).From)

		first := row(t, with(t, "", nil, nil), f.name).TOML()
		defaults := map[string]string{f.Variable(): strings.Trim(first, `"`)}
		if defaults[f.Variable()] != "" { // an empty variable counts as not set
			l = with(t, file, defaults, nil)
			assert.Equal(t, Default(), l.Settings, "%s: the environment before the file", f.name)
		}
		l = with(t, file, env, map[string]string{f.name: strings.Trim(first, `"`)})
		assert.Equal(t, Default(), l.Settings, "%s: a flag before both", f.name)
		assert.Equal(t, "--"+f.name, row(t, l, f.name).From)
	}
}

func TestWrongValues(t *testing.T) {
	for _, test := range []struct{ text, says string }{
		{`theme = "drak"`, `:1: theme = "drak": give auto, dark or light`},
		{`theme = true`, `:1: theme = true: give auto, dark or light`},
		{"\n\n  theme = ''", `:3: theme = "": give auto, dark or light`},
		{"[theme]\ndark = true", `:1: theme = a table: give auto, dark or light`},
		{"theme.dark = true", `:1: there is no setting theme.dark: did you mean`},
		{"[[alert]]\nbell = true", `:1: there is no setting alert: did you mean alert_command?`},
		{`colour = "yes"`, `:1: colour = "yes": give true or false`},
		{`color = true`, `:1: there is no setting color: did you mean colour?`},
		{`Theme = "dark"`, `:1: there is no setting Theme: did you mean theme?`},
		{`frames = 0`, `give a whole number from 1 to 60`},
		{`frames = 61`, `give a whole number from 1 to 60`},
		{`frames = 9223372036854775807`, `give a whole number from 1 to 60`},
		{`frames = 10.0`, `:1: frames = 10: give a whole number`},
		{`frames = "10"`, `:1: frames = "10": give a whole number`},
		{`stylist = "a\nb"`, "give a name on one line"},
		{`stylist = "` + strings.Repeat("n", 300) + `"`, "of at most 200 bytes"},
		{`place = "Atlantis/Ys"`, `:1: place = "Atlantis/Ys": give an IANA time zone`},
		{`place = "Local"`, `give an IANA time zone`},
		{`place = "../../etc/passwd"`, `give an IANA time zone`},
		{`pedal = "f99"`, `give the name of one key that does nothing yet`},
		{`pedal = "u"`, `give the name of one key that does nothing yet`},
		{`pedal = "ctrl+c"`, `give the name of one key that does nothing yet`},
		{`pedal = "f13"`, `give the name of one key that does nothing yet`},
		{`pedal = "ab"`, `give the name of one key that does nothing yet`},
		{`alert_command = "notify"`, `:1: alert_command = "notify": give a list`},
		{`alert_command = ["no-such-program-of-ours"]`, `whose program is there`},
		{`alert_command = ["go", 7]`, `:1: alert_command =`},
		{`alert_command = ["go", "a\u0000b"]`, `:1: alert_command =`},
		{`alert_command = [""]`, `:1: alert_command =`},
		{"theme = \"dark\"\ntheme = \"light\"", ":2: not valid TOML"},
		{"= = =", ":1: not valid TOML"},
		{"theme = \"dark\"\nstylist = \"\x00\"", ":2: not valid TOML"},
	} {
		l := with(t, test.text+"\n", nil, nil)
		if assert.NotEmpty(t, l.Problems, test.text) {
			assert.Contains(t, l.Problems[0].Error(), l.File+":")
			assert.Contains(t, l.Problems[0].Error(), test.says, test.text)
			assert.True(t, strings.HasPrefix(l.Problems[0].Brief(), FileName+":"))
		}
		assert.Equal(t, Default(), l.Settings, "%s: counts as not set", test.text)
	}
}

// TestOneWrongLineLosesNothingElse mixes right and wrong.
func TestOneWrongLineLosesNothingElse(t *testing.T) {
	l := with(t, "\ufeffstylist = \"Ines\"\r\nfremes = 3\r\nframes = 99\r\nhints = \"never\"\r\n", map[string]string{"RINSEBY_MOUSE": "ja", "RINSEBY_TITLE": "false"}, nil)
	want := Default()
	want.Stylist, want.Hints, want.Title = "Ines", "never", false
	assert.Equal(t, want, l.Settings)
	require.Len(t, l.Problems, 3)
	assert.Contains(t, l.Problems[0].Error(), ":2: there is no setting fremes: did you mean frames?")
	assert.Contains(t, l.Problems[1].Error(), ":3: frames = 99")
	assert.Equal(t, `RINSEBY_MOUSE: mouse = "ja": give true or false`, l.Problems[2].Error())
	assert.Same(t, l.Problems[1], l.Problem("frames"))
	assert.Nil(t, l.Problem("stylist"))
}

func TestFileThatCannotBeRead(t *testing.T) {
	dir := t.TempDir()
	none := func(string) string { return "" }
	l := Load(Source{File: filepath.Join(dir, "none.toml"), Getenv: none})
	assert.False(t, l.Found)
	assert.Empty(t, l.Problems)

	l = Load(Source{File: dir, Getenv: none, Flags: map[string]string{"place": "Asia/Tokyo"}})
	assert.True(t, l.Found)
	require.Len(t, l.Problems, 1)
	assert.Contains(t, l.Problems[0].Error(), "this is no file")
	assert.Nil(t, l.Problem("place"), "given by a flag")
	assert.NotNil(t, l.Problem("stylist"), "it may have been in the file")

	l = with(t, strings.Repeat("# as a comment\n", maxFile/10), nil, nil)
	require.Len(t, l.Problems, 1)
	assert.Contains(t, l.Problems[0].Error(), "larger than 64 KiB")
}

// TestPrintedFile holds the file that is printed to what is read: as it is it
// changes nothing, and with every line in force it says what holds anyway.
func TestPrintedFile(t *testing.T) {
	l := with(t, File(), nil, nil)
	assert.Empty(t, l.Problems)
	assert.Equal(t, Default(), l.Settings)

	var b strings.Builder
	for line := range strings.Lines(File()) {
		assert.LessOrEqual(t, len(line), 101)
		if strings.HasPrefix(line, "#") && !strings.HasPrefix(line, "# ") {
			line = line[1:]
		}
		b.WriteString(line)
	}
	l = with(t, b.String(), nil, nil)
	assert.Empty(t, l.Problems)
	assert.Equal(t, Default(), l.Settings)
	for _, r := range l.Rows() {
		assert.True(t, strings.HasPrefix(r.From, l.File+":"), "%s stands in the file", r.Name)
	}
}

func TestSurroundings(t *testing.T) {
	for _, test := range []struct {
		name, file             string
		env                    map[string]string
		setting                string
		value                  any
		from, means, by, looks string
	}{
		{"nothing", "", nil, "theme", "auto", "default", "dark", "", "dark"},
		{"a light ground", "", map[string]string{"COLORFGBG": "0;15"}, "theme", "auto", "default", "light", "COLORFGBG", "light"},
		{"of three numbers the last", "", map[string]string{"COLORFGBG": "15;default;0"}, "theme", "auto", "default", "dark", "COLORFGBG", "dark"},
		{"a ground between", "", map[string]string{"COLORFGBG": "0;11"}, "theme", "auto", "default", "dark", "", "dark"},
		{"no number", "", map[string]string{"COLORFGBG": "x;default"}, "theme", "auto", "default", "dark", "", "dark"},
		{"the file knows better", `theme = "dark"`, map[string]string{"COLORFGBG": "0;15"}, "theme", "dark", "FILE:1", "", "", "dark"},
		{"NO_COLOR", "colour = true", map[string]string{"NO_COLOR": "1"}, "colour", false, "NO_COLOR", "", "", "mono"},
		{"a dumb terminal", "", map[string]string{"TERM": "dumb"}, "colour", false, "TERM", "", "", "mono"},
		{"our own variable is plainer", "", map[string]string{"NO_COLOR": "1", "RINSEBY_COLOUR": "true"}, "colour", true, "RINSEBY_COLOUR", "", "", "dark"},
		{"an ASCII locale", "", map[string]string{"LANG": "C"}, "ascii", "auto", "default", "on", "LANG", "dark ascii"},
		{"LC_ALL goes first", "", map[string]string{"LANG": "C", "LC_ALL": "en_GB.UTF-8"}, "ascii", "auto", "default", "off", "LC_ALL", "dark"},
		{"the file against the locale", `ascii = "off"`, map[string]string{"LANG": "C"}, "ascii", "off", "FILE:1", "", "", "dark"},
	} {
		l := with(t, test.file, test.env, nil)
		require.Empty(t, l.Problems, test.name)
		want := Row{test.setting, test.value, strings.Replace(test.from, "FILE", l.File, 1), test.means, test.by}
		assert.Equal(t, want, row(t, l, test.setting), test.name)
		th := l.LookTheme()
		looks := map[string]string{"\x1b[1;36mx\x1b[m": "dark", "\x1b[1;34mx\x1b[m": "light", "\x1b[1mx\x1b[m": "mono"}[th.Title.Render("x")]
		if th.ASCII {
			looks += " ascii"
		}
		assert.Equal(t, test.looks, looks, test.name)
	}
}

func TestZone(t *testing.T) {
	assert.Equal(t, time.Local, with(t, "", nil, nil).Zone())
	assert.Equal(t, "Asia/Kathmandu", with(t, `place = "Asia/Kathmandu"`, nil, nil).Zone().String())
	assert.Equal(t, time.Local, with(t, `place = "Ys"`, nil, nil).Zone())
}

// TestPedals holds the pedal to what it is for: it is one more of the keys that
// do the next thing, and takes no other's place.
func TestPedals(t *testing.T) {
	for _, name := range []string{"f12", "home", "`", "é", "shift+tab", "insert", "ctrl+_", "alt"} {
		l := with(t, "", map[string]string{"RINSEBY_PEDAL": name}, nil)
		switch {
		case name == "alt", name == "home": // home jumps to the start of a replay
			assert.NotEmpty(t, l.Problems, name)
		default:
			require.Empty(t, l.Problems, name)
			assert.Contains(t, keys.Default(l.Pedal).Next.Keys(), name)
		}
	}
	for _, b := range keys.Default("").All() {
		for _, k := range b.Keys() {
			assert.NotEmpty(t, with(t, "", map[string]string{"RINSEBY_PEDAL": k}, nil).Problems, "%q", k)
		}
	}
}

// TestAnyFile reads what is no settings file: nothing breaks, every setting is
// right, and no error holds what a terminal would obey.
func TestAnyFile(t *testing.T) {
	file := filepath.Join(t.TempDir(), FileName)
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(
			rapid.String(),
			rapid.Custom(func(t *rapid.T) string {
				var b strings.Builder
				for range rapid.IntRange(0, 6).Draw(t, "lines") {
					name := rapid.OneOf(rapid.SampledFrom(fields), rapid.Just(&field{name: "\"\x1b[2J\u202e\""})).Draw(t, "field").name
					value := rapid.SampledFrom([]string{`"x"`, "true", "3", "-7", "1.5", `["go", ""]`, "[[]]", "{a = 1}", "1979-05-27", `"\u001b]9;x\u0007"`, `"auto"`, "#"}).Draw(t, "value")
					fmt.Fprintf(&b, "%s = %s\n", name, value)
				}
				return b.String()
			})).Draw(t, "text")
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		l := Load(Source{File: file, Getenv: func(string) string { return "" }})
		for _, f := range fields {
			if !f.right(&l.Settings) {
				t.Fatalf("%s is %v", f.name, value(f, &l.Settings))
			}
		}
		for _, p := range l.Problems {
			if p.Error() != clean.Text(p.Error()) {
				t.Fatalf("%q", p.Error())
			}
		}
	})
}
