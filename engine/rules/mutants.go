package rules

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"sync"

	"github.com/open-policy-agent/opa/v1/ast"
	"github.com/open-policy-agent/opa/v1/storage"
	"github.com/open-policy-agent/opa/v1/tester"

	"firstrod/engine"
)

// MutationReport says what the tests of a pack made of slips put in on purpose.
type MutationReport struct {
	Killed    int        // slips that a test of the same check noticed
	Refused   int        // slips that can never be loaded, so that nothing had to notice
	Survivors []Mutation // slips that nothing noticed, by file and line

	explained int
}

// Explained is how many survivors Settle has found a reason for.
func (r MutationReport) Explained() int { return r.explained }

// Total is the number of slips made.
func (r MutationReport) Total() int { return r.Killed + r.Refused + r.explained + len(r.Survivors) }

// MutateOptions says how [Mutate] works. The zero value uses one worker.
type MutateOptions struct {
	Workers  int
	Progress func(done, total int) // called after each slip, by one caller at a time; may be nil
}

// Mutate puts one slip after the other into each check and runs the tests of
// that check alone. An error in a built-in function fails a test here, as it
// makes a finding broken in a Set; so a slip that turns "does not hold" into
// "broken" is noticed. A pack whose tests do not pass in this way as it stands
// is an error, for then every slip would seem to be noticed.
func Mutate(ctx context.Context, fsys fs.FS, opts MutateOptions) (MutationReport, error) {
	t, err := soleTier(ctx, fsys)
	if err != nil {
		return MutationReport{}, err
	}
	return t.mutate(ctx, opts)
}

// MutateLocal is Mutate for the local pack of a code, laid over the wider packs.
func MutateLocal(ctx context.Context, layers Layers, code string, opts MutateOptions) (MutationReport, error) {
	t, err := localTier(ctx, layers, code)
	if err != nil {
		return MutationReport{}, err
	}
	return t.mutate(ctx, opts)
}

func (t *tier) mutate(ctx context.Context, opts MutateOptions) (MutationReport, error) {
	m, err := t.newMutants(ctx)
	if err != nil {
		return MutationReport{}, err
	}
	fates := make([]fate, len(m.all))
	errs := make([]error, len(m.all))
	next := make(chan int)
	var work sync.WaitGroup
	for range max(1, opts.Workers) {
		work.Go(func() {
			for i := range next {
				fates[i], errs[i] = m.try(ctx, m.all[i])
				m.count(opts.Progress)
			}
		})
	}
	for i := range m.all {
		next <- i
	}
	close(next)
	work.Wait()
	if err := errors.Join(ctx.Err(), errors.Join(errs...)); err != nil {
		return MutationReport{}, err
	}
	return m.report(fates), nil
}

// mutants is one run over a pack.
type mutants struct {
	store storage.Store
	files map[string]file        // checks of all layers, by path
	where map[string]string      // file of a check by its package, "base.ground.standoff"
	tests map[string]*ast.Module // by the file of the check
	all   []Mutation

	mu   sync.Mutex
	done int
}

func (t *tier) newMutants(ctx context.Context) (*mutants, error) {
	if err := t.soundTests(ctx); err != nil {
		return nil, err
	}
	m := &mutants{
		files: map[string]file{}, where: map[string]string{}, tests: map[string]*ast.Module{},
		store: limitsStore(t.resolve(edition{place: t.place()}, &faults{}).list()), // it was resolved just now
	}
	for _, l := range t.chain() {
		for _, f := range l.pack.checks {
			m.files[f.path], m.where[packageOf(l.code)+"."+idOf(f.path)] = f, f.path
		}
	}
	var err error
	for _, f := range t.pack.tests {
		if m.tests[checkOf(f.path)], err = parsePlain(f.path, f.data); err != nil {
			return nil, untested(err)
		}
	}
	for _, f := range t.pack.checks {
		slips, err := mutations(f)
		if err != nil {
			return nil, untested(err)
		}
		m.all = append(m.all, slips...)
	}
	return m, nil
}

// soundTests refuses a pack whose tests fail as it stands.
func (t *tier) soundTests(ctx context.Context) error {
	r, err := t.test(ctx, true)
	if err != nil {
		return err
	}
	for _, c := range r.Checks {
		if len(c.Failed) > 0 {
			return &engine.Error{Kind: engine.Rules, Say: fmt.Sprintf("the tests of %s fail as it stands: %s", c.ID, c.Failed[0]),
				Hint: "Put that right first; tests that fail anyway notice nothing."}
		}
	}
	return nil
}

func (m *mutants) count(progress func(done, total int)) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.done++
	if progress != nil {
		progress(m.done, len(m.all))
	}
}

func (m *mutants) report(fates []fate) MutationReport {
	var r MutationReport
	for i, f := range fates {
		switch f {
		case killed:
			r.Killed++
		case harmless:
			r.Refused++
		default:
			r.Survivors = append(r.Survivors, m.all[i])
		}
	}
	return r
}

// fate is what became of a mutant. The zero value is the bad one.
type fate int

const (
	survived fate = iota
	killed
	harmless // cannot be loaded
)

// try runs the tests of a check on its changed text. A panic of the rule engine
// says nothing about the tests.
func (m *mutants) try(ctx context.Context, slip Mutation) (f fate, err error) {
	defer func() {
		if r := recover(); r != nil {
			f, err = survived, untested(fmt.Errorf("%s: %s: panic: %v", slip.File, slip, r))
		}
	}()
	if err := ctx.Err(); err != nil {
		return survived, err
	}
	tests := m.tests[slip.File]
	if tests == nil {
		return survived, nil
	}
	changed, err := parsePlain(slip.File, slip.apply(m.files[slip.File].data))
	if err != nil {
		return harmless, nil
	}
	modules := map[string]*ast.Module{slip.File: changed, tests.Package.Location.File: tests}
	if err := m.others(tests, modules); err != nil {
		return survived, err
	}
	// Not strict: a condition that is left out may leave a name unused, and that
	// is no reason for a slip to be harmless.
	if c := ast.NewCompiler().WithCapabilities(capabilities()); failsToCompile(c, modules) {
		return harmless, nil
	}
	noticed, err := m.noticed(ctx, modules)
	if err != nil || !noticed {
		return survived, err
	}
	return killed, nil
}

func failsToCompile(c *ast.Compiler, modules map[string]*ast.Module) bool {
	c.Compile(modules)
	return c.Failed()
}

// others adds further checks that the tests of this one import.
func (m *mutants) others(tests *ast.Module, modules map[string]*ast.Module) error {
	for _, i := range tests.Imports {
		ref, ok := i.Path.Value.(ast.Ref)
		if !ok || len(ref) < 5 {
			continue
		}
		words, _ := named(ref)
		parts := strings.Split(words, ".") // checks, layer, area, check
		f, known := m.files[m.where[strings.Join(parts[1:4], ".")]]
		if !known || modules[f.path] != nil {
			continue
		}
		other, err := parsePlain(f.path, f.data)
		if err != nil {
			return untested(err)
		}
		modules[f.path] = other
	}
	return nil
}

// noticed runs tests until one does not pass.
func (m *mutants) noticed(ctx context.Context, modules map[string]*ast.Module) (bool, error) {
	txn, err := m.store.NewTransaction(ctx)
	if err != nil {
		return false, untested(err)
	}
	defer m.store.Abort(ctx, txn)
	running, stop := context.WithCancel(ctx)
	defer stop()
	results, err := tester.NewRunner().SetCompiler(ast.NewCompiler().WithCapabilities(capabilities())).
		SetModules(modules).SetStore(m.store).SetTimeout(testTime).RaiseBuiltinErrors(true).RunTests(running, txn)
	if err != nil {
		return false, untested(err)
	}
	found := false
	for r := range results {
		if !found && !r.Pass() {
			found = true
			stop() // what comes after this is only drained
		}
	}
	// Tests stopped from outside do not pass either.
	return found, ctx.Err()
}
