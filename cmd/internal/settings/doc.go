// Package settings holds what the user sets once: in the file settings.toml,
// in the environment, or by a flag. A flag goes before the environment, the
// environment before the file, the file before the default.
//
// Every setting stands in one table, [fields], from which all else is made: how
// the file and the environment are read, what is refused, what
// "rinseby settings" shows, and the file with all the defaults that it prints.
//
// Nothing here ends the program. What is wrong is told as a [Problem], and the
// next source in that order is used instead.
package settings
