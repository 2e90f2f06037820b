package rules

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// opa is the stock engine's own program, at the version in go.mod:
//
//	GOBIN=/tmp/bin go install github.com/open-policy-agent/opa@v1.22.2
//	FIRSTROD_OPA=/tmp/bin/opa go test ./engine/rules -run StockTool
func opa(t *testing.T, args ...string) (string, error) {
	t.Helper()
	exe := os.Getenv("FIRSTROD_OPA")
	if exe == "" {
		const say = "FIRSTROD_OPA names no stock engine"
		if os.Getenv("FIRSTROD_REAL") == "1" {
			t.Fatal(say)
		}
		t.Skip(say)
	}
	out, err := exec.Command(exe, args...).CombinedOutput()
	return string(out), err
}

// The stock tool takes the base, and each local pack with it, as they lie on disk:
// it checks them strictly, also against the schemas, and all tests pass.
func TestStockTool(t *testing.T) {
	const root, schemas = "../../policies/", "../../policies/schemas"
	for _, packs := range [][]string{{root + "base"}, {root + "base", root + "local/va"}, {root + "base", root + "local/va-alder"}, {root + "base", root + "local"}} {
		for _, args := range [][]string{{"check", "--strict"}, {"check", "--strict", "-s", schemas}, {"test", "--ignore", "overlay.yaml"}} {
			if out, err := opa(t, append(args, packs...)...); err != nil {
				t.Errorf("opa %s %s: %v\n%s", strings.Join(args, " "), strings.Join(packs, " "), err, out)
			}
		}
	}
}

// With the schemas the stock tool finds a misspelled answer or limit by itself, and
// a text where a number belongs. Whoever gives it one file of them is told.
func TestStockToolFindsSlips(t *testing.T) {
	const base, schemas = "../../policies/base", "../../policies/schemas"
	for old, slip := range map[string]string{
		"input.stake_distance >=": "input.stake_distanse >=",
		".stake_distance_um":      ".stake_distanse_um",
		"pass if {\n":             "pass if {\n\tinput.stake_distance == \"far\"\n",
	} {
		text, err := os.ReadFile("../../policies/local/va/ground/stakes_clear.rego")
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(t.TempDir(), "stakes_clear.rego")
		bad := bytes.Replace(text, []byte(old), []byte(slip), 1)
		if bytes.Equal(bad, text) {
			t.Fatalf("%q is not there", old)
		}
		if err := os.WriteFile(file, bad, 0o644); err != nil {
			t.Fatal(err)
		}
		if out, err := opa(t, "check", "--strict", base, file); err != nil {
			t.Errorf("without the schemas: %s", out)
		}
		if out, err := opa(t, "check", "--strict", "-s", schemas, base, file); err == nil || !strings.Contains(out, "rego_type_error: ") {
			t.Errorf("%q is taken: %s", slip, out)
		}
	}
	if out, err := opa(t, "check", "--strict", "-s", schemas+"/input.json", base); err == nil || !strings.Contains(out, "undefined schema: schema.input") {
		t.Errorf("half of the schemas is taken: %s", out)
	}
}

// The schemas in the repository are those that these packs give.
func TestSchemasAreFresh(t *testing.T) {
	input, params, err := Schemas(context.Background(), realLayers(t))
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string][]byte{"input.json": input, "params.json": params} {
		got, err := os.ReadFile("../../policies/schemas/" + name)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("policies/schemas/%s is not fresh: firstrod rules schemas policies --out policies/schemas", name)
		}
	}
	if got, err := os.ReadFile("../../policies/base/schemas.rego"); err != nil || string(got) != StockSchemas {
		t.Errorf("policies/base/schemas.rego is not fresh: %v", err)
	}
	for _, want := range []string{`"metal_distance"`, `"stake_distance"`, `"permit_last_day"`, `"signed_as"`} {
		if !bytes.Contains(input, []byte(want)) {
			t.Errorf("the schema of input lacks %s", want)
		}
	}
	if !bytes.Contains(params, []byte(`"stake_distance_um"`)) {
		t.Error("the schema of limits lacks those of the local packs")
	}
}

// Two places may not use one name each in its own way: no schema can say both.
func TestSchemasRefuseTwoMeanings(t *testing.T) {
	m := layered(t)
	put(m, "local/ga/overlay.yaml", "title: {en: \"Georgia\", es: \"Georgia\"}\nholds: \"US-GA\"\non_publish: \"keep\"\n")
	put(m, "local/ga/ground/dry.rego", localCheck("ga", "ground.dry", "pass if input.wet_depth == true\n", askText("wet_depth", "yesno", "")))
	book(t, m)
	if _, _, err := Schemas(context.Background(), layersOf(t, m)); err == nil || !strings.Contains(err.Error(), "input.wet_depth is ") {
		t.Errorf("%v", err)
	}
}
