package rules

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/open-policy-agent/opa/v1/ast"

	"firstrod/engine"
)

// begun is the fixture's ground.metal with its tests and a new check.
func begun(t testing.TB, id string) (fstest.MapFS, []NewFile) {
	t.Helper()
	m := watchful(t)
	files, err := Template(m, load(t, m), "base", id)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		put(m, f.Path, string(f.Data))
	}
	return m, files
}

func TestTemplateWorksAsADraft(t *testing.T) {
	for _, id := range []string{"ground/water", "ground.water", "weather/lightning", "clock/now"} {
		m, files := begun(t, id)
		if len(files) != 2 || !strings.HasPrefix(files[0].Path, strings.ReplaceAll(id, ".", "/")) {
			t.Fatalf("%+v", files)
		}
		r, err := Test(context.Background(), m)
		if err != nil || !r.OK() {
			t.Errorf("%s: %+v %v", id, r, err)
		}
		if r := mutate(t, m); r.Err() != nil {
			t.Errorf("%s: %v", id, r.Survivors)
		}
	}
}

// The stock engine reads its METADATA and compiles it strictly, as it does with
// every check on disk.
func TestTemplateSuitsTheStockEngine(t *testing.T) {
	_, files := begun(t, "ground/water")
	texts := map[string][]byte{}
	for _, f := range files {
		texts[f.Path] = f.Data
	}
	stock(t, texts)
}

func TestBaseSuitsTheStockEngine(t *testing.T) {
	texts := map[string][]byte{}
	for path, f := range base(t) {
		if strings.HasSuffix(path, ".rego") {
			texts[path] = f.Data
		}
	}
	stock(t, texts)
}

// stock reads files as the stock engine's own check does: with their METADATA,
// strictly, and with every function it has.
func stock(t *testing.T, texts map[string][]byte) {
	t.Helper()
	modules := map[string]*ast.Module{}
	for path, text := range texts {
		m, err := ast.ParseModuleWithOpts(path, string(text), ast.ParserOptions{ProcessAnnotation: true, RegoVersion: ast.RegoV1})
		if err != nil {
			t.Fatal(err)
		}
		modules[path] = m
		if strings.HasSuffix(path, "_test.rego") || strings.HasSuffix(path, schemasRego) {
			continue
		}
		notes := m.Annotations
		if len(notes) != 1 || notes[0].Scope != "package" || notes[0].Custom["id"] != idOf(path) {
			t.Errorf("%s: %+v", path, notes)
		}
	}
	c := ast.NewCompiler().WithStrict(true)
	if c.Compile(modules); c.Failed() {
		t.Error(c.Errors)
	}
}

// Nothing that judges for a crew takes a check with blanks, and the refusal
// names each of them and nothing else.
func TestBlanksAreRefused(t *testing.T) {
	m, files := begun(t, "ground/water")
	_, err := Load(context.Background(), m, Options{})
	faults := Faults(err)
	if want := strings.Count(string(files[0].Data), Blank); engine.KindOf(err) != engine.Rules || len(faults) != want || want < 10 {
		t.Fatalf("%d faults for %d blanks: %v", len(faults), want, err)
	}
	for _, f := range faults {
		line := strings.Split(string(files[0].Data), "\n")[f.Line-1]
		if f.File != "ground/water.rego" || !strings.Contains(line, Blank) {
			t.Errorf("%+v is %q", f, line)
		}
	}
	put(m, files[0].Path, strings.ReplaceAll(string(files[0].Data), Blank, ""))
	s := load(t, m)
	if f := one(t, s, "ground.water", known{"water": true}); f.Status != engine.Pass {
		t.Errorf("%+v", f)
	}
	if f := one(t, s, "ground.water", known{"water": false}); f.Status != engine.Fail {
		t.Errorf("%+v", f)
	}
}

// A question gets a name that is free, a check its place after its area.
func TestTemplateTakesAFreeNameAndPlace(t *testing.T) {
	m := watchful(t)
	files, err := Template(m, load(t, m), "base", "ground/metal_distance")
	if err != nil || !strings.Contains(string(files[0].Data), `id: "ground_metal_distance"`) {
		t.Errorf("%v", err)
	}
	s := load(t, fixture())
	if got := s.nextOrder("ground"); got != 111 {
		t.Errorf("place in ground is %d", got)
	}
	if got := s.nextOrder("weather"); got != 510 {
		t.Errorf("place of a new area is %d", got)
	}
}

func TestTemplateRefuses(t *testing.T) {
	m := watchful(t)
	s := load(t, m)
	for id, kind := range map[string]engine.Failure{
		"ground/metal": engine.Conflict, "ground.metal": engine.Conflict,
		"ground": engine.Usage, "ground/": engine.Usage, "/water": engine.Usage, "ground/a/b": engine.Usage,
		"../up": engine.Usage, "Ground/water": engine.Usage, "ground/water_test": engine.Usage, "": engine.Usage,
		"ground/wet rock": engine.Usage, "ground/___": engine.Usage,
	} {
		if files, err := Template(m, s, "base", id); engine.KindOf(err) != kind || files != nil {
			t.Errorf("%q: %v %v", id, files, err)
		}
	}
}
