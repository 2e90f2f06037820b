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
	Empty  bool          // a local pack without checks of its own: there is nothing to test
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
	return (r.Empty || len(r.Checks) > 0) && !slices.ContainsFunc(r.Checks, func(c CheckReport) bool { return !c.OK() })
}

// Test loads a single pack and runs all its tests. A test that fails is in the
// Report; an error means that the tests could not be run.
func Test(ctx context.Context, fsys fs.FS) (Report, error) {
	t, err := soleTier(ctx, fsys)
	if err != nil {
		return Report{}, err
	}
	return t.test(ctx, false)
}

// TestLocal is Test for the local pack of a code, laid over the wider packs.
func TestLocal(ctx context.Context, layers Layers, code string) (Report, error) {
	t, err := localTier(ctx, layers, code)
	if err != nil {
		return Report{}, err
	}
	return t.test(ctx, false)
}

// soleTier is a draft of a single pack.
func soleTier(ctx context.Context, fsys fs.FS) (*tier, error) {
	opts := Options{Draft: true}.withDefaults(5 * time.Second)
	return inTime(ctx, opts.Total, func(ctx context.Context) (*tier, error) {
		t, err := newTier(ctx, tierOf{fsys: fsys, code: opts.Layer}, opts)
		if err != nil {
			return nil, err
		}
		_, err = t.edition(ctx, edition{})
		return t, err
	})
}

// test runs the tests. Where it is strict, an error in a built-in function is
// an error of the test, as it is in a Set.
func (t *tier) test(ctx context.Context, strict bool) (Report, error) {
	run := &testRun{checks: map[string]*CheckReport{}, modules: map[string]*ast.Module{}, cover: cover.New(), strict: strict}
	if err := run.parse(t); err != nil {
		return Report{}, err
	}
	out := &faults{}
	store := limitsStore(t.resolve(edition{place: t.place()}, out).list())
	if err := out.err(); err != nil {
		return Report{}, err
	}
	if err := run.run(ctx, store); err != nil {
		return Report{}, err
	}
	return run.report(t), nil
}

// place is where the pack holds; "" for the base.
func (t *tier) place() string {
	if t.overlay == nil {
		return ""
	}
	return t.overlay.holds
}

// testRun is one run of a pack's tests.
type testRun struct {
	checks  map[string]*CheckReport // by the package of its tests
	modules map[string]*ast.Module  // by file
	cover   *cover.Cover
	strict  bool
}

// parse reads the tests of a layer and the checks of all: a test may look at a
// check of a wider one.
func (r *testRun) parse(t *tier) error {
	out, caps := &faults{}, capabilities()
	for _, l := range t.chain() {
		files := l.pack.checks
		if l == t {
			files = slices.Concat(files, l.pack.tests)
		}
		for _, f := range files {
			if m, ok := parse(f, caps, out); ok {
				r.modules[f.path] = m
			}
		}
	}
	for _, f := range t.pack.checks {
		r.checks[testsFor(t, f)] = &CheckReport{ID: idOf(f.path)}
	}
	return out.err()
}

// testsFor is the package that the tests of a check are in.
func testsFor(t *tier, f file) string { return "data.tests." + packageOf(t.code) + "." + idOf(f.path) }

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
func (r *testRun) report(t *tier) Report {
	covered := r.cover.Report(r.modules)
	all := Report{Empty: t.local && len(t.pack.checks) == 0}
	for _, f := range t.pack.checks {
		c := r.checks[testsFor(t, f)]
		if file := covered.Files[f.path]; file != nil {
			c.Uncovered = merge(file.NotCovered)
		}
		c.Lacks = lacks(r.modules[testsOf(f.path)], r.modules[f.path])
		slices.Sort(c.Passed)
		slices.Sort(c.Failed)
		all.Checks = append(all.Checks, *c)
	}
	return all
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
