package store

import (
	"fmt"
	"io"
	"time"
)

// idLetters are 32 that are not easily taken for one another: no i, l, o, u.
const idLetters = "0123456789abcdefghjkmnpqrstvwxyz"

const idRandom = 4 // random letters of an id

// isID reports whether a text is an id as session takes it: 1 to 64 small
// letters, digits, - or _, of which the first is a letter or digit.
func isID(s string) bool {
	for i := range len(s) {
		switch c := s[i]; {
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9':
		case i > 0 && (c == '-' || c == '_'):
		default:
			return false
		}
	}
	return len(s) >= 1 && len(s) <= 64
}

// NewID makes the id of a service that is opened at the moment at, in UTC and
// to the minute, with 20 bits from random: "20260302-0900-k7q2".
func NewID(at time.Time, random io.Reader) (string, error) {
	var b [idRandom]byte
	if _, err := io.ReadFull(random, b[:]); err != nil {
		return "", fmt.Errorf("no random numbers for the service's id; try again: %w", err)
	}
	for i := range b {
		b[i] = idLetters[int(b[i])%len(idLetters)]
	}
	return at.UTC().Format("20060102-1504-") + string(b[:]), nil
}
