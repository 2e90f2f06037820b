package proof

import (
	"encoding/json"
	"slices"

	"firstrod/engine/ledger"
)

// input is what people sign, as far as it is compared: the engine writes it.
type input struct {
	Bore  string  `json:"bore"`
	Zone  string  `json:"zone"`
	Rules string  `json:"rules"`
	Facts []value `json:"facts"`
}

type value struct {
	Key   string   `json:"key"`
	Kind  string   `json:"kind"`
	Value string   `json:"value"`
	Items []string `json:"items"`
	At    int64    `json:"at"`
}

// inputs checks that what was signed, byte for byte, is what the records say stood
// on the bore at that moment.
func (c *checker) inputs() {
	zone, facts := "", map[string]value{}
	for _, r := range c.bore {
		if r.Open != nil {
			zone = r.Open.Zone
		}
		if r.Sign != nil {
			c.signed(r, zone, facts)
		}
		for _, key := range r.Drops {
			delete(facts, key)
		}
		for _, f := range r.Facts {
			facts[f.Key] = value{f.Key, f.Kind, f.Value, f.Items, r.At.Unix()}
		}
	}
}

// signed compares one input.
func (c *checker) signed(r ledger.Record, zone string, facts map[string]value) {
	sum := r.Sign.Input
	raw, _ := c.f.Blob(sum) // it never gives an error
	if raw == nil {
		c.fault(r.Seq, ledger.FaultBlob, "what record %d signs is not in the file", r.Seq)
		return
	}
	if ledger.BlobSum(raw) != sum {
		c.fault(r.Seq, ledger.FaultBlob, "the bytes in the file for what record %d signs are not those it names", r.Seq)
		return
	}
	var in input
	if err := json.Unmarshal(raw, &in); err != nil {
		c.fault(r.Seq, FaultInput, "what record %d signs cannot be read", r.Seq)
		return
	}
	switch {
	case in.Bore != r.Bore || in.Zone != zone:
		c.fault(r.Seq, FaultInput, "record %d signs what is of bore %q, in zone %q", r.Seq, in.Bore, in.Zone)
	case in.Rules != r.Rules:
		c.fault(r.Seq, FaultInput, "record %d signs under other rules than it was judged by", r.Seq)
	case !sameValues(in.Facts, facts):
		c.fault(r.Seq, FaultInput, "record %d signs other values than the records before it give", r.Seq)
	}
}

func sameValues(list []value, facts map[string]value) bool {
	if len(list) != len(facts) {
		return false
	}
	for _, f := range list {
		have, ok := facts[f.Key]
		if !ok || have.Kind != f.Kind || have.Value != f.Value || have.At != f.At || !slices.Equal(have.Items, f.Items) {
			return false
		}
	}
	return true
}
