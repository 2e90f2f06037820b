package rules

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"hash"
	"slices"
	"strings"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/dependencies"
	"github.com/open-policy-agent/opa/v1/version"

	"firstrod/engine"
)

// packageOf is how packages name a layer: that of va-alder is checks.va_alder.
func packageOf(layer string) string { return strings.ReplaceAll(layer, "-", "_") }

// refOf is where a rule of a check lies: data.checks.base.AREA.CHECK.RULE.
func refOf(c *engine.Check, rule string) ast.Ref {
	r := ast.Ref{ast.DefaultRootDocument, ast.StringTerm("checks"), ast.StringTerm(packageOf(c.Layer))}
	for _, part := range strings.Split(c.ID, ".") {
		r = append(r, ast.StringTerm(part))
	}
	return append(r, ast.StringTerm(rule))
}

// needs fills in what the rules of a check can read, directly or through its
// helpers, and refuses a verdict that reads no answer at all. The clock is none: it
// goes on whatever was answered.
func needs(compiler *ast.Compiler, c *engine.Check, out *faults) {
	params := map[string]bool{}
	for _, rule := range []string{"exempt", "pass"} {
		leaves := map[string]bool{}
		for _, r := range compiler.GetRules(refOf(c, rule)) {
			answers := 0
			for _, ref := range reads(compiler, r) {
				name, _ := named(ref)
				switch path, isParam := strings.CutPrefix(name, "params."); {
				case ref[0].Equal(ast.InputRootDocument):
					if leaves[name] = true; name != "clock.now" && name != "clock.today" {
						answers++
					}
				case isParam:
					params[path] = true
				}
			}
			if answers == 0 {
				out.add(c.File, r.Location.Row, "this %s rule reads no answer, so it would always say the same", rule)
			}
		}
		if rule == "exempt" {
			c.ExemptReads = sortedKeys(leaves)
		} else {
			c.PassReads = sortedKeys(leaves)
		}
	}
	c.Params = sortedKeys(params)
}

// reads lists what a compiled rule can read: what the rule engine's own
// analysis says, and every reference in it and its helpers besides. A need too
// many costs a question; one too few would judge with a value missing.
func reads(compiler *ast.Compiler, r *ast.Rule) []ast.Ref {
	all, err := dependencies.Base(compiler, r)
	if err != nil {
		all = nil // it fails only for what is no rule
	}
	seen := map[*ast.Rule]bool{}
	var visit func(r *ast.Rule)
	visit = func(r *ast.Rule) {
		if seen[r] {
			return
		}
		seen[r] = true
		ast.WalkRefs(r, func(ref ast.Ref) bool {
			front := ref.ConstantPrefix()
			if !front[0].Equal(ast.InputRootDocument) && !front[0].Equal(ast.DefaultRootDocument) {
				return false
			}
			rules := compiler.GetRules(front)
			if len(rules) == 0 {
				all = append(all, front)
			}
			for _, next := range rules {
				visit(next)
			}
			return false
		})
	}
	visit(r)
	return all
}

// digest is a hash of what can change the findings of a check: the text of its
// verdicts and their helpers, how often it is asked, and the limits they read.
func digest(c *engine.Check, written []string, params map[string]*engine.Param) string {
	h := sha256.New()
	fmt.Fprintf(h, "%s\n%s\n", c.ID, c.Each)
	for _, r := range written {
		fmt.Fprintf(h, "%s\n", r)
	}
	for _, path := range c.Params {
		v := params[path].Value
		fmt.Fprintf(h, "%s=%s\n", path, strings.Join(append([]string{v.Exact()}, v.Items()...), " "))
	}
	return hex.EncodeToString(h.Sum(nil))
}

// reachable lists the rules of a parsed module that pass and exempt lead to,
// as text that does not depend on other files.
func reachable(m *ast.Module) []string {
	seen := map[ast.Var]bool{}
	var all []string
	var visit func(name ast.Var)
	visit = func(name ast.Var) {
		if seen[name] {
			return
		}
		seen[name] = true
		for _, r := range m.Rules {
			if r.Head.Name != name {
				continue
			}
			all = append(all, r.String())
			ast.WalkVars(r, func(v ast.Var) bool {
				if strings.HasPrefix(string(v), "_") {
					visit(v)
				}
				return false
			})
		}
	}
	visit("exempt")
	visit("pass")
	slices.Sort(all)
	return all
}

// content is a hash of everything that a finding depends on, but for what tells
// apart the editions that are made of it.
func content(files []file, schemas []any) (hash.Cloner, error) {
	h := sha256.New().(hash.Cloner)
	for _, f := range files {
		fmt.Fprintf(h, "%s %d\n%s\n", f.path, len(f.data), f.data)
	}
	for _, x := range schemas {
		b, err := json.Marshal(x)
		if err != nil {
			return nil, err
		}
		fmt.Fprintf(h, "%d\n%s\n", len(b), b)
	}
	return h, nil
}

// revision adds the marks of an edition to a content.
func revision(of hash.Cloner, marks ...string) (string, error) {
	h, err := of.Clone()
	if err != nil {
		return "", err
	}
	for _, m := range marks {
		fmt.Fprintf(h, "%s\n", m)
	}
	fmt.Fprintf(h, "%s\n", engineName())
	return hex.EncodeToString(h.Sum(nil)), nil
}

func engineName() string { return "opa " + version.Version }
