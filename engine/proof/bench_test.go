package proof_test

import (
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"sync"
	"testing"
	"time"

	"firstrod/engine"
	"firstrod/engine/boltstore"
	"firstrod/engine/enginetest"
	"firstrod/engine/ledger"
	"firstrod/engine/proof"
	"firstrod/engine/rules"
	"firstrod/policies"
)

// large is a ledger of at least n records: a real crew's bore, whose records are
// spread from the first to the last, among answers on others.
func large(b *testing.B, n int) string {
	b.Helper()
	ctx, dir := context.Background(), b.TempDir()
	must := func(err error) {
		b.Helper()
		if err != nil {
			b.Fatal(err)
		}
	}
	base, err := fs.Sub(policies.Base, "base")
	must(err)
	set, err := rules.Load(ctx, base, rules.Options{Total: time.Minute})
	must(err)
	store, err := boltstore.Open(dir, boltstore.Options{})
	must(err)
	e, err := engine.New(ctx, engine.Config{Rules: engine.Everywhere(set), Store: store, Registry: store})
	must(err)
	c := &enginetest.Crew{Engine: e}
	hand, driver, err := c.Open(ctx, "OR-4")
	must(err)
	must(c.AnswerAll(ctx, "OR-4", hand, engine.GateRelease))
	var wg sync.WaitGroup
	const writers = 64
	for w := range writers {
		wg.Go(func() {
			bore := fmt.Sprintf("B-%d", w)
			for ver := int64(1); ver <= int64(n/writers)+1; ver++ {
				entry := enginetest.Answer(bore, ver, fmt.Sprintf("%s/%d", bore, ver))
				if _, err := store.Append(ctx, entry); err != nil {
					b.Error(err)
					return
				}
			}
		})
	}
	wg.Wait()
	_, err = c.Sign(ctx, "OR-4", hand, driver)
	must(err)
	must(store.Close())
	return dir
}

// BenchmarkBore makes and checks the file of one bore in a ledger of 100,000 records.
// "open" is what is spent before: walking the pages of the whole file, to read none
// that makes no sense.
func BenchmarkBore(b *testing.B) {
	dir := large(b, 100_000)
	b.Run("open", func(b *testing.B) {
		for b.Loop() {
			r, err := boltstore.OpenReader(dir)
			if err != nil {
				b.Fatal(err)
			}
			r.Close()
		}
	})
	r, err := boltstore.OpenReader(dir)
	if err != nil {
		b.Fatal(err)
	}
	defer r.Close()
	b.Run("prove_and_verify", func(b *testing.B) {
		for b.Loop() {
			var file bytes.Buffer
			if _, err := proof.Write(&file, r, proof.Request{Bore: "OR-4"}); err != nil {
				b.Fatal(err)
			}
			v := proof.Check(context.Background(), bytes.NewReader(file.Bytes()), int64(file.Len()), proof.Options{},
				func(f ledger.Fault) { b.Errorf("%+v", f) })
			if v.Releases != 1 || v.Signed.Size < 100_000 {
				b.Fatalf("%+v", v)
			}
		}
	})
}
