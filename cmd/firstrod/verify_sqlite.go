package main

import (
	"errors"
	"os"

	"firstrod/engine"
	"firstrod/engine/export"
	"firstrod/engine/ledger"
)

// isSQLite says whether a file begins as a SQLite file does (its file format,
// section 1.3).
func isSQLite(path string) bool {
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	head := make([]byte, 16)
	_, err = f.Read(head)
	return err == nil && string(head) == "SQLite format 3\x00"
}

// verifySQLite verifies an export by the bytes that it carries, and then its
// tables by those bytes.
func (a *app) verifySQLite(path string, flags verifyFlags) error {
	if flags.policy != "" || flags.bore != "" || flags.quick {
		return &engine.Error{Kind: engine.Usage, Say: "a SQLite file has no cosignatures and is of all bores: --policy, --bore and --quick go with a proof file"}
	}
	pins, err := readPins(flags.pins)
	if err != nil {
		return err
	}
	f, err := export.OpenSQLite(path)
	if err != nil {
		return &engine.Error{Kind: engine.Usage, Say: "this is no export of a ledger: " + path, Err: err}
	}
	faults := []faultJSON{}
	report := a.faultTo(&faults)
	sum := ledger.Verify(f, ledger.Options{Key: flags.key, Pins: pins}, report)
	if sum.Faults == 0 {
		// Only bytes that are proved say what the tables should.
		sum.Faults = f.Compare(report)
		sum.Checked = append(sum.Checked, "tables")
	}
	err = errors.Join(f.Close(), a.reportVerify(sum, "", faults))
	switch {
	case err != nil:
		return err
	case sum.Faults > 0:
		return errDamaged
	case !sum.Anchored:
		return errUnanchored // whoever sent the file may hold the key, as with a proof file
	}
	return nil
}
