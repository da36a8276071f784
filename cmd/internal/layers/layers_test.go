// Package layers has no code: its test holds the packages to their layers.
package layers

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const root = "../../.."

// eachFile parses every Go file below a folder that is no test.
func eachFile(t *testing.T, folder string, visit func(path string, file *ast.File)) {
	t.Helper()
	n := 0
	require.NoError(t, filepath.WalkDir(filepath.Join(root, folder), func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		n++
		visit(path, file)
		return nil
	}))
	require.NotZero(t, n, "no files below %s", folder)
}

func TestImportsPointDown(t *testing.T) {
	for folder, forbidden := range map[string][]string{
		"timing":  {"rinseby/session", "rinseby/tui", "rinseby/cmd", "github.com/charmbracelet"},
		"session": {"rinseby/tui", "rinseby/cmd", "github.com/charmbracelet"},
		"tui":     {"rinseby/cmd"},
	} {
		eachFile(t, folder, func(path string, file *ast.File) {
			for _, i := range file.Imports {
				name, err := strconv.Unquote(i.Path.Value)
				require.NoError(t, err)
				for _, f := range forbidden {
					if name == f || strings.HasPrefix(name, f+"/") {
						t.Errorf("%s imports %s, which is a layer above it", path, name)
					}
				}
			}
		})
	}
}

func TestPureLayersReadNoClock(t *testing.T) {
	for _, folder := range []string{"timing", "session", "tui"} {
		eachFile(t, folder, func(path string, file *ast.File) {
			ast.Inspect(file, func(n ast.Node) bool {
				s, ok := n.(*ast.SelectorExpr)
				if !ok {
					return true
				}
				if x, ok := s.X.(*ast.Ident); ok && x.Name == "time" {
					switch s.Sel.Name {
					case "Now", "Since", "Until":
						t.Errorf("%s calls time.%s: take the moment as an argument", path, s.Sel.Name)
					}
				}
				return true
			})
		})
	}
}
