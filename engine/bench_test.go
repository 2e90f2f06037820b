package engine_test

import (
	"context"
	"fmt"
	"sync/atomic"
	"testing"
	"time"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/enginetest"
)

// BenchmarkCrews64 is 64 simulated crews that take bore after bore from its opening
// to its release, all at once. It reports recorded answers a second.
func BenchmarkCrews64(b *testing.B) {
	store, err := boltstore.Open(b.TempDir(), boltstore.Options{})
	if err != nil {
		b.Fatal(err)
	}
	defer store.Close()
	clock := func() time.Time { return start }
	e, err := engine.New(b.Context(), engine.Config{Rules: engine.Everywhere(baseRules(b)), Store: store, Registry: store, Clock: clock})
	if err != nil {
		b.Fatal(err)
	}
	var left, bores atomic.Int64
	left.Store(int64(b.N))
	before := store.Size()
	done := make(chan error)
	b.ResetTimer()
	for range 64 {
		go func() { done <- drill(e, &left, &bores) }()
	}
	for range 64 {
		if err := <-done; err != nil {
			b.Error(err)
		}
	}
	b.ReportMetric(float64(store.Size()-before)/b.Elapsed().Seconds(), "records/s")
}

// drill releases bores until enough answers were given by all.
func drill(e *engine.Engine, left, bores *atomic.Int64) error {
	for left.Load() > 0 {
		name := fmt.Sprintf("OR-%d", bores.Add(1))
		crew := &enginetest.Crew{Engine: e}
		hand, driver, err := crew.Open(context.Background(), name)
		if err != nil {
			return err
		}
		for more := true; more && left.Add(-1) >= 0; {
			if more, err = crew.Step(context.Background(), name, hand, engine.GateRelease); err != nil {
				return err
			}
		}
		if left.Load() > 0 {
			if _, err := crew.Sign(context.Background(), name, hand, driver); err != nil {
				return err
			}
		}
	}
	return nil
}
