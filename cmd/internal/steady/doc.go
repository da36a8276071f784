// Package steady runs the screens so that the terminal is given back and
// services are let go of, whatever ends the program: the user, a signal, a
// terminal that goes away, or a panic in any goroutine.
package steady
