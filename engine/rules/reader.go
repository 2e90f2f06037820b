package rules

import (
	"bytes"
	"errors"
	"io"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"

	"firstrod/engine"
)

// languages are the ones that every sentence must be there in.
func languages() []string { return []string{"en", "es"} }

// reader reads YAML strictly. YAML guesses types (12.10 is a number, a bare
// date is a time), drops nothing and warns of nothing, so each value is asked
// for by type and every key must be known.
type reader struct {
	file   string
	before int // lines of the file before the first line of YAML
	out    *faults
}

func (r *reader) fault(n *yaml.Node, format string, args ...any) {
	r.out.add(r.file, r.before+n.Line, format, args...)
}

// parse gives the top mapping of a YAML text, which is one document: YAML itself
// passes over all that follows a line of three dashes.
func (r *reader) parse(text []byte) (*yaml.Node, bool) {
	var doc, more yaml.Node
	in := yaml.NewDecoder(bytes.NewReader(text))
	err := in.Decode(&doc)
	if err == nil {
		switch second := in.Decode(&more); {
		case second == nil:
			r.out.add(r.file, r.before+more.Line, "a second list begins here, and nothing would read it; take the dashes (---) or dots (...) above it away")
			return nil, false
		case !errors.Is(second, io.EOF):
			err = second
		}
	}
	if err != nil && !errors.Is(err, io.EOF) {
		r.unread(text, err)
		return nil, false
	}
	if len(doc.Content) != 1 || doc.Content[0].Kind != yaml.MappingNode {
		r.out.add(r.file, r.before+1, "this should be a list of names with values")
		return nil, false
	}
	return doc.Content[0], true
}

var (
	atLine   = regexp.MustCompile(`(?s)line (\d+): (.*)`)
	nameOnly = regexp.MustCompile(`^` + name + `$`)
)

// yamlLine takes the line out of a parser error such as
// "yaml: line 3: mapping values are not allowed in this context".
func yamlLine(err error) (line int, why string) {
	m := atLine.FindStringSubmatch(err.Error())
	if m == nil {
		return 1, strings.TrimPrefix(err.Error(), "yaml: ")
	}
	line, _ = strconv.Atoi(m[1])
	return line, m[2]
}

// fields gives the values of a mapping by key. Keys outside the list, and keys
// that come twice, are refused. A required key is marked with a star.
func (r *reader) fields(n *yaml.Node, keys ...string) map[string]*yaml.Node {
	got := map[string]*yaml.Node{}
	if n.Kind != yaml.MappingNode {
		r.fault(n, "this should be a list of names with values")
		return got
	}
	known := make([]string, len(keys))
	for i, k := range keys {
		known[i] = strings.TrimPrefix(k, "*")
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key := n.Content[i]
		switch {
		case key.Kind != yaml.ScalarNode:
			r.fault(key, "a name must stand before this colon, one of %s", oneOf(known))
		case !slices.Contains(known, key.Value):
			r.fault(key, "%q is not a word that may stand here%s", key.Value, near(key.Value, known))
		case got[key.Value] != nil:
			r.fault(key, "%q stands here twice", key.Value)
		default:
			got[key.Value] = n.Content[i+1]
		}
	}
	for i, k := range keys {
		if k != known[i] && got[known[i]] == nil {
			r.fault(n, "%q is missing here", known[i])
		}
	}
	return got
}

const quoted = yaml.DoubleQuotedStyle | yaml.SingleQuotedStyle | yaml.LiteralStyle | yaml.FoldedStyle

// hinted is a fault that says what to do.
func (r *reader) hinted(n *yaml.Node, hint, format string, args ...any) {
	r.fault(n, format, args...)
	r.out.list[len(r.out.list)-1].hint = hint
}

// plain gives a scalar that YAML reads as the type of the tag.
func (r *reader) plain(n *yaml.Node, tag, what string) (string, bool) {
	switch {
	case n == nil:
		return "", false
	case n.Kind != yaml.ScalarNode:
		r.fault(n, "this should be %s", what)
	case n.Style&quoted == 0 && n.Value != "" && strings.ContainsRune(curlyQuotes, []rune(n.Value)[0]):
		r.hinted(n, straighten, "the quotes around %s are curly", n.Value)
	case n.ShortTag() != tag:
		r.fault(n, "%q should be %s", n.Value, what)
	case n.Style&yaml.TaggedStyle != 0:
		r.fault(n, "take %s away; the value alone says what it is", n.Tag)
	default:
		return n.Value, r.seen(n)
	}
	return "", false
}

// sentence gives a text for people, which must be in quotes.
func (r *reader) sentence(n *yaml.Node) string {
	s, ok := r.plain(n, "!!str", "a text in quotes")
	if !ok {
		return ""
	}
	if n.Style&quoted == 0 {
		r.fault(n, "%q should be in quotes", s)
	}
	if strings.TrimSpace(s) == "" {
		r.fault(n, "this text is empty")
	}
	return s
}

// phrase gives a short text such as "30 ft", with or without quotes.
func (r *reader) phrase(n *yaml.Node) string {
	s, ok := r.plain(n, "!!str", "a text in quotes")
	if ok && strings.TrimSpace(s) == "" {
		r.fault(n, "this text is empty; leave the whole line out where there is nothing to say")
	}
	return s
}

// word gives one of the allowed words.
func (r *reader) word(n *yaml.Node, allowed ...string) string {
	s, ok := r.plain(n, "!!str", "one of "+oneOf(allowed))
	if ok && !slices.Contains(allowed, s) {
		r.fault(n, "%q is not one of %s%s", s, oneOf(allowed), near(s, allowed))
		return ""
	}
	return s
}

// oneOf lists words for people; one that is empty or has a comma is quoted.
func oneOf(words []string) string {
	shown := slices.Clone(words)
	for i, w := range shown {
		if w == "" || strings.Contains(w, ",") {
			shown[i] = strconv.Quote(w)
		}
	}
	return strings.Join(shown, ", ")
}

// label gives a name such as metal_distance.
func (r *reader) label(n *yaml.Node) string {
	s, ok := r.plain(n, "!!str", "a name such as metal_distance")
	if ok && !nameOnly.MatchString(s) {
		r.fault(n, "%q is not a name; use lower-case letters, digits and _ as in metal_distance", s)
		return ""
	}
	return s
}

func (r *reader) flag(n *yaml.Node) bool {
	s, ok := r.plain(n, "!!bool", "true or false, without quotes")
	if ok && s != "true" && s != "false" {
		r.fault(n, "%q should be true or false, in small letters", s)
	}
	return ok && s == "true"
}

// whole gives a whole number in decimal. YAML also takes 0123 and 0x1f, which
// people do not mean.
func (r *reader) whole(n *yaml.Node) int {
	s, ok := r.plain(n, "!!int", "a whole number")
	if !ok {
		return 0
	}
	i, err := strconv.Atoi(s)
	if err != nil || strconv.Itoa(i) != s {
		r.fault(n, "%q should be a whole number", s)
	}
	return i
}

// text gives a sentence in every language.
func (r *reader) text(n *yaml.Node) engine.Text {
	if n == nil {
		return nil
	}
	if n.Kind == yaml.ScalarNode {
		r.hinted(n, "Write one of each behind the colon, { en: \"in English\", es: \"en español\" }, or on lines of their own below it.",
			"this should be one text for each language, en and es, and is a single one")
		return nil
	}
	var keys []string
	for _, lang := range languages() {
		keys = append(keys, "*"+lang)
	}
	t := engine.Text{}
	for lang, v := range r.fields(n, keys...) {
		t[lang] = r.sentence(v)
	}
	return t
}

// items gives the entries of a list; empty lists are left out, not written.
func (r *reader) items(n *yaml.Node) []*yaml.Node {
	switch {
	case n == nil:
		return nil
	case n.Kind != yaml.SequenceNode:
		r.fault(n, "this should be a list, each line of it with a dash")
		return nil
	case len(n.Content) == 0:
		r.fault(n, "this list is empty; leave it out")
	}
	return n.Content
}

// words gives a list of allowed words, none twice.
func (r *reader) words(n *yaml.Node, allowed ...string) []string {
	seen := map[string]bool{}
	var all []string
	for _, item := range r.items(n) {
		w := r.word(item, allowed...)
		if seen[w] && w != "" {
			r.fault(item, "%q stands here twice", w)
		}
		seen[w] = true
		all = append(all, w)
	}
	return all
}

// sortedKeys is for loops over mappings whose order must not matter.
func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
