package rules

import (
	"bytes"
	"unicode/utf8"

	"github.com/open-policy-agent/opa/v1/ast"
)

// Bounds on one file of rules. The largest rule of a real pack has 50 terms, and
// the rule engine's compiler, which cannot be stopped, needs far longer than twice
// the time for twice as many.
const (
	maxTerms    = 1000 // in a rule
	maxRules    = 100  // in a file
	maxBrackets = 50   // in each other
)

// encoded refuses what an editor saved in another form than UTF-8, which would
// fail later in words that tell nobody why.
func encoded(f file, out *faults) {
	const save = "; save it as UTF-8 in your editor"
	switch {
	case bytes.HasPrefix(f.data, []byte("\xff\xfe")), bytes.HasPrefix(f.data, []byte("\xfe\xff")), bytes.IndexByte(f.data, 0) >= 0:
		out.add(f.path, 1, "this file is not plain text in UTF-8, maybe it is UTF-16%s", save)
	case bytes.HasPrefix(f.data, []byte("\xef\xbb\xbf")):
		out.add(f.path, 1, "this file begins with an invisible mark (BOM)%s, without BOM", save)
	case !utf8.Valid(f.data):
		out.add(f.path, notUTF8(f.data), "this line has a letter that is not UTF-8%s", save)
	}
}

func notUTF8(text []byte) int {
	for i, line := range bytes.Split(text, []byte("\n")) {
		if !utf8.Valid(line) {
			return i + 1
		}
	}
	return 1
}

// shallow refuses brackets in brackets before the parser sees them: where there
// are thousands it takes all the memory there is.
func shallow(f file, out *faults) bool {
	deep := 0
	for i, line := range bytes.Split(f.data, []byte("\n")) {
		if bytes.HasPrefix(bytes.TrimSpace(line), []byte("#")) {
			continue
		}
		for _, c := range line {
			switch c {
			case '(', '[', '{':
				deep++
			case ')', ']', '}':
				deep--
			}
			if deep > maxBrackets {
				out.add(f.path, i+1, "more than %d brackets stand in each other here; give the parts names with :=", maxBrackets)
				return false
			}
		}
	}
	return true
}

// small refuses a file, or a rule of it, that is too large to be compiled in time.
func small(f file, m *ast.Module, out *faults) bool {
	before := len(out.list)
	if len(m.Rules) > maxRules {
		out.add(f.path, m.Rules[maxRules].Location.Row, "this file has more than %d rules; a check is one question with a few conditions", maxRules)
	}
	for _, r := range m.Rules[:min(len(m.Rules), maxRules)] {
		n := 0
		ast.WalkTerms(r, func(*ast.Term) bool { n++; return false })
		if n > maxTerms {
			out.add(f.path, r.Location.Row, "this rule is too long: it has more than %d words and numbers; write it shorter, or as several checks", maxTerms)
		}
	}
	return len(out.list) == before
}
