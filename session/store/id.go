package store

import (
	"fmt"
	"io"
	"regexp"
	"time"
)

// idLetters are 32 that are not easily taken for one another: no i, l, o, u.
const idLetters = "0123456789abcdefghjkmnpqrstvwxyz"

const idRandom = 4 // random letters of an id

var idPattern = regexp.MustCompile(`^[a-z0-9][a-z0-9_-]{0,63}$`) // as session takes it

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
