// Package station is the chair screen: the next thing to do and by when it
// must be off, the zones with their clocks, bowls and warnings. It shows a
// board and turns keys into intents; it computes nothing of the service.
package station
