package audit

import (
	"fmt"

	"firstrod/engine/ledger"
)

// kept says in words what was done to the ledger as a whole; "" for other records.
func (w Words) kept(r ledger.Record, why string) string {
	switch {
	case r.Erased != nil:
		return "had the name of " + r.Erased.Person + " erased: " + quote(r.Erased.Ground)
	case r.Restored != nil:
		return fmt.Sprintf("the ledger was put back from a backup of %d records", r.Restored.Size)
	case r.Rotated != nil:
		return "the log signs with a new key" + why
	case r.Removed != nil:
		return fmt.Sprintf("%d files of evidence of bore %s were removed: %s", len(r.Removed.Sums), r.Removed.Bore, r.Removed.Rule)
	case r.LegalHold == nil:
		return ""
	}
	of := "bore " + r.LegalHold.Bore
	if r.LegalHold.Person != "" {
		of = look(w.Person, r.LegalHold.Person)
	}
	if r.LegalHold.Release {
		return "released the legal hold on " + of + why
	}
	return "put a legal hold on " + of + why
}
