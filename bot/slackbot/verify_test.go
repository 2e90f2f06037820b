package slackbot

import (
	"testing"

	"firstrod/engine/boltstore"
	"firstrod/engine/ledger"
)

// verify checks the whole ledger as an auditor would.
func verify(t *testing.T, dir string) {
	t.Helper()
	r, err := boltstore.OpenReader(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	sum := ledger.Verify(r, ledger.Options{}, func(f ledger.Fault) { t.Errorf("%s: %s", f.Code, f.Say) })
	if sum.Size == 0 {
		t.Error("nothing was verified")
	}
}
