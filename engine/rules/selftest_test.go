package rules

import (
	"context"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"firstrod/engine"
)

const metalTest = `package tests.base.ground.metal

import data.checks.base.ground.metal

test_far if metal.pass with input as {"metal_distance": 9144000}

test_near if not metal.pass with input as {"metal_distance": 9143999}
`

const linesTest = `package tests.base.ground.lines

import data.checks.base.ground.lines

test_none if lines.exempt with input as {"lines_near": false}

test_not_seen if not lines.pass with input as {"lines_near": true, "lines_seen": "guessed"}
`

// alone is the fixture's ground.metal and ground.lines with their tests.
func alone() fstest.MapFS {
	m := fixture()
	for path := range m {
		if !strings.HasPrefix(path, "ground/") && !strings.HasPrefix(path, "params.") {
			delete(m, path)
		}
	}
	put(m, "ground/metal_test.rego", metalTest)
	put(m, "ground/lines_test.rego", linesTest)
	return m
}

func report(t *testing.T, m fstest.MapFS) (lines, metal CheckReport, ok bool) {
	t.Helper()
	r, err := Test(context.Background(), m)
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Checks) != 2 || r.Checks[0].ID != "ground.lines" || r.Checks[1].ID != "ground.metal" {
		t.Fatalf("%+v", r)
	}
	return r.Checks[0], r.Checks[1], r.OK()
}

func TestReportsCoverageAndGaps(t *testing.T) {
	lines, metal, ok := report(t, alone())
	if !metal.OK() || !slices.Equal(metal.Passed, []string{"test_far", "test_near"}) {
		t.Errorf("%+v", metal)
	}
	// The pass rule of ground.lines is in lines 46 to 49. The index of the rule
	// engine rules its body out by the option, so no line of it is reached.
	if lines.OK() || ok || !slices.Equal(lines.Uncovered, []Lines{{46, 48}}) ||
		!slices.Equal(lines.Lacks, []string{"no test states: pass", "no test states: not exempt"}) {
		t.Errorf("%+v", lines)
	}
}

func TestReportsFailure(t *testing.T) {
	m := alone()
	swap(t, m, "ground/metal_test.rego", "test_near if not", "test_near if")
	_, metal, ok := report(t, m)
	if ok || metal.OK() || !slices.Equal(metal.Failed, []string{"test_near"}) {
		t.Errorf("%+v", metal)
	}
}

func TestReportsCheckWithoutTests(t *testing.T) {
	m := alone()
	delete(m, "ground/metal_test.rego")
	_, metal, ok := report(t, m)
	if ok || metal.OK() || len(metal.Lacks) != 1 || len(metal.Uncovered) == 0 {
		t.Errorf("%+v", metal)
	}
}

func TestRefusesToTest(t *testing.T) {
	for name, edit := range map[string]func(testing.TB, fstest.MapFS){
		"a pack that does not load": change(metal, "standoff_um", "standof_um"),
		"a test that does not read": change("ground/metal_test.rego", "test_far if", "test_far iff"),
		"a forbidden function":      change("ground/metal_test.rego", "test_far if", "test_now if time.now_ns() > 0\n\ntest_far if"),
		"an unknown check":          change("ground/metal_test.rego", "import data.checks.base.ground.metal\n", ""),
	} {
		m := alone()
		edit(t, m)
		if r, err := Test(context.Background(), m); engine.KindOf(err) != engine.Rules {
			t.Errorf("%s: %+v %v", name, r, err)
		}
	}
}
