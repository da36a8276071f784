package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/session/template"
)

// everyCommand visits all commands but help.
func everyCommand(c *cobra.Command, visit func(*cobra.Command)) {
	visit(c)
	for _, below := range c.Commands() {
		everyCommand(below, visit)
	}
}

// flagLine is how help shows a flag that says what it does.
var flagLine = regexp.MustCompile(`^ +(?:-\w, )?(--[a-z-]+)(?: \w+)? {2,}\S`)

func TestEveryCommandSaysWhatItDoes(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	require.NoError(t, err)
	table := string(readme)[bytes.Index(readme, []byte("\n## Commands\n")):]
	dir := t.TempDir()
	d := newDesk(t)
	require.Zero(t, d.run("man", "--dir", dir), d.err.String())

	n := 0
	everyCommand((&edge{}).root(), func(c *cobra.Command) {
		n++
		assert.NotEmpty(t, c.Short, c.CommandPath())
		assert.False(t, strings.HasSuffix(c.Short, "."), c.CommandPath())
		if c.Parent() == nil || c.Parent().Parent() == nil {
			assert.Regexp(t, "(?m)^\\| `"+c.CommandPath()+"[` ]", table, "the table of the README")
		}
		page, err := os.ReadFile(filepath.Join(dir, strings.ReplaceAll(c.CommandPath(), " ", "-")+".1"))
		require.NoError(t, err)
		assert.Contains(t, string(page), ".SH NAME\n")
		for line := range strings.Lines(c.LocalFlags().FlagUsages()) {
			flag := flagLine.FindStringSubmatch(line)
			if assert.NotNil(t, flag, "%s: a flag that doesn't say what it does: %s", c.CommandPath(), line) {
				assert.Contains(t, strings.ReplaceAll(string(page), `\-`, "-"), flag[1], c.CommandPath())
			}
		}
	})
	assert.Greater(t, n, 20)
}

func TestManPage(t *testing.T) {
	d := newDesk(t)
	t.Setenv("SOURCE_DATE_EPOCH", "")
	require.Zero(t, d.run("man", "settings"))
	page := d.out.String()
	assert.Contains(t, page, `.TH "RINSEBY-SETTINGS" "1" "" "rinseby" "Rinseby"`)
	require.Zero(t, d.run("man", "settings"))
	assert.Equal(t, page, d.out.String(), "alike on every day")

	t.Setenv("SOURCE_DATE_EPOCH", "1000000000")
	require.Zero(t, d.run("man"))
	assert.Contains(t, d.out.String(), `.TH "RINSEBY" "1" "`+time.Unix(1e9, 0).UTC().Format("Jan 2006")+`"`)

	t.Setenv("SOURCE_DATE_EPOCH", "today")
	assert.Equal(t, 1, d.run("man"))
	assert.Contains(t, d.err.String(), "give whole seconds since 1970")
	t.Setenv("SOURCE_DATE_EPOCH", "")
	for _, test := range []struct{ args, says string }{
		{"man nosuch", `there is no command "nosuch"`},
		{"man settings more", `there is no command "settings more"`},
		{"man --dir " + filepath.Join(t.TempDir(), "gone"), "can't be written (no such file"},
		{"man card --dir .", "leave out card"},
	} {
		assert.Equal(t, 1, d.run(strings.Fields(test.args)...), test.args)
		assert.Contains(t, d.err.String(), test.says)
	}
}

// completed are what a shell is offered at the end of a command line.
func (d *desk) completed(args ...string) []string {
	d.t.Helper()
	require.Zero(d.t, d.run(append([]string{"__complete"}, args...)...), d.err.String())
	lines := strings.Split(strings.TrimSpace(d.out.String()), "\n")
	return lines[:len(lines)-1] // without the directive
}

func TestCompletion(t *testing.T) {
	d := newDesk(t)
	gone := filepath.Join(d.data, "gone")
	require.Zero(t, d.e.run([]string{"--data", gone, "__complete", "card", ""}))
	assert.NoDirExists(t, gone, "nothing is made by asking")

	path := filepath.Join(t.TempDir(), "day.jsonl")
	for i, id := range []string{"first", "second"} {
		require.NoError(t, os.WriteFile(path, []byte(plainService(id, "Ines", i, 2, true)), 0o600))
		require.Zero(t, d.run("import", path), d.err.String())
	}
	root := d.e.root()
	for name := range takesServices {
		got := d.completed(name, "")
		require.Len(t, got, 2, name)
		assert.Regexp(t, "^second\t2026-03-03 .*June L\\.$", got[0], name)
		assert.Regexp(t, "^first\t", got[1], name)
		c, _, err := root.Find([]string{name})
		require.NoError(t, err)
		assert.Equal(t, name, c.Name())
	}
	assert.Len(t, d.completed("compare", "first", ""), 1, "not with itself")
	assert.Empty(t, d.completed("card", "first", ""))
	assert.Len(t, d.completed("replay", "first", "--beside", ""), 2)

	var lists []string
	for _, l := range template.Builtin() {
		lists = append(lists, l.Name)
	}
	assert.ElementsMatch(t, lists, d.completed("practice", "--zones", ""))
	assert.ElementsMatch(t, lists, d.completed("starter", ""))
	assert.Contains(t, d.completed("man", ""), "settings")
	assert.Empty(t, d.completed("list", ""))

	for command, flags := range words {
		for flag, values := range flags {
			assert.Equal(t, values, d.completed(command, "--"+flag, ""), command)
			for _, value := range values {
				switch command {
				case "settings":
					assert.Zero(t, d.run(command, "--"+flag, value), value)
				case "reaction":
					assert.Zero(t, d.run(command, "first", "sore", "--"+flag, value), value)
				case "mix":
					assert.Zero(t, d.run(command, "--pieces", "3", "--grams-per-piece", "8", "--ratio", "1:2", "--strength", "30 vol", "--minutes-per-piece", "2", "--life", "45m", "--"+flag, value), value)
				default:
					assert.Zero(t, d.run(command, "first", "--"+flag, value), value)
				}
			}
			if flag == "format" {
				c, _, err := root.Find([]string{command})
				require.NoError(t, err)
				said, _, _ := strings.Cut(c.Flags().Lookup(flag).Usage, " (")
				assert.Equal(t, strings.Split(strings.ReplaceAll(said, " or ", ", "), ", "), values, "%s: as its help has it", command)
				assert.Equal(t, 1, d.run(command, "first", "--format", "none"), command)
			}
		}
	}
	for _, shell := range []string{"bash", "zsh", "fish", "powershell"} {
		require.Zero(t, d.run("completion", shell))
		assert.Contains(t, d.out.String(), "__complete", shell)
	}
}
