package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"firstrod/engine"
	"firstrod/engine/ledger"
	"firstrod/engine/proof"
	"firstrod/engine/witness"
)

// readPolicy reads a policy file; none is nil.
func readPolicy(path string) (func(note []byte) (string, error), error) {
	if path == "" {
		return nil, nil
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		return nil, &engine.Error{Kind: engine.Usage, Say: "the policy cannot be read: " + path, Err: err}
	}
	p, err := witness.ParsePolicy(raw)
	if err != nil {
		return nil, &engine.Error{Kind: engine.Usage, Say: "the policy cannot be used: " + path, Err: err}
	}
	return p.Check, nil
}

// readCosigned reads the latest cosigned checkpoint in the data folder; nil for none.
func (a *app) readCosigned() ([]byte, error) {
	raw, err := os.ReadFile(filepath.Join(a.config.Data, cosignedFile))
	switch {
	case err == nil:
		return raw, nil
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	}
	return nil, &engine.Error{Kind: engine.Storage, Say: "the cosigned checkpoint cannot be read", Err: err}
}

// cosigned holds the ledger's cosigned checkpoint against a policy. That the ledger
// continues it is for the verification to say, which has it as a pin.
func (a *app) cosigned(policy func([]byte) (string, error), msg []byte, sum *ledger.Summary, report func(ledger.Fault)) (who string) {
	who, err := "", errors.New("no checkpoint of this ledger was cosigned")
	if msg != nil {
		who, err = policy(msg)
	}
	if err != nil {
		sum.Faults++
		report(ledger.Fault{Seq: -1, Code: proof.FaultPolicy, Say: err.Error()})
	}
	return who
}
