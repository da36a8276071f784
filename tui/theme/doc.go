// Package theme is the look of the screens: one [Theme] with a style for each
// meaning, a glyph set, and for every phase a style, a one-cell glyph and a
// word, so that nothing is told by colour alone.
//
// Only the 16 ANSI colours are used, plus bold, faint, underline and reverse,
// so that the user's own palette decides how a colour looks. Control strings
// are made once; rendering is joining three strings.
package theme
