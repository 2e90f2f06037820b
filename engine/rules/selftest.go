package rules

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/cover"
	"github.com/open-policy-agent/opa/v1/storage"
	"github.com/open-policy-agent/opa/v1/tester"

	"firstrod/engine"
)

// testTime is how long one test of a pack may take.
const testTime = 5 * time.Second

// Report says how a pack's own tests went, check by check.
type Report struct {
	Checks []CheckReport // by id
}

// CheckReport is one check of a Report.
type CheckReport struct {
	ID        string
	Passed    []string // names of tests
	Failed    []string // names of tests, with the error if there was one
	Uncovered []Lines  // lines of the check that no test reached
	Lacks     []string // what the tests do not show at all, in words
}

// Lines is a range of lines, both ends included.
type Lines struct{ From, To int }

// OK reports whether the tests of the check show all they should.
func (c CheckReport) OK() bool {
	return len(c.Passed) > 0 && len(c.Failed)+len(c.Uncovered)+len(c.Lacks) == 0
}

// OK reports whether every check is OK.
func (r Report) OK() bool {
	return len(r.Checks) > 0 && !slices.ContainsFunc(r.Checks, func(c CheckReport) bool { return !c.OK() })
}

// Test loads a pack and runs all its tests. A test that fails is in the
// Report; an error means that the tests could not be run.
func Test(ctx context.Context, fsys fs.FS) (Report, error) { return test(ctx, fsys, false) }

// test runs the tests. Where it is strict, an error in a built-in function is
// an error of the test, as it is in a Set.
func test(ctx context.Context, fsys fs.FS, strict bool) (Report, error) {
	set, err := Load(ctx, fsys, Options{Draft: true})
	if err != nil {
		return Report{}, err
	}
	p, err := readPack(fsys)
	if err != nil {
		return Report{}, err
	}
	t := &testRun{checks: map[string]*CheckReport{}, modules: map[string]*ast.Module{}, cover: cover.New(), strict: strict}
	if err := t.parse(p); err != nil {
		return Report{}, err
	}
	if err := t.run(ctx, limitsStore(set.catalogue.Params)); err != nil {
		return Report{}, err
	}
	return t.report(p), nil
}

// testRun is one run of a pack's tests.
type testRun struct {
	checks  map[string]*CheckReport // by the package of its tests
	modules map[string]*ast.Module  // by file
	cover   *cover.Cover
	strict  bool
}

func (t *testRun) parse(p *pack) error {
	out, caps := &faults{}, capabilities()
	for _, f := range slices.Concat(p.checks, p.tests) {
		if m, ok := parse(f, caps, out); ok {
			t.modules[f.path] = m
		}
	}
	for _, f := range p.checks {
		id := idOf(f.path)
		t.checks["data.tests.base."+id] = &CheckReport{ID: id}
	}
	return out.err()
}

// run runs every test as the stock engine does: without the schema, and, where
// it is not strict, with an error in a built-in function counting as no result,
// so that a test may say what happens on input that never comes.
func (t *testRun) run(ctx context.Context, store storage.Store) error {
	compiler := ast.NewCompiler().WithCapabilities(capabilities()).WithStrict(true)
	txn, err := store.NewTransaction(ctx)
	if err != nil {
		return untested(err)
	}
	defer store.Abort(ctx, txn)
	results, err := tester.NewRunner().SetCompiler(compiler).SetModules(t.modules).SetStore(store).
		SetTimeout(testTime).RaiseBuiltinErrors(t.strict).SetCoverageQueryTracer(t.cover).RunTests(ctx, txn)
	if err != nil {
		return untested(err)
	}
	for r := range results {
		c := t.checks[r.Package]
		switch {
		case c == nil:
			return untested(fmt.Errorf("test %s is in the unknown package %s", r.Name, r.Package))
		case r.Pass():
			c.Passed = append(c.Passed, r.Name)
		case r.Error != nil:
			c.Failed = append(c.Failed, r.Name+": "+r.Error.Error())
		default:
			c.Failed = append(c.Failed, r.Name)
		}
	}
	return nil
}

func untested(err error) error {
	out := &faults{}
	translate(err, nil, out)
	e := out.err()
	if ours, ok := errors.AsType[*engine.Error](e); ok {
		ours.Say = "the tests of the rules could not be run: " + ours.Say
	}
	return e
}

// report adds what was not reached and what is not shown.
func (t *testRun) report(p *pack) Report {
	covered := t.cover.Report(t.modules)
	var r Report
	for _, f := range p.checks {
		c := t.checks["data.tests.base."+idOf(f.path)]
		if file := covered.Files[f.path]; file != nil {
			c.Uncovered = merge(file.NotCovered)
		}
		c.Lacks = lacks(t.modules[strings.TrimSuffix(f.path, ".rego")+testSuffix+".rego"], t.modules[f.path])
		slices.Sort(c.Passed)
		slices.Sort(c.Failed)
		r.Checks = append(r.Checks, *c)
	}
	return r
}

// merge joins ranges that touch or lie in each other.
func merge(ranges []cover.Range) []Lines {
	slices.SortFunc(ranges, func(a, b cover.Range) int { return a.Start.Row - b.Start.Row })
	var all []Lines
	for _, r := range ranges {
		if last := len(all) - 1; last >= 0 && r.Start.Row <= all[last].To+1 {
			all[last].To = max(all[last].To, r.End.Row)
			continue
		}
		all = append(all, Lines{r.Start.Row, r.End.Row})
	}
	return all
}

// lacks lists what the tests of a check never state: that it passes, that it
// does not, and the same of exempt where there is such a rule.
func lacks(tests, check *ast.Module) []string {
	if tests == nil {
		return []string{"there is no test file beside the check"}
	}
	stated := map[string]bool{}
	ast.WalkExprs(tests, func(e *ast.Expr) bool {
		t, ok := e.Terms.(*ast.Term)
		if !ok {
			return false
		}
		name := t.String()
		name = name[strings.LastIndexByte(name, '.')+1:]
		if e.Negated {
			name = "not " + name
		}
		stated[name] = true
		return false
	})
	want := []string{"pass", "not pass"}
	if slices.ContainsFunc(check.Rules, func(r *ast.Rule) bool { return r.Head.Name == "exempt" }) {
		want = append(want, "exempt", "not exempt")
	}
	var all []string
	for _, w := range want {
		if !stated[w] {
			all = append(all, "no test states: "+w)
		}
	}
	return all
}
