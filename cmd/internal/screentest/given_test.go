//go:build unix

package screentest

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestWhatIsNotGivenBack(t *testing.T) {
	for _, c := range []struct {
		name, script string
		want         []string
		parting      string
	}{
		{"all is", `printf '\033[?1049h\033[?25l\033[?2004h'; was=$(stty -g); stty raw -echo; stty "$was"; printf '\033[?2004l\033[?25h\033[?1049lbye'`, nil, "bye"},
		{"raw", `stty raw -echo`, []string{"the modes of the terminal"}, ""},
		{"no echo", `stty -echo; printf hello`, []string{"the modes of the terminal"}, "hello"},
		{"screen and cursor", `printf '\033[?1049h\033[?25l'`, []string{"the other screen", "the hidden cursor"}, ""},
		{"on again", `printf '\033[?2004h\033[?2004l\033[?2004h'`, []string{"pasting in brackets"}, ""},
		{"mouse and title", `printf '\033[22;2t\033[?1002h\033[?1006h'`, []string{"the mouse", "the mouse at any column", "a title of its own"}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			x := shell(t, c.script, Options{})
			assert.Equal(t, c.want, x.NotGiven())
			assert.Equal(t, c.parting, x.Parting())
		})
	}
}
