package engine

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"firstrod/engine/ledger"
)

// released compares whether the record releases the bore, or leaves it released,
// and everything that the release says.
func (r *Rerun) released(c *Catalogue, b *Bore, found standing, input string) {
	rec := &r.Record
	holds := found.holds(GateRelease)
	if rec.State == string(Released) && !holds {
		r.differ(AboutRelease, "state", string(Released), "a rule does not hold")
	}
	if rec.Release == nil {
		if rec.Sign != nil && holds {
			r.differ(AboutRelease, "state", "not released", "every rule holds")
		}
		return
	}
	now, err := release(c, b, found, rec.At, input)
	if err != nil {
		r.differ(AboutRelease, "until", moment(rec.Release.Until), err.Error())
		return
	}
	then := rec.Release
	fields := []struct{ key, then, now string }{
		{"until", moment(then.Until), moment(now.Until)},
		{"signers", actors(then.Signers), actors(now.Signers)},
		{"input", then.Input, now.Input},
		{"checks", strconv.Itoa(then.Checks), strconv.Itoa(now.Checks)},
		{"waived", list(then.Waived), list(now.Waived)},
		{"loose", list(then.Loose), list(now.Loose)},
	}
	for _, f := range fields {
		if f.then != f.now {
			r.differ(AboutRelease, f.key, f.then, f.now)
		}
	}
}

func moment(t time.Time) string { return t.UTC().Format(time.RFC3339Nano) }

func list(keys []string) string { return strings.Join(slices.Sorted(slices.Values(keys)), ", ") }

func actors(all []ledger.Actor) string {
	var words []string
	for _, a := range all {
		words = append(words, a.ID+" "+a.Role)
	}
	return strings.Join(words, ", ")
}
