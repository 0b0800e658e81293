package timeline

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// faultFuncs make the reasons of input faults, which may be sentences.
var faultFuncs = map[string]bool{"errors.New": true, "fmt.Errorf": true, "fault.New": true}

// sentences finds the strings of a file with three words or more, but for import
// paths, struct tags and the reasons of input faults.
func sentences(file *ast.File) (found []string) {
	ast.Inspect(file, func(node ast.Node) bool {
		switch node := node.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.Field:
			return node.Tag == nil
		case *ast.CallExpr:
			if of, ok := node.Fun.(*ast.SelectorExpr); ok {
				if room, ok := of.X.(*ast.Ident); ok && faultFuncs[room.Name+"."+of.Sel.Name] {
					return false
				}
			}
		case *ast.BasicLit:
			if text, err := strconv.Unquote(node.Value); err == nil && node.Kind == token.STRING && len(strings.Fields(text)) >= 3 {
				found = append(found, text)
			}
		}
		return true
	})
	return found
}

// What a cook reads is worded in export/words, of codes and facts.
func TestNoSentences(t *testing.T) {
	entries, err := os.ReadDir(".")
	require.NoError(t, err)
	read := 0
	for _, entry := range entries {
		if name := entry.Name(); strings.HasSuffix(name, ".go") && !strings.HasSuffix(name, "_test.go") {
			file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
			require.NoError(t, err)
			assert.Empty(t, sentences(file), "%s: sentences belong into export/words", name)
			read++
		}
	}
	assert.Greater(t, read, 10)
}

// The rule above has teeth.
func TestTheRuleAgainstSentencesForbids(t *testing.T) {
	for body, forbidden := range map[string]bool{
		`const a = "the broth keeps 3 days"`:                       true,
		`var a = "the broth " + "keeps for long"`:                  true,
		"var a = fmt.Sprintf(`wait for %s`, b)":                    true,
		`var a = errors.New("give a start or an end")`:             false,
		`var a = fmt.Errorf("%d runs: must be from 1 to 20", 3)`:   false,
		`type a struct { b int "json tag of three" }`:              false,
		`const a, b = "load-1", "and more"`:                        false,
		`var a = errors.Join(errors.New(b), c("one, two, three"))`: true,
	} {
		file, err := parser.ParseFile(token.NewFileSet(), "", "package p\n"+body, 0)
		require.NoError(t, err, body)
		assert.Equal(t, forbidden, len(sentences(file)) > 0, body)
	}
}
