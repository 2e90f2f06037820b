package rules

import (
	"regexp"
	"strings"
)

// unread says where YAML gave up, and why if that can be seen.
func (r *reader) unread(text []byte, err error) {
	line, why := yamlLine(err)
	f := fault{
		file: r.file, line: r.before + line, err: err,
		say:  "this cannot be read, here or in the next line: " + why,
		hint: "Put texts in double quotes, indent with spaces, and put one space after each colon.",
	}
	for i, l := range strings.Split(string(text), "\n") {
		if curlyValue.MatchString(l) {
			f.line, f.say, f.hint = r.before+i+1, "this cannot be read: the quotes in this line are curly", straighten
			break
		}
	}
	r.out.list = append(r.out.list, f)
}

// Writing programs make curly quotes of straight ones, and YAML and Rego know only
// the straight.
const (
	curlyQuotes = "“”„‟«»‘’"
	straighten  = "Write straight quotes, \"like this\", and not curly ones, “like this”."
)

// curlyValue is a value that begins or ends with a curly quote.
var curlyValue = regexp.MustCompile(`(:|-)\s+[“”„‟«‘]|[“”„‟»]\s*$`)
