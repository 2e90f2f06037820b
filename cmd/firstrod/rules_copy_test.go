package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"firstrod/engine/desk"
)

// A safety manager's own folder has all that the stock engine wants, and what lies
// there for it is no part of the rules.
func TestACopyWithSchemas(t *testing.T) {
	y := yard{t, filepath.Join(t.TempDir(), "rules")}
	t.Setenv("HOME", t.TempDir())
	y.verb(exitFine, "copy")
	for _, name := range []string{"input.json", "params.json"} {
		got, err := os.ReadFile(filepath.Join(y.dir, "schemas", name))
		want, err2 := os.ReadFile(filepath.Join("../../policies/schemas", name))
		if err != nil || err2 != nil || string(got) != string(want) {
			t.Errorf("%s is not that of the rules inside the program: %v, %v", name, err, err2)
		}
	}
	if out := y.verb(exitFine, "check"); strings.Contains(out, "schemas") {
		t.Error(out)
	}
	with, err := desk.Read(y.dir)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := with.Files.Open("schemas"); err == nil {
		t.Error("the schemas are carried")
	}
	if out := y.verb(exitUsage, "copy"); !strings.Contains(out, "is there already") {
		t.Error(out)
	}
	if err := os.RemoveAll(filepath.Join(y.dir, "schemas")); err != nil {
		t.Fatal(err)
	}
	if without, err := desk.Read(y.dir); err != nil || without.Sum != with.Sum {
		t.Errorf("the schemas are part of the sum: %v", err)
	}
}

// The stock engine checks the copy strictly, and finds a slip in it by the schemas.
func TestTheStockToolTakesACopy(t *testing.T) {
	opa := os.Getenv("FIRSTROD_OPA")
	if opa == "" {
		const say = "FIRSTROD_OPA names no stock engine"
		if os.Getenv("FIRSTROD_REAL") == "1" {
			t.Fatal(say)
		}
		t.Skip(say)
	}
	y := yard{t, filepath.Join(t.TempDir(), "rules")}
	t.Setenv("HOME", t.TempDir())
	y.verb(exitFine, "copy")
	check := func() (string, error) {
		out, err := exec.Command(opa, "check", "--strict", "-s", filepath.Join(y.dir, "schemas"),
			filepath.Join(y.dir, "base"), filepath.Join(y.dir, "local/va")).CombinedOutput()
		return string(out), err
	}
	if out, err := check(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
	y.edit("local/va/ground/stakes_clear.rego", "input.stake_distance >=", "input.stake_distanse >=")
	if out, err := check(); err == nil || !strings.Contains(out, "rego_type_error") {
		t.Errorf("a slip is taken: %v\n%s", err, out)
	}
}
