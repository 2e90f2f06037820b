package rules

import (
	"context"
	"testing"
	"time"

	"go.uber.org/goleak"

	"firstrod/engine"
)

// Load returns when its time is up; what it started ends soon after, and
// neither Load nor Evaluate leaves anything running otherwise.
func TestLeavesNothingRunning(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	s := load(t, fixture())
	if f := one(t, s, "ground.metal", known{"metal_distance": int64(9144000)}); f.Status != engine.Pass {
		t.Errorf("%+v", f)
	}
	if _, err := Load(context.Background(), fixture(), Options{Total: time.Millisecond}); err == nil {
		t.Error("loaded in a millisecond")
	}
}

// A run over slips ends with its workers and the tests they started, also when
// it is stopped half way.
func TestMutateLeavesNothingRunning(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	mutate(t, watchful(t))
	ctx, stop := context.WithCancel(context.Background())
	_, err := Mutate(ctx, watchful(t), MutateOptions{Workers: 2, Progress: func(done, _ int) {
		if done == 3 {
			stop()
		}
	}})
	if err == nil {
		t.Error("a run that was stopped gave a report")
	}
}
