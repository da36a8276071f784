package layers

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/printer"
	"go/token"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// most is how long a wait may be that is not on the list: a computer that
// sleeps stops timers, so that a longer one would come too late, and what is
// shown must be right within a second or two of waking.
const most = 5 * time.Second

// waits are the functions that wait, and which of their arguments says how
// long.
var waits = map[string]int{
	"time.After": 0, "time.Sleep": 0, "time.NewTimer": 0, "time.NewTicker": 0, "time.Tick": 0, "time.AfterFunc": 0,
	"context.WithTimeout": 1, "context.WithDeadline": 1, "context.WithTimeoutCause": 1, "tea.Tick": 0, "tea.Every": 0,
}

// allowed are the waits whose length the code does not say where it waits, and
// those that are longer, each with the reason why that does no harm.
var allowed = map[string]string{
	"cmd/rinseby/alert.go: a.limit":                "30 s: only ends a command of the user's that hangs; in sleep that stands still too",
	"cmd/internal/steady/steady.go: r.Patience":    "3 s: only ends a program that hangs",
	"cmd/internal/screentest/wait.go: x.limit":     "20 s: tests only",
	"cmd/internal/screentest/terminal.go: x.limit": "20 s: tests only",
	"tui/app.go: a.o.Tick":                         "at most a second: 100 ms in a replay, 10 to 100 ms in practice, else a second",
	"session/store/watch_live.go: w.poll":          "2 s, unless tests give another",
}

// A source is one file of code.
type source struct {
	name string
	*ast.File
}

// sources is the code of a folder by the package's own folder.
func sources(t *testing.T, folder string) map[string][]source {
	packages := map[string][]source{}
	eachFile(t, folder, func(path string, file *ast.File) {
		name, err := filepath.Rel(root, path)
		require.NoError(t, err)
		dir := filepath.ToSlash(filepath.Dir(name))
		packages[dir] = append(packages[dir], source{filepath.Base(name), file})
	})
	return packages
}

// A wait is a place where code waits.
type wait struct {
	at    string        // file and how long, as the code has it
	long  time.Duration // if known
	known bool
}

// findWaits lists where the files of one package wait.
func findWaits(dir string, files []source) (all []wait) {
	constants := map[string]ast.Expr{}
	for _, f := range files {
		ast.Inspect(f.File, func(n ast.Node) bool {
			if v, ok := n.(*ast.ValueSpec); ok {
				for i, name := range v.Names {
					if i < len(v.Values) {
						constants[name.Name] = v.Values[i]
					}
				}
			}
			return true
		})
	}
	for _, f := range files {
		ast.Inspect(f.File, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			if i, ok := waits[text(call.Fun)]; ok && i < len(call.Args) {
				long, known := evaluate(call.Args[i], constants, 0)
				all = append(all, wait{fmt.Sprintf("%s/%s: %s", dir, f.name, text(call.Args[i])), long, known})
			}
			return true
		})
	}
	return all
}

func text(e ast.Expr) string {
	var b bytes.Buffer
	_ = printer.Fprint(&b, token.NewFileSet(), e)
	return b.String()
}

// units are the lengths of package time.
var units = map[string]time.Duration{
	"time.Nanosecond": 1, "time.Microsecond": time.Microsecond, "time.Millisecond": time.Millisecond,
	"time.Second": time.Second, "time.Minute": time.Minute, "time.Hour": time.Hour,
}

// evaluate works out a length that is made of constants.
func evaluate(e ast.Expr, constants map[string]ast.Expr, deep int) (time.Duration, bool) {
	switch e := e.(type) {
	case *ast.BasicLit:
		n, err := strconv.ParseInt(e.Value, 0, 64)
		return time.Duration(n), err == nil
	case *ast.ParenExpr:
		return evaluate(e.X, constants, deep)
	case *ast.SelectorExpr:
		d, ok := units[text(e)]
		return d, ok
	case *ast.Ident:
		if c := constants[e.Name]; c != nil && deep < 10 {
			return evaluate(c, constants, deep+1)
		}
	case *ast.BinaryExpr:
		x, okX := evaluate(e.X, constants, deep)
		y, okY := evaluate(e.Y, constants, deep)
		switch {
		case !okX || !okY:
		case e.Op == token.MUL:
			return x * y, true
		case e.Op == token.QUO && y != 0:
			return x / y, true
		case e.Op == token.ADD:
			return x + y, true
		}
	}
	return 0, false
}

// TestNothingWaitsLong holds every wait of the program to some seconds, or to
// the list.
func TestNothingWaitsLong(t *testing.T) {
	seen := map[string]bool{}
	for _, folder := range []string{"cmd", "tui", "session", "timing"} {
		for dir, files := range sources(t, folder) {
			for _, w := range findWaits(dir, files) {
				seen[w.at] = true
				if _, ok := allowed[w.at]; !ok {
					assert.True(t, w.known, "%s: how long is that? Wait for some seconds, or put it on the list", w.at)
					assert.LessOrEqual(t, w.long, most, "%s: look at the clocks again and again rather than wait for long", w.at)
				}
			}
		}
	}
	for at := range allowed {
		assert.True(t, seen[at], "%s is on the list, but nothing waits there", at)
	}
	assert.Greater(t, len(seen), len(allowed), "waits of known length are found too")
}

// parsed is a file of code that is made up.
func parsed(t *testing.T, body string) []source {
	f, err := parser.ParseFile(token.NewFileSet(), "made.go", "package made\n"+body, parser.SkipObjectResolution)
	require.NoError(t, err)
	return []source{{"made.go", f}}
}

func TestLongWaitsAreFound(t *testing.T) {
	for body, want := range map[string]wait{
		"func f() { <-time.After(40 * time.Minute) }":                                     {"made/made.go: 40 * time.Minute", 40 * time.Minute, true},
		"const limit = 2 * (time.Hour + time.Minute)\nfunc f() { time.Sleep(limit / 2) }": {"made/made.go: limit / 2", 61 * time.Minute, true},
		"func f(d time.Duration) { _ = time.NewTimer(d) }":                                {"made/made.go: d", 0, false},
		"func f() tea.Cmd { return tea.Tick(time.Hour, nil) }":                            {"made/made.go: time.Hour", time.Hour, true},
		"func f() { context.WithTimeout(ctx, 90*time.Second) }":                           {"made/made.go: 90 * time.Second", 90 * time.Second, true},
	} {
		assert.Equal(t, []wait{want}, findWaits("made", parsed(t, body)), body)
	}
}

// guardedStarts are the places that start a goroutine, and why a panic there
// does not leave the terminal in disorder.
var guardedStarts = map[string]string{
	"cmd/internal/steady/steady.go: go func":           "runs what it is given by tui.Catch; the program's own loop, which catches by itself; sends",
	"cmd/internal/steady/steady.go: go r.program.Send": "sends a message",
	"session/store/watch.go: go run":                   "only where nobody gives WatchOptions.Go; the screens do",
	"session/store/summary.go: wait.Go":                "a panic is caught, and is one of the caller",
	"cmd/internal/screentest/terminal.go: go x.show":   "tests only",
	"cmd/internal/screentest/terminal.go: go x.answer": "tests only",
	"cmd/internal/screentest/terminal.go: go x.reap":   "tests only",
	"cmd/internal/steady/testprog/main.go: go f":       "the control: not guarded",
}

// findStarts lists where files start goroutines.
func findStarts(dir string, files []source) (all []string) {
	for _, f := range files {
		ast.Inspect(f.File, func(n ast.Node) bool {
			what := ""
			switch n := n.(type) {
			case *ast.GoStmt:
				what = "go " + text(n.Call.Fun)
				if _, ok := n.Call.Fun.(*ast.FuncLit); ok {
					what = "go func"
				}
			case *ast.CallExpr:
				s, ok := n.Fun.(*ast.SelectorExpr)
				switch {
				case text(n.Fun) == "time.AfterFunc":
					what = "time.AfterFunc"
				case ok && s.Sel.Name == "Go" && strings.HasSuffix(text(s.X), "runner"), ok && text(s) == "r.Go", ok && text(s) == "o.Go":
				case ok && s.Sel.Name == "Go":
					what = text(s)
				}
			}
			if what != "" {
				all = append(all, fmt.Sprintf("%s/%s: %s", dir, f.name, what))
			}
			return true
		})
	}
	return all
}

// TestEveryGoroutineIsGuarded holds goroutines to the list. All others are
// commands of the screens, which the guard of the program runs.
func TestEveryGoroutineIsGuarded(t *testing.T) {
	seen := map[string]bool{}
	for _, folder := range []string{"cmd", "tui", "session", "timing"} {
		for dir, files := range sources(t, folder) {
			for _, at := range findStarts(dir, files) {
				seen[at] = true
				assert.Contains(t, guardedStarts, at, "run it by Go of the screens' runner, or by tui.Catch")
			}
		}
	}
	for at := range guardedStarts {
		assert.True(t, seen[at], "%s is on the list, but starts nothing", at)
	}
	assert.Equal(t, []string{"made/made.go: go func", "made/made.go: go work", "made/made.go: wg.Go", "made/made.go: time.AfterFunc"},
		findStarts("made", parsed(t, "func f() { go func() {}(); go work(); wg.Go(work); time.AfterFunc(1, work) }")), "others are found")
}
