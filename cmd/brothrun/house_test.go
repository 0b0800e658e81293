package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	module = "brothrun/"
	root   = "../.."
)

// sources parses every non-test Go file below the repository's root and calls
// visit with its package's path in the module, such as "stock/jar".
func sources(t *testing.T, visit func(room, file string, syntax *ast.File)) {
	t.Helper()
	seen := 0
	err := filepath.WalkDir(root, func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() && (entry.Name() == "testdata" || strings.HasPrefix(entry.Name(), ".") && len(entry.Name()) > 2) {
			return fs.SkipDir
		}
		if !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return nil
		}
		syntax, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			return err
		}
		room, err := filepath.Rel(root, filepath.Dir(name))
		if err != nil {
			return err
		}
		seen++
		visit(filepath.ToSlash(room), name, syntax)
		return nil
	})
	require.NoError(t, err)
	require.Greater(t, seen, 20, "the walk must see the house")
}

// mayImport says which rooms of the house a room may use: the way is cmd →
// export → timeline → stock → stock/*, the rooms under stock know quantity,
// thermo and packing and nothing of one another, and timeline/busy hands cmd the
// bookings of timeline.
func mayImport(room, other string) bool {
	under := func(dir string) bool { return other == dir || strings.HasPrefix(other, dir+"/") }
	switch {
	case room == "stock/quantity":
		return false
	case room == "stock/thermo" || room == "stock/packing":
		return other == "stock/quantity"
	case strings.HasPrefix(room, "stock/"):
		return other == "stock/quantity" || other == "stock/thermo" || other == "stock/packing"
	case room == "stock":
		return strings.HasPrefix(other, "stock/")
	case room == "timeline":
		return under("stock")
	case room == "timeline/busy":
		return other == "timeline"
	case room == "export" || strings.HasPrefix(room, "export/"):
		return under("stock") || other == "timeline"
	case strings.HasPrefix(room, "cmd/"):
		return under("stock") || under("timeline") || under("export")
	}
	return false
}

func TestImportsGoOneWay(t *testing.T) {
	sources(t, func(room, file string, syntax *ast.File) {
		for _, spec := range syntax.Imports {
			imported, err := strconv.Unquote(spec.Path.Value)
			require.NoError(t, err)
			if other, ours := strings.CutPrefix(imported, module); ours {
				assert.True(t, mayImport(room, other), "%s imports %s: the way is cmd → export → timeline → stock → stock/*", file, imported)
			}
		}
	})
}

// The rule above has teeth.
func TestImportRuleForbids(t *testing.T) {
	for _, pair := range [][2]string{
		{"stock", "timeline"}, {"stock/jar", "stock/canner"}, {"stock/jar", "stock"}, {"timeline", "export"},
		{"timeline", "timeline/busy"}, {"timeline/busy", "stock"}, {"export", "timeline/busy"},
		{"export", "cmd/brothrun"}, {"stock/quantity", "stock/thermo"}, {"stock/thermo", "stock/packing"},
	} {
		assert.False(t, mayImport(pair[0], pair[1]), "%s must not import %s", pair[0], pair[1])
	}
	assert.True(t, mayImport("stock/kettle", "stock/thermo"))
	assert.True(t, mayImport("cmd/brothrun", "timeline/busy") && mayImport("timeline/busy", "timeline"))
}

// impure is what computing rooms may not touch: the clock, files, the
// environment, standard output and unseeded randomness.
var impure = map[string][]string{
	"time":         {"Now", "Since", "Until", "Local", "Sleep", "After", "Tick", "NewTimer"},
	"os":           {"*"},
	"math/rand":    {"*"},
	"math/rand/v2": {"*"},
	"fmt":          {"Print", "Println", "Printf", "Scan", "Scanln", "Scanf"},
	"log":          {"*"},
	"net":          {"*"},
	"net/http":     {"*"},
}

func TestStockAndTimelineArePure(t *testing.T) {
	sources(t, func(room, file string, syntax *ast.File) {
		if room != "timeline" && room != "timeline/busy" && room != "stock" && !strings.HasPrefix(room, "stock/") {
			return
		}
		names := map[string][]string{} // local name of an import → what is forbidden of it
		for _, spec := range syntax.Imports {
			imported, _ := strconv.Unquote(spec.Path.Value)
			if forbidden, listed := impure[imported]; listed {
				name := path.Base(imported)
				if spec.Name != nil {
					name = spec.Name.Name
				}
				names[name] = forbidden
			}
		}
		ast.Inspect(syntax, func(node ast.Node) bool {
			selector, ok := node.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			if of, ok := selector.X.(*ast.Ident); ok {
				for _, name := range names[of.Name] {
					assert.False(t, name == "*" || name == selector.Sel.Name, "%s uses %s.%s; computing rooms are pure", file, of.Name, selector.Sel.Name)
				}
			}
			return true
		})
	})
}

func TestTopLevelIsWhatWasAsked(t *testing.T) {
	entries, err := os.ReadDir(root)
	require.NoError(t, err)
	var names []string
	for _, entry := range entries {
		if !strings.HasPrefix(entry.Name(), ".") {
			names = append(names, entry.Name())
		}
	}
	assert.Equal(t, []string{"DEVELOPERS.md", "README.md", "cmd", "export", "go.mod", "go.sum", "stock", "testdata", "timeline"}, names)
}
