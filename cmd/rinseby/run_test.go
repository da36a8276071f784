//go:build unix

package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"rinseby/cmd/internal/screentest"
	"rinseby/session/card"
)

func TestMain(m *testing.M) {
	flag.Parse()
	if p := flag.Lookup("test.parallel"); p.Value.String() == p.DefValue { // the tests mostly wait for a screen
		_ = p.Value.Set("8")
	}
	code := m.Run()
	screentest.Clean()
	os.Exit(code)
}

// A salon is the built program with folders of its own.
type salon struct {
	t            *testing.T
	bin          string
	data, config string
	as           *syscall.Credential // that the program runs as without a terminal; nil for the test's own
}

func newSalon(t *testing.T) *salon {
	t.Helper()
	dir := t.TempDir()
	return &salon{t: t, bin: screentest.Build(t, "rinseby/cmd/rinseby"), data: filepath.Join(dir, "data"), config: filepath.Join(dir, "config")}
}

// owns puts a file into the folder of the salon's configuration.
func (s *salon) owns(name, text string) {
	s.t.Helper()
	path := filepath.Join(s.config, name)
	require.NoError(s.t, os.MkdirAll(filepath.Dir(path), 0o700))
	require.NoError(s.t, os.WriteFile(path, []byte(text), 0o600))
}

// file writes a file of the test's own and returns its path.
func (s *salon) file(name, text string) string {
	s.t.Helper()
	path := filepath.Join(s.t.TempDir(), name)
	require.NoError(s.t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

func (s *salon) args(args ...string) []string {
	return append([]string{"--data", s.data, "--config", s.config}, args...)
}

// A result is what a program that was run to its end left.
type result struct {
	code     int
	out, err string
}

// run runs the program without a terminal.
func (s *salon) run(args ...string) result { return s.runWith("", args...) }

// runWith runs the program with text on its standard input.
func (s *salon) runWith(stdin string, args ...string) result {
	s.t.Helper()
	var out, errs bytes.Buffer
	c := exec.Command(s.bin, s.args(args...)...)
	c.Env = append(os.Environ(), "HOME="+s.t.TempDir(), "TZ=UTC")
	c.SysProcAttr = &syscall.SysProcAttr{Credential: s.as}
	c.Stdin, c.Stdout, c.Stderr = strings.NewReader(stdin), &out, &errs
	err := c.Run()
	var ended *exec.ExitError
	if err != nil && !errors.As(err, &ended) {
		s.t.Fatalf("run %v: %v", args, err)
	}
	return result{c.ProcessState.ExitCode(), out.String(), errs.String()}
}

// must runs the program, which must end well, and returns what it printed.
func (s *salon) must(args ...string) string {
	s.t.Helper()
	r := s.run(args...)
	require.Zero(s.t, r.code, "%v: %s", args, r.err)
	return r.out
}

// card reads the card of a service.
func (s *salon) card(name string) card.Card {
	s.t.Helper()
	return parseCard(s.t, s.must("card", "--format", "json", name))
}

func parseCard(t *testing.T, text string) (c card.Card) {
	t.Helper()
	dec := json.NewDecoder(strings.NewReader(text))
	dec.DisallowUnknownFields()
	require.NoError(t, dec.Decode(&c))
	require.Equal(t, card.Format, c.Format)
	return c
}

// open starts the program in a terminal of 80 by 24.
func (s *salon) open(args ...string) *screentest.Terminal {
	s.t.Helper()
	return screentest.Start(s.t, s.bin, screentest.Options{Args: s.args(args...)})
}

// logs lists the journals of the store.
func (s *salon) logs() []string {
	s.t.Helper()
	logs, err := filepath.Glob(filepath.Join(s.data, "*", "*.jsonl"))
	require.NoError(s.t, err)
	return logs
}

// kinds lists the kinds of the events in a journal, in their order.
func kinds(t *testing.T, path string) (ks []string) {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	for line := range strings.Lines(string(text)) {
		var e struct {
			Kind string `json:"kind"`
		}
		require.NoError(t, json.Unmarshal([]byte(line), &e), line)
		ks = append(ks, e.Kind)
	}
	return ks
}
