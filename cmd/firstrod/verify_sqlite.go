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

// verifyFile verifies a file of its own, by what it is.
func (a *app) verifyFile(path string, o ledger.Options) error {
	if !isSQLite(path) {
		return &engine.Error{Kind: engine.Usage, Say: "this is no file that can be verified: " + path, Hint: "firstrod export sqlite FILE writes one"}
	}
	return a.verifySQLite(path, o)
}

// verifySQLite verifies an export by the bytes that it carries, and then its
// tables by those bytes.
func (a *app) verifySQLite(path string, o ledger.Options) error {
	f, err := export.OpenSQLite(path)
	if err != nil {
		return &engine.Error{Kind: engine.Usage, Say: "this is no export of a ledger: " + path, Err: err}
	}
	faults := []faultJSON{}
	report := func(f ledger.Fault) {
		if a.json {
			faults = append(faults, faultJSON{f.Seq, f.Code, f.Say})
			return
		}
		a.printf("FAULT %s: %s\n", f.Code, visible(f.Say))
	}
	sum := ledger.Verify(f, o, report)
	if sum.Faults == 0 {
		// Only bytes that are proved say what the tables should.
		sum.Faults = f.Compare(report)
		sum.Checked = append(sum.Checked, "tables")
	}
	err = errors.Join(f.Close(), a.reportVerify(sum, faults))
	if err == nil && sum.Faults > 0 {
		return errDamaged
	}
	return err
}
