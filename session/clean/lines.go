package clean

// Lines is [Text] for a page of lines: blanks, tabs and line feeds stay as they
// are, all else is as safe. Names that stand in a page need Text all the same,
// lest they make lines of their own.
func Lines(s string) string {
	if isPage(s) {
		return s
	}
	c := cleaner{text: s, layout: true}
	return c.all()
}

// isPage says that s is printable ASCII, blanks, tabs and line feeds.
func isPage(s string) bool {
	for i := range len(s) {
		if c := s[i]; (c < ' ' || c > '~') && c != '\n' && c != '\t' {
			return false
		}
	}
	return true
}
