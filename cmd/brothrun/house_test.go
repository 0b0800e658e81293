package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
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
// export → timeline → stock → stock/*, the rooms under stock know those that everyone
// knows, a few know thermo and packing, and none knows another but the joiners: settle
// makes of the files what stock plans, loading is with what stock chooses jars and loads
// for one canner, and ask and whatif ask stock. timeline/ical is calendar files to
// export and timeline/busy, timeline/busy hands cmd the bookings of timeline, and
// export/text knows nobody. cmd/brothrun/order is for all that stands under cmd.
func mayImport(room, other string) bool {
	under := func(dir string) bool { return other == dir || strings.HasPrefix(other, dir+"/") }
	everyones := slices.Contains([]string{"stock/fault", "stock/quantity", "stock/remark"}, other)
	asking := other == "stock/ask" || other == "stock/whatif"
	switch {
	case slices.Contains([]string{"stock/fault", "stock/quantity", "stock/remark"}, room):
		return false
	case room == "stock/thermo" || room == "stock/packing":
		return everyones
	case room == "stock/ask" || room == "stock/whatif":
		return under("stock") && !asking
	case room == "stock" || room == "stock/settle":
		return under("stock") && !asking && other != "stock" && other != "stock/history"
	case room == "stock/loading" && other == "stock/canner":
		return true
	case room == "stock/history":
		return everyones || slices.Contains([]string{"stock/settle", "stock/kettle", "stock/canner", "stock/record"}, other)
	case room == "stock/record" && other == "stock/runfile":
		return true
	case strings.HasPrefix(room, "stock/"):
		return everyones || other == "stock/thermo" || other == "stock/packing"
	case room == "timeline":
		return under("stock")
	case room == "timeline/ical":
		return other == "timeline"
	case room == "timeline/busy":
		return other == "timeline" || other == "timeline/ical"
	case room == "export/text":
		return false
	case room == "export/page" && other == "export/words":
		return true
	case strings.HasPrefix(room, "export/"):
		return under("stock") || other == "timeline"
	case room == "export":
		return under("stock") || other == "timeline" || other == "timeline/ical" || under("export")
	case room == "cmd/brothrun/order":
		return under("stock") || under("timeline") || under("export")
	case room == "cmd/brothrun" && other == "cmd/brothrun/serve":
		return true
	case room == "cmd/brothrun-site/wasm" && other == "cmd/brothrun/answer":
		return true
	case strings.HasPrefix(room, "cmd/"):
		return under("stock") || under("timeline") || under("export") || other == "cmd/brothrun/order"
	}
	return false
}

func TestImportsGoOneWay(t *testing.T) {
	sources(t, func(room, file string, syntax *ast.File) {
		for _, spec := range syntax.Imports {
			imported, err := strconv.Unquote(spec.Path.Value)
			require.NoError(t, err)
			if imported == "github.com/arran4/golang-ical" {
				assert.Equal(t, "timeline/ical", room, "only timeline/ical knows the calendar library, not %s", file)
			}
			if other, ours := strings.CutPrefix(imported, module); ours {
				assert.True(t, mayImport(room, other), "%s imports %s: the way is cmd → export → timeline → stock → stock/*", file, imported)
			}
		}
	})
}

// Nothing under stock or timeline looks up, its tests neither: they ask for codes, kinds
// and facts, and how those are said is tested in export/words.
func TestTestsUnderStockAndTimelineLookDown(t *testing.T) {
	for room, below := range map[string]*regexp.Regexp{
		"stock":    regexp.MustCompile(`^stock(/|$)`),
		"timeline": regexp.MustCompile(`^(stock|timeline)(/|$)`),
	} {
		seen := 0
		err := filepath.WalkDir(filepath.Join(root, room), func(name string, entry fs.DirEntry, err error) error {
			if err != nil || !strings.HasSuffix(name, "_test.go") {
				return err
			}
			syntax, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ImportsOnly)
			if err != nil {
				return err
			}
			seen++
			for _, spec := range syntax.Imports {
				imported, err := strconv.Unquote(spec.Path.Value)
				require.NoError(t, err)
				other, ours := strings.CutPrefix(imported, module)
				assert.True(t, !ours || below.MatchString(other), "%s imports %s", name, imported)
			}
			return nil
		})
		require.NoError(t, err)
		require.Greater(t, seen, 15, "the walk must see the tests")
	}
}

// The rule above has teeth.
func TestImportRuleForbids(t *testing.T) {
	for _, pair := range [][2]string{
		{"stock", "timeline"}, {"stock", "stock/whatif"}, {"stock", "stock/ask"}, {"stock/settle", "stock"}, {"stock/settle", "stock/ask"},
		{"stock", "stock/history"}, {"stock/kettle", "stock/history"}, {"stock/history", "stock"}, {"stock/history", "stock/jar"},
		{"stock/ask", "stock/whatif"}, {"stock/whatif", "stock/ask"}, {"stock/ask", "timeline"}, {"stock/jar", "stock/settle"}, {"stock/remark", "stock/process"},
		{"stock/jar", "stock/canner"}, {"stock/jar", "stock"}, {"timeline", "export"},
		{"timeline", "timeline/busy"}, {"timeline", "timeline/ical"}, {"timeline/ical", "timeline/busy"}, {"timeline/busy", "stock"}, {"export", "timeline/busy"},
		{"export", "cmd/brothrun"}, {"stock/quantity", "stock/thermo"}, {"stock/thermo", "stock/packing"},
		{"stock/fault", "stock/quantity"}, {"export/text", "stock/fault"},
		{"export/text", "stock/quantity"}, {"export/words", "export"}, {"timeline", "export/words"},
		{"stock/loading", "stock/jar"}, {"stock/loading", "stock/process"}, {"stock/canner", "stock/loading"},
		{"cmd/brothrun/order", "cmd/brothrun"}, {"cmd/brothrun/order", "cmd/brothrun/serve"}, {"export", "cmd/brothrun/order"},
	} {
		assert.False(t, mayImport(pair[0], pair[1]), "%s must not import %s", pair[0], pair[1])
	}
	for _, pair := range [][2]string{
		{"stock/kettle", "stock/thermo"}, {"stock/thermo", "stock/quantity"}, {"stock/kettle", "stock/fault"},
		{"stock/process", "stock/remark"}, {"stock", "stock/settle"}, {"stock/settle", "stock/chill"}, {"stock/ask", "stock"},
		{"stock/whatif", "stock"}, {"cmd/brothrun", "timeline/busy"}, {"timeline/busy", "timeline"},
		{"cmd/brothrun", "cmd/brothrun/order"}, {"cmd/brothrun/order", "timeline/busy"},
	} {
		assert.True(t, mayImport(pair[0], pair[1]), "%s may import %s", pair[0], pair[1])
	}
}

// pure is what computing rooms may import besides ours: nothing that reaches the
// clock, files, the environment, the network, standard output or chance.
var pure = strings.Fields(`bytes cmp embed errors fmt io iter maps math math/bits math/rand/v2 reflect regexp slices
	sort strconv strings sync time unicode unicode/utf8
	github.com/agnivade/levenshtein github.com/arran4/golang-ical github.com/pelletier/go-toml/v2
	github.com/teambition/rrule-go`)

// impure is what they may not use of packages that are pure otherwise.
var impure = map[string][]string{
	"time": {"Now", "Since", "Until", "Local", "Sleep", "After", "AfterFunc", "Tick", "NewTicker", "NewTimer"},
	"fmt":  {"Print", "Println", "Printf", "Scan", "Scanln", "Scanf"},

	"path/filepath": {"Abs", "EvalSymlinks", "Glob", "Walk", "WalkDir"},
}

// seeded is all that they may use of chance: numbers that are the same each time.
var seeded = []string{"New", "NewPCG", "Rand"}

// impurities finds what a file of a computing room uses that it may not.
func impurities(syntax *ast.File) []string {
	var found []string
	packages := map[string]string{} // by their local names
	for _, spec := range syntax.Imports {
		imported, _ := strconv.Unquote(spec.Path.Value)
		name := path.Base(imported)
		if name == "v2" {
			name = path.Base(path.Dir(imported))
		}
		if spec.Name != nil {
			name = spec.Name.Name
		}
		packages[name] = imported
		if !strings.HasPrefix(imported, module) && !slices.Contains(pure, imported) {
			found = append(found, imported)
		}
		if name == "." {
			found = append(found, "names of "+imported+" without its own")
		}
	}
	ast.Inspect(syntax, func(node ast.Node) bool {
		switch node := node.(type) {
		case *ast.CallExpr:
			if of, ok := node.Fun.(*ast.Ident); ok && (of.Name == "print" || of.Name == "println") {
				found = append(found, of.Name)
			}
		case *ast.SelectorExpr:
			imported, name := "", node.Sel.Name
			if of, ok := node.X.(*ast.Ident); ok {
				imported = packages[of.Name]
			}
			if slices.Contains(impure[imported], name) || imported == "math/rand/v2" && !slices.Contains(seeded, name) || imported == "" && name == "Local" {
				found = append(found, imported+"."+name)
			}
		}
		return true
	})
	return found
}

func TestStockAndTimelineArePure(t *testing.T) {
	sources(t, func(room, file string, syntax *ast.File) {
		if room == "timeline" || strings.HasPrefix(room, "timeline/") || room == "stock" || strings.HasPrefix(room, "stock/") {
			assert.Empty(t, impurities(syntax), "%s: computing rooms are pure", file)
		}
	})
}

// Orders are taken where there are no files too: what an order is given comes with its
// machine. The names of files are texts to it.
func TestOrderIsGivenFilesAndClock(t *testing.T) {
	seen := 0
	sources(t, func(room, file string, syntax *ast.File) {
		if room == "cmd/brothrun/order" {
			found := slices.DeleteFunc(impurities(syntax), func(name string) bool { return name == "io/fs" || name == "path/filepath" })
			assert.Empty(t, found, "%s: files, clock and environment are given", file)
			seen++
		}
	})
	assert.Positive(t, seen)
}

// The rule above has teeth, whatever an impure thing is called.
func TestPurityRuleForbids(t *testing.T) {
	for _, row := range []struct{ imports, body string }{
		{`"time"`, `_ = time.Now()`},
		{`"time"`, `clock := time.Now; _ = clock()`},
		{`clock "time"`, `_ = clock.Now()`},
		{`. "time"`, `_ = Now()`},
		{`"time"`, `_ = time.Since(time.Time{})`},
		{`"time"`, `_ = time.Until(time.Time{})`},
		{`"time"`, `<-time.After(1)`},
		{`"time"`, `time.AfterFunc(1, nil)`},
		{`"time"`, `_ = time.NewTicker(1)`},
		{`"time"`, `_ = time.Time{}.In(time.Local)`},
		{`"time"`, `_ = time.Time{}.Local()`},
		{`"math/rand"`, `_ = rand.Int()`},
		{`"math/rand/v2"`, `_ = rand.Int()`},
		{`"math/rand/v2"`, `_ = rand.N(7)`},
		{`chance "math/rand/v2"`, `_ = chance.Float64()`},
		{`"crypto/rand"`, `_ = rand.Text()`},
		{`"github.com/google/uuid"`, `_ = uuid.New()`},
		{`"os"`, `_ = os.Args`},
		{`"os/exec"`, `_ = exec.Command`},
		{`"io/ioutil"`, `_ = ioutil.ReadFile`},
		{`"path/filepath"`, `_ = filepath.Glob`},
		{`"syscall"`, `_ = syscall.Getpid`},
		{`"unsafe"`, `_ = unsafe.Sizeof(1)`},
		{`"runtime"`, `_ = runtime.NumCPU()`},
		{`"net"`, `_ = net.Dial`},
		{`"net/http"`, `_ = http.Get`},
		{`"log"`, `log.Print()`},
		{`"log/slog"`, `slog.Info("")`},
		{`"fmt"`, `fmt.Println()`},
		{`_ "embed"`, `println()`},
	} {
		source := "package room\nimport " + row.imports + "\nfunc f() { " + row.body + " }"
		syntax, err := parser.ParseFile(token.NewFileSet(), "room.go", source, 0)
		require.NoError(t, err, source)
		assert.NotEmpty(t, impurities(syntax), source)
	}
	// What is the same each time is allowed.
	syntax, err := parser.ParseFile(token.NewFileSet(), "room.go", `package room
		import ("fmt"; "math/rand/v2"; "time")
		func f(fmt.Stringer) { _, _, _ = rand.New(rand.NewPCG(1, 2)), fmt.Sprint(time.UTC), time.Unix(0, 0) }`, 0)
	require.NoError(t, err)
	assert.Empty(t, impurities(syntax))
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

// sentences are the strings of a file that have three words or more, where they are not
// the reason or hint of a fault of input, an error, where a figure comes from, a tag or
// the path of an import.
func sentences(syntax *ast.File) (found []string) {
	ast.Inspect(syntax, func(node ast.Node) bool {
		switch node := node.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.Field:
			node.Tag = nil
		case *ast.FuncDecl:
			return node.Name.Name != "Sources"
		case *ast.CallExpr:
			of, _ := node.Fun.(*ast.SelectorExpr)
			return of == nil || nameOf(of.X) != "fault" && !slices.Contains([]string{"Errorf", "New"}, of.Sel.Name)
		case *ast.CompositeLit:
			return nameOf(node.Type) != "Fault"
		case *ast.KeyValueExpr:
			return !slices.Contains([]string{"Source", "Why"}, nameOf(node.Key))
		case *ast.BasicLit:
			text, err := strconv.Unquote(node.Value)
			if err == nil && node.Kind == token.STRING && len(spelled.FindAllString(verbs.ReplaceAllString(text, " "), -1)) >= 3 {
				found = append(found, text)
			}
		}
		return true
	})
	return found
}

var (
	spelled = regexp.MustCompile(`(^|[\s"(])[\p{L}']{2,}`)
	verbs   = regexp.MustCompile(`%[-+# 0-9.\[\]]*[a-zA-Z]`)
)

// nameOf is the last part of a name.
func nameOf(node ast.Expr) string {
	switch node := node.(type) {
	case *ast.Ident:
		return node.Name
	case *ast.SelectorExpr:
		return node.Sel.Name
	}
	return ""
}

// silent are the rooms that hand over codes and facts: what a cook reads of them is
// said in export/words. The rooms that are not here give reasons of faults and sources
// of figures.
var silent = []string{"stock", "stock/ask", "stock/freezedry", "stock/jar", "stock/loading", "stock/packing", "stock/process", "stock/remark", "stock/settle",
	"stock/whatif", "timeline"}

// saidStill is what is still said in them, by file.
var saidStill = map[string][]string{
	"stock/holding.go": {"in the fridge"}, // a key of the JSON form
	"stock/whatif/levers.go": {"half an hour", "topped up to the level", "water up to the fill line", "pot filled to %.0f %%",
		"quarts, then pints", "pints, then quarts", "one more rack"},
}

func TestNoSentences(t *testing.T) {
	still := map[string][]string{}
	sources(t, func(room, file string, syntax *ast.File) {
		if said := sentences(syntax); len(said) > 0 && slices.Contains(silent, room) {
			name, err := filepath.Rel(root, file)
			require.NoError(t, err)
			still[filepath.ToSlash(name)] = said
		}
	})
	assert.Equal(t, saidStill, still, "what a cook reads stands in export/words; saidStill is what has to be moved, and gets no longer")
}

// The rule above has teeth.
func TestSentenceRuleForbids(t *testing.T) {
	for body, want := range map[string]int{
		`warn("the pot boils dry")`: 1, `Note{Text: "the pot boils dry"}`: 1, "_ = `take %v of water`": 1, `_ = "the " + "pot boils dry"`: 1,
		`_ = fmt.Sprintf("%d of %s left over", 1, "a")`: 1, `_ = "of %s, %d left"`: 0, `_ = "ice-bath-stirred"`: 0,
		`_ = &Fault{Reason: "the pot is not given"}`: 0, `_ = fault.Misfit("pot", "", "the pot is not given")`: 0, `_ = fmt.Errorf("the pot is not given")`: 0,
		`_ = holding{Source: "common practice, no source"}`: 0,
	} {
		syntax, err := parser.ParseFile(token.NewFileSet(), "room.go", "package room\nfunc f() { "+body+" }", 0)
		require.NoError(t, err, body)
		assert.Len(t, sentences(syntax), want, body)
	}
}
