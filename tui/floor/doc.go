// Package floor is the floor: all services that are live in the salon, the one
// that needs hands next on top, with what collides.
package floor
