package form_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rinseby/tui/clean"
	"rinseby/tui/form"
)

// mostHelp is two lines of 120 cells and a bit.
const mostHelp = 250

func TestEveryFieldSaysWhatItIs(t *testing.T) {
	for name, make := range every(t) {
		for _, fd := range form.FieldsOf(make()) {
			what := name + ": " + fd.Name
			assert.NotEmpty(t, fd.Help, what)
			assert.NotEqual(t, fd.Name, fd.Help, what)
			assert.LessOrEqual(t, len(fd.Help), mostHelp, what)
			assert.True(t, strings.HasSuffix(fd.Help, "."), what)
			assert.Equal(t, clean.Text(fd.Help), fd.Help, what)
			assert.NotContains(t, fd.Help, "%!", what)
		}
	}
}

// bounds are those that a refusal names.
var bounds = regexp.MustCompile(`(?:number|one) from ([0-9.]+) to ([0-9.]+)`)

func TestHelpSaysTheBoundsOfANumber(t *testing.T) {
	numbers := 0
	for name, make := range every(t) {
		for _, fd := range form.FieldsOf(make()) {
			if strings.HasPrefix(fd.Name, "Pieces that stay") {
				continue // its bounds are those of the zone in hand
			}
			for _, typed := range []string{"x", "0", "-1"} {
				err := fd.Try(typed)
				if err == nil {
					continue
				}
				if b := bounds.FindStringSubmatch(err.Error()); b != nil {
					numbers++
					assert.Regexp(t, `from `+regexp.QuoteMeta(b[1])+`( \(black\))? to `+regexp.QuoteMeta(b[2]), fd.Help, "%s: %s", name, fd.Name)
				}
			}
		}
	}
	assert.Greater(t, numbers, 20)
}

// TestEveryFormIsAmongThoseTested finds forms that no test of all forms would
// see.
func TestEveryFormIsAmongThoseTested(t *testing.T) {
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	driven, err := parser.ParseFile(token.NewFileSet(), "drive_test.go", nil, 0)
	require.NoError(t, err)
	made := map[string]bool{}
	ast.Inspect(driven, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok {
			made[s.Sel.Name] = true
		}
		return true
	})
	forms := 0
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		require.NoError(t, err)
		for _, d := range file.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok || !fn.Name.IsExported() || fn.Recv != nil || fn.Type.Results == nil {
				continue
			}
			if star, ok := fn.Type.Results.List[0].Type.(*ast.StarExpr); ok && star.X.(*ast.Ident).Name == "Form" {
				forms++
				assert.True(t, made[fn.Name.Name], "%s is to be made in every, in drive_test.go", fn.Name.Name)
			}
		}
	}
	assert.Greater(t, forms, 25)
}

func TestTheFieldInHandIsHelpedWith(t *testing.T) {
	f := every(t)["consult"]()
	helps, at := f.Helps()
	require.Len(t, helps, 3)
	assert.Zero(t, at)
	press(t, f, "enter", "enter", "enter")
	helps, at = f.Helps()
	require.Len(t, helps, 6)
	assert.Zero(t, at)
	assert.Contains(t, helps[0], "Regrowth, mm: Regrowth is the natural hair that has grown out")
	assert.Contains(t, helps[0], "from 0 to 1000 mm")
	press(t, f, "enter")
	_, at = f.Helps()
	assert.Equal(t, 1, at)
	assert.Contains(t, f.Question().Help, "short, medium or long")
}
