// Package clean is the one place where text from people, files and logs is made
// safe to show.
//
// What comes out of [Text] is one line that cannot move the cursor, change the
// terminal, turn the direction of what stands around it, or hide something;
// letters and accents of all scripts stay. [Lines] does the same for a page.
// Screens and commands take it from package rinseby/tui/clean, cards use it as
// it is. The log keeps the text as it was typed.
package clean
