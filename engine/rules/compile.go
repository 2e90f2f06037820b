package rules

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
)

// parse reads the rules of a file. Its METADATA is read by readCheck, more
// strictly than the rule engine would; what the engine sees in its place is our
// own block, which types the limits.
func parse(f file, caps *ast.Capabilities, out *faults) (*ast.Module, bool) {
	if !shallow(f, out) {
		return nil, false
	}
	m, err := ast.ParseModuleWithOpts(f.path, typed(f.data), ast.ParserOptions{
		Capabilities: caps, RegoVersion: ast.RegoV1, ProcessAnnotation: true,
	})
	if err == nil && m != nil {
		return m, true
	}
	if err == nil {
		err = errors.New("empty module")
	}
	translate(err, map[string]file{f.path: f}, out)
	return nil, false
}

// typed puts a block that names the schema of the limits in place of the
// METADATA block, line for line, so that no author can leave it out.
func typed(text []byte) string {
	lines := strings.Split(string(text), "\n")
	n := 0
	for n < len(lines) && strings.HasPrefix(lines[n], "#") {
		lines[n] = "#"
		n++
	}
	if n >= 3 {
		lines[0], lines[1], lines[2] = "# METADATA", "# schemas:", "# - data.params: schema.params"
	}
	return strings.Join(lines, "\n")
}

// compile checks the modules against each other, the functions allowed, and
// the schemas of the input and the limits. That of the input hangs at the root
// and holds for every rule by itself.
func compile(modules map[string]*ast.Module, caps *ast.Capabilities, input, limits any) *ast.Compiler {
	set := ast.NewSchemaSet()
	set.Put(ast.SchemaRootRef, input)
	set.Put(ast.Ref{ast.SchemaRootDocument, ast.StringTerm("params")}, limits)
	c := ast.NewCompiler().WithCapabilities(caps).WithStrict(true).WithSchemas(set).WithUseTypeCheckAnnotations(true)
	c.Compile(modules)
	return c
}

// translate puts what the rule engine says into plain words.
func translate(err error, files map[string]file, out *faults) {
	var list ast.Errors
	if one, ok := errors.AsType[*ast.Error](err); ok {
		list = ast.Errors{one}
	} else if !errors.As(err, &list) {
		out.list = append(out.list, fault{say: "the rules cannot be read", err: err})
		return
	}
	for _, e := range list {
		f := fault{err: e}
		if e.Location != nil {
			f.file, f.line = e.Location.File, e.Location.Row
		}
		line := lineOf(files[f.file], f.line)
		f.say, f.hint = plainly(e, line), advice(e.Code, line)
		out.list = append(out.list, f)
	}
}

var (
	undefinedFunction = regexp.MustCompile(`^undefined function (\S+)`)
	unsafeVar         = regexp.MustCompile(`^var (\S+) is unsafe`)
	unusedVar         = regexp.MustCompile(`(?:assigned|declared) var (\S+) unused`)
)

// plainly says it for people; line is the line it is about.
func plainly(e *ast.Error, line string) string {
	if m := undefinedFunction.FindStringSubmatch(e.Message); m != nil {
		return m[1] + " is not a function that rules may use" + near(m[1], functions())
	}
	if m := unsafeVar.FindStringSubmatch(e.Message); m != nil {
		return m[1] + " is used here but never gets a value"
	}
	if m := unusedVar.FindStringSubmatch(e.Message); m != nil {
		return m[1] + " gets a value here but is never used"
	}
	switch e.Code {
	case ast.ParseErr:
		return fmt.Sprintf("this line cannot be read as a rule: %s", line)
	case ast.RecursionErr:
		return "this rule leads back to itself"
	case ast.TypeErr:
		return fmt.Sprintf("the values in this line do not fit together: %s", line)
	}
	return fmt.Sprintf("this line is not a rule that can be used: %s", line)
}

// advice is what to do about it, where that is not plain; line is the line it is about.
func advice(code, line string) string {
	words := strings.Fields(line)
	switch code {
	case ast.ParseErr:
		switch {
		case strings.ContainsAny(line, curlyQuotes):
			return straighten
		case slices.Contains(words, "or"):
			return "There is no \"or\" in a rule. Write the rule twice, one below the other, each with one of the conditions."
		case slices.Contains(words, "and"):
			return "There is no \"and\" in a rule. Put the conditions into curly brackets, each on a line of its own."
		}
		return "Compare it with a rule that works: a bracket or a quote may be missing here or above, or a word too many."
	case ast.RecursionErr:
		return "A helper must not need itself to be worked out, not even by way of another."
	case ast.TypeErr:
		return "A number goes with a number, a text in quotes with a text, yes or no with true or false."
	}
	return ""
}

func lineOf(f file, n int) string {
	lines := strings.Split(string(f.data), "\n")
	if n < 1 || n > len(lines) {
		return ""
	}
	return strings.TrimSpace(lines[n-1])
}
