// Package policies carries the rules inside this program: the base pack, and
// local packs for states and counties that lie over it. Open Base with
// fs.Sub(policies.Base, "base") and Local with fs.Sub(policies.Local, "local"), and
// hand both to the rule engine.
//
// Below base lies one folder for each area of the job. In it are a Rego file
// for each check, with a METADATA block that holds its texts and its questions,
// and beside it a file of tests. The limits are in params.yaml, in the units
// that people use; params.json has the same numbers in the base units that the
// rules count in, so that the stock policy engine can check and test the pack
// as it lies on disk. one_call.csv says state by state how wide the zone beside a
// marked line is in which no machine digs. schemas.rego names the schemas of the
// folder schemas, for the stock policy engine alone.
//
// Below local lies one folder for each local pack, with its overlay.yaml: where it
// holds, which limits it sets, which checks it fixes. Local va is worked from the
// law of Virginia; the county va-alder is invented.
//
//	opa check --strict -s policies/schemas policies/base policies/local
//	opa test --ignore overlay.yaml policies/base policies/local
package policies

import "embed"

// Base is the base pack, under the folder "base".
//
//go:embed base
var Base embed.FS

// Local is the local packs, under the folder "local".
//
//go:embed local
var Local embed.FS
