package engine

import (
	"strings"

	"firstrod/engine/quantity"
)

// Leaf is one value that a rule may read without an ask: the engine knows it,
// or computes it. Rules write it as input.NAME.
type Leaf struct {
	Name string
	Kind quantity.Kind
}

// SignatureKey stands for a signature among the missing keys of a finding.
const SignatureKey = "signature"

// Leaves lists every leaf that the engine provides: the clock, the signatures,
// what happened while drilling, the item of a scope, and the derived values.
func Leaves() []Leaf {
	leaves := []Leaf{
		{"clock.now", quantity.Time},
		{"clock.today", quantity.Date},
		{"clock.verified", quantity.Time},
		{"signing.people", quantity.Count},
		{"signing.roles", quantity.Count},
		{"signing.locating_hand", quantity.YesNo},
		{"signing.signed_as", quantity.Names}, // the roles that have signed, sorted
		{"drilling.holds", quantity.Count},
		{"drilling.since_verified", quantity.Count},
		{"frequency.hz", quantity.Frequency},
		{"crossing.name", quantity.Text},
	}
	for _, e := range Events() {
		leaves = append(leaves, Leaf{"drilling." + e, quantity.Count})
	}
	for _, d := range derivations() {
		leaves = append(leaves, Leaf{d.leaf, d.kind})
	}
	return leaves
}

// LeafNamed finds a leaf by the name that texts use, which is without its unit:
// "derived.pitch_bias".
func LeafNamed(name string) (Leaf, bool) {
	l, ok := leafByName[name]
	return l, ok
}

// leafByName is written once, here, and only read.
var leafByName = func() map[string]Leaf {
	m := map[string]Leaf{}
	for _, l := range Leaves() {
		m[l.Name], m[strings.TrimSuffix(l.Name, "_"+l.Kind.Unit())] = l, l
	}
	return m
}()

// ScopeOf says whose value a leaf is, and cuts the scope off:
// "frequency.near_reading" is near_reading of a frequency.
func ScopeOf(leaf string) (Scope, string) { return scopeOfLeaf(leaf) }

// Events lists what a crew may report while it drills. The rules say, ask by
// ask, what must be given again after each.
func Events() []string {
	return []string{
		"gear_change", "frequency_change", "power_change", "hard_impact",
		"interference", "new_shift", FailedCheck,
	}
}

// FailedCheck is the event of a depth that is not what it is shown to be: reported,
// or found by a check that is made while drilling.
const FailedCheck = "failed_depth_check"

// HoldEvent is what a hold by hand counts as for asks that must be given again.
const HoldEvent = "hold"

// readsOf lists what a leaf that the engine provides stands on.
func readsOf(leaf string) []string {
	readings := []string{"frequencies", "frequency.near_reading", "frequency.far_reading"}
	switch leaf {
	case "clock.verified":
		return readings
	case "drilling.since_verified":
		return append(readings, "drilling.interference", "drilling.new_shift")
	}
	if d, ok := derived(leaf); ok {
		return d.reads
	}
	return nil
}

// LeafOf is the leaf that an ask answers: "metal_distance", "frequency.signal".
func LeafOf(a *Ask) string { return leafOf(a) }

// leafOf is the leaf that an ask answers.
func leafOf(a *Ask) string {
	if a.Scope == PerBore {
		return a.ID
	}
	return string(a.Scope) + "." + a.ID
}

// listOf is the list ask whose items are the subjects of a scope.
func listOf(s Scope) string {
	switch s {
	case PerFrequency:
		return "frequencies"
	case PerCrossing:
		return "crossings"
	}
	return ""
}

// scopeOfLeaf says whose leaf it is, and cuts the scope's prefix off.
func scopeOfLeaf(leaf string) (Scope, string) {
	for _, s := range []Scope{PerFrequency, PerCrossing} {
		if rest, ok := strings.CutPrefix(leaf, string(s)+"."); ok {
			return s, rest
		}
	}
	return PerBore, leaf
}

// bareLeaf turns the "of every item" form that derivations use into the leaf:
// frequencies[].near_reading is frequency.near_reading.
func bareLeaf(read string) string {
	for _, s := range []Scope{PerFrequency, PerCrossing} {
		if rest, ok := strings.CutPrefix(read, listOf(s)+"[]."); ok {
			return string(s) + "." + rest
		}
	}
	return read
}
