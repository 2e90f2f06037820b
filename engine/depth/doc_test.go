package depth_test

import (
	"go/ast"
	"go/doc"
	"go/parser"
	"go/token"
	"os"
	"regexp"
	"strings"
	"testing"
)

// said are the words by which a comment says what it is measured in.
var said = regexp.MustCompile(`\b(metres|radians|slope ratios?|decibels|dB|degrees|relative|share|factor|probability|unit|units|[a-z]+ uncertainty|chances?|ratio|sentence|languages|squares|causes|readings|0 to 1)\b|\(0\.01 is 1 %\)|\bas in \[`)

// Every exported function says in what it counts, which errors it gives, and where
// it is from; every exported type and constant says what it is.
func TestEveryNameIsExplained(t *testing.T) {
	files, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	set := token.NewFileSet()
	var parsed []*ast.File
	for _, f := range files {
		if strings.HasSuffix(f.Name(), ".go") && !strings.HasSuffix(f.Name(), "_test.go") {
			file, err := parser.ParseFile(set, f.Name(), nil, parser.ParseComments)
			if err != nil {
				t.Fatal(err)
			}
			parsed = append(parsed, file)
		}
	}
	p, err := doc.NewFromFiles(set, parsed, "firstrod/engine/depth")
	if err != nil {
		t.Fatal(err)
	}
	funcs := p.Funcs
	for _, typ := range p.Types {
		if typ.Doc == "" {
			t.Errorf("%s is not explained", typ.Name)
		}
		funcs = append(append(funcs, typ.Funcs...), typ.Methods...)
	}
	looked := 0
	for _, f := range funcs {
		if f.Name == "Error" {
			continue // the one method of every error
		}
		looked++
		name, fails := f.Recv+"."+f.Name, false
		if r := f.Decl.Type.Results; r != nil {
			last, ok := r.List[len(r.List)-1].Type.(*ast.Ident)
			fails = ok && last.Name == "error"
		}
		if !said.MatchString(f.Doc) {
			t.Errorf("%s does not say in what it counts", name)
		}
		if fails && !strings.Contains(f.Doc, "Errors") {
			t.Errorf("%s does not say which errors it gives", name)
		}
		if fails && !strings.Contains(f.Doc, "Source: ") && !strings.Contains(f.Doc, "sentence") {
			t.Errorf("%s does not say where it is from", name)
		}
	}
	if looked < 50 {
		t.Errorf("only %d functions found", looked)
	}
}
