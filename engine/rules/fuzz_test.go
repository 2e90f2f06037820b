package rules

import (
	"bytes"
	"context"
	"testing"

	"firstrod/engine"
)

// Whatever a check file holds, Load gives a Set or a refusal, and a Set holds
// nothing where nothing was answered.
func FuzzLoad(f *testing.F) {
	for _, file := range fixture() {
		f.Add(file.Data)
	}
	f.Add([]byte("# METADATA\n# a: &a [*a]\npackage checks.base.ground.metal\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		m := fixture()
		put(m, metal, string(data))
		s, err := Load(context.Background(), m, Options{})
		if (s == nil) == (err == nil) || err != nil && engine.KindOf(err) != engine.Rules {
			t.Fatalf("%v %v", s, err)
		}
		if err == nil {
			if f := one(t, s, "ground.metal", known{}); f.Status.Holds() {
				t.Fatalf("%+v", f)
			}
		}
	})
}

// params.json is stable, and never empty where the limits could be read.
func FuzzParamsJSON(f *testing.F) {
	f.Add([]byte(fixtureParams))
	f.Add([]byte("a: {b: {kind: length, value: \"1 ft\"}}"))
	f.Fuzz(func(t *testing.T, data []byte) {
		a, err := ParamsJSON(data)
		b, _ := ParamsJSON(data)
		if !bytes.Equal(a, b) || (a == nil) == (err == nil) {
			t.Fatalf("%s %s %v", a, b, err)
		}
	})
}
