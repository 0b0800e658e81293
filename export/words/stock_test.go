package words

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// codesIn are the string constants of a file, by name.
func codesIn(t *testing.T, file string) map[string]string {
	t.Helper()
	syntax, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
	require.NoError(t, err)
	codes := map[string]string{}
	ast.Inspect(syntax, func(node ast.Node) bool {
		if spec, ok := node.(*ast.ValueSpec); ok && len(spec.Values) == len(spec.Names) {
			for i, name := range spec.Names {
				if value, is := spec.Values[i].(*ast.BasicLit); is && value.Kind == token.STRING {
					codes[name.Name], err = strconv.Unquote(value.Value)
					require.NoError(t, err)
				}
			}
		}
		return true
	})
	return codes
}

// noteCall is a call of remark.Of under stock: its code, its case and how many facts it has.
type noteCall struct {
	code, in string
	facts    int
}

// noteOf reads remark.Of(remark.Code, facts ...) and the same with .In("case"); ok is false
// for what is no such call or says its case only while it runs.
func noteOf(call *ast.CallExpr, codes map[string]string) (n noteCall, ok bool) {
	if of, in := call.Fun.(*ast.SelectorExpr); in && of.Sel.Name == "In" {
		inner, is := of.X.(*ast.CallExpr)
		which, literal := call.Args[0].(*ast.BasicLit)
		if !is || !literal {
			return n, false
		}
		n, ok = noteOf(inner, codes)
		n.in, _ = strconv.Unquote(which.Value)
		return n, ok
	}
	if ofRemark(call.Fun) != "Of" || len(call.Args) == 0 || call.Ellipsis.IsValid() {
		return n, false
	}
	code := codes[ofRemark(call.Args[0])]
	return noteCall{code, "", len(call.Args) - 1}, code != ""
}

// ofRemark is the name of something of remark; empty for all else.
func ofRemark(node ast.Expr) string {
	if of, is := node.(*ast.SelectorExpr); is {
		if room, is := of.X.(*ast.Ident); is && room.Name == "remark" {
			return of.Sel.Name
		}
	}
	return ""
}

// Each note that stock, settle and ask make has a sentence that takes as many facts as it carries.
func TestEveryNoteOfStockHasWords(t *testing.T) {
	codes := codesIn(t, "../../stock/remark/codes.go")
	require.Greater(t, len(codes), 60)
	var files []string
	for _, room := range []string{".", "ask", "settle"} {
		all, err := filepath.Glob(filepath.Join("../../stock", room, "*.go"))
		require.NoError(t, err)
		files = append(files, all...)
	}
	found := 0
	inspect := func(node ast.Node) bool {
		call, is := node.(*ast.CallExpr)
		if !is {
			return true
		}
		if n, ok := noteOf(call, codes); ok {
			found++
			key := strings.TrimSuffix(n.code+"/"+n.in, "/")
			if assert.NotEmpty(t, ofStock[key], key) {
				assert.Equal(t, strings.Count(strings.ReplaceAll(ofStock[key], "%%", ""), "%"), n.facts, "%s: %s", key, ofStock[key])
			}
			return n.in == "" // the inner call is this one without its case
		}
		return true
	}
	for _, file := range files {
		if !strings.HasSuffix(file, "_test.go") {
			syntax, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
			require.NoError(t, err)
			ast.Inspect(syntax, inspect)
		}
	}
	assert.Greater(t, found, 90)
}

// Each sentence is of a code there is.
func TestEverySentenceOfStockHasItsCode(t *testing.T) {
	var codes, ofProcess []string
	for _, code := range codesIn(t, "../../stock/remark/codes.go") {
		codes = append(codes, code)
	}
	for _, file := range []string{"process.go", "strength.go"} {
		for _, code := range codesIn(t, "../../stock/process/"+file) {
			ofProcess = append(ofProcess, code)
		}
	}
	said := map[string]bool{}
	for key, sentence := range ofStock {
		code, _, _ := strings.Cut(key, "/")
		said[code] = true
		assert.True(t, slices.Contains(codes, code) || slices.Contains(ofProcess, code), key)
		for _, f := range forms {
			assert.Equal(t, 0, strings.Count(f.flags(sentence), "{")+strings.Count(f.flags(sentence), "}"), key)
		}
	}
	for _, code := range codes {
		assert.True(t, said[code], "%s has no sentence", code)
	}
}
