package settings

import (
	"strconv"
	"strings"
)

// darkGround tells from COLORFGBG, which some terminals set to the numbers of
// their colours as "foreground;background", whether the ground is dark, and
// whether that is known. Of the 16 colours 0 to 6 and 8 are taken for dark, 7
// and 15 for light (from memory). What is not known counts as dark. The
// terminal itself is never asked: where nothing answers, that takes seconds.
func darkGround(colours string) (dark, known bool) {
	last := colours[strings.LastIndexByte(colours, ';')+1:]
	n, err := strconv.Atoi(last)
	switch {
	case err != nil:
		return true, false
	case n >= 0 && n <= 6, n == 8:
		return true, true
	case n == 7, n == 15:
		return false, true
	}
	return true, false
}
