//go:build unix

package main

import (
	"bufio"
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/cmd/internal/settings"
	"rinseby/session"
	"rinseby/tui"
)

func TestBellAndNotification(t *testing.T) {
	for _, test := range []struct {
		name string
		set  settings.Settings
		text string
		want string
	}{
		{"nothing", settings.Settings{}, "Nape: rinse", ""},
		{"bell", settings.Settings{Bell: true}, "Nape: rinse", "\a"},
		{"notification", settings.Settings{Notify: true}, "Nape: rinse", "\x1b]9;rinseby: Nape: rinse\x1b\\"},
		{"both", settings.Settings{Bell: true, Notify: true}, "4;1;50", "\a\x1b]9;rinseby: 4;1;50\x1b\\"},
		{"hostile", settings.Settings{Notify: true}, "a\x1b\\b\ac\u202ed\u009ce\n", "\x1b]9;rinseby: abcde\x1b\\"},
		{"long", settings.Settings{Notify: true}, strings.Repeat("x", 1000), "\x1b]9;rinseby: " + strings.Repeat("x", maxNotice-1) + "…\x1b\\"},
		{"plain", settings.Settings{Bell: true, Notify: true, Plain: true}, "Nape: rinse", ""},
	} {
		var out bytes.Buffer
		a := newAlerts(&out, test.set)
		assert.Nil(t, a.alert(tui.Alert{Level: session.Alarm, Text: test.text})(), test.name)
		assert.Equal(t, test.want, out.String(), test.name)
		a.stop()
	}
}

// byShell are alerts whose command is a script. The shell is the test's, not
// the program's.
func byShell(script string, args ...string) *alerts {
	return newAlerts(io.Discard, settings.Settings{AlertCommand: append([]string{"/bin/sh", "-c", script, "sh"}, args...)})
}

func TestAlertCommand(t *testing.T) {
	dir := t.TempDir()
	told, given := filepath.Join(dir, "told"), filepath.Join(dir, "given")
	a := byShell(`env > "$1"; printf '%s|' "$@" > "$2"`, told, given, "$(touch x); `id`")
	require.Nil(t, a.alert(tui.Alert{Level: session.Alarm, Text: "Nape\x1b[2J: rinse\x00", Again: 3})())
	env, err := os.ReadFile(told)
	require.NoError(t, err)
	for _, line := range []string{"RINSEBY_ALERT_TEXT=Nape: rinse", "RINSEBY_ALERT_LEVEL=alarm", "RINSEBY_ALERT_AGAIN=3"} {
		assert.Contains(t, string(env), line+"\n")
	}
	args, err := os.ReadFile(given)
	require.NoError(t, err)
	assert.Equal(t, told+"|"+given+"|$(touch x); `id`|", string(args), "no shell reads the arguments")

	require.Nil(t, a.alert(tui.Alert{Level: session.Alert, Text: "x"})())
	env, err = os.ReadFile(told)
	require.NoError(t, err)
	assert.Contains(t, string(env), "RINSEBY_ALERT_LEVEL=band\n")
	a.stop()
}

func TestAlertCommandThatFails(t *testing.T) {
	a := byShell("exit 3")
	err, ok := a.alert(tui.Alert{})().(error)
	require.True(t, ok)
	assert.ErrorContains(t, err, "the alert command failed (exit status 3): correct alert_command")
	assert.Nil(t, a.alert(tui.Alert{})(), "it is told once")

	a = newAlerts(io.Discard, settings.Settings{AlertCommand: []string{filepath.Join(t.TempDir(), "gone")}})
	err, ok = a.alert(tui.Alert{})().(error)
	require.True(t, ok)
	assert.ErrorContains(t, err, "no such file")

	a = byShell("sleep 60")
	a.limit = 1
	err, ok = a.alert(tui.Alert{})().(error)
	require.True(t, ok)
	assert.ErrorContains(t, err, "did not end within 1ns and was stopped")
}

// TestAlertCommandEnds looks at a command that goes on, and at one that it
// started: each holds a pipe, which ends when the last of them is gone.
func TestAlertCommandEnds(t *testing.T) {
	pipe := filepath.Join(t.TempDir(), "pipe")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	a := byShell(`exec 3> "$1"; sleep 600 & echo up >&3; wait`, pipe)
	done := make(chan any)
	go func() { done <- a.alert(tui.Alert{})() }()
	f, err := os.Open(pipe) // waits for the command
	require.NoError(t, err)
	defer f.Close()
	in := bufio.NewReader(f)
	line, err := in.ReadString('\n')
	require.NoError(t, err)
	assert.Equal(t, "up\n", line)
	assert.Nil(t, a.alert(tui.Alert{})(), "one at a time")
	a.stop()
	assert.Nil(t, <-done, "leaving is no failure")
	_, err = in.ReadByte()
	assert.ErrorIs(t, err, io.EOF)
	assert.Nil(t, a.alert(tui.Alert{})(), "no other is started")
}

// TestAlertAtTheChair lets a zone go over at the chair, with another client's
// service beside it.
func TestAlertAtTheChair(t *testing.T) {
	t.Parallel()
	s := newSalon(t)
	s.due("tove", "Tove A.", -3)
	s.due("june", "June L.", -2)
	told := filepath.Join(t.TempDir(), "told")
	s.owns("settings.toml", "notify = true\nalert_command = [\"/bin/sh\", \"-c\", 'env >> \"$0.new\"; mv \"$0.new\" \"$0\"', '"+told+"']\n")
	x := s.take("Tove A.", "station 1")
	x.WaitForFunc("an alert", func(string) bool { _, err := os.Stat(told); return err == nil })
	env, err := os.ReadFile(told)
	require.NoError(t, err)
	assert.Contains(t, string(env), "RINSEBY_ALERT_LEVEL=alarm\n")
	assert.Regexp(t, `(?m)^RINSEBY_ALERT_TEXT=.+$`, string(env))
	raw := string(x.Raw())
	_, notice, found := strings.Cut(raw, "\x1b]9;rinseby: ")
	require.True(t, found)
	notice, _, found = strings.Cut(notice, "\x1b\\")
	require.True(t, found)
	for _, name := range []string{"Tove", "June"} {
		assert.NotContains(t, string(env), name)
		assert.NotContains(t, notice, name)
	}
}
