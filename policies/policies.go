// Package policies carries the base rule pack inside the program: open Base
// with fs.Sub(policies.Base, "base") and hand it to the rule engine.
//
// Below base lies one folder for each area of the job. In it are a Rego file
// for each check, with a METADATA block that holds its texts and its questions,
// and beside it a file of tests. The limits are in params.yaml, in the units
// that people use; params.json has the same numbers in the base units that the
// rules count in, so that the stock policy engine can check and test the pack
// as it lies on disk:
//
//	opa check --strict policies/base
//	opa test policies/base
package policies

import "embed"

// Base is the base pack, under the folder "base".
//
//go:embed base
var Base embed.FS
