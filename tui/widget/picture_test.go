package widget_test

import (
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/assert"

	"rinseby/tui/theme"
	"rinseby/tui/widget"
)

// at is the moment some minutes after nine.
func at(minutes float64) time.Time {
	return time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC).Add(time.Duration(minutes * float64(time.Minute)))
}

// bar is a bar on an axis from nine to half past ten.
func bar(first, last, opens, limit float64) widget.Bar {
	return widget.Bar{
		From: at(0), To: at(90), Now: at(36),
		FirstContact: at(first), LastContact: at(last), OpensAt: at(opens), LimitAt: at(limit),
	}
}

func TestBarPictures(t *testing.T) {
	rinsed := bar(0, 6, 12, 45)
	rinsed.Off = at(24)
	late := bar(0, 3, 9, 18)
	late.Off = at(27)
	planned := rinsed
	planned.Off = at(60)
	reversed := bar(0, 3, 9, 18)
	reversed.From, reversed.To = reversed.To, reversed.From
	unknown := bar(0, 6, 0, 0)
	unknown.OpensAt, unknown.LimitAt = time.Time{}, time.Time{}
	for _, c := range []struct {
		name    string
		bar     widget.Bar
		unicode string
		ascii   string
	}{
		{"nothing planned", widget.Bar{From: at(0), To: at(90), Now: at(36)},
			"            │                 ", "            |                 "},
		{"ahead", bar(42, 51, 66, 84),
			"            │ ────────╞═════╡ ", "            | --------[=====] "},
		{"being applied", bar(24, 33, 57, 75),
			"        ░░░▒│──────╞═════╡    ", "        :::%|------[=====]    "},
		{"working", bar(9, 18, 45, 60),
			"   ░░░▒▒▒▒▒▒│──╞════╡         ", "   :::%%%%%%|--[====]         "},
		{"open", bar(0, 6, 24, 54),
			"░░▒▒▒▒▒▒╞███│═════╡           ", "::%%%%%%[###|=====]           "},
		{"over", bar(0, 6, 12, 24),
			"░░▒▒╞███╡!!!│                 ", "::%%[###]!!!|                 "},
		{"over by seconds", bar(0, 6, 12, 35.9),
			"░░▒▒╞██████!│                 ", "::%%[######!|                 "},
		{"at the limit", bar(0, 6, 12, 36),
			"░░▒▒╞███████╡                 ", "::%%[#######]                 "},
		{"limit before it opens", bar(0, 21, 45, 27),
			"░░░░░░░▒▒╡!!│  ╞              ", ":::::::%%]!!|  [              "},
		{"rinsed in time", rinsed,
			"░░▒▒╞███≈≈≈≈│  ╡              ", "::%%[###~~~~|  ]              "},
		{"rinsed late", late,
			"░▒▒╞██╡!!≈≈≈│                 ", ":%%[##]!!~~~|                 "},
		{"off only later", planned,
			"░░▒▒╞███████│══╡              ", "::%%[#######|==]              "},
		{"no window known", unknown,
			"░░▒▒▒▒▒▒▒▒▒▒│                 ", "::%%%%%%%%%%|                 "},
		{"before the axis", bar(-60, -50, -30, -10),
			"!!!!!!!!!!!!│                 ", "!!!!!!!!!!!!|                 "},
		{"axis of nothing", reversed,
			"                              ", "                              "},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.unicode, ansi.Strip(c.bar.Render(theme.Dark(), 30)))
			assert.Equal(t, c.unicode, ansi.Strip(c.bar.Render(theme.Mono(), 30)))
			assert.Equal(t, c.ascii, ansi.Strip(c.bar.Render(theme.Pick(false, true, true), 30)))
		})
	}
}

func TestBarStylesWholeRuns(t *testing.T) {
	got := bar(0, 6, 12, 24).Render(theme.Mono(), 30)
	assert.Equal(t, "\x1b[4m░░\x1b[m▒▒\x1b[1m╞\x1b[m\x1b[1m███\x1b[m\x1b[1m╡\x1b[m\x1b[1;7m!!!\x1b[m\x1b[1m│\x1b[m"+
		strings.Repeat(" ", 17), got)
}

func TestAxisPictures(t *testing.T) {
	half := time.FixedZone("half", 5*3600+1800)
	for _, c := range []struct {
		name string
		from float64
		to   float64
		now  float64
		loc  *time.Location
		w    int
		want string
	}{
		{"now between labels", 0, 90, 45, time.UTC, 40, "│09:00       │09:30 ▼09:45              "},
		{"now over a label", 0, 90, 31, time.UTC, 40, "│09:00       ▼09:31       │10:00        "},
		{"ragged start", 7, 67, 7, time.UTC, 60, "▼09:07       │09:20    │09:30    │09:40    │09:50    │10:00 "},
		{"now at the end", 0, 60, 60, time.UTC, 20, "│09:00    │09:30   ▼"},
		{"now off the axis", 0, 60, 80, time.UTC, 20, "│09:00    │09:30    "},
		{"a zone of half hours", 0, 120, 200, half, 24, "      │15:00      │16:00"},
		{"too narrow for a label", 0, 60, 30, time.UTC, 4, "  ▼ "},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := ansi.Strip(widget.Axis(theme.Dark(), at(c.from), at(c.to), at(c.now), c.loc, c.w))
			assert.Equal(t, c.want, got)
		})
	}
}

// The present moment is in the same cell of the axis and of the bars.
func TestAxisAndBarAgree(t *testing.T) {
	th := theme.Pick(true, true, true)
	for _, w := range []int{20, 33, 60, 120, 199} {
		for now := range 91 {
			b := widget.Bar{From: at(0), To: at(90), Now: at(float64(now))}
			axis := ansi.Strip(widget.Axis(th, b.From, b.To, b.Now, time.UTC, w))
			assert.Equal(t, strings.Index(ansi.Strip(b.Render(th, w)), "|"), strings.Index(axis, "V"))
		}
	}
}

func TestDigitPictures(t *testing.T) {
	for _, c := range []struct {
		name  string
		ascii bool
		text  string
		w, h  int
		want  []string
	}{
		{"small", false, "-12:34", 60, 3, []string{
			"       ▄█   ▀▀▀▀▄ ▄ ▀▀▀▀▄ █   █",
			"▀▀▀▀▀   █   ▄▀▀▀     ▀▀▀▄ ▀▀▀▀█",
			"       ▄█▄  █▄▄▄▄ ▀ ▄▄▄▄▀     █",
		}},
		{"tall", false, "07:5", 60, 9, []string{
			"  ████    ████████      ████████",
			"██    ██        ██  ██  ██      ",
			"██    ██       █        ██████  ",
			"██    ██     ██     ██        ██",
			"  ████       ██         ██████  ",
		}},
		{"small in ASCII", true, "+1:02.8", 60, 4, []string{
			"           _   _     _ ",
			"_|_   | o | |  _|   |_|",
			" |    | o |_| |_  o |_|",
		}},
		{"tall in ASCII", true, "46 9", 60, 5, []string{
			"#   #   ###        ### ",
			"#   #  #          #   #",
			"#####  ####        ####",
			"    #  #   #          #",
			"    #   ###        ### ",
		}},
		{"too wide for tall", false, "1", 7, 5, []string{" ▄█  ", "  █  ", " ▄█▄ "}},
		{"too low", false, "12:34", 60, 2, []string{"12:34"}},
		{"too narrow", false, "12:34", 24, 3, []string{"12:34"}},
		{"far too narrow", false, "12:34", 4, 3, []string{"12:…"}},
		{"words", false, "now", 60, 5, []string{"now"}},
		{"nothing", false, "", 60, 5, []string{""}},
		{"no room", false, "12:34", 0, 5, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, widget.Digits(theme.Pick(true, false, c.ascii), c.text, c.w, c.h))
		})
	}
}

// Every digit differs from every other in at least three pixels, in each size,
// so that none is taken for another from afar.
func TestDigitsAreFarApart(t *testing.T) {
	for _, h := range []int{3, 5} {
		for a := '0'; a <= '9'; a++ {
			for b := a + 1; b <= '9'; b++ {
				x := dots(widget.Digits(theme.Dark(), string(a), 60, h))
				y := dots(widget.Digits(theme.Dark(), string(b), 60, h))
				differ := 0
				for i := range x {
					if x[i] != y[i] {
						differ++
					}
				}
				assert.GreaterOrEqual(t, differ, 3, "%c and %c", a, b)
			}
		}
	}
}

// dots are the pixels of half blocks, two for each cell.
func dots(lines []string) string {
	return strings.NewReplacer("▀", "#.", "▄", ".#", "█", "##", " ", "..").Replace(strings.Join(lines, ""))
}

func TestFramePicture(t *testing.T) {
	assert.Equal(t, []string{
		"┌─ zones ──────┐",
		"│ nape         │",
		"│ back left, … │",
		"└──────────────┘",
	}, strip(widget.Frame(theme.Dark(), "zones", []string{"nape", "back left, lower", "crown"}, 16, 4)))
	assert.Equal(t, []string{"+---+", "+---+"}, strip(widget.Frame(theme.Pick(true, true, true), "zones", nil, 5, 2)))
	assert.Equal(t, []string{"na…"}, widget.Frame(theme.Dark(), "zones", []string{"nape"}, 3, 2))
}

func strip(lines []string) []string {
	for i := range lines {
		lines[i] = ansi.Strip(lines[i])
	}
	return lines
}
