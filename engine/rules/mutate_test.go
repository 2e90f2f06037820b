package rules

import (
	"context"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"firstrod/engine"
)

// slips lists what can be changed in a rule, as KIND BEFORE => AFTER.
func slips(t *testing.T, body string) []string {
	t.Helper()
	all, err := mutations(file{"a/b.rego", []byte("package checks.base.a.b\n\n" + body)})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, m := range all {
		got = append(got, m.Kind+" "+m.Before+" => "+m.After)
	}
	slices.Sort(got)
	return got
}

// of keeps the slips of some kinds.
func of(all []string, kinds ...string) []string {
	return slices.DeleteFunc(slices.Clone(all), func(s string) bool {
		kind, _, _ := strings.Cut(s, " ")
		return !slices.Contains(kinds, kind)
	})
}

func TestEachOperatorChangesWhatItSays(t *testing.T) {
	for _, test := range []struct {
		body  string
		kinds []string
		want  []string
	}{
		{"pass if input.a >= input.b", []string{MutComparison}, []string{"input.a > input.b", "input.a < input.b"}},
		{"pass if input.a <= input.b", []string{MutComparison}, []string{"input.a < input.b", "input.a > input.b"}},
		{"pass if input.a > input.b", []string{MutComparison}, []string{"input.a >= input.b", "input.a <= input.b"}},
		{"pass if input.a < input.b", []string{MutComparison}, []string{"input.a <= input.b", "input.a >= input.b"}},
		{"pass if input.a == input.b", []string{MutComparison}, []string{"input.a != input.b"}},
		{"pass if input.a != input.b", []string{MutComparison}, []string{"input.a == input.b"}},
		{"pass if input.a == 5", []string{MutConstant}, []string{"input.a == 6", "input.a == 4"}},
		{"pass if input.a == -5", []string{MutConstant}, []string{"input.a == -4", "input.a == -6"}},
		{"pass if input.a == 0", []string{MutConstant}, []string{"input.a == 1", "input.a == -1"}},
		{"pass if input.a == 1.25", []string{MutConstant}, []string{"input.a == 2.25", "input.a == 0.25"}},
		{`pass if input.a == "seen"`, []string{MutConstant}, []string{`input.a == "seenx"`}},
		{`pass if input.a == true`, []string{MutConstant}, []string{"input.a == false"}},
		{`pass if input.a == false`, []string{MutConstant}, []string{"input.a == true"}},
		{`pass if input.a in [1, 3]`, []string{MutConstant},
			[]string{"input.a in [2, 3]", "input.a in [0, 3]", "input.a in [1, 4]", "input.a in [1, 2]"}},
		{"pass if input.a", []string{MutNegation}, []string{"not input.a"}},
		{"pass if not input.a", []string{MutNegation}, []string{"input.a"}},
		{"pass if input.a", []string{MutCondition}, []string{"true"}},
		{"pass if input.a + input.b > 0", []string{MutArithmetic}, []string{"input.a - input.b > 0"}},
		{"pass if input.a - input.b > 0", []string{MutArithmetic}, []string{"input.a + input.b > 0"}},
		{"pass if input.a * input.b > 0", []string{MutArithmetic}, []string{"input.a + input.b > 0"}},
		{"pass if abs(input.a) > 0", []string{MutArithmetic}, []string{"(input.a) > 0"}},
	} {
		before := strings.TrimPrefix(test.body, "pass if ")
		var want []string
		for _, w := range test.want {
			want = append(want, test.kinds[0]+" "+before+" => "+w)
		}
		slices.Sort(want)
		if got := of(slips(t, test.body), test.kinds...); !slices.Equal(got, want) {
			t.Errorf("%s:\n%q\nwant\n%q", test.body, got, want)
		}
	}
}

func TestEveryRuleAndConditionIsLeftOutInTurn(t *testing.T) {
	got := of(slips(t, "exempt if input.a\n\npass if {\n\tinput.b\n\tinput.c > 1\n}\n\npass if input.d\n\n_h := 4\n"), MutRule, MutCondition)
	want := []string{
		"condition input.a => true", "condition input.b => true", "condition input.c > 1 => true", "condition input.d => true",
		"rule exempt if input.a => exempt if false",
		"rule pass if input.d => pass if false",
		"rule pass if { input.b input.c > 1 } => pass if false",
	}
	if !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
}

func TestLooksIntoHelpersAndLoops(t *testing.T) {
	got := slips(t, "pass if {\n\tcount(input.l) > 0\n\tevery v in input.l { v >= 2 }\n}\n\n_h := [1 | some w in input.l; w < 7]\n\n_k := 3\n")
	for _, want := range []string{
		"comparison v >= 2 => v > 2", "condition v >= 2 => true", "constant v >= 2 => v >= 3",
		"comparison w < 7 => w <= 7", "constant w < 7 => w < 8", "constant _k := 3 => _k := 4",
	} {
		if !slices.Contains(got, want) {
			t.Errorf("no slip %q in %q", want, got)
		}
	}
}

// Names are no constants, and what is written twice is changed once each.
func TestLeavesNamesAlone(t *testing.T) {
	got := of(slips(t, `pass if input.a["b"] == data.params.c.d_um`), MutConstant)
	if len(got) > 0 {
		t.Errorf("%q", got)
	}
}

// Every slip in the base is in the line it names and changes the file.
func TestSlipsOfBase(t *testing.T) {
	kinds := map[string]int{}
	for path, f := range base(t) {
		if !ruleFile.MatchString(path) || strings.HasSuffix(path, "_test.rego") {
			continue
		}
		all, err := mutations(file{path, f.Data})
		if err != nil {
			t.Fatal(err)
		}
		if len(all) < 3 {
			t.Errorf("%s has only %d slips", path, len(all))
		}
		lines := strings.Split(string(f.Data), "\n")
		for _, m := range all {
			kinds[m.Kind]++
			if first, _, _ := strings.Cut(m.Before, " "); !strings.Contains(lines[m.Line-1], first) {
				t.Errorf("%s:%d does not hold %q", path, m.Line, m.Before)
			}
			if m.Before == m.After || string(m.apply(f.Data)) == string(f.Data) {
				t.Errorf("%s: %s changes nothing", path, m)
			}
		}
	}
	for _, kind := range []string{MutComparison, MutConstant, MutNegation, MutCondition, MutRule, MutArithmetic} {
		if kinds[kind] == 0 {
			t.Errorf("no slip of kind %s in the base", kind)
		}
	}
}

func mutate(t *testing.T, m fstest.MapFS) MutationReport {
	t.Helper()
	r, err := Mutate(context.Background(), m, MutateOptions{Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The tests of the base notice every slip, and no list explains one away.
func TestBaseNoticesEverySlip(t *testing.T) {
	r := mutate(t, base(t))
	for _, m := range r.Survivors {
		t.Errorf("%s:%s", m.File, m)
	}
	if r.Err() != nil || r.Killed < 600 || r.Refused != 0 {
		t.Errorf("%d noticed of %d, %d cannot be loaded: %v", r.Killed, r.Total(), r.Refused, r.Err())
	}
}

// watchful is a pack of one check whose tests notice everything.
func watchful(t testing.TB) fstest.MapFS {
	t.Helper()
	m := alone()
	delete(m, "ground/lines.rego")
	delete(m, "ground/lines_test.rego")
	put(m, "ground/metal_test.rego", metalTest+"\ntest_text if not metal.pass with input as {\"metal_distance\": \"30 ft\"}\n"+
		"\ntest_farther if metal.pass with input as {\"metal_distance\": 9144001}\n"+
		"\ntest_unknown if not metal.pass with input as {}\n")
	swap(t, m, metal, "pass if input.metal_distance >= data.params.ground.standoff_um",
		"pass if {\n\tis_number(input.metal_distance)\n\tinput.metal_distance >= data.params.ground.standoff_um\n}")
	return m
}

func TestWeakTestLeavesASurvivor(t *testing.T) {
	if r := mutate(t, watchful(t)); len(r.Survivors) > 0 {
		t.Fatalf("%v", r.Survivors)
	}
	m := watchful(t)
	swap(t, m, "ground/metal_test.rego", "9144000}", "9144009}")
	r := mutate(t, m)
	if len(r.Survivors) != 1 || r.Survivors[0].After != "input.metal_distance > data.params.ground.standoff_um" {
		t.Errorf("%v", r.Survivors)
	}
	if r.Survivors[0].Kind != MutComparison || r.Survivors[0].Check != "ground.metal" || engine.KindOf(r.Err()) != engine.Rules {
		t.Errorf("%+v %v", r.Survivors[0], r.Err())
	}
}

// Only the tests of the check itself count.
func TestTestsOfAnotherCheckDoNotCount(t *testing.T) {
	m := watchful(t)
	put(m, "ground/lines.rego", string(fixture()["ground/lines.rego"].Data))
	put(m, "ground/lines_test.rego", linesTest+strings.ReplaceAll(strings.ReplaceAll(
		strings.SplitAfterN(string(m["ground/metal_test.rego"].Data), "ground.metal\n", 3)[2],
		"test_", "test_metal_"), "metal.pass", "data.checks.base.ground.metal.pass"))
	delete(m, "ground/metal_test.rego")
	for _, s := range mutate(t, m).Survivors {
		if s.Check == "ground.metal" {
			return
		}
	}
	t.Error("every slip in ground.metal was noticed without a test of its own")
}

// What cannot be told from a rule that works says nothing about its tests.
func TestRefusesToMutate(t *testing.T) {
	for name, edit := range map[string]func(testing.TB, fstest.MapFS){
		"a test that fails":           change("ground/metal_test.rego", "test_near if not", "test_near if"),
		"a pack that does not load":   change(metal, "standoff_um", "standof_um"),
		"a function that cannot work": change("ground/metal_test.rego", "test_near if", "test_sum if not 1 + \"2\" == 3\n\ntest_near if"),
	} {
		m := watchful(t)
		edit(t, m)
		if r, err := Mutate(context.Background(), m, MutateOptions{}); engine.KindOf(err) != engine.Rules {
			t.Errorf("%s: %+v %v", name, r, err)
		}
	}
	stopped, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Mutate(stopped, watchful(t), MutateOptions{Workers: 2}); err == nil {
		t.Error("a run that was stopped gave a report")
	}
}

func TestCountsProgress(t *testing.T) {
	var seen []int
	r, err := Mutate(context.Background(), watchful(t), MutateOptions{Workers: 2, Progress: func(done, total int) {
		if seen = append(seen, done); done == total && done == 0 {
			t.Error("nothing to do")
		}
	}})
	if err != nil || len(seen) != r.Total() || !slices.IsSorted(seen) {
		t.Errorf("%v of %d, %v", seen, r.Total(), err)
	}
}
