//go:build unix

package screentest

import (
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"golang.org/x/sys/unix"
)

// named holds what xterm sends for the keys that have a name, in its normal
// cursor and keypad modes. F13 to F20 are as a VT220 sends them.
var named = map[string]string{
	"enter": "\r", "space": " ", "esc": "\x1b", "tab": "\t", "backspace": "\x7f",
	"shift+tab": "\x1b[Z", "ctrl+space": "\x00",
	"insert": "\x1b[2~", "delete": "\x1b[3~", "pgup": "\x1b[5~", "pgdown": "\x1b[6~",
	"f1": "\x1bOP", "f2": "\x1bOQ", "f3": "\x1bOR", "f4": "\x1bOS", "f5": "\x1b[15~",
	"f6": "\x1b[17~", "f7": "\x1b[18~", "f8": "\x1b[19~", "f9": "\x1b[20~", "f10": "\x1b[21~",
	"f11": "\x1b[23~", "f12": "\x1b[24~", "f13": "\x1b[25~", "f14": "\x1b[26~", "f15": "\x1b[28~",
	"f16": "\x1b[29~", "f17": "\x1b[31~", "f18": "\x1b[32~", "f19": "\x1b[33~", "f20": "\x1b[34~",
}

// moves holds the last byte of the keys that move the cursor. They take a
// modifier.
var moves = map[string]string{"up": "A", "down": "B", "right": "C", "left": "D", "end": "F", "home": "H"}

// modifiers holds the number that stands for a modifier in a moving key.
var modifiers = map[string]string{"shift": "2", "alt": "3", "ctrl": "5"}

// Keys presses keys one by one: each is sent once the program has read the one
// before it, as with a person at the keyboard. A key is a single character
// ("a", "Å", "+") or a name: enter, space, esc, tab, backspace, insert,
// delete, up, down, left, right, home, end, pgup, pgdown, f1 to f20;
// shift+tab; ctrl+ with a letter, @, [, \, ], ^ or _, or space; alt+ with a character;
// shift+, alt+ or ctrl+ with up, down, left, right, home, end.
//
// That a key was read does not mean that the screen shows its effect: wait for
// that.
func (x *Terminal) Keys(keys ...string) {
	x.t.Helper()
	for _, key := range keys {
		seq, err := sequence(key)
		if err != nil {
			x.t.Fatal(err)
		}
		x.send(seq)
	}
}

// Type sends text in one go, as from a fast typist: the program may read
// several characters at once.
func (x *Terminal) Type(text string) {
	x.t.Helper()
	x.send(text)
}

// sequence returns the bytes that a terminal sends for a key.
func sequence(key string) (string, error) {
	if seq, ok := named[key]; ok {
		return seq, nil
	}
	if final, ok := moves[key]; ok {
		return "\x1b[" + final, nil
	}
	if utf8.RuneCountInString(key) == 1 {
		return key, nil
	}
	modifier, rest, _ := strings.Cut(key, "+")
	if final, ok := moves[rest]; ok && modifiers[modifier] != "" {
		return "\x1b[1;" + modifiers[modifier] + final, nil
	}
	if modifier == "alt" && utf8.RuneCountInString(rest) == 1 {
		return "\x1b" + rest, nil
	}
	if modifier == "ctrl" && len(rest) == 1 {
		if c := rest[0]; c >= 'a' && c <= 'z' || c >= '@' && c <= '_' {
			return string(rune(c & 0x1f)), nil
		}
	}
	return "", fmt.Errorf("no key is called %q: see the names at Terminal.Keys, or use Type for text", key)
}

// send writes input and waits until the program has read it.
func (x *Terminal) send(input string) {
	x.t.Helper()
	select {
	case <-x.exited:
		x.t.Fatalf("typed %q, but %s has ended (%v).\n%s", input, x.cmd.Path, x.cmd.ProcessState, x.frame())
	default:
	}
	if _, err := x.master.WriteString(input); err != nil {
		x.t.Fatalf("type %q: %v", input, err)
	}
	late := time.Now().Add(x.limit)
	for x.unread() {
		if time.Now().After(late) {
			x.t.Fatalf("%s has not read %q after %v.\n%s", x.cmd.Path, input, x.limit, x.frame())
		}
		time.Sleep(100 * time.Microsecond) // no event tells that input was read
	}
}

// unread reports whether the program has input that it has not read yet.
func (x *Terminal) unread() bool {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.slave == nil {
		return false
	}
	fds := []unix.PollFd{{Fd: int32(x.slave.Fd()), Events: unix.POLLIN}}
	n, err := unix.Poll(fds, 0)
	return err == unix.EINTR || n > 0 && fds[0].Revents&(unix.POLLHUP|unix.POLLERR|unix.POLLNVAL) == 0
}
